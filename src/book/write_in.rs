//! Partial sheets: what is left out of a document, to be written in.

use serde::{Deserialize, Serialize};

use crate::engrave::Blanks;
use crate::score::ByHand;

/// Something that is left out, to be written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WriteIn {
    /// What the right hand plays.
    Right,
    /// What the left hand plays.
    Left,
    /// The chord symbols.
    Symbols,
    /// The numerals.
    Numerals,
    /// The fingers.
    Fingers,
    /// The counts.
    Counts,
    /// The notes of the chords in their tables.
    Spelling,
}

impl WriteIn {
    /// What it is, in words of the page.
    const fn words(self) -> &'static str {
        match self {
            Self::Right => "the right hand",
            Self::Left => "the left hand",
            Self::Symbols => "the chord symbols",
            Self::Numerals => "the numerals",
            Self::Fingers => "the fingers",
            Self::Counts => "the counts",
            Self::Spelling => "the notes of the chords",
        }
    }
}

/// What is left out of the music.
pub(crate) fn blanks(parts: &[WriteIn]) -> Blanks {
    let has = |part| parts.contains(&part);
    Blanks {
        hands: ByHand { right: has(WriteIn::Right), left: has(WriteIn::Left) },
        symbols: has(WriteIn::Symbols),
        numerals: has(WriteIn::Numerals),
        fingers: has(WriteIn::Fingers),
        counts: has(WriteIn::Counts),
    }
}

/// What is to be done on a sheet, in a sentence; nothing where nothing is left out of it.
pub(crate) fn task(parts: &[WriteIn]) -> Option<String> {
    let parts: Vec<&str> =
        parts.iter().filter(|part| **part != WriteIn::Spelling).map(|part| part.words()).collect();
    let (last, others) = parts.split_last()?;
    Some(match others {
        [] => format!("Write in {last}."),
        _ => format!("Write in {} and {last}.", others.join(", ")),
    })
}
