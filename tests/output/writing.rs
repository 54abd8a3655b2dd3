//! PDF files, read by `lopdf`.

use std::path::Path;
use std::process::Command;

use lopdf::content::Content;
use lopdf::{Dictionary, Object, ObjectId};
use quintfall::canvas::{Document, Ink, Mark, PageNumber, Trace};
use quintfall::glyphs::Sign;
use quintfall::output::{OutputError, content_streams, pdf, write_whole};
use quintfall::recipe::LARGEST_RECIPE;
use quintfall::typeset::TextFace;

use crate::support::{SPACE, dense_page, document, full_document, line, page, sign, words};

fn load(document: &Document) -> lopdf::Document {
    let bytes = pdf(document).expect("the document is sound");
    lopdf::Document::load_mem(&bytes).expect("the file is sound")
}

fn get<'a>(file: &'a lopdf::Document, dictionary: &'a Dictionary, key: &str) -> &'a Object {
    let value = dictionary.get_deref(key.as_bytes(), file);
    value.unwrap_or_else(|error| panic!("{key}: {error}"))
}

fn dictionary<'a>(file: &'a lopdf::Document, from: &'a Dictionary, key: &str) -> &'a Dictionary {
    get(file, from, key).as_dict().unwrap_or_else(|error| panic!("{key}: {error}"))
}

fn text(object: &Object) -> String {
    lopdf::decode_text_string(object).expect("a text string")
}

fn page_id(file: &lopdf::Document, index: u32) -> ObjectId {
    file.get_pages()[&(index + 1)]
}

fn number(object: &Object) -> f64 {
    f64::from(object.as_float().expect("a number"))
}

/// The meaning of each code of a font, from its ToUnicode map.
fn meanings(file: &lopdf::Document, font: &Dictionary) -> Vec<(u16, String)> {
    let map = get(file, font, "ToUnicode").as_stream().expect("a stream");
    let map = map.decompressed_content().expect("deflated");
    let map = String::from_utf8(map).expect("ASCII");
    let pairs = map.lines().filter_map(|line| {
        let (code, units) = line.strip_prefix('<')?.strip_suffix('>')?.split_once("> <")?;
        let code = u16::from_str_radix(code, 16).ok()?;
        let units: Vec<u16> = units
            .as_bytes()
            .chunks(4)
            .map(|unit| u16::from_str_radix(std::str::from_utf8(unit).expect("ASCII"), 16))
            .collect::<Result<_, _>>()
            .ok()?;
        Some((code, String::from_utf16(&units).expect("UTF-16")))
    });
    pairs.filter(|(code, _)| *code > 0).collect()
}

/// Each glyph of a page: font resource, meaning, origin, size.
fn glyphs(file: &lopdf::Document, index: u32) -> Vec<(String, String, f64, f64, f64)> {
    let id = page_id(file, index);
    let content = Content::decode(&file.get_page_content(id)).expect("operators");
    let fonts = file.get_page_fonts(id).expect("fonts");
    let (mut font, mut size) = (String::new(), 0.0);
    let (mut x, mut y) = (0.0, 0.0);
    let mut found = vec![];
    for operation in &content.operations {
        let operands = &operation.operands;
        match operation.operator.as_str() {
            "BT" => (x, y) = (0.0, 0.0),
            "Tf" => {
                font = String::from_utf8_lossy(operands[0].as_name().expect("a name")).into();
                size = number(&operands[1]);
            }
            "Td" => {
                x += number(&operands[0]);
                y += number(&operands[1]);
            }
            "TJ" => {
                let dictionary = fonts[font.as_bytes()];
                let meanings = meanings(file, dictionary);
                let widths = widths(file, dictionary);
                let mut at = x;
                for item in operands[0].as_array().expect("an array") {
                    let Ok(code) = item.as_str() else {
                        at -= number(item) / 1000.0 * size;
                        continue;
                    };
                    let code = u16::from_be_bytes([code[0], code[1]]);
                    let meaning = meanings.iter().find(|(other, _)| *other == code);
                    let meaning = meaning.expect("every code has a meaning").1.clone();
                    found.push((font.clone(), meaning, at, y, size));
                    at += widths[usize::from(code)] / 1000.0 * size;
                }
            }
            _ => {}
        }
    }
    found
}

fn descendant<'a>(file: &'a lopdf::Document, font: &'a Dictionary) -> &'a Dictionary {
    let descendants = get(file, font, "DescendantFonts").as_array().expect("an array");
    descendants[0].as_dict().expect("a dictionary")
}

fn widths(file: &lopdf::Document, font: &Dictionary) -> Vec<f64> {
    let list = get(file, descendant(file, font), "W").as_array().expect("an array");
    assert_eq!(list.len(), 2, "one stretch of codes");
    let first = list[0].as_i64().expect("a code") as usize;
    let mut widths = vec![0.0; first];
    widths.extend(list[1].as_array().expect("widths").iter().map(number));
    widths
}

#[test]
fn every_sign_is_a_character_at_its_true_origin() {
    let marks: Vec<Mark> = (Sign::ALL.iter().enumerate())
        .map(|(n, &each)| {
            sign(each, 40.0 + 7.123 * (n % 60) as f64, 100.0 + 50.0 * (n / 60) as f64)
        })
        .collect();
    let file = load(&document(vec![page(PageNumber::arabic(1), marks.clone())]));
    let mut found = glyphs(&file, 0);
    assert_eq!(found.len(), marks.len());
    for mark in marks {
        let Mark::Trace(Trace::Sign { sign, at, size, .. }, _) = mark else { continue };
        let index = found.iter().position(|(font, meaning, x, y, found_size)| {
            (font.as_str(), meaning.as_str()) == ("M", sign.code().to_string().as_str())
                && (x - at.x).abs() < 0.008
                && (y - at.y).abs() < 0.006
                && (found_size - size).abs() < 0.001
        });
        found.swap_remove(index.unwrap_or_else(|| panic!("{sign:?} at {at:?}: {found:?}")));
    }
}

#[test]
fn long_rows_of_signs_do_not_drift() {
    let place = |n: u32| 30.0 + f64::from(n) * 1.237_81;
    let marks = (0..400).map(|n| sign(Sign::NoteheadBlack, place(n), 300.0)).collect();
    let file = load(&document(vec![page(PageNumber::arabic(1), marks)]));
    for (n, (.., x, _, _)) in (0..400).zip(glyphs(&file, 0)) {
        assert!((x - place(n)).abs() < 0.008, "{n}: {x} for {}", place(n));
    }
}

#[test]
fn words_extract_in_order_with_ligatures_as_letters() {
    let lines = ["Office affairs: AVATAR", "“Zoë – fjord”, 1–3–5–7"];
    for face in TextFace::ALL {
        let marks = lines.iter().zip([700.0, 650.0]);
        let marks = marks.map(|(text, y)| words(face, text, 50.0, y, 11.5)).collect();
        let file = load(&document(vec![page(PageNumber::arabic(1), marks)]));
        let found = glyphs(&file, 0);
        let text: String = found.iter().map(|glyph| glyph.1.as_str()).collect();
        assert_eq!(text, lines.concat(), "{face:?}");
        assert!(found.iter().any(|glyph| glyph.1 == "ffi"), "{face:?}: {found:?}");
        let last = found.iter().rfind(|glyph| glyph.3 > 660.0).expect("a glyph");
        let expected = 50.0 + quintfall::typeset::width(face, "Office affairs: AVATA", 11.5);
        assert!((last.2 - expected).abs() < 0.02, "{face:?}: {} for {expected}", last.2);
    }
}

#[test]
fn staff_lines_are_plain_strokes_of_full_width() {
    let streams = content_streams(&document(vec![page(
        PageNumber::arabic(1),
        vec![
            line((50.0, 700.0), (545.126, 700.0), 0.65),
            line((50.0, 705.004), (545.126, 705.004), 0.65),
        ],
    )]));
    assert_eq!(
        String::from_utf8_lossy(&streams[0]),
        ".65 w\n50 700 m\n545.13 700 l\n50 705 m\n545.13 705 l\nS\n"
    );
}

#[test]
fn painting_order_is_kept_where_the_ink_changes() {
    let bar = |ink| {
        let (from, to) = ((0.0, 0.0).into(), (9.0, 0.0).into());
        Mark::Trace(Trace::Line { from, to, width: 1.0 }, ink)
    };
    let marks = vec![bar(Ink::Black), bar(Ink::Grey(0.8)), bar(Ink::Black)];
    let stream = content_streams(&document(vec![page(PageNumber::arabic(1), marks)])).remove(0);
    let stroke = "0 0 m\n9 0 l\nS\n";
    assert_eq!(String::from_utf8_lossy(&stream), format!("{stroke}.8 G\n{stroke}0 G\n{stroke}"));
}

#[test]
fn every_font_is_embedded_cut_down_and_described() {
    let file = load(&full_document());
    let fonts = file.get_page_fonts(page_id(&file, 1)).expect("fonts");
    assert_eq!(fonts.len(), 4, "{:?}", fonts.keys());
    for (name, font) in fonts {
        let base = get(&file, font, "BaseFont").as_name().expect("a name");
        let base = String::from_utf8_lossy(base).into_owned();
        let (tag, face) = base.split_once('+').expect("a subset tag");
        assert!(tag.len() == 6 && tag.bytes().all(|letter| letter.is_ascii_uppercase()), "{base}");
        assert_eq!(name == b"M", face == "Quintfall", "{base}");
        let descriptor = dictionary(&file, descendant(&file, font), "FontDescriptor");
        assert_eq!(get(&file, descriptor, "FontName").as_name().expect("a name"), base.as_bytes());
        let program =
            ["FontFile2", "FontFile3"].into_iter().find(|key| descriptor.has(key.as_bytes()));
        let program = get(&file, descriptor, program.expect("a font file"));
        let program = program.as_stream().expect("a stream").decompressed_content();
        let program = program.expect("deflated");
        assert!((1000..30_000).contains(&program.len()), "{base}: {}", program.len());
        let measure = |key| number(get(&file, descriptor, key));
        assert!(measure("Descent") < 0.0 && measure("Ascent") > 0.0, "{base}");
        if name != b"M" {
            assert!((600.0..700.0).contains(&measure("CapHeight")), "{base}");
            assert!((60.0..200.0).contains(&measure("StemV")), "{base}");
            assert_eq!(measure("ItalicAngle") < 0.0, name == b"I", "{base}");
        }
    }
}

#[test]
fn the_catalog_tells_title_language_labels_and_printing() {
    let file = load(&full_document());
    let catalog = file.catalog().expect("a catalog");
    assert_eq!(file.version, "1.7");
    assert_eq!(text(get(&file, catalog, "Lang")), "en-GB");
    let viewer = dictionary(&file, catalog, "ViewerPreferences");
    assert!(get(&file, viewer, "DisplayDocTitle").as_bool().expect("a truth"));
    assert_eq!(get(&file, viewer, "PrintScaling").as_name().expect("a name"), b"None");
    let labels = dictionary(&file, catalog, "PageLabels");
    let labels = get(&file, labels, "Nums").as_array().expect("a number tree");
    assert_eq!((labels[0].as_i64().ok(), labels[2].as_i64().ok()), (Some(0), Some(1)));
    let style = |label: &Object| label.as_dict().expect("a label").get(b"S").cloned();
    assert_eq!(style(&labels[1]).expect("a style"), "r".into());
    assert_eq!(style(&labels[3]).expect("a style"), "D".into());
    let info = dictionary(&file, &file.trailer, "Info");
    assert_eq!(text(get(&file, info, "Title")), "Sevenths & <fifths> (♭)");
    assert_eq!(text(get(&file, info, "Author")), "Zoë");
    assert!(text(get(&file, info, "Producer")).starts_with("Quintfall 0."));
    assert!(!info.has(b"CreationDate") && !info.has(b"ModDate"), "no clock");
    let metadata = get(&file, catalog, "Metadata").as_stream().expect("a stream");
    let metadata = String::from_utf8_lossy(&metadata.content);
    assert!(metadata.contains("Sevenths &amp; &lt;fifths&gt; (♭)"), "{metadata}");
    let page = file.get_dictionary(page_id(&file, 0)).expect("a page");
    for key in ["MediaBox", "TrimBox"] {
        let sides = get(&file, page, key).as_array().expect("a box").iter().map(number);
        let sides: Vec<f64> = sides.map(|side| (side * 100.0).round() / 100.0).collect();
        assert_eq!(sides, [0.0, 0.0, 595.28, 841.89], "{key}");
    }
}

#[test]
fn the_outline_is_a_tree_in_reading_order() {
    let file = load(&full_document());
    let catalog = file.catalog().expect("a catalog");
    assert_eq!(get(&file, catalog, "PageMode").as_name().expect("a name"), b"UseOutlines");
    let root = dictionary(&file, catalog, "Outlines");
    assert_eq!(get(&file, root, "Count").as_i64().expect("a count"), 4);
    let cover = dictionary(&file, root, "First");
    let keys = dictionary(&file, cover, "Next");
    let first = dictionary(&file, keys, "First");
    let second = dictionary(&file, first, "Next");
    let titles = [cover, keys, first, second].map(|entry| text(get(&file, entry, "Title")));
    assert_eq!(titles, ["Cover", "Keys", "Key of C", "Key of F (B♭)"]);
    assert_eq!(dictionary(&file, keys, "Last"), second);
    assert_eq!(get(&file, keys, "Count").as_i64().expect("a count"), 2);
    let target = get(&file, second, "Dest").as_array().expect("a destination");
    assert_eq!(target[0].as_reference().expect("a page"), page_id(&file, 2));
}

#[test]
fn links_are_separate_objects_without_a_border() {
    let file = load(&full_document());
    let page = file.get_dictionary(page_id(&file, 0)).expect("a page");
    let links = get(&file, page, "Annots").as_array().expect("links");
    assert_eq!(links.len(), 1);
    let link = file.get_dictionary(links[0].as_reference().expect("indirect")).expect("a link");
    assert_eq!(
        get(&file, link, "Border").as_array().expect("a border"),
        &[0.into(), 0.into(), 0.into()]
    );
    assert_eq!(text(get(&file, link, "Contents")), "To the drill in F");
    let target = get(&file, link, "Dest").as_array().expect("a destination");
    assert_eq!(target[0].as_reference().expect("a page"), page_id(&file, 2));
    let plain = file.get_dictionary(page_id(&file, 1)).expect("a page");
    assert!(!plain.has(b"Annots"));
}

#[test]
fn pictures_keep_every_pixel_and_grey_ones_have_one_channel() {
    let mut colour = full_document();
    let file = load(&colour);
    let pixels = |file: &lopdf::Document| {
        let images = file.get_page_images(page_id(file, 0)).expect("pictures");
        let image = file.get_object(images[0].id).and_then(Object::as_stream).expect("a picture");
        (images[0].color_space.clone(), image.decompressed_content().expect("deflated"))
    };
    assert_eq!(pixels(&file), (Some("DeviceRGB".to_owned()), colour.about.pictures[0].rgb.clone()));
    colour.about.pictures[0].rgb = (0..8).flat_map(|n| [n * 9; 3]).collect();
    let grey = (0..8).map(|n| n * 9).collect();
    assert_eq!(pixels(&load(&colour)), (Some("DeviceGray".to_owned()), grey));
}

#[test]
fn the_same_document_gives_the_same_bytes_in_one_process_and_in_threads() {
    let full = full_document();
    let first = pdf(&full).expect("sound");
    let other = pdf(&document(vec![dense_page(1, 3)])).expect("sound");
    assert_ne!(first, other);
    assert_eq!(first, pdf(&full).expect("sound"), "a later document of the process");
    let in_threads = std::thread::scope(|scope| {
        let tasks: Vec<_> = (0..4).map(|_| scope.spawn(|| pdf(&full_document()))).collect();
        tasks.into_iter().map(|task| task.join().expect("no panic")).collect::<Vec<_>>()
    });
    for bytes in in_threads {
        assert!(bytes.expect("sound") == first, "a thread wrote other bytes");
    }
}

const TARGET: &str = "QUINTFALL_TEST_TARGET";

#[test]
fn another_process_writes_the_same_bytes() {
    if let Some(target) = std::env::var_os(TARGET) {
        let bytes = pdf(&full_document()).expect("sound");
        write_whole(Path::new(&target), &bytes).expect("written");
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let target = folder.path().join("other.pdf");
    let name = "writing::another_process_writes_the_same_bytes";
    let program = std::env::current_exe().expect("a path");
    let run = Command::new(program).args(["--exact", name]).env(TARGET, &target).output();
    assert!(run.expect("it runs").status.success());
    let other = std::fs::read(target).expect("the other process wrote it");
    assert!(other == pdf(&full_document()).expect("sound"), "the bytes differ");
}

#[test]
fn identifiers_follow_the_content() {
    let id = |document: &Document| {
        let file = load(document);
        let pair = file.trailer.get(b"ID").and_then(Object::as_array).expect("a pair").clone();
        assert_eq!(pair[0], pair[1]);
        pair[0].as_str().expect("bytes").to_vec()
    };
    let full = full_document();
    let mut changed = full_document();
    changed.about.recipe.push(' ');
    assert_eq!(id(&full).len(), 16);
    assert_ne!(id(&full), id(&changed));
}

#[test]
fn documents_with_faults_are_refused_with_the_place() {
    let with = |mark: Mark| document(vec![page(PageNumber::roman(4), vec![mark])]);
    let refused = |document: &Document| pdf(document).expect_err("a fault").to_string();
    assert_eq!(pdf(&document(vec![])), Err(OutputError::NoPages));
    let message = refused(&with(words(TextFace::Bold, "Keys 鍵", 0.0, 0.0, 10.0)));
    assert!(message.contains("page iv") && message.contains('鍵'), "{message}");
    let message = refused(&with(sign(Sign::GClef, f64::NAN, 0.0)));
    assert!(message.contains("page iv"), "{message}");
    let frame = kurbo::Rect::ZERO;
    let message = refused(&with(Mark::Picture { index: 3, frame }));
    assert!(message.contains("picture 3"), "{message}");
    let mut astray = full_document();
    astray.about.outline[1].children[0].page = 7;
    let message = refused(&astray);
    assert!(message.contains("Key of C") && message.contains("page 8 of"), "{message}");
    let mut large = full_document();
    large.about.recipe = " ".repeat(LARGEST_RECIPE + 1);
    let found = LARGEST_RECIPE + 1;
    assert_eq!(pdf(&large), Err(OutputError::LargeRecipe { found }));
    let mut short = full_document();
    short.about.pictures[0].rgb.pop();
    assert!(refused(&short).contains("picture 0"));
}

#[test]
fn a_document_without_words_or_signs_is_a_sound_file() {
    let nothing = words(TextFace::Italic, "", 10.0, 10.0, 10.0);
    let marks = vec![line((0.0, 0.0), (SPACE, 0.0), 1.0), nothing];
    let file = load(&document(vec![page(PageNumber::arabic(1), marks)]));
    assert_eq!(file.get_pages().len(), 1);
    let content = file.get_page_content(page_id(&file, 0));
    assert!(!content.windows(2).any(|operator| operator == b"Tf"), "there is no font to call");
    assert!(!file.catalog().expect("a catalog").has(b"Outlines"));
}

#[test]
fn accents_that_the_face_has_no_letter_for_stand_above_it() {
    let text = "x\u{302} q\u{308}";
    let marks = vec![words(TextFace::Regular, text, 50.0, 500.0, 20.0)];
    let file = load(&document(vec![page(PageNumber::arabic(1), marks)]));
    let found = glyphs(&file, 0);
    let meanings: String = found.iter().map(|glyph| glyph.1.as_str()).collect();
    assert_eq!(meanings, text);
    let (letter, accent) = (&found[0], &found[1]);
    assert!(accent.2 < letter.2 + 12.0, "the accent stands on its letter: {found:?}");
}
