//! The quarter and the eighth rest, centred on the middle line.

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
    let arc = stroke(&[
        // Leaves the ball along its underside and arrives along the stem.
        (toward(0.28, 0.18 + HAIR / 2.0, 0.0), HAIR),
        (toward(0.94, 0.68, 74.0), HAIR),
    ]);
    let stem = stroke(&[(corner(0.94, 0.68), HAIR), (corner(0.46, -1.0), 0.17)]);
    flush_left(&Ink::new().lay(disc(0.28, 0.46, 0.28)).lay(arc).lay(stem).dry())
}
