//! Where stems, and neighbours in a column of accidentals, take hold of a sign.
//!
//! Anchors are measured on the outline, so they cannot drift from it.

use super::Sign;
use kurbo::{BezPath, ParamCurve, Point, Rect};

/// A place on a sign where another mark takes hold, with its SMuFL meaning.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Anchor {
    /// Bottom right corner of an up-stem's rectangle, from the origin of the head.
    StemUpSE,
    /// Top left corner of a down-stem's rectangle, from the origin of the head.
    StemDownNW,
    /// On a flag: where the top left corner of an up-stem must be to meet it.
    StemUpNW,
    /// On a flag: where the bottom left corner of a down-stem must be to meet it.
    StemDownSW,
    /// Inner corner of the empty rectangle at the top right of the box.
    CutOutNE,
    /// Inner corner of the empty rectangle at the bottom right of the box.
    CutOutSE,
    /// Inner corner of the empty rectangle at the bottom left of the box.
    CutOutSW,
    /// Inner corner of the empty rectangle at the top left of the box.
    CutOutNW,
}

impl Anchor {
    /// Every anchor.
    pub const ALL: [Self; 8] = [
        Self::StemUpSE,
        Self::StemDownNW,
        Self::StemUpNW,
        Self::StemDownSW,
        Self::CutOutNE,
        Self::CutOutSE,
        Self::CutOutSW,
        Self::CutOutNW,
    ];

    /// The key of this anchor in SMuFL metadata.
    pub const fn smufl_name(self) -> &'static str {
        match self {
            Self::StemUpSE => "stemUpSE",
            Self::StemDownNW => "stemDownNW",
            Self::StemUpNW => "stemUpNW",
            Self::StemDownSW => "stemDownSW",
            Self::CutOutNE => "cutOutNE",
            Self::CutOutSE => "cutOutSE",
            Self::CutOutSW => "cutOutSW",
            Self::CutOutNW => "cutOutNW",
        }
    }
}

/// Height above the middle of a head at which a stem takes hold (common practice, no source).
pub(crate) const STEM_JOINT: f64 = 0.16;

/// The least width and height of a cut-out worth telling of, in sp.
const LEAST_CUT_OUT: f64 = 0.1;

/// The anchor of a sign with this outline and box, if it has one.
pub(crate) fn find(sign: Sign, anchor: Anchor, outline: &BezPath, ink: Rect) -> Option<Point> {
    let is_head = matches!(sign, Sign::NoteheadBlack | Sign::NoteheadHalf);
    match anchor {
        Anchor::StemUpSE if is_head => Some(Point::new(ink.x1, STEM_JOINT)),
        Anchor::StemDownNW if is_head => Some(Point::new(ink.x0, -STEM_JOINT)),
        Anchor::StemUpNW if matches!(sign, Sign::Flag8thUp | Sign::Flag16thUp) => {
            Some(Point::new(ink.x0, ink.y1))
        }
        Anchor::StemDownSW if matches!(sign, Sign::Flag8thDown | Sign::Flag16thDown) => {
            Some(Point::new(ink.x0, ink.y0))
        }
        Anchor::CutOutNE if is_accidental(sign) => cut_out(outline, ink, 1.0, 1.0),
        Anchor::CutOutSE if is_accidental(sign) => cut_out(outline, ink, 1.0, -1.0),
        Anchor::CutOutSW if is_accidental(sign) => cut_out(outline, ink, -1.0, -1.0),
        Anchor::CutOutNW if is_accidental(sign) => cut_out(outline, ink, -1.0, 1.0),
        _ => None,
    }
}

fn is_accidental(sign: Sign) -> bool {
    matches!(
        sign,
        Sign::AccidentalFlat
            | Sign::AccidentalNatural
            | Sign::AccidentalSharp
            | Sign::AccidentalDoubleFlat
    )
}

/// Inner corner of the largest empty rectangle in the corner of the box that lies toward
/// (`east`, `north`), each 1 or -1; `None` if there is no room worth having.
fn cut_out(outline: &BezPath, ink: Rect, east: f64, north: f64) -> Option<Point> {
    const STEPS: u32 = 24;
    let corner = Point::new(
        if east > 0.0 { ink.x1 } else { ink.x0 },
        if north > 0.0 { ink.y1 } else { ink.y0 },
    );
    // Ink as depths into the box from that corner.
    let mut depths: Vec<(f64, f64)> = outline
        .segments()
        .flat_map(|segment| {
            (0..=STEPS).map(move |step| segment.eval(f64::from(step) / f64::from(STEPS)))
        })
        .map(|point| ((corner.x - point.x) * east, (corner.y - point.y) * north))
        .collect();
    depths.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Sweeping inward, the rectangle can be as tall as the shallowest ink passed so far.
    let mut best = (0.0, 0.0);
    let mut height = f64::INFINITY;
    for (across, down) in depths {
        if height.is_finite() && across * height > best.0 * best.1 {
            best = (across, height);
        }
        height = height.min(down);
    }
    let (width, height) = best;
    (width >= LEAST_CUT_OUT && height >= LEAST_CUT_OUT)
        .then(|| Point::new(corner.x - width * east, corner.y - height * north))
}
