//! Recipes read back from PDF files, whole, saved again and hostile.

use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use lopdf::{Dictionary, Object, Stream};
use proptest::prelude::*;
use quintfall::canvas::PageNumber;
use quintfall::output::{ReadBackError, pdf, recipe_json};

use crate::support::{RECIPE, document, full_document, page};

fn sheet() -> Vec<u8> {
    pdf(&full_document()).expect("the document is sound")
}

/// The sheet with another attached stream.
fn with_stream(stream: Stream) -> Vec<u8> {
    let mut file = lopdf::Document::load_mem(&sheet()).expect("sound");
    let is_attachment = |object: &Object| {
        object.as_stream().is_ok_and(|stream| stream.dict.has_type(b"EmbeddedFile"))
    };
    let attachment = file.objects.values_mut().find(|object| is_attachment(object));
    *attachment.expect("an attachment") = stream.into();
    let mut bytes = vec![];
    file.save_to(&mut bytes).expect("saved");
    bytes
}

fn flate(content: &[u8]) -> Stream {
    let mut encoder = ZlibEncoder::new(vec![], Compression::best());
    encoder.write_all(content).expect("memory");
    let filter = Dictionary::from_iter([("Filter", Object::from("FlateDecode"))]);
    Stream::new(filter, encoder.finish().expect("memory"))
}

#[test]
fn the_recipe_returns_letter_by_letter() {
    assert_eq!(recipe_json(&sheet()).as_deref(), Ok(RECIPE));
}

#[test]
fn the_recipe_returns_from_a_sheet_that_was_saved_again() {
    let mut file = lopdf::Document::load_mem(&sheet()).expect("sound");
    let mut modern = vec![];
    file.save_modern(&mut modern).expect("saved");
    assert!(!modern.windows(12).any(|word| word == b"/Filespec/F("), "the entry is packed");
    assert_eq!(recipe_json(&modern).as_deref(), Ok(RECIPE));
    assert_eq!(
        recipe_json(&with_stream(Stream::new(Dictionary::new(), b"{}".to_vec()))),
        Ok("{}".into())
    );
}

#[test]
fn sheets_that_were_put_together_are_told_apart() {
    let mut file = lopdf::Document::load_mem(&sheet()).expect("sound");
    let is_entry = |object: &&Object| object.as_dict().is_ok_and(|entry| entry.has(b"EF"));
    let mut entry =
        file.objects.values().find(is_entry).expect("an entry").as_dict().unwrap().clone();
    let other = file.add_object(Stream::new(Dictionary::new(), b"{}".to_vec()));
    entry.set("EF", Dictionary::from_iter([("F", Object::Reference(other))]));
    file.add_object(entry);
    let mut plain = vec![];
    file.save_to(&mut plain).expect("saved");
    assert_eq!(recipe_json(&plain), Err(ReadBackError::SeveralRecipes));
    let mut modern = vec![];
    file.save_modern(&mut modern).expect("saved");
    assert_eq!(recipe_json(&modern), Err(ReadBackError::SeveralRecipes));
}

#[test]
fn other_files_are_told_apart() {
    let mut plain = lopdf::Document::load_mem(&sheet()).expect("sound");
    let catalog = plain.catalog_mut().expect("a catalog");
    catalog.remove(b"AF");
    catalog.remove(b"Names");
    plain.prune_objects();
    let mut bytes = vec![];
    plain.save_to(&mut bytes).expect("saved");
    assert_eq!(recipe_json(&bytes), Err(ReadBackError::NoRecipe));

    plain.trailer.set("Encrypt", Dictionary::from_iter([("Filter", Object::from("Standard"))]));
    bytes.clear();
    plain.save_to(&mut bytes).expect("saved");
    assert_eq!(recipe_json(&bytes), Err(ReadBackError::Encrypted));

    for other in [&b""[..], b"%PDF", b"PK\x03\x04", RECIPE.as_bytes()] {
        assert_eq!(recipe_json(other), Err(ReadBackError::NotPdf));
    }
}

#[test]
fn recipes_that_are_no_recipes_are_refused() {
    let bomb = flate(&vec![b' '; 200 << 20]);
    assert!(bomb.content.len() < 1 << 20);
    assert_eq!(recipe_json(&with_stream(bomb)), Err(ReadBackError::TooLarge));
    assert_eq!(recipe_json(&with_stream(flate(b"\"\xFF\""))), Err(ReadBackError::NotText));
    let fault = ReadBackError::NotJson { line: 2, column: 1 };
    assert_eq!(recipe_json(&with_stream(flate(b"{\n]"))), Err(fault));
    let mut cut = flate(RECIPE.as_bytes());
    cut.content.truncate(20);
    cut.set_content(cut.content.clone());
    assert!(matches!(recipe_json(&with_stream(cut)), Err(ReadBackError::Broken(_))));
    let odd = Dictionary::from_iter([("Filter", Object::from("LZWDecode"))]);
    let odd = with_stream(Stream::new(odd, RECIPE.as_bytes().to_vec()));
    assert!(matches!(recipe_json(&odd), Err(ReadBackError::Broken(_))));
}

#[test]
fn a_sheet_cut_short_is_called_damaged_or_still_gives_its_recipe() {
    let sheet = sheet();
    for length in (0..sheet.len()).step_by(97) {
        match recipe_json(&sheet[..length]) {
            Ok(recipe) => assert_eq!(recipe, RECIPE, "{length}"),
            Err(ReadBackError::Broken(_)) => {}
            Err(ReadBackError::NotPdf) => assert!(length < 5),
            Err(error) => panic!("{length}: {error}"),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..2000)) {
        let mut file = b"%PDF-1.7\n1 0 obj".to_vec();
        file.extend(bytes);
        prop_assert!(recipe_json(&file).is_err());
    }

    #[test]
    fn no_change_of_a_sheet_makes_it_panic(
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..40)
    ) {
        let small = document(vec![page(PageNumber::arabic(1), vec![])]);
        let mut bytes = pdf(&small).expect("sound");
        for (place, byte) in changes {
            let place = place.index(bytes.len());
            bytes[place] = byte;
        }
        if let Ok(recipe) = recipe_json(&bytes) {
            prop_assert!(serde_json::from_str::<serde_json::Value>(&recipe).is_ok());
        }
    }
}
