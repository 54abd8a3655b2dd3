//! The brace: 1 em tall from the baseline up, to be scaled both ways to the height it spans.

use super::ink::{Ink, flipped, flush_left, moved};
use super::pen::stroke;
use super::spline::{smooth, toward};
use kurbo::BezPath;

/// The brace. At four times its size (a grand staff of 16 sp) it is 1.3 sp wide and its broadest
/// stroke is 0.49 sp.
pub(crate) fn brace() -> BezPath {
    const MIDDLE: f64 = 2.0;
    let upper = stroke(&[
        (toward(0.0, 0.0, 18.0), 0.016),
        (smooth(0.135, 0.20), 0.058),
        (smooth(0.175, 0.52), 0.096),
        (smooth(0.148, 1.08), 0.122),
        (smooth(0.175, 1.62), 0.082),
        (toward(0.320, 1.99, 40.0), 0.014),
    ]);
    let whole = Ink::new().lay(upper.clone()).lay(flipped(&upper)).dry();
    flush_left(&moved(&whole, 0.0, MIDDLE))
}
