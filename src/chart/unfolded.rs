//! A tune as it is heard, once through: repeats, endings and sections that come again are played
//! out. Analysis, accompaniment and what a student plays over the tune all start from this.

use crate::score::{Metre, Ticks};
use crate::theory::Chord;

/// The changes of a tune in the order in which they are heard, without gaps.
#[derive(Clone, Debug, PartialEq)]
pub struct Unfolded {
    /// The metre of every bar.
    pub metre: Metre,
    /// How many bars are heard, without a pick-up before the first.
    pub bars: usize,
    /// The bars, counted from 0, where a section begins.
    pub sections: Vec<usize>,
    /// The changes.
    pub changes: Vec<HeldChord>,
    /// A chorus that another one follows, where it is not the same: without the way out.
    pub before_another: Option<Box<Unfolded>>,
}

/// A chord of a tune, as long as the harmony stays with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldChord {
    /// The chord that is written, by its place among all that are: one that is heard again has
    /// the same place.
    pub written: usize,
    /// When it begins, from the first beat of the first bar; before 0 in a pick-up.
    pub at: Ticks,
    /// How long it lasts: through bars that repeat it too.
    pub length: Ticks,
    /// The chord; none where no chord is played.
    pub chord: Option<Chord>,
}
