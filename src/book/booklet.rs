//! A booklet: pages in pairs on sheets twice as wide, to be printed on both sides, stacked,
//! folded once and stapled in the fold.

use kurbo::{Size, Vec2};

use crate::canvas::{Bookmark, Label, Link, Page};

/// Pages that one sheet of a booklet holds, two on each side.
const PAGES_A_SHEET: usize = 4;

/// Where each page of a booklet goes.
pub(crate) struct Folding {
    /// How many pages there are with the blank ones that fill the last sheet.
    pages: usize,
}

impl Folding {
    pub(crate) fn of(pages: usize) -> Self {
        Self { pages: pages.next_multiple_of(PAGES_A_SHEET) }
    }

    pub(crate) fn sides(&self) -> usize {
        self.pages / 2
    }

    /// The side that a page is printed on: the first and last page share the first side.
    fn side_of(&self, page: usize) -> usize {
        page.min(self.pages - 1 - page)
    }

    /// The pages at the left and at the right of a side. Fronts have the higher page at the
    /// left, backs the lower.
    pub(crate) fn pair(&self, side: usize) -> [usize; 2] {
        let (low, high) = (side, self.pages - 1 - side);
        if side.is_multiple_of(2) { [high, low] } else { [low, high] }
    }

    /// A side with its two pages, of a size each; either may be blank.
    pub(crate) fn side(&self, size: Size, pages: [Option<Page>; 2]) -> Page {
        let mut side = Page {
            size: Size::new(2.0 * size.width, size.height),
            blocks: Vec::new(),
            links: Vec::new(),
            label: Label::default(),
        };
        for (place, page) in pages.into_iter().enumerate() {
            let Some(mut page) = page else { continue };
            let by = Vec2::new(size.width * place as f64, 0.0);
            for mark in page.marks_mut() {
                mark.shift(by);
            }
            side.blocks.append(&mut page.blocks);
            side.links.extend(page.links.into_iter().map(|link| Link {
                area: link.area + by,
                target: self.side_of(link.target),
                ..link
            }));
            side.label = Label::joined([side.label, page.label]);
        }
        side
    }

    /// An entry of the outline, leading to the sides that its pages lie on.
    pub(crate) fn moved(&self, entry: &Bookmark) -> Bookmark {
        Bookmark {
            title: entry.title.clone(),
            page: self.side_of(entry.page),
            open: entry.open,
            children: entry.children.iter().map(|child| self.moved(child)).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fold a stack of sheets and leaf through it: every page follows the one before.
    #[test]
    fn the_folded_booklet_reads_from_first_to_last() {
        for pages in 1..=40 {
            let folding = Folding::of(pages);
            assert!(folding.pages >= pages && folding.pages < pages + PAGES_A_SHEET);
            let sheets = folding.sides() / 2;
            let mut read = Vec::new();
            // Outward from the outer sheet: its front's right half, then its back's left half.
            for sheet in 0..sheets {
                read.push(folding.pair(2 * sheet)[1]);
                read.push(folding.pair(2 * sheet + 1)[0]);
            }
            // And back through the other halves from the inner sheet.
            for sheet in (0..sheets).rev() {
                read.push(folding.pair(2 * sheet + 1)[1]);
                read.push(folding.pair(2 * sheet)[0]);
            }
            assert_eq!(read, (0..folding.pages).collect::<Vec<_>>(), "{pages} pages");
        }
    }

    #[test]
    fn every_page_stands_on_the_side_that_links_lead_to() {
        for pages in 1..=40 {
            let folding = Folding::of(pages);
            for page in 0..pages {
                assert!(folding.pair(folding.side_of(page)).contains(&page));
            }
        }
    }
}
