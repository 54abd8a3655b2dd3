//! Note heads and dots. The baseline is the staff position of the note.

use super::ink::{Inking, disc, flush_left, leaning_ellipse, slab, tilted_ellipse};
use kurbo::BezPath;

/// Width of the black and the half head, in sp.
pub(crate) const HEAD_WIDTH: f64 = 1.25;
/// Height of every head: a space and a little of the lines on either side.
pub(crate) const HEAD_HEIGHT: f64 = 1.03;
/// How far the long axis of a head is raised, in degrees.
const HEAD_TILT: f64 = 25.0;
/// Width of the whole note.
const WHOLE_WIDTH: f64 = 1.68;
/// Radius of the augmentation dot.
const DOT: f64 = 0.20;

/// The black head about the origin, for signs that contain one.
pub(crate) fn black() -> BezPath {
    tilted_ellipse(HEAD_WIDTH, HEAD_HEIGHT, HEAD_TILT)
}

/// The filled head.
pub(crate) fn notehead_black() -> BezPath {
    flush_left(&black())
}

/// The half-note head: the black head with a slit on a steeper diagonal.
pub(crate) fn notehead_half() -> BezPath {
    flush_left(&Inking::new().lay(black()).cut(leaning_ellipse(0.0, 0.0, 0.535, 0.20, 33.0)).dry())
}

/// The whole note: a level oval whose counter leans to the left.
pub(crate) fn notehead_whole() -> BezPath {
    let oval = leaning_ellipse(0.0, 0.0, WHOLE_WIDTH / 2.0, HEAD_HEIGHT / 2.0, 0.0);
    let counter = leaning_ellipse(0.0, 0.0, 0.425, 0.30, 118.0);
    flush_left(&Inking::new().lay(oval).cut(counter).dry())
}

/// The dot that makes a note half as long again.
pub(crate) fn augmentation_dot() -> BezPath {
    disc(DOT, 0.0, DOT)
}

/// Both dots of a repeat, in the second and third space of a staff whose bottom line is y = 0.
pub(crate) fn repeat_dots() -> BezPath {
    const RADIUS: f64 = 0.225;
    Inking::new().lay(disc(RADIUS, 1.5, RADIUS)).lay(disc(RADIUS, 2.5, RADIUS)).dry()
}

/// The whole rest: hangs from its line.
pub(crate) fn rest_whole() -> BezPath {
    slab(0.0, -REST_HEIGHT, REST_WIDTH, 0.0, super::weight::SOFT)
}

/// The half rest: sits on its line.
pub(crate) fn rest_half() -> BezPath {
    slab(0.0, 0.0, REST_WIDTH, REST_HEIGHT, super::weight::SOFT)
}

const REST_WIDTH: f64 = 1.2;
const REST_HEIGHT: f64 = 0.52;
