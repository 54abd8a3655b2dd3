//! From staff spaces to points: an engraved mark on its place on the page.

use kurbo::Point;

use crate::canvas::{Ink, Mark};
use crate::engrave;

/// An engraved mark on the page: its origin at `origin`, its staff space `space` points wide.
pub(crate) fn placed(engraved: engrave::Engraved, origin: Point, space: f64) -> Mark {
    Mark::Trace(engraved.trace.placed(origin, space), Ink::Black)
}
