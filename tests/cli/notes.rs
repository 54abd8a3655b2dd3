//! Files of notes, beside a sheet or instead of it.

use std::fs;

use super::desk::Desk;

const C: [&str; 3] = ["handout", "--key", "C"];

/// What is typed for a handout in C.
fn typed<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [&C[..], more].concat()
}

#[test]
fn notes_are_made_beside_the_sheet_or_instead_of_it() {
    let desk = Desk::new();
    let said = desk.does(&typed(&["--musicxml", "c.musicxml"]));
    assert_eq!(said, "wrote c.musicxml: 1 key\n");
    assert_eq!(desk.files().len(), 1);
    let said = desk.does(&typed(&["--musicxml", "again", "-o", "sheet"]));
    assert_eq!(said, "wrote again.musicxml: 1 key\nwrote sheet.pdf: 1 page, 1 key, A4\n");
    assert!(desk.read("again.musicxml") == desk.read("c.musicxml"));
    let said = desk.does(&["workbook", "--drill", "solid,pushed", "--musicxml", "course.mxl"]);
    assert_eq!(said, "wrote course.mxl: 2 drills, 12 keys\n");
    let said = desk.does(&["handout", "sheet.pdf", "--musicxml", "of-sheet.musicxml"]);
    assert_eq!(said, "wrote of-sheet.musicxml: 1 key\n");
    assert!(desk.read("of-sheet.musicxml") == desk.read("c.musicxml"));
    let said = desk.does(&typed(&["--musicxml", "c.musicxml", "--png", ".", "--dpi", "20"]));
    assert!(said.starts_with("wrote c.musicxml: 1 key\n") && said.contains("1 picture"), "{said}");
}

#[test]
fn notes_go_to_stdout_and_one_file_alone_does() {
    let desk = Desk::new();
    desk.does(&typed(&["--musicxml", "c.musicxml"]));
    let output = desk.run(&typed(&["--musicxml", "-", "-o", "sheet.pdf"]));
    let said = String::from_utf8(output.stderr).unwrap();
    let wrote = "wrote the MusicXML to stdout: 1 key\nwrote sheet.pdf: 1 page, 1 key, A4\n";
    assert_eq!((output.status.code(), &*said), (Some(0), wrote));
    assert!(output.stdout == desk.read("c.musicxml"));
    let message = "standard output takes one file, and two are to go there; \
                   give one of them a name";
    desk.refuses(&typed(&["--musicxml", "-", "-o", "-"]), message);
}

#[test]
fn a_place_where_no_notes_can_be_is_refused() {
    let desk = Desk::new().with("mine.musicxml", "<score/>").with("sheet.mxl", "PK mine");
    fs::create_dir(desk.path("folder")).unwrap();
    for (place, message) in [
        ("no/x.mxl", "cannot write no/x.mxl: the folder no does not exist; make it first"),
        ("folder", "cannot write folder: it is a folder; name a file in it"),
        (
            "x.pdf",
            "--musicxml: x.pdf cannot be its name, since the file is MusicXML; write x.musicxml",
        ),
        (
            "mine",
            "cannot write mine.musicxml: a file of that name is there and is no MusicXML; \
             choose another name, or replace it with --force",
        ),
        (
            "sheet.mxl",
            "cannot write sheet.mxl: a file of that name is there and is no packed MusicXML; \
             choose another name, or replace it with --force",
        ),
    ] {
        desk.refuses(&typed(&["--musicxml", place]), message);
        // Nor is the sheet made then.
        desk.refuses(&typed(&["--musicxml", place, "-o", "x.pdf"]), message);
    }
    desk.does(&typed(&["--musicxml", "mine", "--force"]));
    let said = desk.does(&typed(&["--musicxml", "mine.musicxml"]));
    assert_eq!(said, "wrote mine.musicxml: 1 key\n");
    desk.refuses(
        &typed(&["-o", "of a.musicxml"]),
        "--output: of a.musicxml cannot be its name, since a sheet is a PDF; \
         for its notes write --musicxml \"of a.musicxml\"",
    );
    desk.does(&typed(&["--musicxml", "of a.musicxml"]));
}

#[test]
fn a_review_has_no_notes() {
    let desk = Desk::new();
    let args = ["review", "--drill", "solid", "--key", "C", "--musicxml", "x"];
    let message = desk.refusal(&args);
    let told = "a review has no notes to write down; make a workbook or a handout of its drills";
    assert!(message.ends_with(told), "{message}");
}
