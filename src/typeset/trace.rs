//! What a mark leaves on paper, in whatever unit of length: y grows upward.

use std::borrow::Cow;

use ecow::EcoString;
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape as _, Vec2};

use crate::glyphs::{MusicFace, Sign};
use crate::typeset::face::TextFace;
use crate::typeset::measure;

/// How dark a mark is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ink {
    /// Full black.
    Black,
    /// A grey between 0.0 (black) and 1.0 (white).
    Grey(f32),
}

/// What a mark leaves on paper: in staff spaces on a staff, in points on a page.
#[derive(Clone, Debug, PartialEq)]
pub enum Trace {
    /// A sign of the music face. `size` is the em: four staff spaces.
    Sign {
        /// Which sign.
        sign: Sign,
        /// Its origin, as SMuFL registers it.
        at: Point,
        /// The em.
        size: f64,
    },
    /// A run of words on one baseline.
    Text {
        /// The words; every character is one that the face can show.
        text: EcoString,
        /// The cut of the text family.
        face: TextFace,
        /// The left end of the baseline.
        at: Point,
        /// The em.
        size: f64,
    },
    /// A straight line with square-cut ends.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// Thickness.
        width: f64,
    },
    /// A filled bar with upright ends, level or slanting.
    Slab {
        /// The middle of its left end.
        from: Point,
        /// The middle of its right end.
        to: Point,
        /// From its lower to its upper edge.
        height: f64,
    },
    /// A filled triangle on a level side.
    Wedge {
        /// The middle of that side.
        base: Point,
        /// The length of that side.
        width: f64,
        /// How far its tip stands above that side; less than 0 below it.
        rise: f64,
    },
    /// A filled crescent: two cubics between tips at one height that are as blunt as a pen is broad.
    Crescent {
        /// The middle of its left tip.
        from: Point,
        /// From one tip to the other.
        length: f64,
        /// How far above the middle of the tips the handles of its outer and of its inner cubic stand;
        /// below it, less than 0. A cubic reaches about three quarters of that.
        handles: [f64; 2],
        /// How far above the middle of the tips the outer cubic begins, and below it the inner one;
        /// less than 0 where it bows down. So little that a short number holds it.
        tip: f32,
    },
    /// A filled outline, by the nonzero winding rule.
    Fill(BezPath),
    /// A stroked outline with round joins.
    Stroke {
        /// The path of the pen.
        path: BezPath,
        /// Thickness.
        width: f64,
    },
}

impl Trace {
    /// The box round its ink.
    pub fn bounds(&self) -> Rect {
        match self {
            Self::Sign { sign, at, size } => sign_box(*sign, *at, *size),
            Self::Text { text, face, at, size } => {
                measure::ink_bounds(*face, text, *size) + at.to_vec2()
            }
            Self::Line { from, to, width } => {
                let half = width / 2.0;
                let rect = Rect::from_points(*from, *to);
                if from.x == to.x {
                    rect.inflate(half, 0.0)
                } else if from.y == to.y {
                    rect.inflate(0.0, half)
                } else {
                    rect.inflate(half, half)
                }
            }
            Self::Slab { from, to, height } => {
                Rect::from_points(*from, *to).inflate(0.0, height / 2.0)
            }
            Self::Wedge { base, width, rise } => {
                let half = Vec2::new(width / 2.0, 0.0);
                Rect::from_points(*base - half, *base + half + Vec2::new(0.0, *rise))
            }
            Self::Crescent { from, length, handles, tip } => {
                crescent_outline(*from, *length, *handles, *tip).bounding_box()
            }
            Self::Fill(path) => path.bounding_box(),
            Self::Stroke { path, width } => path.bounding_box().inflate(width / 2.0, width / 2.0),
        }
    }

    /// The outline of what it fills; nothing for signs, words and what a pen draws.
    pub fn filled(&self) -> Cow<'_, BezPath> {
        match self {
            Self::Slab { from, to, height } => {
                Cow::Owned(polygon(&slab_corners(*from, *to, *height)))
            }
            Self::Wedge { base, width, rise } => {
                Cow::Owned(polygon(&wedge_corners(*base, *width, *rise)))
            }
            Self::Crescent { from, length, handles, tip } => {
                let outline = crescent_outline(*from, *length, *handles, *tip);
                Cow::Owned(BezPath::from_vec(outline.to_vec()))
            }
            Self::Fill(path) => Cow::Borrowed(path),
            Self::Sign { .. } | Self::Text { .. } | Self::Line { .. } | Self::Stroke { .. } => {
                Cow::Owned(BezPath::new())
            }
        }
    }

    /// Moves it.
    pub fn shift(&mut self, by: Vec2) {
        match self {
            Self::Sign { at, .. } | Self::Text { at, .. } => *at += by,
            Self::Line { from, to, .. } | Self::Slab { from, to, .. } => {
                *from += by;
                *to += by;
            }
            Self::Wedge { base, .. } => *base += by,
            Self::Crescent { from, .. } => *from += by,
            Self::Fill(path) | Self::Stroke { path, .. } => {
                path.apply_affine(Affine::translate(by));
            }
        }
    }

    /// The same in another unit of length, of which `unit` make one of the old, its old origin
    /// standing at `origin`.
    pub fn placed(self, origin: Point, unit: f64) -> Self {
        let place = |at: Point| origin + at.to_vec2() * unit;
        let place_path = |mut path: BezPath| {
            path.apply_affine(Affine::translate(origin.to_vec2()) * Affine::scale(unit));
            path
        };
        match self {
            Self::Sign { sign, at, size } => Self::Sign { sign, at: place(at), size: size * unit },
            Self::Text { text, face, at, size } => {
                Self::Text { text, face, at: place(at), size: size * unit }
            }
            Self::Line { from, to, width } => {
                Self::Line { from: place(from), to: place(to), width: width * unit }
            }
            Self::Slab { from, to, height } => {
                Self::Slab { from: place(from), to: place(to), height: height * unit }
            }
            Self::Wedge { base, width, rise } => {
                Self::Wedge { base: place(base), width: width * unit, rise: rise * unit }
            }
            Self::Crescent { from, length, handles, tip } => Self::Crescent {
                from: place(from),
                length: length * unit,
                handles: handles.map(|handle| handle * unit),
                tip: (f64::from(tip) * unit) as f32,
            },
            Self::Fill(path) => Self::Fill(place_path(path)),
            Self::Stroke { path, width } => {
                Self::Stroke { path: place_path(path), width: width * unit }
            }
        }
    }
}

/// The corners of a [`Trace::Slab`].
pub fn slab_corners(from: Point, to: Point, height: f64) -> [Point; 4] {
    let half = Vec2::new(0.0, height / 2.0);
    [from - half, to - half, to + half, from + half]
}

/// The corners of a [`Trace::Wedge`].
pub fn wedge_corners(base: Point, width: f64, rise: f64) -> [Point; 3] {
    let half = Vec2::new(width / 2.0, 0.0);
    [base - half, base + half, base + Vec2::new(0.0, rise)]
}

/// The outline of a [`Trace::Crescent`]: its outer cubic from left to right, and its inner one back.
pub fn crescent_outline(
    from: Point,
    length: f64,
    [outer, inner]: [f64; 2],
    tip: f32,
) -> [PathEl; 5] {
    let tip = f64::from(tip);
    let point = |along: f64, up: f64| Point::new(from.x + along * length, from.y + up);
    [
        PathEl::MoveTo(point(0.0, tip)),
        PathEl::CurveTo(point(0.25, outer), point(0.75, outer), point(1.0, tip)),
        PathEl::LineTo(point(1.0, -tip)),
        PathEl::CurveTo(point(0.75, inner), point(0.25, inner), point(0.0, -tip)),
        PathEl::ClosePath,
    ]
}

/// The box round the ink of a sign at an em of `size`.
pub fn sign_box(sign: Sign, at: Point, size: f64) -> Rect {
    MusicFace::get().bounds(sign).scale_from_origin(size / 4.0) + at.to_vec2()
}

/// The outline of a polygon.
pub fn polygon(corners: &[Point]) -> BezPath {
    let mut path = BezPath::with_capacity(corners.len() + 1);
    for (index, corner) in corners.iter().enumerate() {
        if index == 0 { path.move_to(*corner) } else { path.line_to(*corner) }
    }
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one_of_each() -> [Trace; 8] {
        let path = polygon(&[Point::new(0.5, 0.0), Point::new(2.0, 1.0), Point::new(1.0, -3.0)]);
        let (at, face) = (Point::new(2.0, -1.0), TextFace::Semibold);
        [
            Trace::Sign { sign: Sign::GClef, at, size: 4.0 },
            Trace::Text { text: "Cm7".into(), face, at, size: 2.75 },
            Trace::Line { from: Point::new(1.0, 0.0), to: Point::new(1.0, 3.5), width: 0.11 },
            Trace::Slab { from: Point::new(1.0, 2.0), to: Point::new(4.0, 2.5), height: 0.5 },
            Trace::Wedge { base: Point::new(3.0, 1.0), width: 0.7, rise: -0.6 },
            Trace::Crescent { from: at, length: 3.0, handles: [1.5, 1.0], tip: 0.0625 },
            Trace::Fill(path.clone()),
            Trace::Stroke { path, width: 0.2 },
        ]
    }

    #[test]
    fn a_trace_covers_on_the_page_what_it_covers_on_the_staff() {
        let origin = Point::new(100.0, 500.0);
        for trace in one_of_each() {
            let staff = trace.bounds();
            let page = trace.clone().placed(origin, 5.0).bounds();
            let expected = staff.scale_from_origin(5.0) + origin.to_vec2();
            assert!((page.origin() - expected.origin()).hypot() < 1e-9, "{trace:?}");
            assert!((page.size() - expected.size()).to_vec2().hypot() < 1e-9, "{trace:?}");
        }
    }

    /// Pages have a hundred thousand of them.
    #[test]
    fn a_trace_takes_little_room() {
        assert_eq!(size_of::<Trace>(), 48);
    }

    #[test]
    fn a_box_is_that_of_the_corners() {
        for trace in one_of_each() {
            let corners = trace.filled().bounding_box();
            if !trace.filled().elements().is_empty() {
                let own = trace.bounds();
                let far = (own.origin() - corners.origin()).hypot();
                assert!(far < 1e-9 && (own.area() - corners.area()).abs() < 1e-9, "{trace:?}");
            }
        }
    }

    #[test]
    fn what_is_shifted_takes_its_box_along() {
        let by = Vec2::new(3.0, -7.0);
        for trace in one_of_each() {
            let mut moved = trace.clone();
            moved.shift(by);
            let far = moved.bounds().origin() - (trace.bounds() + by).origin();
            assert!(far.hypot() < 1e-9, "{trace:?}");
        }
    }
}
