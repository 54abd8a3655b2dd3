//! Flags. x = 0 is the left side of the stem, y = 0 the end of a stem of normal length.

use super::ink::{Inking, contour, flipped, slab};
use super::spline::{corner, smooth, turn};
use kurbo::{Affine, BezPath};

/// The flag of an eighth with its stem up: it leaves the stem broad, swings out and curls back.
pub(crate) fn flag_8th_up() -> BezPath {
    contour(&[
        corner(0.0, 0.0),
        turn(0.11, 0.0, 0.0, -88.0),
        smooth(0.22, -0.52),
        smooth(0.62, -1.06),
        smooth(1.03, -1.70),
        smooth(1.07, -2.36),
        turn(0.76, -3.07, -122.0, -122.0),
        corner(0.71, -3.10),
        turn(0.69, -3.04, 62.0, 62.0),
        smooth(0.90, -2.40),
        smooth(0.82, -1.88),
        smooth(0.46, -1.36),
        turn(0.0, -0.98, 152.0, 90.0),
    ])
}

/// The flag of an eighth with its stem down.
pub(crate) fn flag_8th_down() -> BezPath {
    flipped(&flag_8th_up())
}

/// The flags of a sixteenth with its stem up: the nearer one as an eighth's, but shorter; the one
/// at the tip leaves off before it would run into it.
pub(crate) fn flag_16th_up() -> BezPath {
    let tip = contour(&[
        corner(0.0, 0.0),
        turn(0.11, 0.0, 0.0, -88.0),
        smooth(0.22, -0.42),
        smooth(0.60, -0.84),
        smooth(0.97, -1.32),
        turn(1.02, -1.78, -98.0, -98.0),
        corner(0.99, -1.82),
        turn(0.955, -1.78, 84.0, 84.0),
        smooth(0.80, -1.36),
        smooth(0.44, -0.99),
        turn(0.0, -0.70, 156.0, 90.0),
    ]);
    let near = Affine::translate((0.0, -0.95)) * Affine::scale_non_uniform(1.0, 0.74);
    Inking::new().lay(tip).lay(near * flag_8th_up()).lay(slab(0.0, -1.2, 0.11, 0.0, 0.0)).dry()
}

/// The flags of a sixteenth with its stem down.
pub(crate) fn flag_16th_down() -> BezPath {
    flipped(&flag_16th_up())
}
