//! The pen: a nib whose width eases from knot to knot, swept along a spline.

use super::ink::QUARTER;
use super::spline::{Node, through};
use kurbo::{
    BezPath, CubicBez, CurveFitSample, ParamCurve, ParamCurveDeriv, ParamCurveFit, Point, Vec2,
    fit_to_bezpath_opt,
};
use std::ops::Range;

/// How far the fitted edge may stray from the swept edge, in sp: a quarter of a font unit.
const FIT: f64 = 0.001;

/// The outline of one pen stroke with round ends.
///
/// Each knot is a node of the path with the width of the nib there, in sp. The nib eases between
/// knots without overshooting, so a stroke is nowhere thicker than its thickest knot.
pub(crate) fn stroke(knots: &[(Node, f64)]) -> BezPath {
    let nodes: Vec<Node> = knots.iter().map(|knot| knot.0).collect();
    let path = through(&nodes);
    let nib = Nib::new(&path, knots.iter().map(|knot| knot.1).collect());
    let mut outline = edge(&path, &nib, 0.5);
    let back = edge(&path, &nib, -0.5).reverse_subpaths();
    let (head, tail) = (path[0], path[path.len() - 1]);
    round_end(&mut outline, tail.p3, first_point(&back));
    outline.extend(back.elements().iter().skip(1).copied());
    let start = first_point(&outline);
    round_end(&mut outline, head.p0, start);
    outline.close_path();
    outline
}

/// One edge of a stroke, fitted from knot to knot.
fn edge(path: &[CubicBez], nib: &Nib, side: f64) -> BezPath {
    let mut edge = BezPath::new();
    for (piece, &path) in path.iter().enumerate() {
        let fitted = fit_to_bezpath_opt(&Edge { path, nib, piece, side }, FIT);
        // Only the first piece needs its start; the others go on from where the last one ended.
        let skip = usize::from(piece > 0);
        edge.extend(fitted.elements().iter().skip(skip).copied());
    }
    edge
}

/// Closes the end of a stroke with half a disc about `centre`, turning clockwise to `to`.
fn round_end(outline: &mut BezPath, centre: Point, to: Point) {
    let radius = centre - to;
    let ahead = Vec2::new(radius.y, -radius.x);
    let tip = centre + ahead;
    let from = centre + radius;
    outline.curve_to(from + ahead * QUARTER, tip + radius * QUARTER, tip);
    outline.curve_to(tip - radius * QUARTER, to + ahead * QUARTER, to);
}

fn first_point(path: &BezPath) -> Point {
    match path.elements().first() {
        Some(kurbo::PathEl::MoveTo(point)) => *point,
        _ => Point::ORIGIN,
    }
}

/// The width of the nib along the path: a monotone cubic through the knots' widths.
struct Nib {
    widths: Vec<f64>,
    /// Change of width per knot-to-knot step, at each knot.
    slopes: Vec<f64>,
    spans: Vec<f64>,
}

impl Nib {
    fn new(path: &[CubicBez], widths: Vec<f64>) -> Self {
        let spans: Vec<f64> = path
            .iter()
            .map(|piece| {
                let chord = piece.p3 - piece.p0;
                libm::hypot(chord.x, chord.y)
            })
            .collect();
        let rises: Vec<f64> =
            spans.iter().zip(widths.windows(2)).map(|(span, w)| (w[1] - w[0]) / span).collect();
        let slopes = (0..widths.len())
            .map(|knot| {
                if knot == 0 || knot == rises.len() || rises[knot - 1] * rises[knot] <= 0.0 {
                    return 0.0;
                }
                // Weighted harmonic mean of the neighbours keeps the curve monotone.
                // Source: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984).
                let (before, after) = (spans[knot - 1], spans[knot]);
                let (a, b) = (2.0 * after + before, after + 2.0 * before);
                (a + b) / (a / rises[knot - 1] + b / rises[knot])
            })
            .collect();
        Self { widths, slopes, spans }
    }

    /// Width and its change per unit of `t` on the piece with this number.
    fn at(&self, piece: usize, t: f64) -> (f64, f64) {
        let (w0, w1) = (self.widths[piece], self.widths[piece + 1]);
        let span = self.spans[piece];
        let (s0, s1) = (self.slopes[piece] * span, self.slopes[piece + 1] * span);
        let (a, b) = (2.0 * (w0 - w1) + s0 + s1, 3.0 * (w1 - w0) - 2.0 * s0 - s1);
        (((a * t + b) * t + s0) * t + w0, (3.0 * a * t + 2.0 * b) * t + s0)
    }
}

/// The edge of one piece of a stroke: the path moved sideways by `side` times the nib.
struct Edge<'a> {
    path: CubicBez,
    nib: &'a Nib,
    piece: usize,
    side: f64,
}

impl ParamCurveFit for Edge<'_> {
    fn sample_pt_tangent(&self, t: f64, _sign: f64) -> CurveFitSample {
        let (p, tangent) = self.sample_pt_deriv(t);
        CurveFitSample { p, tangent }
    }

    fn sample_pt_deriv(&self, t: f64) -> (Point, Vec2) {
        let velocity = self.path.deriv().eval(t).to_vec2();
        let bend = self.path.deriv().deriv().eval(t).to_vec2();
        let speed = libm::hypot(velocity.x, velocity.y);
        let normal = Vec2::new(-velocity.y, velocity.x) / speed;
        let turning = velocity.cross(bend) / (speed * speed);
        let (width, growth) = self.nib.at(self.piece, t);
        let point = self.path.eval(t) + normal * (self.side * width);
        let along = velocity * (1.0 - self.side * width * turning / speed);
        (point, along + normal * (self.side * growth))
    }

    fn break_cusp(&self, _range: Range<f64>) -> Option<f64> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::glyphs::draw::spline::corner;
    use kurbo::Shape;

    #[test]
    fn a_straight_stroke_is_a_slot() {
        let slot = stroke(&[(corner(0.0, 0.0), 0.2), (corner(2.0, 0.0), 0.2)]);
        let expected = 2.0 * 0.2 + std::f64::consts::PI * 0.01;
        assert!((slot.area().abs() - expected).abs() < 1e-3, "{}", slot.area());
        let bounds = slot.bounding_box();
        assert!((bounds.x0 + 0.1).abs() < 1e-3 && (bounds.x1 - 2.1).abs() < 1e-3);
    }

    #[test]
    fn the_nib_never_overshoots_its_knots() {
        let path = through(&[corner(0.0, 0.0), corner(1.0, 0.0), corner(1.5, 0.0)]);
        let nib = Nib::new(&path, vec![0.1, 0.4, 0.4]);
        for step in 0..=20 {
            let t = f64::from(step) / 20.0;
            assert!((0.1..=0.4 + 1e-12).contains(&nib.at(0, t).0));
            assert!((nib.at(1, t).0 - 0.4).abs() < 1e-12);
        }
    }
}
