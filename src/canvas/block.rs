//! Blocks: the parts of a page, each of which knows what it is.

use super::Mark;

/// What a block is, for outputs that tell a reader so.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A heading; 1 is the highest level.
    Heading(u8),
    /// Running words, or a line of them.
    Paragraph,
    /// The head of a table; the rows below it follow as blocks of their own.
    Table,
    /// A row of the table before it.
    Row,
    /// A system of staves.
    System,
    /// A drawing or a picture that means something.
    Figure,
    /// What only adorns the page or repeats what is known: a rule, a page number.
    Artifact,
}

impl Kind {
    /// The word for it, in outputs that name it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Heading(_) => "heading",
            Self::Paragraph => "paragraph",
            Self::Table => "table",
            Self::Row => "row",
            Self::System => "system",
            Self::Figure => "figure",
            Self::Artifact => "artifact",
        }
    }
}

/// A part of a page, in reading order.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What it is.
    pub kind: Kind,
    /// What it says or shows, for a reader who cannot see it; empty where its own words say it.
    pub words: String,
    /// What stands in it, in painting order.
    pub marks: Vec<Mark>,
}

impl Block {
    /// A block with nothing in it yet.
    pub const fn new(kind: Kind) -> Self {
        Self { kind, words: String::new(), marks: Vec::new() }
    }
}
