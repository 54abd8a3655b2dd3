//! What a mark leaves on paper, in whatever unit of length: y grows upward.

use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};

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
        text: String,
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
            Self::Fill(path) => path.bounding_box(),
            Self::Stroke { path, width } => path.bounding_box().inflate(width / 2.0, width / 2.0),
        }
    }

    /// Moves it.
    pub fn shift(&mut self, by: Vec2) {
        match self {
            Self::Sign { at, .. } | Self::Text { at, .. } => *at += by,
            Self::Line { from, to, .. } => {
                *from += by;
                *to += by;
            }
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
            Self::Fill(path) => Self::Fill(place_path(path)),
            Self::Stroke { path, width } => {
                Self::Stroke { path: place_path(path), width: width * unit }
            }
        }
    }
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

    fn one_of_each() -> [Trace; 5] {
        let path = polygon(&[Point::new(0.5, 0.0), Point::new(2.0, 1.0), Point::new(1.0, -3.0)]);
        let (at, face) = (Point::new(2.0, -1.0), TextFace::Semibold);
        [
            Trace::Sign { sign: Sign::GClef, at, size: 4.0 },
            Trace::Text { text: "Cm7".to_owned(), face, at, size: 2.75 },
            Trace::Line { from: Point::new(1.0, 0.0), to: Point::new(1.0, 3.5), width: 0.11 },
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
