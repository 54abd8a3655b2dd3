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

use kurbo::{Rect, Vec2};

pub use crate::typeset::{Ink, Trace};
pub use block::{Block, Kind};
pub use document::{About, Bookmark, Document};
pub use label::{Label, Numerals, PageNumber};
pub use page::{Link, Page};

/// One thing to draw.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A trace, in points, and its ink.
    Trace(Trace, Ink),
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
            Self::Trace(trace, _) => trace.bounds(),
            Self::Picture { frame, .. } => *frame,
        }
    }

    /// Moves it.
    pub fn shift(&mut self, by: Vec2) {
        match self {
            Self::Trace(trace, _) => trace.shift(by),
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
