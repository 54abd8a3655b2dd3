//! The plan of a term: which drills and keys come in which week.

use kurbo::Rect;

use crate::book::error::PageError;
use crate::book::matter::contents::heading;
use crate::book::plan::{self, Chapter, DRILL_TITLE, DocumentPlan, in_drill};
use crate::book::sheet::foot;
use crate::book::sheet::header::leading;
use crate::canvas::Page;
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::theory::Key;
use crate::typeset::fit::{Fitted, fit};
use crate::typeset::line::{Phrase, Style, in_lines};
use crate::typeset::{self, TextFace};

/// Widths of the columns of weeks, of their first days, of page numbers and of boxes.
const WEEK: f64 = 12.0 * MM;
const DAY: f64 = 20.0 * MM;
const PAGE: f64 = 12.0 * MM;
const DONE: f64 = 9.0 * MM;
/// The share that keys have of what these leave; titles of drills have the rest.
const KEYS: f64 = 0.42;
/// White between columns.
const GAP: f64 = 3.0 * MM;
/// White above the first line of a row and below its last one.
const PAD: f64 = 2.2 * MM;
/// Side of a box to tick.
const BOX: f64 = 3.3 * MM;
/// White between the last row and the page number.
const ABOVE_FOLIO: f64 = 7.0 * MM;
/// What stands in a week without anything new.
const AGAIN: &str = "Review of what came before";

/// What a week has of a drill: some of its keys, by their indices.
struct WeekPortion<'p, 'a> {
    chapter: &'p Chapter<'a>,
    keys: std::ops::Range<usize>,
}

/// The weeks of a term, each with what is new in it: as many keys in each as in any other, or one
/// more.
fn weeks<'p, 'a>(plan: &'p DocumentPlan<'a>, count: usize) -> Vec<Vec<WeekPortion<'p, 'a>>> {
    let all: usize = plan.chapters.iter().map(|chapter| chapter.exercise.keys.len()).sum();
    let week = |week: usize| {
        // The first one comes in the first week.
        let (from, to) = ((all * week).div_ceil(count), (all * (week + 1)).div_ceil(count));
        let mut first = 0;
        let mut portions = Vec::new();
        for chapter in &plan.chapters {
            let end = first + chapter.exercise.keys.len();
            let keys = from.max(first)..to.min(end);
            if keys.start < keys.end {
                portions.push(WeekPortion { chapter, keys: keys.start - first..keys.end - first });
            }
            first = end;
        }
        portions
    };
    (0..count).map(week).collect()
}

/// One line or more of a row: a drill and keys.
struct TermEntry {
    title: Fitted,
    keys: Vec<Phrase>,
    page: usize,
    about: String,
    height: f64,
}

/// The rows of the plan. Errors where a title has no room.
fn rows(plan: &DocumentPlan<'_>, count: usize) -> Result<Vec<Vec<TermEntry>>, PageError> {
    let sizes = &plan.page.sizes;
    let [titles, keys] = columns(plan).map(|column| column[1] - column[0]);
    let style = Style::new(TextFace::Semibold, sizes.note);
    let regular = Style::new(TextFace::Regular, sizes.note);
    let entry = |WeekPortion { chapter, keys: own }: WeekPortion<'_, '_>| {
        let title = plan.listed_title(chapter);
        let title = fit(DRILL_TITLE, &title, style, sizes.least_header, titles, 3)
            .map_err(|error| in_drill(error.into(), plan, chapter))?;
        let named = |key: &Key| Phrase::of(&key.tonic().to_string(), regular);
        let all: Vec<Phrase> = chapter.exercise.keys[own.clone()].iter().map(named).collect();
        let lines = in_lines(Phrase::default(), all, 0.7 * regular.size, keys);
        let height = lines.len().max(title.lines.len()) as f64 * leading(regular);
        let page = chapter.key_page(own.start);
        let about = chapter.exercise.keys[own.start].words();
        Ok(TermEntry { title, keys: lines, page, about, height })
    };
    let row = |portions: Vec<WeekPortion<'_, '_>>| portions.into_iter().map(entry).collect();
    weeks(plan, count).into_iter().map(row).collect()
}

/// The height of a row.
fn height(plan: &DocumentPlan<'_>, row: &[TermEntry]) -> f64 {
    let line = leading(Style::new(TextFace::Regular, plan.page.sizes.note));
    row.iter().map(|entry| entry.height).sum::<f64>().max(line) + 2.0 * PAD
}

/// The left and right ends of the columns of titles and of keys.
fn columns(plan: &DocumentPlan<'_>) -> [[f64; 2]; 2] {
    let (left, right) = (WEEK + DAY + 2.0 * GAP, plan.width() - PAGE - DONE - 2.0 * GAP);
    let keys = right - KEYS * (right - left);
    [[left, keys - GAP], [keys, right]]
}

/// How many rows each page has.
fn paginated(plan: &DocumentPlan<'_>, rows: &[Vec<TermEntry>]) -> Vec<std::ops::Range<usize>> {
    let mut board = plan.board(0);
    let room = heading(&mut board, plan, "") - 2.2 * MM - board.live.y0 - ABOVE_FOLIO;
    let mut pages: Vec<std::ops::Range<usize>> = Vec::new();
    let mut used = f64::INFINITY;
    for (index, row) in rows.iter().enumerate() {
        let own = height(plan, row);
        match pages.last_mut().filter(|_| used + own <= room) {
            Some(page) => page.end += 1,
            None => {
                pages.push(index..index + 1);
                used = 0.0;
            }
        }
        used += own;
    }
    pages
}

/// How many pages the plan takes; none where there is none. Errors where a title has no room.
pub(crate) fn pages(plan: &DocumentPlan<'_>) -> Result<usize, PageError> {
    match plan.options.term.filter(|_| plan.is_workbook()) {
        Some(weeks) => Ok(paginated(plan, &rows(plan, weeks)?).len()),
        None => Ok(0),
    }
}

/// Lays out a page of the plan. Errors where a title has no room.
pub(crate) fn lay_out(plan: &DocumentPlan<'_>, nth: usize, page: usize) -> Result<Page, PageError> {
    let mut board = plan.board(page);
    let live = board.live;
    let rows = rows(plan, plan.options.term.unwrap_or(1))?;
    let own = paginated(plan, &rows).into_iter().nth(nth).unwrap_or_default();
    let head = Style::new(TextFace::Semibold, plan.page.sizes.note);
    let mut y = heading(&mut board, plan, plan::TERM_TITLE);
    let table = Table::begin(&mut board);
    let [[titles, _], [keys, _]] = columns(plan);
    for (left, title) in [(0.0, "Week"), (WEEK + GAP, "Begins"), (titles, "Drill"), (keys, "Keys")]
    {
        board.from(live.x0 + left, y, Phrase::of(title, head));
    }
    board.to(live.x1 - DONE - GAP, y, Phrase::of("Page", head));
    board.to(live.x1, y, Phrase::of("Done", head));
    y -= 2.2 * MM;
    table.head_rule(&mut board, y);
    for (index, row) in rows.iter().enumerate().skip(own.start).take(own.len()) {
        let below = y - height(plan, row);
        draw_row(&mut board, plan, (index, row), [below, y]);
        y = below;
    }
    foot::draw_folio(&mut board, plan, page);
    Ok(board.finish())
}

fn draw_row(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    (index, row): (usize, &[TermEntry]),
    [below, above]: [f64; 2],
) {
    let live = board.live;
    let regular = Style::new(TextFace::Regular, plan.page.sizes.note);
    let [[titles, _], [keys, keys_end]] = columns(plan);
    let first = above - PAD - typeset::cap_height(regular.face, regular.size);
    let table = Table::row(board, format!("week {}", index + 1));
    board.from(live.x0, first, Phrase::of(&(index + 1).to_string(), regular));
    let mut y = first;
    if row.is_empty() {
        let style = Style::new(TextFace::Italic, regular.size);
        board.from(live.x0 + titles, y, Phrase::of(AGAIN, style));
    }
    for entry in row {
        for (line, phrase) in entry.title.phrases().enumerate() {
            board.from(live.x0 + titles, y - line as f64 * leading(entry.title.style), phrase);
        }
        for (line, phrase) in entry.keys.iter().enumerate() {
            board.from(live.x0 + keys, y - line as f64 * leading(regular), phrase.clone());
        }
        let number = Phrase::of(&plan.number(entry.page).to_string(), regular);
        let (left, right) = (live.x0 + keys_end, live.x1 - DONE - GAP);
        board.to(right, y, number);
        let area = Rect::new(left, y - 0.4 * regular.size, right, y + 0.9 * regular.size);
        board.link(area, entry.page, entry.about.clone());
        y -= entry.height;
    }
    let middle = first + typeset::cap_height(regular.face, regular.size) / 2.0;
    let frame = Rect::new(live.x1 - BOX, middle - BOX / 2.0, live.x1, middle + BOX / 2.0);
    let frame = frame.inset(-RULE / 2.0);
    board.frame(frame, RULE);
    table.row_rule(board, below);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{BookOptions, DocumentForm};
    use crate::drill::{Choices, Course, Exercise, Tempi, Template, library};

    /// Every key of every drill comes in one week, in order; no week has two keys more than another.
    #[test]
    fn every_key_comes_in_one_week_and_weeks_are_evenly_full() {
        let texts: Vec<(&str, &str)> = library::all().take(5).collect();
        for (drills, tonics) in [(1, 1), (1, 12), (3, 5), (5, 12)] {
            let keys: Vec<Key> = Key::majors().take(tonics).collect();
            let exercise = |(name, text): &(&str, &str)| {
                let drill = Template::parse(text, name).unwrap();
                let tempi = Tempi { tempo: 80, goal: None };
                Exercise::new(drill, &keys, tempi, Choices::default())
            };
            let course = Course { exercises: texts[..drills].iter().map(exercise).collect() };
            let options =
                BookOptions { form: DocumentForm::Workbook, ..BookOptions::handout(keys.clone()) };
            let plan = DocumentPlan::new(&course, &options);
            for count in 1..=40 {
                let weeks = weeks(&plan, count);
                assert_eq!(weeks.len(), count);
                let of = |week: &Vec<WeekPortion<'_, '_>>| -> Vec<(usize, usize)> {
                    let own = week.iter();
                    own.flat_map(|it| it.keys.clone().map(|key| (it.chapter.index, key))).collect()
                };
                let all: Vec<(usize, usize)> = weeks.iter().flat_map(of).collect();
                let expected: Vec<(usize, usize)> = (0..drills)
                    .flat_map(|drill| (0..keys.len()).map(move |key| (drill, key)))
                    .collect();
                assert_eq!(all, expected);
                assert!(!weeks[0].is_empty(), "the term begins with nothing");
                let sizes: Vec<usize> = weeks.iter().map(|week| of(week).len()).collect();
                let (most, least) = (sizes.iter().max(), sizes.iter().min());
                assert!(most.unwrap() - least.unwrap() <= 1, "{sizes:?}");
            }
        }
    }
}
