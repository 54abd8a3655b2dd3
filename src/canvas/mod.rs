//! The marks of a finished document: nothing left to decide, only to draw.
//!
//! Every length is in points (1/72 inch). The origin is the lower left corner of the page and
//! y grows upward, as in PDF.

pub(crate) mod board;
pub mod paper;
pub mod picture;
pub(crate) mod place;

use kurbo::{Rect, Size, Vec2};

pub use crate::typeset::{Ink, Trace};

/// One thing to draw.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A trace, in points, and its ink.
    Trace(Trace, Ink),
    /// One of the document's pictures.
    Picture {
        /// Index into [`Document::pictures`].
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

/// A place on a page that leads to another page.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// The area that answers.
    pub area: Rect,
    /// The index of the page it leads to.
    pub target: usize,
    /// What it leads to, for a reader who cannot see the page.
    pub about: String,
}

/// A finished page.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// The size of the paper.
    pub size: Size,
    /// What stands on it, in painting order.
    pub marks: Vec<Mark>,
    /// Its links.
    pub links: Vec<Link>,
    /// The page number as printed ("i", "1"); a reader program shows the same.
    pub label: String,
}

/// An entry of the document's outline.
#[derive(Clone, Debug, PartialEq)]
pub struct Bookmark {
    /// What the reader sees.
    pub title: String,
    /// The index of the page it leads to.
    pub page: usize,
    /// Whether the entries below it are shown before a reader asks for them.
    pub open: bool,
    /// Entries below it.
    pub children: Vec<Bookmark>,
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

/// A finished document, ready for an output to draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// The title, for the reader program's window.
    pub title: String,
    /// Who it was made for or by, if known.
    pub author: Option<String>,
    /// The language of its words, as a BCP 47 tag.
    pub language: String,
    /// The pages, in order.
    pub pages: Vec<Page>,
    /// The outline.
    pub outline: Vec<Bookmark>,
    /// Pictures that pages refer to.
    pub pictures: Vec<Picture>,
    /// The recipe that made the document, as JSON; travels inside the file.
    pub recipe: String,
}
