//! Accidentals. The baseline is the staff position they alter.
//!
//! Each is drawn by a function of its line weights, because chord symbols need the same shapes
//! a little darker.

use super::ink::{Ink, contour, flush_left, moved, slab, soft_polygon};
use super::pen::stroke;
use super::spline::{smooth, toward, turn};
use super::weight::{SOFT, UPRIGHT};
use kurbo::BezPath;

/// Line weights of an accidental, in sp.
#[derive(Clone, Copy)]
pub(crate) struct Lines {
    /// Uprights and the thin end of a bowl.
    pub(crate) thin: f64,
    /// Cross bars and the broad side of a bowl.
    pub(crate) broad: f64,
}

/// The weights on the staff.
pub(crate) const ON_STAFF: Lines = Lines { thin: UPRIGHT, broad: 0.31 };

/// The sharp, 2.8 sp tall and 1 sp wide.
pub(crate) fn sharp(lines: Lines) -> BezPath {
    const HALF_WIDTH: f64 = 0.5;
    const UPRIGHT_AT: f64 = 0.205;
    let upright = |x: f64, lift: f64| {
        let half = lines.thin / 2.0;
        slab(x - half, lift - 1.33, x + half, lift + 1.33, SOFT)
    };
    Ink::new()
        .lay(upright(-UPRIGHT_AT, -0.07))
        .lay(upright(UPRIGHT_AT, 0.07))
        .lay(slant(-HALF_WIDTH, HALF_WIDTH, 0.40, 0.13, lines.broad))
        .lay(slant(-HALF_WIDTH, HALF_WIDTH, -0.40, 0.13, lines.broad))
        .dry()
}

/// The natural, 2.8 sp tall and 0.7 sp wide.
pub(crate) fn natural(lines: Lines) -> BezPath {
    const HALF_WIDTH: f64 = 0.35;
    let (near, far) = (HALF_WIDTH - lines.thin, HALF_WIDTH);
    Ink::new()
        .lay(slab(-far, -0.60, -near, 1.40, SOFT))
        .lay(slab(near, -1.40, far, 0.60, SOFT))
        .lay(slant(-far, far, 0.44, 0.10, lines.broad * 0.96))
        .lay(slant(-far, far, -0.44, 0.10, lines.broad * 0.96))
        .dry()
}

/// A cross bar centred at height `y` that rises by `rise` on either side of its middle.
fn slant(x0: f64, x1: f64, y: f64, rise: f64, thickness: f64) -> BezPath {
    let half = thickness / 2.0;
    soft_polygon(
        &[
            (x0, y - rise - half),
            (x1, y + rise - half),
            (x1, y + rise + half),
            (x0, y - rise + half),
        ],
        SOFT,
    )
}

/// The flat: 1.75 sp above and 0.7 sp below its staff position.
pub(crate) fn flat(lines: Lines) -> BezPath {
    let half = lines.thin / 2.0;
    let upright = slab(0.0, -0.62, lines.thin, 1.75, SOFT);
    let bowl = stroke(&[
        (smooth(half + 0.02, 0.12), lines.thin * 0.9),
        (smooth(0.42, 0.42), lines.thin * 1.5),
        (toward(0.87 - lines.broad / 2.0, 0.16, -92.0), lines.broad),
        (smooth(0.46, -0.36), lines.thin * 1.5),
        (smooth(half, -0.70 + half), lines.thin),
    ]);
    Ink::new().lay(upright).lay(bowl).dry()
}

/// Two flats, the second tucked against the first.
pub(crate) fn double_flat(lines: Lines) -> BezPath {
    const STEP: f64 = 0.74;
    let one = flat(lines);
    Ink::new().lay(one.clone()).lay(moved(&one, STEP, 0.0)).dry()
}

/// The double sharp: a cross with square ends, 1 sp each way.
pub(crate) fn double_sharp(lines: Lines) -> BezPath {
    const REACH: f64 = 0.5;
    let inner = REACH - lines.broad;
    let waist = lines.thin * 1.1;
    let mut nodes = Vec::new();
    // Anticlockwise from the right-hand waist: out to a square end, back in to the next waist.
    for (quarter, (sin, cos)) in
        [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)].iter().enumerate()
    {
        let base = 90.0 * quarter as f64;
        let at = |x: f64, y: f64| (x * cos - y * sin, x * sin + y * cos);
        let (x, y) = at(waist, 0.0);
        nodes.push(toward(x, y, base + 90.0));
        let (x, y) = at(REACH, inner);
        nodes.push(turn(x, y, base + 28.0, base + 90.0));
        let (x, y) = at(REACH, REACH);
        nodes.push(turn(x, y, base + 90.0, base + 180.0));
        let (x, y) = at(inner, REACH);
        nodes.push(turn(x, y, base + 180.0, base + 242.0));
    }
    contour(&nodes)
}

/// The staff's accidentals, leftmost point at x = 0.
pub(crate) fn on_staff(shape: fn(Lines) -> BezPath) -> BezPath {
    flush_left(&shape(ON_STAFF))
}
