//! Lines that are composed by rule over chords: a walking bass, a line of eighths.

mod bass_cost;
mod bass_place;
mod choice;
mod contour;
mod ground;
mod join;
#[cfg(test)]
mod laws;
mod line;
mod path;
mod standing;
mod walking;

/// The seed of a line where none is given.
pub(crate) const USUAL_SEED: u64 = 1;

pub(crate) use bass_place::{BassLine, BassPlace, Weight};
pub(crate) use ground::ChordGround;
pub(crate) use join::{BassClose, BassJoins, BassNext};
pub(crate) use line::{LineNote, line};
pub(crate) use path::chance;
pub(crate) use walking::{RANGE as BASS_RANGE, bass, walking};
