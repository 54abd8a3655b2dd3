//! Finished documents.

use super::{Page, Picture};

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

/// What is known of a document apart from its pages.
#[derive(Clone, Debug, PartialEq)]
pub struct About {
    /// The title, for the reader program's window.
    pub title: String,
    /// Who it was made for or by, if known.
    pub author: Option<String>,
    /// The language of its words, as a BCP 47 tag.
    pub language: String,
    /// The outline.
    pub outline: Vec<Bookmark>,
    /// Pictures that pages refer to.
    pub pictures: Vec<Picture>,
    /// The recipe that made the document, as JSON; travels inside the file.
    pub recipe: String,
}

/// A finished document, ready for an output to draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// What is known of it as a whole.
    pub about: About,
    /// The pages, in order.
    pub pages: Vec<Page>,
}
