//! Fingers for notes: the spans of the hand, the costs of a choice, and the choice.
//!
//! `line` cuts a line into moments; `figure` has the ways to finger a figure by itself, from
//! `position` (what lies under one hand), `passage` (the handbooks' scales and arpeggios), `solo`
//! (the least costly way through other single notes) and `programme` (the same through anything);
//! `known` remembers them. `dyads` makes dyads of one size alike, `join` says what it costs that two
//! figures meet, `chain` chooses for all figures of a line at once, alike for those that are alike,
//! and `solve` joins it all. `hand` has the spans, `rules` the costs of two fingers and of three,
//! `costs` those of a moment.

mod chain;
mod costs;
mod dyads;
mod figure;
mod grips;
mod hand;
mod join;
mod known;
mod line;
mod marks;
mod passage;
mod position;
mod programme;
mod reach;
mod rules;
mod solo;
mod solve;
mod stretch;

pub use hand::{HandSize, Measure};
pub use line::{FingeringError, HandStruck};
pub use marks::FingeringMarks;
pub use reach::{Reach, reach};
pub(crate) use rules::FINGERS;
pub use solve::{Fingering, HandSpans, fingers};
