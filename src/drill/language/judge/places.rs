//! Where the fields of a passage stand in the text of its drill.

use std::ops::Range;

use super::form::FormPlaces;

/// Where the fields of a passage stand.
pub(super) struct Places {
    pub(super) whole: Range<usize>,
    pub(super) figures: Vec<Range<usize>>,
    pub(super) voicings: Vec<Range<usize>>,
    pub(super) comping: Range<usize>,
    /// The figures of a line of the other hand, if it has one.
    pub(super) lines: Vec<Range<usize>>,
    pub(super) form: FormPlaces,
}
