//! Answers from elsewhere, read from `tests/data`: music21's spelling of every diatonic seventh,
//! and the fingers of a handbook. Nothing here calls the program.
#![allow(dead_code, reason = "each test target uses its own part")]

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

/// A spelled note without an octave, as plain as a test needs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Name {
    /// Steps above C, 0 to 6.
    pub(crate) letter: i32,
    /// Semitones of alteration.
    pub(crate) alter: i32,
}

impl Name {
    /// Reads `Bb`, `F##` and the like.
    pub(crate) fn parse(text: &str) -> Self {
        let letter = "CDEFGAB".find(&text[..1]).expect("a letter") as i32;
        let sharps = text[1..].matches('#').count() as i32;
        let flats = text[1..].matches('b').count() as i32;
        assert_eq!((sharps + flats) as usize, text.len() - 1, "{text}");
        Self { letter, alter: sharps - flats }
    }

    /// The name as [`Name::parse`] reads it.
    pub(crate) fn plain(self) -> String {
        let sign = if self.alter < 0 { "b" } else { "#" };
        let letter = &"CDEFGAB"[self.letter as usize..=self.letter as usize];
        format!("{letter}{}", sign.repeat(self.alter.unsigned_abs() as usize))
    }

    /// The name with the signs of print.
    pub(crate) fn printed(self) -> String {
        let letter = &"CDEFGAB"[self.letter as usize..=self.letter as usize];
        let sign = if self.alter < 0 { "♭" } else { "♯" };
        format!("{letter}{}", sign.repeat(self.alter.unsigned_abs() as usize))
    }
}

/// One diatonic seventh as music21 gives it.
#[derive(Debug, Deserialize)]
pub(crate) struct Chord {
    pub(crate) degree: i32,
    pub(crate) root: String,
    pub(crate) kind: String,
    notes: Vec<String>,
    pub(crate) semitones: Vec<i32>,
}

impl Chord {
    /// Root, third, fifth and seventh.
    pub(crate) fn notes(&self) -> Vec<Name> {
        self.notes.iter().map(|note| Name::parse(note)).collect()
    }
}

/// A key as music21 gives it.
#[derive(Debug, Deserialize)]
pub(crate) struct KeyChords {
    pub(crate) fifths: i32,
    scale: Vec<String>,
    chords: Vec<Chord>,
}

impl KeyChords {
    /// The seven notes of the scale.
    pub(crate) fn scale(&self) -> Vec<Name> {
        self.scale.iter().map(|note| Name::parse(note)).collect()
    }

    /// The chord on a degree; 8 is 1 an octave up.
    pub(crate) fn chord(&self, degree: i32) -> &Chord {
        let chord = &self.chords[(degree - 1).rem_euclid(7) as usize];
        assert_eq!(chord.degree, (degree - 1).rem_euclid(7) + 1);
        chord
    }
}

/// The notes of a chord, from its root up, as music21 spells its kind; `None` where the data
/// have no such chord.
pub(crate) fn spelled(root: Name, kind: &str) -> Option<Vec<Name>> {
    static DATA: LazyLock<BTreeMap<String, BTreeMap<String, Vec<String>>>> = LazyLock::new(|| {
        serde_json::from_str(include_str!("../data/chord_kinds.json")).expect("sound data")
    });
    let Some(own) = DATA.get(kind) else { return table(root, kind) };
    let notes = own.get(&root.plain())?;
    Some(notes.iter().map(|note| Name::parse(note)).collect())
}

/// The same for the kinds that stand in music21's own table alone.
fn table(root: Name, kind: &str) -> Option<Vec<Name>> {
    #[derive(Deserialize)]
    struct Row {
        notes: BTreeMap<String, String>,
    }
    static DATA: LazyLock<BTreeMap<String, Row>> = LazyLock::new(|| {
        serde_json::from_str(include_str!("../data/chord_table.json")).expect("sound data")
    });
    let notes = DATA.get(kind)?.notes.get(&root.plain())?;
    Some(notes.split_whitespace().map(Name::parse).collect())
}

#[derive(Deserialize)]
struct Sevenths {
    major: BTreeMap<String, KeyChords>,
}

/// The fifteen major keys by the plain name of their tonic.
pub(crate) fn major() -> &'static BTreeMap<String, KeyChords> {
    static DATA: LazyLock<Sevenths> = LazyLock::new(|| {
        serde_json::from_str(include_str!("../data/diatonic_sevenths.json")).expect("sound data")
    });
    &DATA.major
}

/// The minor keys by mode, `natural_minor`, `harmonic_minor` and `melodic_minor`, and by the plain
/// name of their tonic.
pub(crate) fn minor(mode: &str) -> &'static BTreeMap<String, KeyChords> {
    static DATA: LazyLock<BTreeMap<String, BTreeMap<String, KeyChords>>> = LazyLock::new(|| {
        serde_json::from_str(include_str!("../data/minor_sevenths.json")).expect("sound data")
    });
    &DATA[mode]
}

/// The fingers of one arpeggio, two octaves up and down, an inversion an entry.
#[derive(Debug, Deserialize)]
pub(crate) struct Arpeggio {
    pub(crate) rh: Vec<String>,
    pub(crate) lh: Vec<String>,
}

/// A handbook's seventh arpeggios by root.
#[derive(Deserialize)]
pub(crate) struct Handbook {
    pub(crate) dom7: BTreeMap<String, Arpeggio>,
    pub(crate) dim7: BTreeMap<String, Arpeggio>,
}

/// Beringer and Dunhill, 1900.
pub(crate) fn handbook() -> &'static Handbook {
    static DATA: LazyLock<Handbook> = LazyLock::new(|| {
        serde_json::from_str(include_str!("../data/handbook_fingerings.json")).expect("sound data")
    });
    &DATA
}

/// Fingers of a seventh chord under one hand without crossing, low note to high, for the right
/// and the left hand, by music21's name of the kind.
///
/// Source: computed outside this project with the model of R. Parncutt and others, "An
/// ergonomic model of keyboard fingering for melodic fragments", Music Perception 14(4), 1997,
/// for all twelve roots alike; the same digits are the usual teaching (common practice, no
/// source).
pub(crate) const ONE_HAND: [(&str, [u8; 4], [u8; 4]); 4] = [
    ("major-seventh", [1, 2, 3, 5], [5, 3, 2, 1]),
    ("dominant-seventh", [1, 2, 3, 5], [5, 3, 2, 1]),
    ("half-diminished", [1, 2, 3, 5], [5, 3, 2, 1]),
    ("minor-seventh", [1, 2, 4, 5], [5, 4, 2, 1]),
];

/// The row of [`ONE_HAND`] for a kind.
pub(crate) fn one_hand(kind: &str) -> ([u8; 4], [u8; 4]) {
    let row = ONE_HAND.iter().find(|(name, ..)| *name == kind);
    row.map(|(_, right, left)| (*right, *left)).expect("a diatonic kind")
}
