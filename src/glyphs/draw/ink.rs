//! Ink on the page: shapes laid over and cut out of one another, merged into clean contours.

use super::spline::{Node, through};
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape, Vec2};
use linesweeper::{BinaryOp, FillRule, binary_op};

/// Handle length that makes a cubic a quarter circle of radius 1.
pub(crate) const QUARTER: f64 = 0.552_284_75;

/// The area below which a contour is a leftover of two edges that all but coincide, in square sp.
const SPECK: f64 = 1e-3;

/// Shapes being gathered into one sign, in sp.
#[derive(Clone, Debug, Default)]
pub(crate) struct Inking {
    laid: Vec<BezPath>,
    cut: Vec<BezPath>,
}

impl Inking {
    /// A clean sheet.
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// Lays a shape down.
    pub(crate) fn lay(mut self, shape: BezPath) -> Self {
        self.laid.push(shape);
        self
    }

    /// Cuts a shape out of everything laid down.
    pub(crate) fn cut(mut self, shape: BezPath) -> Self {
        self.cut.push(shape);
        self
    }

    /// The outline of what is left: contours that neither cross nor overlap, outer ones and
    /// counters wound against each other.
    ///
    /// Panics if a shape is open or not finite, which only a mistake in a drawing can cause.
    pub(crate) fn dry(self) -> BezPath {
        let merged = self
            .laid
            .iter()
            .fold(BezPath::new(), |sum, shape| combine(&sum, shape, BinaryOp::Union));
        self.cut.iter().fold(merged, |rest, shape| combine(&rest, shape, BinaryOp::Difference))
    }
}

fn combine(a: &BezPath, b: &BezPath, op: BinaryOp) -> BezPath {
    match binary_op(&snapped(a), &snapped(b), FillRule::NonZero, op) {
        Ok(contours) => contours
            .contours()
            .filter(|contour| contour.path.area().abs() > SPECK)
            .flat_map(|contour| contour.path.clone())
            .collect(),
        Err(error) => panic!("a shape of the face is faulty: {error:?}"),
    }
}

/// The path on a grid far finer than the font's, each subpath ending exactly where it began.
///
/// Ends that differ by rounding alone would otherwise count as open.
fn snapped(path: &BezPath) -> BezPath {
    const GRID: f64 = (1u32 << 20) as f64;
    let snap =
        |point: Point| Point::new((point.x * GRID).round() / GRID, (point.y * GRID).round() / GRID);
    let mut snapped = BezPath::new();
    let (mut start, mut here) = (Point::ORIGIN, Point::ORIGIN);
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(to) => {
                start = snap(to);
                here = start;
                snapped.move_to(start);
            }
            PathEl::ClosePath => {
                if here != start {
                    snapped.line_to(start);
                }
                snapped.close_path();
            }
            PathEl::LineTo(to) => {
                let to = snap(to);
                if to != here {
                    snapped.line_to(to);
                }
                here = to;
            }
            PathEl::QuadTo(control, to) => {
                snapped.quad_to(snap(control), snap(to));
                here = snap(to);
            }
            PathEl::CurveTo(out, into, to) => {
                snapped.curve_to(snap(out), snap(into), snap(to));
                here = snap(to);
            }
        }
    }
    snapped
}

/// A disc.
pub(crate) fn disc(x: f64, y: f64, radius: f64) -> BezPath {
    leaning_ellipse(x, y, radius, radius, 0.0)
}

/// The ellipse about the origin that just fills a box `width` by `height` with its long axis
/// raised by `tilt` degrees.
///
/// The tilt must be less than 45 degrees, and the box wider than tall if there is a tilt.
pub(crate) fn tilted_ellipse(width: f64, height: f64, tilt: f64) -> BezPath {
    let (half_w2, half_h2) = (width * width / 4.0, height * height / 4.0);
    let sum = half_w2 + half_h2;
    let difference = (half_w2 - half_h2) / libm::cos(2.0 * tilt.to_radians());
    let long = libm::sqrt((sum + difference) / 2.0);
    let short = libm::sqrt((sum - difference) / 2.0);
    leaning_ellipse(0.0, 0.0, long, short, tilt)
}

/// An ellipse with given half axes, the first raised by `tilt` degrees.
pub(crate) fn leaning_ellipse(x: f64, y: f64, half_a: f64, half_b: f64, tilt: f64) -> BezPath {
    let angle = tilt.to_radians();
    let turn = Affine::new([
        libm::cos(angle),
        libm::sin(angle),
        -libm::sin(angle),
        libm::cos(angle),
        x,
        y,
    ]);
    turn * Affine::scale_non_uniform(half_a, half_b) * unit_circle()
}

/// The circle of radius 1 about the origin as four cubics.
fn unit_circle() -> BezPath {
    let mut circle = BezPath::new();
    circle.move_to((1.0, 0.0));
    circle.curve_to((1.0, QUARTER), (QUARTER, 1.0), (0.0, 1.0));
    circle.curve_to((-QUARTER, 1.0), (-1.0, QUARTER), (-1.0, 0.0));
    circle.curve_to((-1.0, -QUARTER), (-QUARTER, -1.0), (0.0, -1.0));
    circle.curve_to((QUARTER, -1.0), (1.0, -QUARTER), (1.0, 0.0));
    circle.close_path();
    circle
}

/// A closed shape through nodes; the first must be a corner or have a heading.
pub(crate) fn contour(nodes: &[Node]) -> BezPath {
    let mut round: Vec<Node> = nodes.to_vec();
    round.push(nodes[0]);
    let curve = through(&round);
    let mut path = BezPath::new();
    path.move_to(curve[0].p0);
    for piece in curve {
        path.curve_to(piece.p1, piece.p2, piece.p3);
    }
    path.close_path();
    path
}

/// A band between two curves that run side by side, its ends cut straight.
pub(crate) fn band(outer: &[Node], inner: &[Node]) -> BezPath {
    let (there, back) = (through(outer), through(inner));
    let mut path = BezPath::new();
    path.move_to(there[0].p0);
    for piece in &there {
        path.curve_to(piece.p1, piece.p2, piece.p3);
    }
    path.line_to(back[back.len() - 1].p3);
    for piece in back.iter().rev() {
        path.curve_to(piece.p2, piece.p1, piece.p0);
    }
    path.close_path();
    path
}

/// An upright slab with corners rounded by `radius`.
pub(crate) fn slab(x0: f64, y0: f64, x1: f64, y1: f64, radius: f64) -> BezPath {
    soft_polygon(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)], radius)
}

/// A straight-sided shape with corners rounded by `radius` (or less where a side is too short).
pub(crate) fn soft_polygon(corners: &[(f64, f64)], radius: f64) -> BezPath {
    let points: Vec<Point> = corners.iter().map(|&corner| corner.into()).collect();
    let count = points.len();
    let mut path = BezPath::new();
    for i in 0..count {
        let (before, here, after) =
            (points[(i + count - 1) % count], points[i], points[(i + 1) % count]);
        let (back, on) = (unit(before - here), unit(after - here));
        // Distance from the corner at which an arc of this radius touches both sides.
        let half_cos2 = (1.0 + back.dot(on)) / 2.0;
        let reach = radius * libm::sqrt(half_cos2 / (1.0 - half_cos2));
        let reach = reach.min(0.5 * length(before - here)).min(0.5 * length(after - here));
        let (enter, leave) = (here + back * reach, here + on * reach);
        if i == 0 {
            path.move_to(enter);
        } else {
            path.line_to(enter);
        }
        path.curve_to(enter + (here - enter) * QUARTER, leave + (here - leave) * QUARTER, leave);
    }
    path.close_path();
    path
}

/// The shape moved by `(x, y)`.
pub(crate) fn moved(shape: &BezPath, x: f64, y: f64) -> BezPath {
    Affine::translate(Vec2::new(x, y)) * shape.clone()
}

/// The shape scaled about the origin.
pub(crate) fn scaled(shape: &BezPath, factor: f64) -> BezPath {
    Affine::scale(factor) * shape.clone()
}

/// The shape upside down about the baseline.
pub(crate) fn flipped(shape: &BezPath) -> BezPath {
    Affine::FLIP_Y * shape.clone()
}

/// The shape moved sideways so that its leftmost point is at x = 0.
pub(crate) fn flush_left(shape: &BezPath) -> BezPath {
    moved(shape, -bounds(shape).x0, 0.0)
}

/// The shape moved up or down so that its lowest point is at y = 0.
pub(crate) fn settled(shape: &BezPath) -> BezPath {
    moved(shape, 0.0, -bounds(shape).y0)
}

/// The shape moved up or down so that its middle is at y = 0.
pub(crate) fn centred(shape: &BezPath) -> BezPath {
    moved(shape, 0.0, -bounds(shape).center().y)
}

/// The box round the ink.
pub(crate) fn bounds(shape: &BezPath) -> Rect {
    shape.bounding_box()
}

fn length(v: Vec2) -> f64 {
    libm::hypot(v.x, v.y)
}

fn unit(v: Vec2) -> Vec2 {
    v / length(v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tilted_ellipse_fills_its_box() {
        let ink = bounds(&tilted_ellipse(1.25, 1.0, 25.0));
        assert!((ink.width() - 1.25).abs() < 2e-3, "{ink:?}");
        assert!((ink.height() - 1.0).abs() < 2e-3, "{ink:?}");
    }

    #[test]
    fn overlapping_discs_dry_to_one_contour() {
        let dried = Inking::new().lay(disc(0.0, 0.0, 1.0)).lay(disc(1.0, 0.0, 1.0)).dry();
        assert_eq!(dried.subpaths_count(), 1);
        assert!(dried.area().abs() < 1.9 * std::f64::consts::PI);
    }

    #[test]
    fn a_cut_disc_leaves_a_counter_wound_the_other_way() {
        let ring = Inking::new().lay(disc(0.0, 0.0, 1.0)).cut(disc(0.0, 0.0, 0.5)).dry();
        assert_eq!(ring.subpaths_count(), 2);
        assert!((ring.area().abs() - 0.75 * std::f64::consts::PI).abs() < 0.01);
    }

    trait Subpaths {
        fn subpaths_count(&self) -> usize;
    }

    impl Subpaths for BezPath {
        fn subpaths_count(&self) -> usize {
            self.elements().iter().filter(|el| matches!(el, kurbo::PathEl::MoveTo(_))).count()
        }
    }
}
