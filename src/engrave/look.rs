//! What a teacher chose about how the music looks.

use super::blank::Blanks;
use super::watch::Watched;
use crate::score::Counts;
use crate::theory::{ChordStyle, NumeralStyle};

/// What a teacher chose about how the music looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// How chord symbols are written.
    pub symbols: ChordStyle,
    /// What of the numerals is printed.
    pub numerals: NumeralStyle,
    /// Where counts stand between the staves.
    pub counts: Counts,
    /// The bars that a bracket stands over.
    pub watch: Watched,
    /// What is left out, to be written in.
    pub blanks: Blanks,
}
