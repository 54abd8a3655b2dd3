//! What can be heard of a lesson or a tune: strokes in time, by part.

mod performance;
pub mod synth;

pub use performance::{Mark, MarkKind, PULSES, Part, Performance, Pulses, Stroke, Tempo, Track};
