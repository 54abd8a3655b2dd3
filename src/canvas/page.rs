//! Finished pages.

use kurbo::{Rect, Size};

use super::{Block, Label, Mark};

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
    /// What stands on it, in reading order.
    pub blocks: Vec<Block>,
    /// Its links.
    pub links: Vec<Link>,
    /// The page number as printed.
    pub label: Label,
}

impl Page {
    /// All its marks, in painting order.
    pub fn marks(&self) -> impl Iterator<Item = &Mark> + Clone {
        self.blocks.iter().flat_map(|block| &block.marks)
    }

    /// The same, to be changed.
    pub fn marks_mut(&mut self) -> impl Iterator<Item = &mut Mark> {
        self.blocks.iter_mut().flat_map(|block| &mut block.marks)
    }
}
