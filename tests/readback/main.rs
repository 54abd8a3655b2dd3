//! The printed page read back: every note, from the PDF file alone, against the score and
//! against music21's spelling.

mod against;
mod book;
mod cut;
mod dress;
mod drill;
mod fold;
mod form;
mod harmony;
mod ink;
mod music;
mod named;
#[path = "../oracle/mod.rs"]
mod oracle;
mod paged;
mod papers;
mod reader;
mod rhythm;
mod rhythms;
mod share;
mod shared;
#[path = "../short/mod.rs"]
mod short;
#[path = "../laws/signed.rs"]
mod signed;
mod signs;
mod staff;
mod tampering;
mod ties;
mod tunes;
mod words;
#[expect(dead_code, reason = "only the pieces with signs are printed and read here")]
#[path = "../laws/written.rs"]
mod written;

use quintfall::desk::pipeline;
use quintfall::recipe::{FingeringMarks, Paper, Recipe};

use book::{check, document, handout, pdf};

/// The round of twelve in falling fifths, as the workbook prints it.
const ROUND: [&str; 12] = ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G"];

/// Heads on a page: 64 single ones and 4 in the right hand; in the left hand 17 chords of four,
/// or of two at the least where they lie low, and as many more for each part that a tie adds.
const LEAST_HEADS: usize = 12 * (68 + 60);

/// Compares what a recipe prints with the description of its drill in [`drill`], key by key:
/// nothing of the program that makes notes has a say in it.
fn check_from_outside(recipe: &Recipe, names: &[&str]) -> Result<usize, String> {
    let read = book::read(&pdf(&document(recipe)), recipe.booklet)?;
    assert_eq!(read.len(), names.len());
    let mut heads = 0;
    let mut fingers = 0;
    for (own, name) in read.iter().zip(names) {
        let at = |what: String| format!("{name}: {what}");
        own.sheet.check_plainly_barred().map_err(at)?;
        drill::check_music(&own.sheet, &recipe.drill, name).map_err(at)?;
        drill::check_words(&own.rows, name).map_err(at)?;
        drill::check_counts(&own.sheet, &own.rows.counts).map_err(at)?;
        fingers += drill::check_fingers(&own.sheet, name).map_err(at)?;
        heads += own.sheet.hands.iter().flatten().map(|it| it.heads.len()).sum::<usize>();
    }
    assert_eq!(fingers, names.len() * 2 * 17);
    Ok(heads)
}

#[test]
fn every_note_of_the_twelve_keys_is_as_the_description_of_its_drill_says() {
    for drill in drill::KNOWN {
        for paper in [Paper::A4, Paper::Letter] {
            // Every digit: what a hand has in mind is not for a reader to guess.
            let fingering = FingeringMarks::All;
            let drill = drill.to_owned();
            let recipe = Recipe { drill, paper, fingering, ..Recipe::default() };
            let heads = check_from_outside(&recipe, &ROUND);
            let heads =
                heads.unwrap_or_else(|what| panic!("{} on {paper:?}: {what}", recipe.drill));
            assert!(heads >= LEAST_HEADS, "{heads} heads");
        }
    }
}

#[test]
fn the_rarer_spellings_are_right_too() {
    for drill in drill::KNOWN {
        for key in ["F#", "C#", "Cb"] {
            let recipe = Recipe { fingering: FingeringMarks::All, ..handout(drill, &[key]) };
            let found = check_from_outside(&recipe, &[key]);
            found.unwrap_or_else(|what| panic!("{drill} in {key}: {what}"));
        }
    }
}

#[test]
fn one_drill_is_not_taken_for_the_other_nor_one_key_for_its_twin() {
    let recipe = handout("pushed", &["Gb"]);
    let sheet = pdf(&document(&recipe));
    let says = |drill: &str, keys: &[&str]| {
        let other = handout(drill, keys);
        check(&sheet, &pipeline::templates(&other).unwrap(), &other.keys, &other)
    };
    assert!(says("pushed", &["Gb"]).is_ok());
    assert!(says("on-the-beat", &["Gb"]).is_err());
    assert!(says("pushed", &["F#"]).is_err());
    assert!(says("pushed", &["Gb", "B"]).is_err());
}
