//! Drill templates: what a teacher may write, what she is told when she may not, and laws of the
//! drills that come out.

mod laws;
mod mistakes;
mod random;
mod worked;

use quintfall::drill::{Choices, Template, realise};
use quintfall::recipe::FingeringMarks;
use quintfall::score::Score;
use quintfall::theory::Key;

/// A drill in a key, without fingers.
fn score(template: &Template, key: &str) -> Score {
    let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
    realise(template, key.parse::<Key>().expect("a key"), choices)
}
