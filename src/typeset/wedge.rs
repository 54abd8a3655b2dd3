//! The wedges beside a count: which hand strikes there, and whether it pushes.

use kurbo::Point;

use crate::typeset::trace::Trace;

/// The measures of a wedge, in any unit of length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wedge {
    /// Its base.
    pub width: f64,
    /// From its base to its tip.
    pub height: f64,
    /// How far the tail of a pushed stroke reaches right of the wedge's middle.
    pub tail: f64,
    /// How thick the tail is.
    pub thickness: f64,
}

impl Wedge {
    /// The same in another unit of length, of which `unit` make one of the old.
    pub fn scaled(self, unit: f64) -> Self {
        Self {
            width: self.width * unit,
            height: self.height * unit,
            tail: self.tail * unit,
            thickness: self.thickness * unit,
        }
    }

    /// The wedge, the middle of its base at a point, pointing up (`sign` 1.0) or down (-1.0).
    pub fn body(self, base: Point, sign: f64) -> Trace {
        Trace::Wedge { base, width: self.width, rise: sign * self.height }
    }

    /// Its tail, which leaves it at a third of its height, so that it keeps clear of the syllable.
    pub fn tail(self, base: Point, sign: f64) -> Trace {
        let y = base.y + sign * self.height / 3.0;
        let (from, to) = (Point::new(base.x, y), Point::new(base.x + self.tail, y));
        Trace::Line { from, to, width: self.thickness }
    }
}
