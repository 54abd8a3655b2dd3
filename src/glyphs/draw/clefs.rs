//! Clefs. The named pitch of each is on the baseline.

use super::ink::{Inking, disc, flush_left, scaled};
use super::pen::stroke;
use super::spline::{Node, smooth, toward};
use kurbo::BezPath;

/// Clefs inside a line are two thirds of the size.
const CHANGE: f64 = 2.0 / 3.0;

/// How much heavier a small clef is drawn than plain scaling would leave it.
const CHANGE_WEIGHT: f64 = 1.14;

/// The G clef: one stroke from the curl round the G line up to the apex, down the spine and
/// round into the ball.
pub(crate) fn g_clef() -> BezPath {
    flush_left(&g_shape(1.0))
}

/// The small G clef of a change inside a line.
pub(crate) fn g_clef_change() -> BezPath {
    flush_left(&scaled(&g_shape(CHANGE_WEIGHT), CHANGE))
}

/// The F clef, its line between the dots.
pub(crate) fn f_clef() -> BezPath {
    flush_left(&f_shape(1.0))
}

/// The small F clef of a change inside a line.
pub(crate) fn f_clef_change() -> BezPath {
    flush_left(&scaled(&f_shape(CHANGE_WEIGHT), CHANGE))
}

/// Knots of the G clef with nib widths, G line at y = 0, spine about x = 0.
fn g_shape(weight: f64) -> BezPath {
    let knots: &[(Node, f64)] = &[
        // The curl: its mouth faces the spine and opens on the G line.
        (smooth(0.10, -0.55), 0.11),
        (smooth(-0.36, -0.30), 0.18),
        (smooth(-0.40, 0.28), 0.24),
        (smooth(0.14, 0.70), 0.30),
        // The bowl, once round.
        (smooth(0.84, 0.28), 0.38),
        (smooth(0.88, -0.48), 0.36),
        (smooth(0.18, -1.04), 0.26),
        (smooth(-0.76, -0.78), 0.28),
        (toward(-1.24, 0.16, 92.0), 0.40),
        // Up across the spine to the loop.
        (smooth(-0.84, 1.34), 0.48),
        (smooth(0.02, 2.30), 0.42),
        (smooth(0.50, 3.13), 0.34),
        (smooth(0.60, 3.74), 0.28),
        (smooth(0.52, 4.18), 0.19),
        (toward(0.28, 4.40, 180.0), 0.13),
        (smooth(0.02, 4.14), 0.14),
        (smooth(-0.18, 3.20), 0.19),
        // The spine and the tail.
        (smooth(-0.04, 1.90), 0.18),
        (smooth(0.20, 0.20), 0.17),
        (smooth(0.40, -1.30), 0.17),
        (smooth(0.42, -1.92), 0.17),
        (smooth(0.30, -2.36), 0.17),
        (smooth(0.00, -2.52), 0.16),
        (smooth(-0.475, -2.375), 0.145),
        (toward(-0.675, -2.03, 90.0), 0.13),
    ];
    Inking::new().lay(stroke(&weighed(knots, weight))).lay(disc(-0.37, -2.03, 0.37)).dry()
}

/// Knots of the F clef with nib widths, F line at y = 0.
fn f_shape(weight: f64) -> BezPath {
    let knots: &[(Node, f64)] = &[
        (toward(-0.965, 0.02, 90.0), 0.13),
        (toward(-0.20, 0.97, 0.0), 0.22),
        (toward(0.70, -0.15, -88.0), 0.52),
        (smooth(0.34, -1.15), 0.40),
        (smooth(-0.45, -2.02), 0.20),
        (smooth(-1.25, -2.52), 0.09),
    ];
    Inking::new()
        .lay(stroke(&weighed(knots, weight)))
        .lay(disc(-0.66, 0.02, 0.37))
        .lay(disc(1.36, 0.5, 0.22))
        .lay(disc(1.36, -0.5, 0.22))
        .dry()
}

fn weighed(knots: &[(Node, f64)], weight: f64) -> Vec<(Node, f64)> {
    knots.iter().map(|&(node, nib)| (node, nib * weight)).collect()
}
