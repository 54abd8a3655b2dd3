//! Figures of one family: bold ones for time signatures, sturdier and lighter ones for fingers,
//! leaning ones for tuplets.
//!
//! A figure is drawn 2 sp tall about y = 0 with x from 0 to its width, and then scaled to what its
//! family asks. Stress is upright: broad at the sides of a bowl, thin at its crown and foot; open
//! bowls end in balls.

use super::ink::{
    Inking, band, bounds, contour, disc, flush_left, leaning_ellipse, moved, scaled, slab,
};
use super::spline::{corner, smooth, toward, turn};
use super::weight::SOFT;
use kurbo::{Affine, BezPath};

/// What tells one set of figures from another.
#[derive(Clone, Copy)]
struct DigitStyle {
    /// Width of the widest figures.
    width: f64,
    /// Thin strokes.
    thin: f64,
    /// Broad strokes.
    broad: f64,
    /// Radius of the balls.
    ball: f64,
}

/// Time-signature figures: dark enough to hold their own between staff lines.
const TIME: DigitStyle = DigitStyle { width: 1.52, thin: 0.17, broad: 0.50, ball: 0.235 };

/// Height of a time-signature figure: a shade under two spaces, so that white is left on both
/// sides of the middle line between one figure and the other.
const TIME_HEIGHT: f64 = 1.76;

/// Fingering figures, before they are scaled down: less contrast, so that the thin strokes last.
const FINGER: DigitStyle = DigitStyle { width: 1.34, thin: 0.24, broad: 0.42, ball: 0.225 };

/// Height of a fingering figure.
const FINGER_HEIGHT: f64 = 1.3;

/// Tuplet figures, before they are scaled down: narrower and darker than those for fingers, so
/// that neither is taken for the other.
const TUPLET: DigitStyle = DigitStyle { width: 1.24, thin: 0.20, broad: 0.46, ball: 0.225 };

/// Height of a tuplet figure.
const TUPLET_HEIGHT: f64 = 1.4;

/// How far a tuplet figure leans to the right for each space of height.
const LEAN: f64 = 0.24;

/// A time-signature figure, a shade under 2 sp tall and centred on the baseline.
pub(crate) fn time(digit: u8) -> BezPath {
    let drawn = if digit == 4 { to_height(&open_four(TIME)) } else { figure(digit, TIME) };
    flush_left(&(Affine::scale_non_uniform(0.95, TIME_HEIGHT / 2.0) * drawn))
}

/// A fingering figure, 1.3 sp tall and sitting on the baseline.
pub(crate) fn fingering(digit: u8) -> BezPath {
    let scale = FINGER_HEIGHT / 2.0;
    flush_left(&moved(&scaled(&figure(digit, FINGER), scale), 0.0, scale))
}

/// A tuplet figure, 1.4 sp tall, leaning, sitting on the baseline.
pub(crate) fn tuplet(digit: u8) -> BezPath {
    let scale = TUPLET_HEIGHT / 2.0;
    let lean = Affine::new([1.0, 0.0, LEAN, 1.0, 0.0, 0.0]);
    flush_left(&moved(&(lean * scaled(&figure(digit, TUPLET), scale)), 0.0, scale))
}

fn figure(digit: u8, style: DigitStyle) -> BezPath {
    let drawn = match digit {
        0 => zero(style),
        1 => one(style),
        2 => two(style),
        3 => three(style),
        4 => four(style),
        5 => five(style),
        6 => six(style),
        7 => seven(style),
        8 => eight(style),
        _ => nine(style),
    };
    to_height(&drawn)
}

/// Bowls of strokes end a hair's breadth short of or past the line; this settles them on it.
fn to_height(drawn: &BezPath) -> BezPath {
    let ink = bounds(drawn);
    let stretch = 2.0 / ink.height();
    Affine::new([1.0, 0.0, 0.0, stretch, 0.0, -ink.center().y * stretch]) * drawn.clone()
}

fn zero(s: DigitStyle) -> BezPath {
    let x = s.width / 2.0;
    Inking::new()
        .lay(leaning_ellipse(x, 0.0, x, 1.0, 0.0))
        .cut(leaning_ellipse(x, 0.0, x - s.broad, 1.0 - s.thin, 0.0))
        .dry()
}

fn one(s: DigitStyle) -> BezPath {
    let (left, right) = (0.38, 0.38 + s.broad);
    let flag = contour(&[
        turn(0.0, 0.47, 90.0, 22.0),
        turn(left + 0.06, 1.0, 70.0, 0.0),
        corner(right - 0.05, 1.0),
        corner(right - 0.05, 0.5),
        corner(left, 0.52),
        turn(0.03, 0.30, 205.0, 100.0),
    ]);
    let foot = 0.17;
    Inking::new()
        .lay(slab(left, -1.0, right, 1.0, SOFT))
        .lay(flag)
        .lay(slab(left - foot * 1.6, -1.0, right + foot * 1.6, -1.0 + s.thin, SOFT))
        .dry()
}

fn two(s: DigitStyle) -> BezPath {
    let w = s.width * 0.98;
    let (left, right, crown) = (0.04, w - 0.05, 0.66);
    let neck = band(
        &[
            toward(left, 0.46, 90.0),
            toward(crown, 1.0, 0.0),
            toward(right, 0.44, -90.0),
            smooth(0.86, -0.24),
            toward(0.24, -0.78, 228.0),
        ],
        &[
            toward(left + s.thin, 0.46, 90.0),
            toward(crown - 0.04, 1.0 - s.thin, 0.0),
            toward(right - s.broad, 0.46, -90.0),
            smooth(0.58, -0.22),
            toward(0.0, -0.84, 228.0),
        ],
    );
    let foot = contour(&[
        turn(0.0, -1.0, 180.0, 90.0),
        turn(0.0, -0.84, 90.0, 50.0),
        toward(0.42, -0.56, 0.0),
        toward(0.92, -0.66, -8.0),
        turn(w - 0.11, -0.40, 80.0, 0.0),
        turn(w, -0.40, 0.0, -90.0),
        toward(w - 0.42, -1.0, 180.0),
        smooth(0.50, -0.86),
        turn(0.12, -1.0, 220.0, 180.0),
    ]);
    Inking::new().lay(neck).lay(disc(s.ball + left, 0.46, s.ball)).lay(foot).dry()
}

fn three(s: DigitStyle) -> BezPath {
    let w = s.width * 0.95;
    let (upper_right, lower_right) = (w - 0.10, w);
    let (crown, waist, joint) = (0.60, 0.40, 0.07);
    let half = s.thin / 2.0;
    let upper = band(
        &[
            toward(0.05, 0.54, 90.0),
            toward(crown, 1.0, 0.0),
            toward(upper_right, 0.54, -90.0),
            toward(waist, joint - half, 180.0),
        ],
        &[
            toward(0.05 + s.thin, 0.54, 90.0),
            toward(crown - 0.02, 1.0 - s.thin, 0.0),
            toward(upper_right - s.broad * 0.9, 0.57, -90.0),
            toward(waist, joint + half, 180.0),
        ],
    );
    let lower = band(
        &[
            toward(waist, joint + half, 0.0),
            toward(lower_right, -0.46, -90.0),
            toward(crown, -1.0, 180.0),
            toward(0.0, -0.54, 90.0),
        ],
        &[
            toward(waist, joint - half, 0.0),
            toward(lower_right - s.broad, -0.48, -90.0),
            toward(crown - 0.04, -1.0 + s.thin, 180.0),
            toward(s.thin, -0.54, 90.0),
        ],
    );
    Inking::new()
        .lay(upper)
        .lay(lower)
        .lay(disc(waist, joint, half))
        .lay(disc(s.ball + 0.05, 0.54, s.ball))
        .lay(disc(s.ball, -0.54, s.ball))
        .dry()
}

fn four(s: DigitStyle) -> BezPath {
    let w = s.width;
    let (right, left) = (w - 0.16, w - 0.16 - s.broad);
    let bar = -0.46;
    let sail = contour(&[
        corner(0.0, bar - s.thin / 2.0),
        corner(0.0, bar + s.thin / 2.0),
        turn(left + 0.02, 1.0, 72.0, 0.0),
        corner(right, 1.0),
        corner(right, bar - s.thin / 2.0),
    ]);
    let hole = contour(&[
        corner(s.thin * 1.25, bar + s.thin / 2.0),
        corner(left, bar + s.thin / 2.0),
        turn(left, 0.46, 90.0, -105.0),
    ]);
    Inking::new()
        .lay(sail)
        .cut(hole)
        .lay(slab(left, -1.0, right, 0.9, SOFT))
        .lay(slab(0.0, bar - s.thin / 2.0, w, bar + s.thin / 2.0, SOFT))
        .lay(slab(left - 0.16, -1.0, right + 0.16, -1.0 + s.thin, SOFT))
        .dry()
}

/// A four whose stem starts under its slanting stroke: a closed one over another would look like
/// one post.
fn open_four(s: DigitStyle) -> BezPath {
    let w = s.width;
    let (right, left) = (w - 0.20, w - 0.20 - s.broad);
    let bar = -0.42;
    let half = s.thin / 2.0;
    let slant = contour(&[
        corner(0.0, bar + half * 0.6),
        toward(0.30, 0.26, 52.0),
        turn(0.58, 1.0, 76.0, 0.0),
        corner(1.06, 1.0),
        toward(0.68, 0.36, 233.0),
        turn(0.18, bar + half, 228.0, 180.0),
        corner(0.0, bar + half),
    ]);
    let stem = contour(&[
        corner(left, bar),
        turn(left + 0.10, 0.02, 90.0, 44.0),
        turn(right, 0.42, 44.0, -90.0),
        corner(right, -0.9),
        corner(left, -0.9),
    ]);
    Inking::new()
        .lay(slant)
        .lay(slab(0.0, bar - half, w, bar + half, SOFT))
        .lay(stem)
        .lay(slab(left - 0.17, -1.0, right + 0.17, -1.0 + s.thin, SOFT))
        .dry()
}

fn five(s: DigitStyle) -> BezPath {
    let w = s.width * 0.97;
    let left = 0.15;
    let (top, crown) = (0.28, 0.62);
    let flag = contour(&[
        turn(left, 1.0, 90.0, -6.0),
        toward(0.66, 0.96, 0.0),
        turn(w - 0.10, 1.0, 10.0, -95.0),
        toward(0.78, 0.56, 180.0),
        turn(left, 0.62, 172.0, 90.0),
    ]);
    let spine = slab(left, -0.02, left + s.thin, 0.98, 0.0);
    let bowl = band(
        &[
            toward(left, -0.02, 55.0),
            toward(0.70, top, 0.0),
            toward(w, -0.34, -90.0),
            toward(crown, -1.0, 180.0),
            toward(0.0, -0.54, 90.0),
        ],
        &[
            toward(left + s.thin * 0.7, -0.08, 55.0),
            toward(0.64, top - s.thin, 0.0),
            toward(w - s.broad, -0.37, -90.0),
            toward(crown - 0.04, -1.0 + s.thin, 180.0),
            toward(s.thin, -0.54, 90.0),
        ],
    );
    Inking::new().lay(flag).lay(spine).lay(bowl).lay(disc(s.ball, -0.54, s.ball)).dry()
}

fn six(s: DigitStyle) -> BezPath {
    let w = s.width * 0.98;
    let (right, crown, foot) = (w - 0.07, 0.84, w / 2.0 + 0.02);
    let (shoulder, bowl_x) = (0.24, w / 2.0 + 0.08);
    let back = band(
        &[
            toward(right, 0.56, 90.0),
            toward(crown, 1.0, 180.0),
            toward(0.0, -0.04, -90.0),
            toward(foot, -1.0, 0.0),
        ],
        &[
            toward(right - s.thin, 0.56, 90.0),
            toward(crown + 0.04, 1.0 - s.thin, 180.0),
            toward(s.broad, -0.10, -90.0),
            toward(foot, -1.0 + s.thin, 0.0),
        ],
    );
    let bowl = band(
        &[
            toward(foot, -1.0, 0.0),
            toward(w, -0.38, 90.0),
            toward(bowl_x, shoulder, 180.0),
            toward(s.broad * 0.55, 0.0, 215.0),
        ],
        &[
            toward(foot, -1.0 + s.thin, 0.0),
            toward(w - s.broad * 0.94, -0.40, 90.0),
            toward(bowl_x - 0.08, shoulder - s.thin, 180.0),
            toward(s.broad * 0.55, -0.22, 235.0),
        ],
    );
    Inking::new().lay(back).lay(bowl).lay(disc(right - s.ball, 0.56, s.ball)).dry()
}

fn seven(s: DigitStyle) -> BezPath {
    let w = s.width * 0.96;
    let roof = contour(&[
        corner(0.0, 0.22),
        corner(0.0, 1.0),
        turn(0.11, 1.0, 0.0, -75.0),
        toward(0.40, 0.93, 0.0),
        toward(0.90, 0.82, 0.0),
        turn(w - 0.11, 1.0, 75.0, 0.0),
        corner(w, 1.0),
        turn(w, 0.78, -90.0, 236.0),
        toward(w - 0.16, 0.52, 236.0),
        toward(0.92, 0.40, 180.0),
        toward(0.40, 0.55, 180.0),
        turn(0.11, 0.22, -85.0, 180.0),
    ]);
    let leg = band(
        &[corner(w, 0.78), smooth(w - 0.28, 0.22), toward(w - 0.50, -1.0, -90.0)],
        &[
            corner(w - 0.10, 0.62),
            smooth(w - 0.66, 0.04),
            toward(w - 0.50 - s.broad * 1.1, -1.0, -90.0),
        ],
    );
    Inking::new().lay(roof).lay(leg).dry()
}

fn eight(s: DigitStyle) -> BezPath {
    let x = s.width / 2.0;
    let (high, low) = (0.50, -0.46);
    let (high_half, low_half) = (0.50, 0.54);
    let (high_x, low_x) = (x - 0.09, x);
    let wall = s.broad * 0.80;
    Inking::new()
        .lay(leaning_ellipse(x, high, high_x, high_half, 0.0))
        .lay(leaning_ellipse(x, low, low_x, low_half, 0.0))
        .cut(leaning_ellipse(x, high, high_x - wall, high_half - s.thin, 0.0))
        .cut(leaning_ellipse(x, low, low_x - wall, low_half - s.thin, 0.0))
        .dry()
}

fn nine(s: DigitStyle) -> BezPath {
    let six = six(s);
    Affine::new([-1.0, 0.0, 0.0, -1.0, 0.0, 0.0]) * six
}
