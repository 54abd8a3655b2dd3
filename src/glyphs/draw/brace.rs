//! The brace: 1 em tall from the baseline up, to be scaled both ways to the height it spans.

use super::ink::{Inking, flipped, flush_left, moved};
use super::pen::stroke;
use super::spline::smooth;
use kurbo::BezPath;
use std::f64::consts::PI;

/// The brace. At four times its size (a grand staff of 16 sp) it is 1.3 sp wide and its broadest
/// stroke is 0.5 sp.
pub(crate) fn brace() -> BezPath {
    let upper = stroke(&HEIGHTS.map(|y| (smooth(lean(y), y), nib(y))));
    let whole = Inking::new().lay(upper.clone()).lay(flipped(&upper)).dry();
    flush_left(&moved(&whole, 0.0, ARM))
}

/// Height of one of its two arms.
const ARM: f64 = 2.0;

/// Where the pen takes its bearings, from the point in the middle up to the end: close together
/// where it turns.
const HEIGHTS: [f64; 10] = [0.0, 0.06, 0.16, 0.34, 0.64, 1.0, 1.34, 1.64, 1.86, 1.994];

/// How far right of the point an arm has come at a height: away from the point at once, nearly
/// upright for most of its way, and over to the staff at its end. It never turns back.
fn lean(y: f64) -> f64 {
    let part = y / ARM;
    0.145 * (1.0 - libm::exp(-y / 0.15)) + 0.02 * part + 0.16 * libm::pow(part, 6.0)
}

/// The breadth of an arm at a height: fine at both ends, swelling to its middle.
fn nib(y: f64) -> f64 {
    0.014 + 0.112 * libm::pow(libm::sin(PI * (y / ARM)).max(0.0), 1.3)
}
