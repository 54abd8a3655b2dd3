//! Note values as templates write them.

use std::ops::Range;

use toml::Spanned;

use crate::score::{QUARTER, Ticks};
use crate::source::fields::{Mistakes, one_of};

/// The words for note values and their lengths. `triplet` is the third of a beat, and
/// `triplet-quarter` two thirds of one.
pub(crate) const VALUES: [(&str, Ticks); 11] = [
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

/// Splits a word that may have a note value of its own, as in `5:quarter`; `None` where that is
/// no note value, which is then among the mistakes.
pub(crate) fn split<'a>(
    word: &'a str,
    at: &Range<usize>,
    mistakes: &mut Mistakes<'_>,
) -> Option<(&'a str, Option<Ticks>)> {
    let Some((rest, name)) = word.split_once(':') else { return Some((word, None)) };
    let found = Spanned::new(at.clone(), name);
    let length = one_of("note value", &found, &VALUES, mistakes)?;
    Some((rest, Some(length)))
}
