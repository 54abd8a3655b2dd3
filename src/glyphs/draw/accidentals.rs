//! Accidentals. The baseline is the staff position they alter.
//!
//! Each is drawn by a function of its line weights, because chord symbols need the same shapes
//! a little darker.

use super::ink::{Inking, band, disc, flush_left, moved, slab, soft_polygon};
use super::spline::{smooth, toward};
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
    Inking::new()
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
    Inking::new()
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
///
/// The bowl rises from the upright, is broadest at its shoulder, and runs down to the foot.
pub(crate) fn flat(lines: Lines) -> BezPath {
    const FOOT: f64 = -0.70;
    const SHOULDER: f64 = 0.87;
    const CROWN: f64 = 0.53;
    let half = lines.thin / 2.0;
    let bowl = band(
        &[
            smooth(half, 0.30),
            toward(0.49, CROWN, 0.0),
            toward(SHOULDER, 0.12, -90.0),
            smooth(0.59, -0.35),
            // Touches the round foot of the upright, where that too slopes by 26 degrees.
            toward(half * 1.44, FOOT + half * 0.1, 206.0),
        ],
        &[
            smooth(half, 0.10),
            toward(0.395, CROWN - lines.broad * 0.66, 0.0),
            toward(SHOULDER - lines.broad, 0.06, -90.0),
            smooth(0.395, -0.32),
            toward(half, FOOT + lines.thin, 222.0),
        ],
    );
    Inking::new()
        .lay(slab(0.0, -0.3, lines.thin, 1.75, SOFT))
        .lay(slab(0.0, FOOT + half, lines.thin, 0.0, 0.0))
        .lay(disc(half, FOOT + half, half))
        .lay(bowl)
        .dry()
}

/// Two flats, the second tucked against the first.
pub(crate) fn double_flat(lines: Lines) -> BezPath {
    const STEP: f64 = 0.74;
    let one = flat(lines);
    Inking::new().lay(one.clone()).lay(moved(&one, STEP, 0.0)).dry()
}

/// The double sharp: two thin strokes that cross, with a square at each of their ends.
pub(crate) fn double_sharp(lines: Lines) -> BezPath {
    const REACH: f64 = 0.52;
    let inner = REACH - lines.broad * 0.92;
    let waist = lines.thin * 0.92;
    // Each quarter turn: out from a waist to a square end and back in to the next waist.
    let quarter = [
        (waist, 0.0),
        (inner + waist, inner),
        (REACH, inner),
        (REACH, REACH),
        (inner, REACH),
        (inner, inner + waist),
    ];
    let corners: Vec<(f64, f64)> = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)]
        .iter()
        .flat_map(|(sin, cos)| quarter.map(|(x, y)| (x * cos - y * sin, x * sin + y * cos)))
        .collect();
    soft_polygon(&corners, SOFT)
}

/// The staff's accidentals, leftmost point at x = 0.
pub(crate) fn on_staff(shape: fn(Lines) -> BezPath) -> BezPath {
    flush_left(&shape(ON_STAFF))
}
