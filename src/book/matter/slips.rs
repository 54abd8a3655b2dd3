//! Pages of return slips, one below another, where sheets have no room for theirs.

use crate::book::error::PageError;
use crate::book::matter::contents::heading;
use crate::book::plan::{self, DocumentPlan, in_drill};
use crate::book::sheet::foot;
use crate::book::sheet::slip::{DrillSlip, KeyedSlip};
use crate::canvas::Page;
use crate::canvas::paper::MM;

/// White between the heading and the first slip, beyond what is usual, and between two slips.
const BETWEEN: f64 = 4.0 * MM;

/// The slips of a document, and how many stand on a page.
pub(crate) struct SlipPages {
    slips: Vec<KeyedSlip>,
    a_page: usize,
}

impl SlipPages {
    /// Sets the slips of all sheets, whose keys have been given their pages. Errors where words have
    /// no room.
    pub(crate) fn of(plan: &DocumentPlan<'_>) -> Result<Self, PageError> {
        let mut slips = Vec::new();
        for chapter in &plan.chapters {
            let slip =
                DrillSlip::new(plan, chapter).map_err(|error| in_drill(error, plan, chapter))?;
            let keys = &chapter.exercise.keys;
            slips.extend(keys.chunks(chapter.allotment.keys).map(|keys| slip.of(plan, keys)));
        }
        let tallest = slips.iter().map(|slip| slip.height).fold(0.0, f64::max);
        let mut board = plan.board(0);
        let top = heading(&mut board, plan, plan::SLIPS_TITLE);
        let room = top - board.live.y0 - foot::folio_height(plan) - BETWEEN;
        let a_page = (room / (tallest + BETWEEN)).floor().max(1.0) as usize;
        Ok(Self { slips, a_page })
    }

    /// How many pages they take.
    pub(crate) fn pages(&self) -> usize {
        self.slips.len().div_ceil(self.a_page)
    }

    /// Lays out the page at an index among theirs, which is at another one in the document.
    pub(crate) fn lay_out(&self, plan: &DocumentPlan<'_>, nth: usize, page: usize) -> Page {
        let mut board = plan.board(page);
        let mut y = heading(&mut board, plan, plan::SLIPS_TITLE);
        for slip in self.slips.iter().skip(nth * self.a_page).take(self.a_page) {
            let height = slip.height;
            slip.clone().draw(&mut board, plan, y);
            y -= height + BETWEEN;
        }
        foot::draw_folio(&mut board, plan, page);
        board.finish()
    }
}
