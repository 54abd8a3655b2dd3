//! Flags. x = 0 is the left side of the stem, y = 0 the end of a stem of normal length.

use super::ink::{Ink, contour, flipped, slab};
use super::spline::{corner, smooth, turn};
use kurbo::{Affine, BezPath};

/// The flag of an eighth with its stem up: it leaves the stem broad, swings out and curls back.
pub(crate) fn flag_8th_up() -> BezPath {
    contour(&[
        corner(0.0, 0.0),
        turn(0.11, 0.0, 0.0, -86.0),
        smooth(0.30, -0.68),
        smooth(0.74, -1.28),
        smooth(1.00, -2.06),
        turn(0.79, -3.06, -110.0, -110.0),
        corner(0.755, -3.10),
        turn(0.715, -3.07, 69.0, 69.0),
        smooth(0.81, -2.26),
        smooth(0.50, -1.50),
        turn(0.0, -1.04, 170.0, 90.0),
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
        turn(0.11, 0.0, 0.0, -86.0),
        smooth(0.30, -0.50),
        smooth(0.76, -0.98),
        turn(1.00, -1.62, -84.0, -84.0),
        corner(0.985, -1.80),
        turn(0.945, -1.79, 92.0, 92.0),
        smooth(0.52, -1.04),
        turn(0.0, -0.74, 168.0, 90.0),
    ]);
    let near = Affine::translate((0.0, -0.95)) * Affine::scale_non_uniform(1.0, 0.74);
    Ink::new().lay(tip).lay(near * flag_8th_up()).lay(slab(0.0, -1.2, 0.11, 0.0, 0.0)).dry()
}

/// The flags of a sixteenth with its stem down.
pub(crate) fn flag_16th_down() -> BezPath {
    flipped(&flag_16th_up())
}
