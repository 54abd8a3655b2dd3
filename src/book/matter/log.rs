//! The practice log.

use crate::book::matter::contents::heading;
use crate::book::plan::{self, DocumentPlan};
use crate::book::sheet::foot;
use crate::canvas::Page;
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

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
    (MEND, 6.7),
];

/// The column that gives way to one for the number of the drill, in the log of a course.
const MEND: &str = "What to mend next time";
const DRILL: (&str, f64) = ("Drill", 1.4);

/// The columns that a narrow page leaves out, the first of them first.
const DISPENSABLE: [&str; 3] = ["Tempo from", "Even, 1 to 5", "Strain?"];
/// Least white between two heads, in ems.
const HEAD_GAP: f64 = 0.4;

/// The columns of a document's log, as many as stand in a width with their heads in a style.
fn columns(plan: &DocumentPlan<'_>, width: f64, head: Style) -> Vec<(&'static str, f64)> {
    let mut columns = COLUMNS.to_vec();
    if plan.options.is_course {
        columns.insert(1, DRILL);
        for (_, share) in columns.iter_mut().filter(|(title, _)| *title == MEND) {
            *share -= DRILL.1;
        }
    }
    let fits = |columns: &[(&str, f64)]| {
        let whole: f64 = columns.iter().map(|(_, share)| share).sum();
        columns.iter().all(|(title, share)| {
            let room = width * share / whole - HEAD_GAP * head.size;
            typeset::width(head.face, title, head.size) <= room
        })
    };
    for title in DISPENSABLE {
        if fits(&columns) {
            break;
        }
        columns.retain(|(own, _)| *own != title);
    }
    columns
}

/// How much wider the columns before the last are on a wide page; the last takes what is left.
const WIDE_GROWTH: f64 = 1.2;

/// Height of a line: room for a hand that writes large.
const LINE: f64 = 9.4 * MM;

/// Lays out the log at the index of a page.
pub(crate) fn lay_out(plan: &DocumentPlan<'_>, page: usize) -> Page {
    let mut board = plan.board(page);
    let live = board.live;
    let head = Style::new(TextFace::Semibold, plan.page.sizes.note);
    let mut y = heading(&mut board, plan, plan::LOG_TITLE);
    let sheet = plan.sheet();
    let (upright, growth) = if plan.is_wide() {
        (live.width() * sheet.height / sheet.width, WIDE_GROWTH)
    } else {
        (live.width(), 1.0)
    };
    let columns = columns(plan, upright * growth, head);
    let whole: f64 = columns.iter().map(|(_, share)| share).sum();
    let mut x = live.x0;
    let table = Table::begin(&mut board);
    for (title, share) in columns {
        board.from(x, y, Phrase::of(title, head));
        x += upright * growth * share / whole;
    }
    y -= 2.2 * MM;
    table.head_rule(&mut board, y);
    let bottom = live.y0 + 7.0 * MM;
    while y - LINE >= bottom {
        y -= LINE;
        Table::row(&mut board, "to be filled in");
        table.row_rule(&mut board, y);
    }
    foot::draw_folio(&mut board, plan, page);
    board.finish()
}
