//! The finished system.

use std::ops::Range;

use crate::engrave::mark::Engraved;
use crate::engrave::rules::Sp;

/// A finished system.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// The bars it holds, by index.
    pub bars: Range<usize>,
    /// The top of its ink.
    pub top: Sp,
    /// The bottom of its ink.
    pub bottom: Sp,
    /// From the middle line of the upper staff down to that of the lower.
    pub drop: Sp,
    /// The least white between it and a neighbour: more than any inside it, and more than lies
    /// between a numeral and the staff to which it belongs.
    pub apart: Sp,
    /// How far its spaces are stretched: 1.0 where all are ideal.
    pub force: f64,
    /// Its marks.
    pub marks: Vec<Engraved>,
}
