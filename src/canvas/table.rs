//! Tables: a head above a rule, and rows between fine ones.

use kurbo::Rect;

use super::board::{Board, GUIDE, HAIRLINE, RULE};
use super::{Ink, Kind};

/// A table as wide as a page's live part.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Table {
    left: f64,
    right: f64,
}

impl Table {
    /// Begins a table on a page.
    pub(crate) fn begin(board: &mut Board) -> Self {
        board.begin(Kind::Table);
        Self { left: board.live.x0, right: board.live.x1 }
    }

    /// Begins a row of the table on the page, which words describe.
    pub(crate) fn row(board: &mut Board, words: impl Into<String>) -> Self {
        board.begin_described(Kind::Row, words);
        Self { left: board.live.x0, right: board.live.x1 }
    }

    /// The strong rule below its head.
    pub(crate) fn head_rule(self, board: &mut Board, y: f64) {
        board.rule(self.left, self.right, y, 2.0 * RULE, Ink::Black);
    }

    /// The fine rule between two rows or below the last.
    pub(crate) fn row_rule(self, board: &mut Board, y: f64) {
        board.rule(self.left, self.right, y, HAIRLINE, GUIDE);
    }

    /// The area of a row between two heights, as far as a place to the right.
    pub(crate) fn area(self, bottom: f64, top: f64, right: f64) -> Rect {
        Rect::new(self.left, bottom, right, top)
    }
}
