//! The contents of a workbook.

use kurbo::Rect;

use super::board::{Board, GUIDE, HAIRLINE};
use super::book::{self, CHORDS, CONTENTS, HOW_TO, Plan};
use super::canvas::Page;
use super::foot;
use super::paper::MM;
use super::phrase::{Phrase, Style};
use crate::text::{self, TextFace};
use crate::theory::Key;

/// From one line to the next, in ems: on an upright page, and on a wide one, whose two columns
/// need fewer lines.
const PITCH: f64 = 2.05;
const WIDE_PITCH: f64 = 2.6;
/// White between groups, in ems.
const GROUP_GAP: f64 = 1.3;

/// White between the columns of a wide page.
const COLUMN_GAP: f64 = 14.0 * MM;

/// From a key to its signature in words.
const SIGNATURES: f64 = 26.0 * MM;

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

/// Lays out the contents.
pub(super) fn lay_out(plan: &Plan<'_>) -> Page {
    let mut board = plan.board(CONTENTS);
    let size = plan.page.sizes.body + 1.0;
    let (regular, semibold) =
        (Style::new(TextFace::Regular, size), Style::new(TextFace::Semibold, size));
    let italic = Style::new(TextFace::Italic, size);
    let mut y = heading(&mut board, plan, book::CONTENTS_TITLE);
    let own = |words: &str| Phrase::of(words, regular);
    let keys = plan.recipe.keys.iter().enumerate().map(|(index, key)| {
        let mut phrase = Phrase::key(*key, semibold, regular);
        phrase.space(SIGNATURES - phrase.width());
        phrase.words(&signature(*key), italic);
        (phrase, plan.key_page(index), format!("{key} major"))
    });
    let page = |title: &str, page| (own(title), page, title.to_owned());
    let mut first = vec![page(book::HOW_TO_TITLE, HOW_TO), page(book::CHORDS_TITLE, CHORDS)];
    let mut then = Vec::new();
    let log = page(book::LOG_TITLE, plan.log_page());
    let group = if plan.log_page() < plan.first_key_page { &mut first } else { &mut then };
    group.push(log);
    let pitch = if plan.is_wide() { WIDE_PITCH } else { PITCH } * size;
    let groups = [("First", first), ("The keys", keys.collect()), ("Then", then)];
    for (title, rows) in groups {
        if rows.is_empty() {
            continue;
        }
        board.from(board.live.x0, y, Phrase::of(title, semibold));
        // On a wide page the rows of a group fill one column, then the other.
        let columns = columns(&board, plan);
        let deep = rows.len().div_ceil(columns.len());
        for (index, (phrase, target, about)) in rows.into_iter().enumerate() {
            let (left, right) = columns[index / deep];
            let y = y - pitch * (index % deep) as f64;
            row(&mut board, plan, (left, right, y), (phrase, target, about), regular);
        }
        y -= pitch * deep as f64 + GROUP_GAP * size;
    }
    foot::draw_folio(&mut board, plan, CONTENTS);
    board.finish()
}

/// The left and right ends of the columns that rows stand in: one, on a wide page two.
fn columns(board: &Board, plan: &Plan<'_>) -> Vec<(f64, f64)> {
    let left = board.live.x0 + plan.page.distances.label_column;
    let right = board.live.x1;
    if !plan.is_wide() {
        return vec![(left, right)];
    }
    let middle = (left + right) / 2.0;
    vec![(left, middle - COLUMN_GAP / 2.0), (middle + COLUMN_GAP / 2.0, right)]
}

/// One line between two ends, on a baseline: what, a leader, the page.
fn row(
    board: &mut Board,
    plan: &Plan<'_>,
    (left, right, y): (f64, f64, f64),
    (phrase, target, about): (Phrase, usize, String),
    style: Style,
) {
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
