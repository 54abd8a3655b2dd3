//! What a teacher chose about how the music looks.

use crate::score::Counts;
use crate::theory::SymbolStyle;

/// What a teacher chose about how the music looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Look {
    /// How chord symbols are written.
    pub symbols: SymbolStyle,
    /// Where counts stand between the staves.
    pub counts: Counts,
}
