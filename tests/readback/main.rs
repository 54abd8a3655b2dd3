//! The printed page read back: every note, from the PDF file alone, against music21's spelling.

mod book;
mod drill;
mod ink;
mod music;
#[path = "../oracle/mod.rs"]
mod oracle;
mod reader;
mod staff;
mod tampering;
mod words;

use quintfall::recipe::Paper;

use book::{ROUND, check, handout, pdf, workbook};

/// Heads on a page: 64 single ones and 4 in the right hand; in the left hand 17 chords of four,
/// and four more for each part that a tie adds.
const LEAST_HEADS: usize = 12 * (68 + 68);

#[test]
fn every_note_of_the_twelve_keys_is_right_in_both_drills_on_both_papers() {
    for drill in ["on-the-beat", "pushed"] {
        for paper in [Paper::A4, Paper::Letter] {
            let found = check(&pdf(&workbook(drill, paper)), drill, &ROUND);
            let found = found.unwrap_or_else(|what| panic!("{drill} on {paper:?}: {what}"));
            println!("{drill} on {paper:?}: {found:?}");
            assert!(found.heads >= LEAST_HEADS, "{found:?}");
            assert_eq!((found.pages, found.fingers), (12, 12 * 2 * 17));
        }
    }
}

#[test]
fn the_rarer_spellings_are_right_too() {
    let keys = ["F#", "C#", "Cb"];
    for drill in ["on-the-beat", "pushed"] {
        for key in keys {
            let found = check(&pdf(&handout(drill, &[key])), drill, &[key]);
            found.unwrap_or_else(|what| panic!("{drill} in {key}: {what}"));
        }
    }
}

#[test]
fn one_drill_is_not_taken_for_the_other_nor_one_key_for_its_twin() {
    let sheet = pdf(&handout("pushed", &["Gb"]));
    assert!(check(&sheet, "pushed", &["Gb"]).is_ok());
    assert!(check(&sheet, "on-the-beat", &["Gb"]).is_err());
    assert!(check(&sheet, "pushed", &["F#"]).is_err());
    assert!(check(&sheet, "pushed", &["Gb", "B"]).is_err());
}
