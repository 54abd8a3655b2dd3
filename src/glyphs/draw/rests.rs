//! The quarter, eighth and sixteenth rest, about the middle line.

use super::ink::{Inking, centred, contour, disc, flush_left};
use super::pen::stroke;
use super::spline::{corner, smooth, toward, turn};
use kurbo::BezPath;

/// The quarter rest: a broad slanting stroke between two thin ones, and a hook.
pub(crate) fn rest_quarter() -> BezPath {
    let shape = contour(&[
        turn(0.22, 1.50, 60.0, -48.0),
        corner(1.02, 0.58),
        smooth(0.74, 0.06),
        turn(1.12, -0.72, -54.0, 158.0),
        smooth(0.68, -0.74),
        smooth(0.56, -1.02),
        turn(0.82, -1.46, -48.0, 168.0),
        smooth(0.14, -1.16),
        smooth(0.12, -0.58),
        turn(0.54, -0.34, 0.0, 132.0),
        corner(0.0, 0.24),
        smooth(0.36, 0.82),
    ]);
    flush_left(&centred(&shape))
}

/// The eighth rest: a ball, an arc that swells on its way to the top of a slanting stem.
pub(crate) fn rest_8th() -> BezPath {
    flush_left(&hooked(1).dry())
}

/// The sixteenth rest: two balls, a space apart, on one longer stem.
pub(crate) fn rest_16th() -> BezPath {
    flush_left(&hooked(2).dry())
}

/// Balls one space below the other, the first in the third space, each with its arc to one
/// slanting stem that ends a space and a half below the last.
fn hooked(balls: i32) -> Inking {
    /// How far the stem goes left for each space that it goes down.
    const SLANT: f64 = 0.50 / 1.70;
    const TOP: (f64, f64) = (1.02, 0.70);
    const BALL: f64 = 0.29;
    let mut ink = Inking::new();
    for ball in 0..balls {
        let down = f64::from(ball);
        let (x, y) = (-SLANT * down, -down);
        let arc = stroke(&[
            // Grows out of the underside of the ball and runs into the tip of the stem.
            (toward(x + BALL - 0.04, y + 0.33, -38.0), 0.24),
            (toward(x + 0.60, y + 0.25, 8.0), 0.21),
            (toward(x + TOP.0 - 0.01, y + TOP.1, 66.0), 0.10),
        ]);
        ink = ink.lay(disc(x + BALL, y + 0.46, BALL)).lay(arc);
    }
    let foot = -f64::from(balls);
    let foot_x = TOP.0 - SLANT * (TOP.1 - foot);
    ink.lay(stroke(&[(corner(TOP.0, TOP.1), 0.12), (corner(foot_x, foot), 0.21)]))
}
