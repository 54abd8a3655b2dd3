//! The quarter, eighth and sixteenth rest, about the middle line.

use super::ink::{Ink, centred, contour, disc, flush_left};
use super::pen::stroke;
use super::spline::{corner, smooth, toward, turn};
use super::weight::HAIR;
use kurbo::BezPath;

/// The quarter rest: a broad slanting stroke between two thin ones, and a hook.
pub(crate) fn rest_quarter() -> BezPath {
    let shape = contour(&[
        turn(0.24, 1.50, 60.0, -50.0),
        corner(0.86, 0.66),
        smooth(0.62, 0.10),
        turn(0.96, -0.72, -54.0, 160.0),
        smooth(0.52, -0.76),
        smooth(0.40, -1.05),
        turn(0.66, -1.46, -45.0, 170.0),
        smooth(0.14, -1.14),
        smooth(0.16, -0.56),
        turn(0.56, -0.40, 0.0, 130.0),
        corner(0.06, 0.20),
        smooth(0.36, 0.80),
    ]);
    flush_left(&centred(&shape))
}

/// The eighth rest: a ball, a thin arc to the top of a slanting stem.
pub(crate) fn rest_8th() -> BezPath {
    flush_left(&hooked(1).dry())
}

/// The sixteenth rest: two balls, a space apart, on one longer stem.
pub(crate) fn rest_16th() -> BezPath {
    flush_left(&hooked(2).dry())
}

/// Balls one space below the other, the first in the third space, each with its arc to one
/// slanting stem that ends a space and a half below the last.
fn hooked(balls: i32) -> Ink {
    /// How far the stem goes left for each space that it goes down.
    const SLANT: f64 = 0.48 / 1.68;
    const TOP: (f64, f64) = (0.94, 0.68);
    let mut ink = Ink::new();
    for ball in 0..balls {
        let down = f64::from(ball);
        let (x, y) = (-SLANT * down, -down);
        let arc = stroke(&[
            // Leaves the ball along its underside and arrives along the stem.
            (toward(x + 0.28, y + 0.18 + HAIR / 2.0, 0.0), HAIR),
            (toward(x + TOP.0, y + TOP.1, 74.0), HAIR),
        ]);
        ink = ink.lay(disc(x + 0.28, y + 0.46, 0.28)).lay(arc);
    }
    let foot = -f64::from(balls);
    let foot_x = TOP.0 - SLANT * (TOP.1 - foot);
    ink.lay(stroke(&[(corner(TOP.0, TOP.1), HAIR), (corner(foot_x, foot), 0.17)]))
}
