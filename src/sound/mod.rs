//! What can be heard of a lesson or a tune: strokes in time, by part.
//!
//! A `piece` is what is on paper, once through: repeats and endings in the `order` in which they
//! are heard, ties joined, the harmony under it. `round` puts pieces one after another, to an
//! `ending`, and says when each begins and how fast it goes; `perform` has them played, with a count-in
//! and a rhythm section (`band`) that plays from the harmony; `pace` and `swing` say when each stroke
//! comes. `midi` writes a performance down, and `synth` makes it audible.

mod band;
mod ending;
mod error;
mod midi;
mod options;
mod order;
mod pace;
mod perform;
mod performance;
mod piece;
mod round;
mod scales;
mod stretch;
mod swing;
pub mod synth;

pub use error::{CannotPlay, MOST_MINUTES};
pub use midi::midi;
pub use options::{ChoiceWord, Clicks, Groove, TrackOptions, UnknownWord};
pub use perform::{AccompaniedTune, play_drill, play_tune};
pub use performance::{
    MarkKind, PULSES, Part, PartTrack, Performance, PlayedStroke, PlayerMark, Pulses, Tempo,
};
pub use swing::{NoSwing, RATIOS, Swing};
