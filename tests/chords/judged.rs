//! Chords beside those of music21: its table of kinds with the ways it writes them, and the whole
//! domain of ours, which `tests/outside/chord_domain.py` has music21 spell.

use std::collections::{BTreeMap, BTreeSet};

use serde::Deserialize;

use quintfall::theory::{
    Chord, ChordKind, NoteName, SymbolStyle, chord_symbol, plain_text, read_chord,
};

/// A kind of music21: how it writes it, and its notes on each root.
#[derive(Deserialize)]
struct Kind {
    written: Vec<String>,
    notes: BTreeMap<String, String>,
}

fn table() -> BTreeMap<String, Kind> {
    serde_json::from_str(include_str!("../data/chord_table.json")).expect("sound data")
}

/// Spellings of music21 that are read otherwise, or not at all, and why.
const OTHERWISE: &[(&str, &str)] = &[
    ("dom7dim5", "a flat five is written b5: `dim` after a figure would be another chord"),
    ("N6", "names of functions are no symbols"),
    ("It+6", "the same"),
    ("It", "the same"),
    ("Fr+6", "the same"),
    ("Fr", "the same"),
    ("Gr+6", "the same"),
    ("Ger", "the same"),
    ("pedal", "a pedal is no chord"),
    ("power", "a bare fifth is written 5"),
    ("tristan", "names of chords are no symbols"),
    ("+9", "two readings: the fifth is raised, or the ninth"),
    ("+11", "the same"),
    ("+13", "the same"),
    ("ob9", "two readings: with a diminished seventh or without one"),
    ("dimb9", "the same"),
];

/// Kinds whose notes are not those of music21, and why.
const DIFFERENT: &[(&str, &str)] = &[
    ("dominant-13th", "players leave out the eleventh over a major third"),
    ("major-13th", "the same"),
    ("augmented-major-13th", "the same"),
    ("augmented-dominant-13th", "the same"),
];

#[test]
fn the_symbols_of_music21_are_read_as_its_kinds() {
    let (mut compared, mut apart, mut refused) = (0, 0, BTreeSet::new());
    for (name, kind) in table() {
        for (root, theirs) in &kind.notes {
            for symbol in kind.written.iter().map(|suffix| (suffix, format!("{root}{suffix}"))) {
                let (suffix, symbol) = symbol;
                let chord = match read_chord(&symbol) {
                    Ok(chord) => chord,
                    Err(error) => {
                        let known = OTHERWISE.iter().any(|(it, _)| it == suffix);
                        assert!(known, "{symbol} of {name}: {error}");
                        refused.insert(suffix.clone());
                        continue;
                    }
                };
                let mut own: Vec<String> = chord.notes().map(NoteName::plain).collect();
                let mut theirs: Vec<&str> = theirs.split(' ').collect();
                if own != theirs {
                    assert!(
                        DIFFERENT.iter().any(|(it, _)| *it == name),
                        "{symbol}: {own:?}, not {theirs:?}"
                    );
                    // The eleventh is all that they differ in.
                    let eleventh = chord.root.up(quintfall::theory::Interval::FOURTH).plain();
                    theirs.retain(|note| *note != eleventh);
                    own.retain(|note| *note != eleventh);
                    assert_eq!(own, theirs, "{symbol}");
                    apart += 1;
                }
                compared += 1;
            }
        }
    }
    println!("{compared} symbols compared with music21, {apart} without its eleventh");
    assert!(compared > 2000 && apart > 0, "{compared}, {apart}");
    let listed: BTreeSet<String> = OTHERWISE.iter().map(|(it, _)| (*it).to_owned()).collect();
    assert_eq!(refused, listed);
}

/// Roots that players meet, so that each kind stands on one of them.
const ROOTS: [&str; 17] =
    ["C", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "B", "F#", "C#", "E", "A", "D", "G", "G#", "D#"];

/// A chord a line: its symbol, its kind and degrees in the words of MusicXML, and its notes.
fn listing() -> String {
    let mut text = String::new();
    for (place, kind) in ChordKind::all().enumerate() {
        let root = NoteName::parse(ROOTS[place % ROOTS.len()]).expect("a note");
        let chord = Chord::new(root, kind);
        let symbol = plain_text(&chord_symbol(chord, SymbolStyle::Letters));
        let standard = kind.standard();
        let notes: Vec<String> = chord.notes().map(NoteName::plain).collect();
        text.push_str(&format!("{symbol}\t{} {}", root.plain(), standard.word));
        for degree in standard.degrees {
            let (change, value, alter) = (degree.change.word(), degree.value, degree.alter);
            text.push_str(&format!(" {change},{value},{alter}"));
        }
        text.push_str(&format!("\t{}\n", notes.join(" ")));
    }
    text
}

/// The listing that music21 judges is the program's own; `UPDATE_GOLDEN=1` writes it anew.
#[test]
fn the_listing_that_music21_judges_is_our_own() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/chord_domain.txt");
    let own = listing();
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(path, &own).expect("the listing can be written");
        panic!("{path} was written anew");
    }
    let kept = std::fs::read_to_string(path).expect("the listing is there");
    assert!(kept == own, "UPDATE_GOLDEN=1 writes {path} anew");
}
