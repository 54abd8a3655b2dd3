//! Lines that are composed by rule over chords: a walking bass, a line of eighths.

mod choice;
mod contour;
mod ground;
mod join;
#[cfg(test)]
mod laws;
mod line;
mod path;
mod walking;

/// The seed of a line where none is given.
pub(crate) const USUAL_SEED: u64 = 1;

pub(crate) use ground::ChordGround;
pub(crate) use join::{BassJoins, BassNext};
pub(crate) use line::{LineNote, line};
pub(crate) use path::chance;
pub(crate) use walking::{BassLine, BassPlace, RANGE as BASS_RANGE, Weight, bass, walking};
