//! Flags. x = 0 is the left side of the stem, y = 0 the end of a stem of normal length.

use super::ink::{contour, flipped};
use super::spline::{corner, smooth, toward, turn};
use kurbo::BezPath;

/// The flag of an eighth with its stem up: it leaves the stem broad, swings out and curls back.
pub(crate) fn flag_8th_up() -> BezPath {
    contour(&[
        corner(0.0, 0.0),
        turn(0.11, 0.0, 0.0, -82.0),
        smooth(0.28, -0.62),
        smooth(0.74, -1.28),
        toward(1.01, -2.08, -88.0),
        turn(0.74, -3.06, -112.0, 30.0),
        turn(0.66, -3.08, 180.0, 68.0),
        toward(0.84, -2.20, 92.0),
        smooth(0.56, -1.52),
        turn(0.0, -1.04, 172.0, 90.0),
    ])
}

/// The flag of an eighth with its stem down.
pub(crate) fn flag_8th_down() -> BezPath {
    flipped(&flag_8th_up())
}
