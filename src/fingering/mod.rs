//! Fingers for notes: the spans of the hand, the costs of a choice, and the choice.
//!
//! `line` cuts a line into moments; `figure` has the ways to finger a figure by itself, from
//! `position` (what lies under one hand), `passage` (the handbooks' scales and arpeggios) and
//! `programme` (the least costly way through anything else); `dyads` makes dyads of one size alike,
//! `chain` lets figures yield where they meet and like figures yield alike, and `solve` joins it
//! all. `hand` has the spans, `rules` the costs of two fingers and of three, `costs` those of a
//! moment.

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
pub use line::{FingeringError, Struck};
pub use marks::FingeringMarks;
pub use reach::{Reach, reach};
pub use solve::{Fingering, Settings, fingers};
