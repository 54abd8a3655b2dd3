//! The marks of a finished document: nothing left to decide, only to draw.
//!
//! Every length is in points (1/72 inch). The origin is the lower left corner of the page and
//! y grows upward, as in PDF.

mod block;
pub(crate) mod board;
mod document;
mod label;
mod page;
pub mod paper;
pub mod picture;
pub(crate) mod place;
pub(crate) mod table;

use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};

use crate::glyphs::{MusicFace, Sign};
use crate::typeset::{self, TextFace};

pub use block::{Block, Kind};
pub use document::{About, Bookmark, Document};
pub use label::{Label, Numerals, PageNumber};
pub use page::{Link, Page};

/// How dark a mark is printed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Ink {
    /// Full black.
    Black,
    /// A grey between 0.0 (black) and 1.0 (white).
    Grey(f32),
}

/// One thing to draw.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A sign of the music face at its origin. `size` is the em: four staff spaces.
    Sign {
        /// Which sign.
        sign: Sign,
        /// Its origin, as SMuFL registers it.
        at: Point,
        /// The em in points.
        size: f64,
        /// Its ink.
        ink: Ink,
    },
    /// A run of words on one baseline.
    Text {
        /// The words; every character is one that the face can show.
        text: String,
        /// The cut of the text family.
        face: TextFace,
        /// The left end of the baseline.
        at: Point,
        /// The em in points.
        size: f64,
        /// Its ink.
        ink: Ink,
    },
    /// A straight line with square-cut ends.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// Thickness.
        width: f64,
        /// Its ink.
        ink: Ink,
    },
    /// A filled shape, by the nonzero winding rule.
    Fill {
        /// Its outline.
        path: BezPath,
        /// Its ink.
        ink: Ink,
    },
    /// A stroked outline with round joins.
    Stroke {
        /// The path of the pen.
        path: BezPath,
        /// Thickness.
        width: f64,
        /// Its ink.
        ink: Ink,
    },
    /// One of the document's pictures.
    Picture {
        /// Index into [`About::pictures`].
        index: usize,
        /// Where it stands; the picture fills it.
        frame: Rect,
    },
}

impl Mark {
    /// The box round its ink.
    pub fn bounds(&self) -> Rect {
        match self {
            Self::Sign { sign, at, size, .. } => {
                MusicFace::get().bounds(*sign).scale_from_origin(size / 4.0) + at.to_vec2()
            }
            Self::Text { text, face, at, size, .. } => {
                typeset::ink_bounds(*face, text, *size) + at.to_vec2()
            }
            Self::Line { from, to, width, .. } => {
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
            Self::Fill { path, .. } => path.bounding_box(),
            Self::Stroke { path, width, .. } => {
                path.bounding_box().inflate(width / 2.0, width / 2.0)
            }
            Self::Picture { frame, .. } => *frame,
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
            Self::Fill { path, .. } | Self::Stroke { path, .. } => {
                path.apply_affine(Affine::translate(by));
            }
            Self::Picture { frame, .. } => *frame = *frame + by,
        }
    }
}

/// A raster picture: 8 bits a channel, rows from the top, no padding.
#[derive(Clone, Debug, PartialEq)]
pub struct Picture {
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
    /// Red, green, blue for each pixel, already blended on white.
    pub rgb: Vec<u8>,
}
