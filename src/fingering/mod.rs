//! Fingers for notes: the spans of the hand, the costs of a choice, and the choice.

mod costs;
mod dyads;
mod figure;
mod grips;
mod hand;
mod line;
mod marks;
mod passage;
mod position;
mod programme;
mod reach;
mod rules;
mod solve;
mod stretch;

pub use hand::{HandSize, Measure};
pub use line::{FingeringError, Struck};
pub use marks::FingeringMarks;
pub use reach::{Reach, reach};
pub use solve::{Fingering, Settings, fingers};
