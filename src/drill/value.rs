//! Note values as templates write them.

use crate::score::{QUARTER, Ticks};

/// The words for note values and their lengths. `triplet` is the third of a beat, and
/// `triplet-quarter` two thirds of one.
pub(super) const VALUES: [(&str, Ticks); 11] = [
    ("sixteenth", QUARTER / 4),
    ("triplet", QUARTER / 3),
    ("eighth", QUARTER / 2),
    ("triplet-quarter", 2 * QUARTER / 3),
    ("dotted-eighth", 3 * QUARTER / 4),
    ("quarter", QUARTER),
    ("dotted-quarter", 3 * QUARTER / 2),
    ("half", 2 * QUARTER),
    ("dotted-half", 3 * QUARTER),
    ("whole", 4 * QUARTER),
    ("dotted-whole", 6 * QUARTER),
];

/// The length of a note value.
pub(super) fn value(word: &str) -> Option<Ticks> {
    VALUES.iter().find(|(name, _)| *name == word).map(|(_, ticks)| *ticks)
}

/// Every word for a note value.
pub(super) fn words() -> Vec<&'static str> {
    VALUES.iter().map(|(name, _)| *name).collect()
}
