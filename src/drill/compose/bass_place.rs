//! Where a bass has notes, and what it is like.

use std::ops::RangeInclusive;

use super::join::BassJoins;
use crate::score::Ticks;

/// What a bass is like.
#[derive(Clone, Debug)]
pub(crate) struct BassLine {
    /// The notes that it has, in semitones above the tonic.
    pub(crate) range: RangeInclusive<i32>,
    /// Up to where it usually lies.
    pub(crate) usual_top: i32,
    /// What tells it from others over the same chords.
    pub(crate) seed: u64,
    /// Whether it walks: if not, it rests on roots and fifths.
    pub(crate) walks: bool,
    /// Whether a note may be struck twice running.
    pub(crate) repeats: bool,
    /// What it comes from and goes on to.
    pub(crate) joins: BassJoins,
}

/// A place of a bass, where a note is struck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct BassPlace {
    /// When.
    pub(crate) at: Ticks,
    /// When it ends.
    pub(crate) end: Ticks,
    /// Whether a bar begins there.
    pub(crate) is_one: bool,
    /// What may stand there.
    pub(crate) weight: Weight,
}

/// What may stand at a place of a bass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Weight {
    /// The root, or the bass in its place: a tune begins there.
    Foot,
    /// A tone of the chord.
    Tone,
    /// A tone of the chord, rather than a note of the scale.
    Strong,
    /// Any note that goes with the chord or leads to the next one.
    Weak,
}

impl Weight {
    /// Whether nothing but a tone of the chord may stand there.
    pub(super) fn is_of_chord(self) -> bool {
        matches!(self, Self::Foot | Self::Tone)
    }
}
