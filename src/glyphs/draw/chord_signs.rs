//! Signs for chord symbols.
//!
//! They are drawn to stand beside capitals 0.66 em (2.64 sp at the same font size) tall, on the
//! same text baseline: the triangle and the accidentals sit on it, the ring, the plus and the
//! minus are centred on the middle of a capital, and the brackets enclose a line of text. Their
//! strokes match the thin and thick of a book-weight serif face.

use super::accidentals::{self, Lines};
use super::ink::{Inking, disc, flush_left, moved, scaled, slab, soft_polygon};
use super::pen::stroke;
use super::spline::{corner, smooth, toward};
use super::weight::SOFT;
use kurbo::BezPath;

/// Height of the capitals these signs stand beside, in sp.
pub(crate) const CAP_HEIGHT: f64 = 2.64;

const MIDDLE: f64 = CAP_HEIGHT / 2.0;
/// Strokes of the triangle, the plus and the minus.
const LINE: f64 = 0.34;
/// The ring stands raised, at some three quarters of the size: there it is as heavy as the
/// upright of a semibold capital.
const RING_LINE: f64 = 0.48;
const RING_RADIUS: f64 = 1.16;
const ACCIDENTAL: Lines = Lines { thin: 0.21, broad: 0.41 };

/// Diminished: a ring.
pub(crate) fn diminished() -> BezPath {
    flush_left(&ring())
}

/// Half-diminished: a ring with a stroke through it.
pub(crate) fn half_diminished() -> BezPath {
    const REACH: f64 = 1.26;
    const SLASH: f64 = 0.31;
    let slash =
        stroke(&[(corner(-REACH, MIDDLE - REACH), SLASH), (corner(REACH, MIDDLE + REACH), SLASH)]);
    flush_left(&Inking::new().lay(ring()).lay(slash).dry())
}

fn ring() -> BezPath {
    Inking::new()
        .lay(disc(0.0, MIDDLE, RING_RADIUS))
        .cut(disc(0.0, MIDDLE, RING_RADIUS - RING_LINE))
        .dry()
}

/// Augmented: a plus.
pub(crate) fn augmented() -> BezPath {
    const REACH: f64 = 0.85;
    let half = LINE / 2.0;
    flush_left(
        &Inking::new()
            .lay(slab(-REACH, MIDDLE - half, REACH, MIDDLE + half, SOFT))
            .lay(slab(-half, MIDDLE - REACH, half, MIDDLE + REACH, SOFT))
            .dry(),
    )
}

/// Major seventh: a triangle.
pub(crate) fn major_seventh() -> BezPath {
    const HALF: f64 = 1.28;
    const HEIGHT: f64 = 2.34;
    // Insets that leave a border of LINE along the base and both flanks.
    let flank = libm::hypot(HALF, HEIGHT) / HEIGHT * LINE;
    let (base, peak) = (LINE, HEIGHT - flank * HEIGHT / HALF);
    let inner_half = HALF - flank - base * HALF / HEIGHT;
    let outer = soft_polygon(&[(-HALF, 0.0), (HALF, 0.0), (0.0, HEIGHT)], 0.07);
    let inner = soft_polygon(&[(-inner_half, base), (inner_half, base), (0.0, peak)], SOFT);
    flush_left(&Inking::new().lay(outer).cut(inner).dry())
}

/// Minor: a dash.
pub(crate) fn minor() -> BezPath {
    slab(0.0, MIDDLE - LINE / 2.0, 1.5, MIDDLE + LINE / 2.0, SOFT)
}

/// Tall round bracket, opening.
pub(crate) fn parens_left_tall() -> BezPath {
    const REACH: f64 = MIDDLE + 0.60;
    flush_left(&stroke(&[
        (smooth(0.62, MIDDLE + REACH), 0.13),
        (toward(0.0, MIDDLE, -90.0), 0.28),
        (smooth(0.62, MIDDLE - REACH), 0.13),
    ]))
}

/// Tall round bracket, closing.
pub(crate) fn parens_right_tall() -> BezPath {
    flush_left(&(kurbo::Affine::FLIP_X * parens_left_tall()))
}

/// An accidental beside a capital: enlarged, darker, and set on the baseline at `lift`.
fn beside_capital(shape: fn(Lines) -> BezPath, scale: f64, lift: f64) -> BezPath {
    let lines = Lines { thin: ACCIDENTAL.thin / scale, broad: ACCIDENTAL.broad / scale };
    flush_left(&moved(&scaled(&shape(lines), scale), 0.0, lift))
}

/// Flat of a chord symbol.
pub(crate) fn flat() -> BezPath {
    beside_capital(accidentals::flat, 1.16, 0.80)
}

/// Natural of a chord symbol.
pub(crate) fn natural() -> BezPath {
    beside_capital(accidentals::natural, 1.0, MIDDLE)
}

/// Sharp of a chord symbol.
pub(crate) fn sharp() -> BezPath {
    beside_capital(accidentals::sharp, 1.0, MIDDLE)
}

/// Double sharp of a chord symbol.
pub(crate) fn double_sharp() -> BezPath {
    beside_capital(accidentals::double_sharp, 1.35, MIDDLE)
}

/// Double flat of a chord symbol.
pub(crate) fn double_flat() -> BezPath {
    beside_capital(accidentals::double_flat, 1.16, 0.80)
}

/// The lines of an accidental beside a bold capital, whose upright is 0.56 sp broad and whose
/// bowl 0.53 (measured on the bold cut of the text family).
const HEADING: Lines = Lines { thin: 0.27, broad: 0.54 };

/// An accidental beside a bold capital: heavier, and broader so that its counters stay open.
fn beside_bold(shape: fn(Lines) -> BezPath, [across, up]: [f64; 2], lift: f64) -> BezPath {
    // Uprights are as broad, and bars as high, as their lines say after the shape has grown.
    let lines = Lines { thin: HEADING.thin / across, broad: HEADING.broad / across };
    let grown = kurbo::Affine::scale_non_uniform(across, up) * shape(lines);
    flush_left(&moved(&grown, 0.0, lift))
}

/// Flat beside a bold capital: it stands on the line and rises a little above the capital.
pub(crate) fn heading_flat() -> BezPath {
    beside_bold(accidentals::flat, [1.42, 1.2], 0.80)
}

/// Natural beside a bold capital.
pub(crate) fn heading_natural() -> BezPath {
    beside_bold(accidentals::natural, [1.5, 1.1], MIDDLE)
}

/// Sharp beside a bold capital.
pub(crate) fn heading_sharp() -> BezPath {
    beside_bold(accidentals::sharp, [1.5, 1.1], MIDDLE)
}
