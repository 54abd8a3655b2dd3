//! Articulations and the fermata: signs above sit on the baseline, signs below hang from it.

use super::ink::{Inking, band, disc, flipped, flush_left, settled, slab, soft_polygon};
use super::spline::toward;
use super::weight::SOFT;
use kurbo::BezPath;

/// Accent: a wedge open to the left.
pub(crate) fn accent_above() -> BezPath {
    const WIDTH: f64 = 1.3;
    const HEIGHT: f64 = 0.92;
    const ARM: f64 = 0.17;
    let wedge = soft_polygon(
        &[
            (0.0, 0.0),
            (WIDTH, HEIGHT / 2.0 - ARM / 2.0),
            (WIDTH, HEIGHT / 2.0 + ARM / 2.0),
            (0.0, HEIGHT),
            (0.0, HEIGHT - ARM),
            (WIDTH - 0.34, HEIGHT / 2.0),
            (0.0, ARM),
        ],
        SOFT,
    );
    flush_left(&settled(&wedge))
}

/// Staccato: a dot.
pub(crate) fn staccato_above() -> BezPath {
    const RADIUS: f64 = 0.2;
    disc(RADIUS, RADIUS, RADIUS)
}

/// Tenuto: a level line as wide as a head.
pub(crate) fn tenuto_above() -> BezPath {
    slab(0.0, 0.0, 1.25, 0.18, 0.06)
}

/// Fermata: an arch, thin at its feet and broad at its crown, over a dot.
pub(crate) fn fermata_above() -> BezPath {
    const HALF: f64 = 1.2;
    const CROWN: f64 = 1.34;
    const FOOT: f64 = 0.12;
    let arch = band(
        &[
            toward(0.0, FOOT / 2.0, 90.0),
            toward(HALF, CROWN, 0.0),
            toward(2.0 * HALF, FOOT / 2.0, -90.0),
        ],
        &[
            toward(FOOT, FOOT / 2.0, 88.0),
            toward(HALF, CROWN - 0.36, 0.0),
            toward(2.0 * HALF - FOOT, FOOT / 2.0, -88.0),
        ],
    );
    let foot = FOOT / 2.0;
    let arch = Inking::new()
        .lay(arch)
        .lay(disc(foot, foot, foot))
        .lay(disc(2.0 * HALF - foot, foot, foot))
        .dry();
    Inking::new().lay(arch).lay(disc(HALF, 0.24, 0.24)).dry()
}

/// The sign turned over so that it hangs from the baseline.
pub(crate) fn below(above: BezPath) -> BezPath {
    flipped(&above)
}
