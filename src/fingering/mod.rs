//! Fingers for notes: the spans of the hand, the costs of a choice, and the choice.

mod hand;
mod position;
mod rules;
mod size;

pub use position::one_position;
pub use size::HandSize;
