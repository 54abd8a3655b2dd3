//! The page that opens a drill of a course: what it is, what to listen for, and how far each key
//! has come.

use crate::book::error::{PageError, Whose};
use crate::book::plan::{Chapter, DRILL_TITLE, DocumentPlan};
use crate::book::sheet::foot;
use crate::book::sheet::header::{leading, lines};
use crate::book::sheet::tempo;
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::canvas::{Kind, Page};
use crate::source::DrillField;
use crate::typeset::fit::{fit, paragraph};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// White above the title.
const ABOVE_TITLE: f64 = 9.0 * MM;
/// White below the title and between the texts, in ems of these.
const BELOW_TITLE: f64 = 1.4;
const BETWEEN: f64 = 0.7;
/// Most lines of a text.
const MOST_LINES: usize = 8;
/// White above the table of keys.
const ABOVE_TABLE: f64 = 9.0 * MM;
/// White between the words above the table and its heads.
const BELOW_LEGEND: f64 = 2.5 * MM;
/// Highest row of the table: room for a hand that writes large.
const HIGHEST_ROW: f64 = 14.0 * MM;

/// The columns of the table after key and page, to be filled in by hand: their heads and their
/// shares of the width.
const COLUMNS: [(&str, f64); 5] = [
    ("Begun", 2.4),
    ("Hands apart", 2.4),
    ("First tempo", 2.4),
    ("Goal", 2.4),
    ("What to mend", 5.4),
];
/// What those columns are for.
const LEGEND: &str = "Write down when a key was begun, and when it was first clean: hands apart, at the \
     first tempo, at the goal.";
/// Least white between two heads, in ems.
const HEAD_GAP: f64 = 0.5;
/// The columns of keys and pages.
const KEY_COLUMN: f64 = 15.0 * MM;
const PAGE_COLUMN: f64 = 13.0 * MM;

/// Lays out the page of a drill. Errors where its words cannot stand.
pub(crate) fn lay_out(
    plan: &DocumentPlan<'_>,
    chapter: &Chapter<'_>,
    page: usize,
) -> Result<Page, PageError> {
    let mut board = plan.board(page);
    let mut y = draw_title(&mut board, plan, chapter)?;
    let size = plan.page.sizes.body + 1.0;
    if !chapter.drill().about.is_empty() {
        y = draw_text(
            &mut board,
            plan,
            y,
            ("What it is", DrillField::About, &chapter.drill().about),
        )?;
    }
    if let Some(listen) = &chapter.drill().listen {
        y = draw_text(&mut board, plan, y, ("Listen for", DrillField::Listen, listen))?;
    }
    let semibold = Style::new(TextFace::Semibold, size);
    board.begin(Kind::Heading(2));
    board.from(board.live.x0, y, Phrase::of("First tempo", semibold));
    board.begin(Kind::Paragraph);
    let exercise = chapter.exercise;
    let left = board.live.x0 + plan.page.distances.label_column;
    board.from(left, y, tempo::mark(&exercise.template, exercise.feel, exercise.tempo, size));
    let (field, style) = (Whose::Legend, Style::new(TextFace::Italic, plan.page.sizes.body));
    board.begin(Kind::Paragraph);
    let legend = paragraph(field, LEGEND, style, style.size, board.live.width(), MOST_LINES)?;
    y = lines(&mut board, plan.live(page).x0, y - ABOVE_TABLE, &legend);
    draw_table(&mut board, plan, chapter, y - BELOW_LEGEND);
    foot::draw_folio(&mut board, plan, page);
    Ok(board.finish())
}

/// Which drill of how many, and its title; returns the baseline of what follows.
fn draw_title(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    chapter: &Chapter<'_>,
) -> Result<f64, PageError> {
    let live = board.live;
    let sizes = &plan.page.sizes;
    let small = Style::new(TextFace::Regular, sizes.drill);
    board.begin(Kind::Paragraph);
    let y = live.y1 - typeset::cap_height(small.face, small.size);
    let which = format!("Drill {} of {}", chapter.number(), plan.chapters.len());
    board.from(live.x0, y, Phrase::of(&which, small));
    let style = Style::new(TextFace::Bold, sizes.heading);
    let title = fit(DRILL_TITLE, &plan.listed_title(chapter), style, sizes.drill, live.width(), 2)?;
    board.begin(Kind::Heading(1));
    let first = y - ABOVE_TITLE;
    let next = lines(board, live.x0, first, &title);
    Ok(next + leading(title.style) - BELOW_TITLE * title.style.size)
}

/// A side head and its text; returns the baseline of what follows.
fn draw_text(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    y: f64,
    (head, field, words): (&str, DrillField, &str),
) -> Result<f64, PageError> {
    let size = plan.page.sizes.body + 1.0;
    let column = plan.page.distances.label_column;
    let (left, width) = (board.live.x0 + column, board.live.width() - column);
    board.begin(Kind::Heading(2));
    board.from(board.live.x0, y, Phrase::of(head, Style::new(TextFace::Semibold, size)));
    board.begin(Kind::Paragraph);
    let text = paragraph(
        Whose::Drill(field),
        words,
        Style::new(TextFace::Regular, size),
        size,
        width,
        MOST_LINES,
    )?;
    Ok(lines(board, left, y, &text) - BETWEEN * size)
}

/// A row for each key: its page, and room to write down how far it has come.
fn draw_table(board: &mut Board, plan: &DocumentPlan<'_>, chapter: &Chapter<'_>, top: f64) {
    let live = board.live;
    let head = Style::new(TextFace::Semibold, plan.page.sizes.note);
    let whole: f64 = COLUMNS.iter().map(|(_, share)| share).sum();
    let width = live.width() - KEY_COLUMN - PAGE_COLUMN;
    let table = Table::begin(board);
    board.from(live.x0, top, Phrase::of("Key", head));
    board.from(live.x0 + KEY_COLUMN, top, Phrase::of("Page", head));
    let mut x = live.x0 + KEY_COLUMN + PAGE_COLUMN;
    for (title, share) in COLUMNS {
        board.from(x, top, Phrase::of(title, head));
        // On a narrow page heads need more than their share, and the last column gives it.
        let needed = typeset::width(head.face, title, head.size) + HEAD_GAP * head.size;
        x += (width * share / whole).max(needed);
    }
    let mut y = top - 2.2 * MM;
    table.head_rule(board, y);
    let room = y - live.y0 - 7.0 * MM;
    let height = (room / chapter.exercise.keys.len().max(1) as f64).min(HIGHEST_ROW);
    let name = Style::new(TextFace::Semibold, plan.page.sizes.body + 1.0);
    let number = Style::new(TextFace::Regular, plan.page.sizes.body);
    for (index, key) in plan.keys(chapter).into_iter().enumerate() {
        let page = chapter.key_page(index);
        let line = y - height / 2.0 - typeset::cap_height(name.face, name.size) / 2.0;
        Table::row(board, format!("{}, page {}", key.words(), plan.number(page)));
        board.from(live.x0, line, Phrase::of(&key.tonic().to_string(), name));
        let shown = Phrase::of(&plan.number(page).to_string(), number);
        board.from(live.x0 + KEY_COLUMN, line, shown);
        let right = live.x0 + KEY_COLUMN + PAGE_COLUMN;
        board.link(table.area(y - height, y, right), page, key.words());
        y -= height;
        table.row_rule(board, y);
    }
}
