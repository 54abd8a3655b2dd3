//! Smooth curves through a handful of knots.
//!
//! The curve leaves and enters every knot in a direction found by solving for "mock curvature"
//! that does not jump. Source: J. D. Hobby, *Smooth, easy to compute interpolating splines*,
//! Discrete and Computational Geometry 1 (1986); all tensions and end curls are 1.
//!
//! Angles are in degrees at the interface, counter-clockwise from the x axis. All trigonometry
//! goes through `libm`, so that the same knots give the same curve on every platform.

use kurbo::{CubicBez, Point, Vec2};

/// A knot of a spline.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Node {
    at: Point,
    /// Direction of travel into the knot; free if `None`.
    arriving: Option<f64>,
    /// Direction of travel out of the knot; free if `None`.
    leaving: Option<f64>,
    /// Whether the two sides of the knot are solved apart from each other.
    broken: bool,
}

/// A knot that the curve passes smoothly, in whatever direction suits it.
pub(crate) const fn smooth(x: f64, y: f64) -> Node {
    Node { at: Point::new(x, y), arriving: None, leaving: None, broken: false }
}

/// A knot that the curve passes smoothly, travelling in `heading` (degrees).
pub(crate) const fn toward(x: f64, y: f64, heading: f64) -> Node {
    Node { at: Point::new(x, y), arriving: Some(heading), leaving: Some(heading), broken: true }
}

/// A corner; between two plain corners the curve is a straight line.
pub(crate) const fn corner(x: f64, y: f64) -> Node {
    Node { at: Point::new(x, y), arriving: None, leaving: None, broken: true }
}

/// A corner entered in one direction and left in another (degrees).
pub(crate) const fn turn(x: f64, y: f64, arriving: f64, leaving: f64) -> Node {
    Node { at: Point::new(x, y), arriving: Some(arriving), leaving: Some(leaving), broken: true }
}

/// The curve through `nodes`, one cubic from each node to the next.
///
/// Panics if there are fewer than two nodes.
pub(crate) fn through(nodes: &[Node]) -> Vec<CubicBez> {
    assert!(nodes.len() >= 2, "a curve needs two knots");
    let last = nodes.len() - 1;
    let mut curve = Vec::with_capacity(last);
    let mut start = 0;
    for end in 1..=last {
        if nodes[end].broken || end == last {
            curve.extend(run(&nodes[start..=end]));
            start = end;
        }
    }
    curve
}

/// The curve through one run of nodes between two breaks.
fn run(nodes: &[Node]) -> Vec<CubicBez> {
    let chords: Vec<Vec2> = nodes.windows(2).map(|pair| pair[1].at - pair[0].at).collect();
    let lengths: Vec<f64> = chords.iter().map(|c| libm::hypot(c.x, c.y)).collect();
    let bearings: Vec<f64> = chords.iter().map(|c| libm::atan2(c.y, c.x)).collect();
    // Turning angle at each knot; zero at both ends.
    let mut turning = vec![0.0; nodes.len()];
    for knot in 1..nodes.len() - 1 {
        turning[knot] = half_turn(bearings[knot] - bearings[knot - 1]);
    }
    let first = nodes[0].leaving.map(|h| half_turn(h.to_radians() - bearings[0]));
    let end = nodes[nodes.len() - 1]
        .arriving
        .map(|h| half_turn(h.to_radians() - bearings[bearings.len() - 1]));
    let swing = departures(&lengths, &turning, first, end);
    (0..chords.len())
        .map(|i| segment(nodes[i].at, chords[i], swing[i], -turning[i + 1] - swing[i + 1]))
        .collect()
}

/// Solves for the angle between chord and curve at each knot, by elimination down the knots.
fn departures(lengths: &[f64], turning: &[f64], first: Option<f64>, end: Option<f64>) -> Vec<f64> {
    let last = lengths.len();
    // Row k reads: swing[k] + ratio[k] * swing[k + 1] = value[k].
    let mut ratio = vec![0.0; last + 1];
    let mut value = vec![0.0; last + 1];
    match first {
        Some(angle) => value[0] = angle,
        None => {
            ratio[0] = 1.0;
            value[0] = -turning[1];
        }
    }
    for knot in 1..last {
        let (before, after) = (1.0 / lengths[knot - 1], 1.0 / lengths[knot]);
        let pivot = 2.0 * before + 2.0 * after - before * ratio[knot - 1];
        ratio[knot] = after / pivot;
        value[knot] =
            (-2.0 * before * turning[knot] - after * turning[knot + 1] - before * value[knot - 1])
                / pivot;
    }
    let mut swing = vec![0.0; last + 1];
    swing[last] = match end {
        Some(angle) => angle,
        None if ratio[last - 1] == 1.0 => 0.0,
        None => -value[last - 1] / (1.0 - ratio[last - 1]),
    };
    for knot in (0..last).rev() {
        swing[knot] = value[knot] - ratio[knot] * swing[knot + 1];
    }
    swing
}

/// One cubic over `chord`, leaving at angle `out` to it and arriving at angle `into`.
fn segment(from: Point, chord: Vec2, out: f64, into: f64) -> CubicBez {
    let to = from + chord;
    let reach_out = rotated(chord, out) * velocity(out, into);
    let reach_in = rotated(chord, -into) * velocity(into, out);
    CubicBez::new(from, from + reach_out, to - reach_in, to)
}

/// Hobby's velocity function, with tension 1.
fn velocity(near: f64, far: f64) -> f64 {
    let (sin_near, cos_near) = (libm::sin(near), libm::cos(near));
    let (sin_far, cos_far) = (libm::sin(far), libm::cos(far));
    let root5 = libm::sqrt(5.0);
    let bend = libm::sqrt(2.0)
        * (sin_near - sin_far / 16.0)
        * (sin_far - sin_near / 16.0)
        * (cos_near - cos_far);
    (2.0 + bend) / (3.0 * (1.0 + 0.5 * (root5 - 1.0) * cos_near + 0.5 * (3.0 - root5) * cos_far))
}

fn rotated(v: Vec2, angle: f64) -> Vec2 {
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    Vec2::new(v.x * cos - v.y * sin, v.x * sin + v.y * cos)
}

/// The same angle within half a turn of zero.
fn half_turn(angle: f64) -> f64 {
    use std::f64::consts::{PI, TAU};
    let mut angle = angle;
    while angle > PI {
        angle -= TAU;
    }
    while angle < -PI {
        angle += TAU;
    }
    angle
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::ParamCurve;

    #[test]
    fn four_knots_on_a_circle_give_a_circle() {
        let curve = through(&[
            toward(1.0, 0.0, 90.0),
            smooth(0.0, 1.0),
            smooth(-1.0, 0.0),
            smooth(0.0, -1.0),
            toward(1.0, 0.0, 90.0),
        ]);
        for piece in curve {
            for step in 0..=8 {
                let radius = piece.eval(f64::from(step) / 8.0).to_vec2().hypot();
                assert!((radius - 1.0).abs() < 1e-3, "{radius}");
            }
        }
    }

    #[test]
    fn two_corners_give_a_straight_line() {
        let line = through(&[corner(0.0, 0.0), corner(3.0, 1.0)])[0];
        assert!((line.eval(0.3) - Point::new(0.9, 0.3)).hypot() < 0.2);
        assert!((line.eval(0.3).y - line.eval(0.3).x / 3.0).abs() < 1e-12);
    }

    #[test]
    fn a_smooth_knot_has_one_tangent() {
        let curve = through(&[smooth(0.0, 0.0), smooth(1.0, 2.0), smooth(3.0, 1.0)]);
        let into = (curve[0].p3 - curve[0].p2).normalize();
        let out = (curve[1].p1 - curve[1].p0).normalize();
        assert!((into - out).hypot() < 1e-9);
    }
}
