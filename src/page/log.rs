//! The practice log.

use super::board::{GUIDE, HAIRLINE, RULE};
use super::book::{self, Plan};
use super::canvas::{Ink, Page};
use super::contents::heading;
use super::foot;
use super::paper::MM;
use super::phrase::{Phrase, Style};
use crate::text::TextFace;

/// The columns: their heads and their shares of the width.
///
/// The fields follow the three phases of practice that teachers of self-regulation describe:
/// planning, playing, looking back (Zimmerman; McPherson and others, 2017).
const COLUMNS: [(&str, f64); 8] = [
    ("Date", 2.2),
    ("Key", 1.3),
    ("Minutes", 1.9),
    ("Tempo from", 2.7),
    ("Clean at", 2.0),
    ("Even, 1 to 5", 2.6),
    ("Strain?", 1.9),
    ("What to mend next time", 6.7),
];

/// How much wider the columns before the last are on a wide page; the last takes what is left.
const WIDE_GROWTH: f64 = 1.2;

/// Height of a line: room for a hand that writes large.
const LINE: f64 = 9.4 * MM;

/// Lays out the log at the index of a page.
pub(super) fn lay_out(plan: &Plan<'_>, page: usize) -> Page {
    let mut board = plan.board(page);
    let live = board.live;
    let head = Style::new(TextFace::Semibold, plan.page.sizes.note);
    let mut y = heading(&mut board, plan, book::LOG_TITLE);
    let whole: f64 = COLUMNS.iter().map(|(_, share)| share).sum();
    let mut x = live.x0;
    let sheet = plan.sheet();
    let (upright, growth) = if plan.is_wide() {
        (live.width() * sheet.height / sheet.width, WIDE_GROWTH)
    } else {
        (live.width(), 1.0)
    };
    for (title, share) in COLUMNS {
        // In a course a key alone does not say what was played.
        let title = if title == "Key" && plan.recipe.is_course() { "Page" } else { title };
        board.from(x, y, Phrase::of(title, head));
        x += upright * growth * share / whole;
    }
    y -= 2.2 * MM;
    board.rule(live.x0, live.x1, y, 2.0 * RULE, Ink::Black);
    let bottom = live.y0 + 7.0 * MM;
    while y - LINE >= bottom {
        y -= LINE;
        board.rule(live.x0, live.x1, y, HAIRLINE, GUIDE);
    }
    foot::draw_folio(&mut board, plan, page);
    board.finish()
}
