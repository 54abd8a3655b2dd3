//! A booklet: pages in pairs on sheets twice as wide, to be printed on both sides, stacked,
//! folded once and stapled in the fold.

use kurbo::{Size, Vec2};

use crate::canvas::{Bookmark, Document, Link, Page};

/// Pages that one sheet of a booklet holds, two on each side.
const PAGES_A_SHEET: usize = 4;

/// Where each page of a booklet goes.
struct Folding {
    /// How many pages there are with the blank ones that fill the last sheet.
    pages: usize,
}

impl Folding {
    fn of(pages: usize) -> Self {
        Self { pages: pages.next_multiple_of(PAGES_A_SHEET) }
    }

    fn sides(&self) -> usize {
        self.pages / 2
    }

    /// The side that a page is printed on: the first and last page share the first side.
    fn side_of(&self, page: usize) -> usize {
        page.min(self.pages - 1 - page)
    }

    /// The pages at the left and at the right of a side. Fronts have the higher page at the
    /// left, backs the lower.
    fn pair(&self, side: usize) -> [usize; 2] {
        let (low, high) = (side, self.pages - 1 - side);
        if side.is_multiple_of(2) { [high, low] } else { [low, high] }
    }
}

/// The document with its pages in booklet order.
pub(crate) fn impose(document: Document) -> Document {
    let folding = Folding::of(document.pages.len());
    let Some(size) = document.pages.first().map(|page| page.size) else { return document };
    let side = |side| {
        let mut both = Page {
            size: Size::new(2.0 * size.width, size.height),
            marks: Vec::new(),
            links: Vec::new(),
            label: String::new(),
        };
        for (place, index) in folding.pair(side).into_iter().enumerate() {
            let Some(page) = document.pages.get(index) else { continue };
            let by = Vec2::new(size.width * place as f64, 0.0);
            both.marks.extend(page.marks.iter().cloned().map(|mut mark| {
                mark.shift(by);
                mark
            }));
            both.links.extend(page.links.iter().map(|link| Link {
                area: link.area + by,
                target: folding.side_of(link.target),
                about: link.about.clone(),
            }));
            let gap = if both.label.is_empty() { "" } else { " " };
            both.label.push_str(gap);
            both.label.push_str(&page.label);
        }
        both
    };
    let pages = (0..folding.sides()).map(side).collect();
    let outline = document.outline.iter().map(|entry| moved(entry, &folding)).collect();
    Document { pages, outline, ..document }
}

fn moved(entry: &Bookmark, folding: &Folding) -> Bookmark {
    Bookmark {
        title: entry.title.clone(),
        page: folding.side_of(entry.page),
        open: entry.open,
        children: entry.children.iter().map(|child| moved(child, folding)).collect(),
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
