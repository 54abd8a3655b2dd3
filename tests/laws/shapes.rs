//! The true outline of a mark, as polygons, and how near two of them come.

use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape as _};
use quintfall::engrave::{Engraved, MarkRole};
use quintfall::glyphs::MusicFace;
use quintfall::typeset::{self, Trace};

/// How far a polygon may stray from its curve, in staff spaces: 0.01 mm on paper.
const TOLERANCE: f64 = 0.006;

/// A mark's ink.
pub(crate) struct Shape {
    pub(crate) role: MarkRole,
    /// Marks of one group belong together and may touch: a chord symbol, a count.
    pub(crate) group: usize,
    pub(crate) bounds: Rect,
    rings: Vec<Vec<Point>>,
}

impl Shape {
    pub(crate) fn new(mark: &Engraved, group: usize) -> Self {
        let rings = rings(&path(mark));
        let points = rings.iter().flatten();
        let bounds = points
            .map(|point| Rect::from_points(*point, *point))
            .reduce(|all, point| all.union(point))
            .unwrap_or(Rect::ZERO);
        Self { role: mark.role, group, bounds, rings }
    }

    /// How far apart two boxes are; 0 where they meet.
    pub(crate) fn box_distance(&self, other: &Self) -> f64 {
        apart(self.bounds, other.bounds)
    }

    /// How much white is between two inks; 0 where they touch.
    pub(crate) fn distance(&self, other: &Self) -> f64 {
        if self.holds(other.rings[0][0]) || other.holds(self.rings[0][0]) {
            return 0.0;
        }
        let mut least = f64::INFINITY;
        for (a, b) in self.edges() {
            // Edges whose boxes lie further apart than that cannot come nearer.
            let edge = Rect::from_points(a, b);
            if apart(edge, other.bounds) >= least {
                continue;
            }
            for (c, d) in other.edges() {
                if apart(edge, Rect::from_points(c, d)) >= least {
                    continue;
                }
                least = least.min(segment_distance(a, b, c, d));
                if least == 0.0 {
                    return 0.0;
                }
            }
        }
        least
    }

    fn edges(&self) -> impl Iterator<Item = (Point, Point)> {
        self.rings.iter().flat_map(|ring| {
            let closing = ring.iter().cycle().skip(1);
            ring.iter().copied().zip(closing.copied())
        })
    }

    /// Whether a point is inked, by the nonzero rule.
    fn holds(&self, point: Point) -> bool {
        let mut winding = 0;
        for (a, b) in self.edges() {
            let side = (b - a).cross(point - a);
            if a.y <= point.y && b.y > point.y && side > 0.0 {
                winding += 1;
            } else if b.y <= point.y && a.y > point.y && side < 0.0 {
                winding -= 1;
            }
        }
        winding != 0
    }
}

/// How far apart two boxes are; 0 where they meet.
fn apart(a: Rect, b: Rect) -> f64 {
    let across = (a.x0 - b.x1).max(b.x0 - a.x1).max(0.0);
    let up = (a.y0 - b.y1).max(b.y0 - a.y1).max(0.0);
    // Most boxes overlap one way, and the root is dear.
    if across == 0.0 || up == 0.0 { across + up } else { across.hypot(up) }
}

fn path(mark: &Engraved) -> BezPath {
    match &mark.trace {
        Trace::Sign { sign, at, size } => {
            let place = Affine::translate(at.to_vec2()) * Affine::scale(*size / 4.0);
            place * MusicFace::get().outline(*sign).clone()
        }
        Trace::Text { text, face, at, size } => {
            let mut all = BezPath::new();
            let mut x = 0;
            for glyph in typeset::shape(*face, text).glyphs() {
                let em = |thousandths: i32| f64::from(thousandths) / 1000.0 * size;
                let origin = *at + kurbo::Vec2::new(em(x + glyph.dx), em(glyph.dy));
                let place = Affine::translate(origin.to_vec2()) * Affine::scale(*size);
                all.extend(place * typeset::outline(*face, glyph.gid).clone());
                x += glyph.advance;
            }
            all
        }
        Trace::Line { .. } => mark.bounds().to_path(TOLERANCE),
        Trace::Slab { .. } | Trace::Wedge { .. } | Trace::Crescent { .. } | Trace::Fill(_) => {
            mark.trace.filled().into_owned()
        }
        Trace::Stroke { .. } => unreachable!("the engraver strokes nothing"),
    }
}

fn rings(path: &BezPath) -> Vec<Vec<Point>> {
    let mut rings: Vec<Vec<Point>> = Vec::new();
    kurbo::flatten(path, TOLERANCE, |element| match element {
        PathEl::MoveTo(point) => rings.push(vec![point]),
        PathEl::LineTo(point) => rings.last_mut().expect("a path begins with a move").push(point),
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => unreachable!("flattened"),
        PathEl::ClosePath => {}
    });
    rings.retain(|ring| ring.len() > 1);
    rings
}

fn segment_distance(a: Point, b: Point, c: Point, d: Point) -> f64 {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let apart = |one: f64, two: f64| one * two > 0.0;
    let parallel = (b - a).cross(d - c) == 0.0;
    if !parallel && !apart(side(a, b, c), side(a, b, d)) && !apart(side(c, d, a), side(c, d, b)) {
        return 0.0;
    }
    let ends = [(a, c, d), (b, c, d), (c, a, b), (d, a, b)];
    ends.into_iter().map(|(p, q, r)| point_distance(p, q, r)).fold(f64::INFINITY, f64::min)
}

fn point_distance(p: Point, a: Point, b: Point) -> f64 {
    let along = b - a;
    let length = along.hypot2();
    let t = if length == 0.0 { 0.0 } else { ((p - a).dot(along) / length).clamp(0.0, 1.0) };
    p.distance(a + along * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use quintfall::glyphs::Sign;

    fn bar(x0: f64, x1: f64, y: f64) -> Shape {
        let line = Engraved::line(MarkRole::Stem, Point::new(x0, y), Point::new(x1, y), 0.1);
        Shape::new(&line, 0)
    }

    #[test]
    fn white_between_bars_is_measured_from_edge_to_edge() {
        assert!((bar(0.0, 1.0, 0.0).distance(&bar(0.0, 1.0, 1.0)) - 0.9).abs() < 1e-9);
        assert!((bar(0.0, 1.0, 0.0).distance(&bar(1.3, 2.0, 0.0)) - 0.3).abs() < 1e-9);
        assert_eq!(bar(0.0, 1.0, 0.0).distance(&bar(0.5, 2.0, 0.05)), 0.0);
    }

    #[test]
    fn ink_inside_ink_touches_but_ink_inside_a_hole_does_not() {
        let head = Shape::new(&Engraved::sign(MarkRole::Head, Sign::NoteheadBlack, Point::ZERO), 0);
        let speck = bar(0.55, 0.6, 0.0);
        assert_eq!(head.distance(&speck), 0.0);
        let whole =
            Shape::new(&Engraved::sign(MarkRole::Head, Sign::NoteheadWhole, Point::ZERO), 0);
        let middle = whole.bounds.center();
        let line = (middle, middle + kurbo::Vec2::new(0.01, 0.0));
        let speck = Shape::new(&Engraved::line(MarkRole::Stem, line.0, line.1, 0.01), 0);
        assert!(whole.distance(&speck) > 0.0);
    }
}
