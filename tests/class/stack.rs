//! The stack for the printer: the single sheets one after another, each from a right page on.

use std::collections::BTreeMap;

use lopdf::content::Content;
use lopdf::{Document, Object};

use super::desk::{Desk, png};
use super::laws::MONDAY;
use super::tree::tree;

/// What a code stands for in each font of a page.
type Meanings = BTreeMap<Vec<u8>, BTreeMap<u16, String>>;

fn meanings(file: &Document, page: lopdf::ObjectId) -> Meanings {
    let fonts = file.get_page_fonts(page).expect("fonts");
    let meaning = |(name, font): (Vec<u8>, &lopdf::Dictionary)| {
        let map = font.get_deref(b"ToUnicode", file).and_then(Object::as_stream).expect("a map");
        let map = String::from_utf8(map.decompressed_content().expect("deflated")).expect("ASCII");
        let pairs = map.lines().filter_map(|line| {
            let (code, units) = line.strip_prefix('<')?.strip_suffix('>')?.split_once("> <")?;
            Some((u16::from_str_radix(code, 16).ok()?, units.to_owned()))
        });
        (name, pairs.collect())
    };
    fonts.into_iter().map(meaning).collect()
}

/// The operators of a page, its glyphs by what they stand for in place of their codes, which
/// differ from file to file.
fn drawn(file: &Document, page: lopdf::ObjectId) -> Vec<String> {
    let content = Content::decode(&file.get_page_content(page)).expect("operators");
    let meanings = meanings(file, page);
    let mut font = Vec::new();
    let mut drawn = Vec::new();
    for operation in &content.operations {
        if operation.operator == "Tf" {
            font = operation.operands[0].as_name().expect("a name").to_vec();
        }
        let glyphs = |object: &Object| match object {
            Object::String(codes, _) => {
                let (pairs, _) = codes.as_chunks::<2>();
                let glyph = |pair: &[u8; 2]| &meanings[&font][&u16::from_be_bytes(*pair)];
                pairs.iter().map(glyph).fold(String::new(), |all, one| format!("{all} {one}"))
            }
            other => format!("{other:?}"),
        };
        let operands = operation.operands.iter().map(|operand| match operand {
            Object::Array(items) => items.iter().map(glyphs).collect::<Vec<_>>().join(","),
            other => glyphs(other),
        });
        drawn.push(format!("{} {}", operands.collect::<Vec<_>>().join(" "), operation.operator));
    }
    drawn
}

fn load(bytes: &[u8]) -> Document {
    Document::load_mem(bytes).expect("the file is sound")
}

fn size(file: &Document, page: lopdf::ObjectId) -> Vec<f32> {
    let sides = file.get_dictionary(page).and_then(|page| page.get(b"MediaBox"));
    let sides = sides.and_then(Object::as_array).expect("a size");
    sides.iter().map(|side| side.as_float().expect("a number")).collect()
}

/// Compares a stack with the sheets that it was made of, in their order. Gives how many pages are
/// blank.
#[track_caller]
fn compare(stack: &Document, sheets: &[&Vec<u8>]) -> usize {
    let pages: Vec<lopdf::ObjectId> = stack.page_iter().collect();
    let (mut at, mut blank) = (0, 0);
    for bytes in sheets {
        let sheet = load(bytes);
        if at % 2 == 1 {
            assert!(stack.get_page_content(pages[at]).iter().all(u8::is_ascii_whitespace));
            at += 1;
            blank += 1;
        }
        for page in sheet.page_iter() {
            assert_eq!(size(stack, pages[at]), size(&sheet, page));
            assert!(drawn(stack, pages[at]) == drawn(&sheet, page), "page {} differs", at + 1);
            let links = |file: &Document, page| file.get_page_annotations(page).unwrap().len();
            assert_eq!(links(stack, pages[at]), links(&sheet, page));
            at += 1;
        }
    }
    assert_eq!(at, pages.len());
    blank
}

/// The sheets of a list in its order, by the names of the students in it.
fn in_order<'a>(files: &'a BTreeMap<String, Vec<u8>>, names: &[&str]) -> Vec<&'a Vec<u8>> {
    let of = |name: &&str| {
        let own: Vec<_> = files.iter().filter(|(path, _)| path.starts_with(*name)).collect();
        assert_eq!(own.len(), 1, "{name}");
        own[0].1
    };
    names.iter().map(of).collect()
}

#[test]
fn the_stack_is_the_sequence_of_the_sheets() {
    let desk = Desk::new().with("monday.csv", MONDAY);
    desk.does(&["class", "monday.csv", "-o", "out"]);
    let files = tree(&desk.path("out"));
    let names: Vec<String> = MONDAY
        .lines()
        .skip(1)
        .map(|line| format!("{}/", line.split(',').next().unwrap().replace([' ', '\''], "-")))
        .collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let stack = load(&files["2026-11-30-monday-to-print.pdf"]);
    let blank = compare(&stack, &in_order(&files, &names));
    assert!(blank > 5, "{blank}");
    let catalog = stack.catalog().unwrap();
    let outline = catalog.get_deref(b"Outlines", &stack).and_then(Object::as_dict).unwrap();
    assert_eq!(outline.get(b"Count").and_then(Object::as_i64).unwrap(), 25);
    // Each student and each blank page has its own label.
    let labels = catalog.get(b"PageLabels").and_then(Object::as_dict).unwrap();
    let labels = labels.get(b"Nums").and_then(Object::as_array).unwrap();
    assert!(labels.len() / 2 >= 25 + blank, "{}", labels.len() / 2);
}

#[test]
fn sheets_of_every_kind_lie_in_one_stack() {
    let desk = Desk::new().with("logo.png", png(3, 2)).with("other.png", png(4, 4)).with(
        "a.csv",
        "name,keys,paper,orientation,booklet,logo,drill\n\
         Ada,\"C,F,Bb\",a5,,yes,logo.png,solid\nBo,\"C,F\",letter,landscape,,,solid\n\
         Cy,C,,,,other.png,\"solid,pushed\"\nDi,C,,,,logo.png,pushed\n",
    );
    desk.does(&["class", "a.csv"]);
    let files = tree(&desk.path("a"));
    let sheets = in_order(&files, &["Ada/", "Bo/", "Cy/", "Di/"]);
    let stack = load(&files["a-to-print.pdf"]);
    compare(&stack, &sheets);
    let is_picture = |object: &&Object| {
        let stream = object.as_stream();
        stream.is_ok_and(|stream| stream.dict.get(b"Subtype").is_ok_and(|it| *it == "Image".into()))
    };
    assert_eq!(stack.objects.values().filter(is_picture).count(), 2);
}

#[test]
fn the_same_list_gives_the_same_bytes() {
    let made = || {
        let list = "name,keys,drill\nAda,C,solid\nBo,\"F,Bb\",pushed\nCy,G,solid\n";
        let desk = Desk::new().with("a.csv", list);
        desk.does(&["class", "a.csv"]);
        tree(&desk.path("a"))
    };
    assert!(made() == made());
}
