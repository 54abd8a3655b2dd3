//! The contents of a workbook.

use kurbo::Rect;

use super::board::{Board, GUIDE, HAIRLINE, RULE};
use super::book::{self, CONTENTS, DRILL_TITLE, Part, Plan, key_words};
use super::canvas::{Ink, Page};
use super::error::PageError;
use super::fit::fit;
use super::foot;
use super::header::lines;
use super::paper::MM;
use super::phrase::{Phrase, Style};
use crate::text::{self, TextFace};
use crate::theory::Key;

/// From one line to the next, in ems.
const PITCH: f64 = 2.05;
/// White between groups, in ems.
const GROUP_GAP: f64 = 1.3;
/// From a key to its signature in words.
const SIGNATURES: f64 = 26.0 * MM;
/// White between the lowest line and the number of the page.
const ABOVE_FOLIO: f64 = 8.0 * MM;

/// The columns of the table of drills: numbers, and page numbers.
const NUMBER_COLUMN: f64 = 8.0 * MM;
const PAGE_COLUMN: f64 = 8.4 * MM;
/// White between a drill's title and its page.
const AFTER_TITLE: f64 = 2.0 * MM;
/// Smallest type of a drill's title, in points, and how many lines it may take.
const LEAST_TITLE: f64 = 7.5;
const TITLE_LINES: usize = 2;
/// Height of a row of that table, in ems: enough for two lines.
const ROW: f64 = 2.5;

/// Draws the heading of a page without music; returns the baseline of its first line of text.
pub(super) fn heading(board: &mut Board, plan: &Plan<'_>, words: &str) -> f64 {
    let style = Style::new(TextFace::Bold, plan.page.sizes.heading);
    let y = board.live.y1 - text::cap_height(style.face, style.size);
    board.from(board.live.x0, y, Phrase::of(words, style));
    y - 16.0 * MM
}

/// The signature of a key in words.
fn signature(key: Key) -> String {
    match key.fifths() {
        0 => "no sharps or flats".to_owned(),
        1 => "1 sharp".to_owned(),
        -1 => "1 flat".to_owned(),
        sharps @ 2.. => format!("{sharps} sharps"),
        flats => format!("{} flats", -flats),
    }
}

/// Something that stands on one line of the contents.
enum Line {
    /// The title of a group: it stands beside or, for a table, above what follows.
    Group(&'static str),
    /// A table's head: the keys of its columns.
    TableHead,
    /// A row of the table: the drill at an index.
    Drill(usize),
    /// What, a leader, the page.
    Entry(Phrase, usize, String),
    /// White below a group.
    Gap,
}

impl Line {
    /// How far below it the next line stands, in ems.
    fn height(&self) -> f64 {
        match self {
            Self::Group(_) => 0.0,
            Self::TableHead => PITCH,
            Self::Drill(_) => ROW,
            Self::Entry(..) => PITCH,
            Self::Gap => GROUP_GAP,
        }
    }
}

/// The size of the type.
fn size(plan: &Plan<'_>) -> f64 {
    plan.page.sizes.body + 1.0
}

/// All lines of the contents.
fn all(plan: &Plan<'_>) -> Vec<Line> {
    let regular = Style::new(TextFace::Regular, size(plan));
    let page = |title: &str, page| Line::Entry(Phrase::of(title, regular), page, title.to_owned());
    let mut first = vec![page(book::HOW_TO_TITLE, plan.how_to_page())];
    for (index, mode) in plan.modes.iter().enumerate() {
        first.push(page(&plan.chords_title(*mode), plan.chords_page(index)));
    }
    let mut then = Vec::new();
    for log in &plan.logs {
        let before = plan.parts.first().is_some_and(|part| *log < part.start());
        let group = if before { &mut first } else { &mut then };
        group.push(page(book::LOG_TITLE, *log));
    }
    let (title, drills) = if plan.recipe.is_course() {
        let rows = (0..plan.parts.len()).map(Line::Drill);
        ("The drills and their keys", std::iter::once(Line::TableHead).chain(rows).collect())
    } else {
        ("The keys", keys(plan, &plan.parts[0]))
    };
    let mut all = Vec::new();
    for (title, lines) in [("First", first), (title, drills), ("Then", then)] {
        if !lines.is_empty() {
            all.push(Line::Group(title));
            all.extend(lines);
            all.push(Line::Gap);
        }
    }
    all
}

/// The keys of a drill, a line each.
fn keys(plan: &Plan<'_>, part: &Part<'_>) -> Vec<Line> {
    let size = size(plan);
    let (regular, semibold) =
        (Style::new(TextFace::Regular, size), Style::new(TextFace::Semibold, size));
    let line = |(index, key): (usize, &Key)| {
        let mut phrase = Phrase::key(*key, semibold, regular);
        phrase.space(SIGNATURES - phrase.width());
        phrase.words(&signature(*key), Style::new(TextFace::Italic, size));
        Line::Entry(phrase, part.key_page(index), key_words(part, *key))
    };
    plan.recipe.keys.iter().enumerate().map(line).collect()
}

/// The lines of each page: a page is full when the next line would reach its number.
fn paginated(plan: &Plan<'_>) -> Vec<Vec<Line>> {
    let mut scratch = plan.board(CONTENTS);
    let top = heading(&mut scratch, plan, "");
    let room = (top - scratch.live.y0 - ABOVE_FOLIO) / size(plan);
    let mut pages = vec![Vec::new()];
    let mut used = 0.0;
    for line in all(plan) {
        let stands = !matches!(line, Line::Group(_) | Line::Gap);
        if stands && used > room {
            let mut page = Vec::new();
            used = 0.0;
            if matches!(line, Line::Drill(_)) {
                page.push(Line::TableHead);
                used += Line::TableHead.height();
            }
            pages.push(page);
        }
        used += line.height();
        pages.last_mut().expect("there is a page from the start").push(line);
    }
    pages
}

/// How many pages the contents take.
pub(super) fn pages(plan: &Plan<'_>) -> usize {
    paginated(plan).len()
}

/// Lays out the contents. Errors where a drill's title cannot stand.
pub(super) fn lay_out(plan: &Plan<'_>) -> Result<Vec<Page>, PageError> {
    let pages = paginated(plan).into_iter().enumerate();
    pages.map(|(index, lines)| lay_out_page(plan, CONTENTS + index, lines)).collect()
}

fn lay_out_page(plan: &Plan<'_>, page: usize, lines: Vec<Line>) -> Result<Page, PageError> {
    let mut board = plan.board(page);
    let size = size(plan);
    let semibold = Style::new(TextFace::Semibold, size);
    let mut y = heading(&mut board, plan, book::CONTENTS_TITLE);
    let mut lines = lines.into_iter().peekable();
    while let Some(line) = lines.next() {
        let height = line.height() * size;
        match line {
            Line::Group(title) => {
                board.from(board.live.x0, y, Phrase::of(title, semibold));
                if matches!(lines.peek(), Some(Line::TableHead)) {
                    y -= PITCH * size;
                }
            }
            Line::TableHead => table_head(&mut board, plan, y),
            Line::Drill(index) => drill_row(&mut board, plan, &plan.parts[index], y)?,
            Line::Entry(phrase, target, about) => {
                entry(&mut board, plan, y, (phrase, target, about));
            }
            Line::Gap => {}
        }
        y -= height;
    }
    foot::draw_folio(&mut board, plan, page);
    Ok(board.finish())
}

/// One line: what, a leader, the page.
fn entry(
    board: &mut Board,
    plan: &Plan<'_>,
    y: f64,
    (phrase, target, about): (Phrase, usize, String),
) {
    let style = Style::new(TextFace::Regular, size(plan));
    let left = board.live.x0 + plan.page.distances.label_column;
    let right = board.live.x1;
    let number = Phrase::of(&plan.label(target), style);
    let from = left + phrase.width() + style.size * 0.6;
    // All leaders end where the widest page number would begin.
    let to = right - text::width(style.face, "000", style.size) - style.size * 0.4;
    board.rule(from, to, y, HAIRLINE, GUIDE);
    board.from(left, y, phrase);
    board.to(right, y, number);
    let area = Rect::new(left, y - 0.5 * style.size, right, y + 1.1 * style.size);
    board.link(area, target, about);
}

/// The right end of the column of a key's pages; of the drills' own pages for no key.
fn column(board: &Board, plan: &Plan<'_>, key: Option<usize>) -> f64 {
    let columns_right = key.map_or(plan.recipe.keys.len(), |key| plan.recipe.keys.len() - 1 - key);
    board.live.x1 - PAGE_COLUMN * columns_right as f64
}

/// The head of the table: the keys.
fn table_head(board: &mut Board, plan: &Plan<'_>, y: f64) {
    let note = Style::new(TextFace::Regular, plan.page.sizes.note);
    let bold = Style::new(TextFace::Semibold, plan.page.sizes.body);
    board.to(column(board, plan, None), y, Phrase::of("Page", note));
    for (index, key) in plan.recipe.keys.iter().enumerate() {
        board.to(column(board, plan, Some(index)), y, Phrase::of(&key.tonic().to_string(), bold));
    }
    board.rule(board.live.x0, board.live.x1, y - 0.55 * size(plan), 2.0 * RULE, Ink::Black);
}

/// A row of the table: the drill and the pages of its keys.
fn drill_row(board: &mut Board, plan: &Plan<'_>, part: &Part<'_>, y: f64) -> Result<(), PageError> {
    let live = board.live;
    let semibold = Style::new(TextFace::Semibold, plan.page.sizes.body);
    let regular = Style::new(TextFace::Regular, plan.page.sizes.note);
    let pages = column(board, plan, None) - PAGE_COLUMN;
    let left = live.x0 + NUMBER_COLUMN;
    let width = pages - AFTER_TITLE - left;
    let title =
        fit(DRILL_TITLE, &part.drill.title, semibold, LEAST_TITLE, width, TITLE_LINES).map_err(
            |error| PageError::InDrill { drill: part.drill.name.clone(), error: Box::new(error) },
        )?;
    // Rows of one line stand in the middle of the room for two.
    let up = 0.66 * title.style.size * (title.lines.len() - 1) as f64;
    board.from(live.x0, y, Phrase::of(&part.number().to_string(), semibold));
    lines(board, left, y + up, &title);
    let (low, high) = (y - 0.75 * regular.size, y + 1.45 * regular.size);
    board.to(column(board, plan, None), y, Phrase::of(&plan.label(part.start()), semibold));
    let area = Rect::new(live.x0, low, column(board, plan, None), high);
    board.link(area, part.start(), part.drill.title.clone());
    for (index, key) in plan.recipe.keys.iter().enumerate() {
        let (right, page) = (column(board, plan, Some(index)), part.key_page(index));
        board.to(right, y, Phrase::of(&plan.label(page), regular));
        let area = Rect::new(right - PAGE_COLUMN + 1.0, low, right, high);
        board.link(area, page, key_words(part, *key));
    }
    board.rule(live.x0, live.x1, y - 0.95 * size(plan), HAIRLINE, GUIDE);
    Ok(())
}
