//! The foot of a sheet: what the counts say, the tempo ladder, the folio.

use kurbo::{Point, Rect};

use super::board::{Board, polygon};
use super::book::Plan;
use super::canvas::{Ink, Mark};
use super::paper::MM;
use super::phrase::{Phrase, Style};
use crate::engrave::{Role, rows, rules};
use crate::recipe::Counts;
use crate::score::{Count, Stroke};
use crate::text::{self, TextFace};
use crate::theory::{SeventhChord, chord_symbol};

/// From the baseline of the folio to that of the ladder, and on to that of the legend, in points.
const TO_LADDER: f64 = 8.0 * MM;
const TO_LEGEND: f64 = 7.6 * MM;
/// Side of the box of a rung.
const BOX: f64 = 3.3 * MM;
/// White between a box and its tempo.
const AFTER_BOX: f64 = 1.2 * MM;
/// Widest distance from one box to the next.
const WIDEST_RUNG: f64 = 16.0 * MM;
/// Thickness of its outline, in points.
const BOX_LINE: f64 = 0.7;

/// White in the legend after its name, after a sign, and before the next, in ems.
const AFTER_NAME: f64 = 0.8;
const AFTER_SIGN: f64 = 0.45;
const BETWEEN_SIGNS: f64 = 1.7;
/// White between the ladder's name and its first rung, in ems.
const BEFORE_RUNGS: f64 = 1.2;

/// How high the foot reaches above the lower margin.
pub(super) fn height(plan: &Plan<'_>) -> f64 {
    let legend = if shows_legend(plan) { TO_LEGEND } else { 0.0 };
    TO_LADDER + legend + text::cap_height(TextFace::Semibold, plan.page.sizes.note)
}

/// How high the folio alone reaches above the lower margin.
pub(super) fn folio_height(plan: &Plan<'_>) -> f64 {
    text::cap_height(TextFace::Regular, plan.page.sizes.folio)
}

fn shows_legend(plan: &Plan<'_>) -> bool {
    plan.recipe.counts != Counts::None
}

/// Draws the foot of a sheet.
pub(super) fn draw(board: &mut Board, plan: &Plan<'_>, counts: &[Count]) {
    let live = board.live;
    let size = plan.page.sizes.note;
    let ladder = live.y0 + TO_LADDER;
    let name = Phrase::of("Tick after three clean runs", Style::new(TextFace::Semibold, size));
    let left = live.x0 + name.width() + BEFORE_RUNGS * size;
    board.from(live.x0, ladder, name);
    draw_rungs(board, plan, Point::new(left, ladder));
    if shows_legend(plan) {
        board.from(live.x0, ladder + TO_LEGEND, legend(counts, size, plan.space()));
    }
}

/// The rungs: a box and a tempo each, evenly apart.
fn draw_rungs(board: &mut Board, plan: &Plan<'_>, at: Point) {
    let style = Style::new(TextFace::Regular, plan.page.sizes.note);
    let last = BOX + AFTER_BOX + text::width(style.face, "208", style.size);
    let gaps = plan.rungs.len().saturating_sub(1).max(1) as f64;
    let column = ((board.live.x1 - at.x - last) / gaps).min(WIDEST_RUNG);
    let middle = at.y + text::cap_height(style.face, style.size) / 2.0;
    for (place, tempo) in plan.rungs.iter().enumerate() {
        let left = at.x + column * place as f64;
        let frame = Rect::new(left, middle - BOX / 2.0, left + BOX, middle + BOX / 2.0)
            .inset(-BOX_LINE / 2.0);
        let corners = [
            Point::new(frame.x0, frame.y0),
            Point::new(frame.x1, frame.y0),
            Point::new(frame.x1, frame.y1),
            Point::new(frame.x0, frame.y1),
        ];
        board.mark(Mark::Stroke { path: polygon(&corners), width: BOX_LINE, ink: Ink::Black });
        board.from(left + BOX + AFTER_BOX, at.y, Phrase::of(&tempo.to_string(), style));
    }
}

/// What the signs about the counts mean, as far as they occur; the signs as the engraver draws
/// them.
fn legend(counts: &[Count], size: f64, space: f64) -> Phrase {
    let style = Style::new(TextFace::Regular, size);
    let [width, height, _] = rules::WEDGE.map(|length| length * space);
    let [tail, thickness] = rules::WEDGE_TAIL.map(|length| length * space);
    let middle = text::x_height(style.face, size) / 2.0;
    let wedge = |sign: f64| {
        let (base, tip) = (middle - sign * height / 2.0, middle + sign * height / 2.0);
        let corners =
            [Point::new(0.0, base), Point::new(width, base), Point::new(width / 2.0, tip)];
        let mut phrase = Phrase::default();
        phrase.drawing(Mark::Fill { path: polygon(&corners), ink: Ink::Black }, width);
        phrase
    };
    let pushed = || {
        let y = middle + height / 2.0 - thickness / 2.0;
        let (from, to) = (Point::new(width / 2.0, y), Point::new(width / 2.0 + tail, y));
        let mut phrase = Phrase::default();
        phrase.drawing(Mark::Line { from, to, width: thickness, ink: Ink::Black }, 0.0);
        phrase.phrase(wedge(-1.0));
        phrase.space(tail - width / 2.0);
        phrase
    };
    let struck = |stroke| counts.iter().any(|count| count.left == stroke);
    let right = |count: &Count| count.right != Stroke::None;
    let rows = [
        (counts.iter().any(right), wedge(1.0), "right hand strikes"),
        (struck(Stroke::Struck), wedge(-1.0), "left hand strikes"),
        (struck(Stroke::Pushed), pushed(), "left hand early, held over"),
        (counts.iter().any(Count::is_only_held), Phrase::of("(2)", style), "held, not struck"),
    ];
    let mut phrase = Phrase::of("Counts", Style::new(TextFace::Semibold, size));
    let mut before = AFTER_NAME * size;
    for (_, sign, words) in rows.into_iter().filter(|(occurs, ..)| *occurs) {
        phrase.space(before);
        phrase.phrase(sign);
        phrase.space(AFTER_SIGN * size);
        phrase.words(words, style);
        before = BETWEEN_SIGNS * size;
    }
    phrase
}

/// Beside the page number: which left-hand chords lie low, and what may be played instead.
///
/// A shell of root and seventh keeps within the low-interval limits wherever the left hand goes,
/// and the right hand spells the rest of the chord (common practice, no source).
pub(super) fn draw_low_chords(
    board: &mut Board,
    plan: &Plan<'_>,
    page: usize,
    low: &[SeventhChord],
) {
    let Some((last, others)) = low.split_last() else { return };
    let size = plan.page.sizes.folio;
    let style = Style::new(TextFace::Italic, size);
    let mut phrase = Phrase::default();
    let symbol = |phrase: &mut Phrase, chord: &SeventhChord| {
        let parts = chord_symbol(*chord, plan.recipe.symbols);
        phrase.setting(&rows::set(&parts, Role::Symbol, 1.0, TextFace::Regular), size);
    };
    for (index, chord) in others.iter().enumerate() {
        if index > 0 {
            phrase.words(", ", style);
        }
        symbol(&mut phrase, chord);
    }
    if !others.is_empty() {
        phrase.words(" and ", style);
    }
    symbol(&mut phrase, last);
    let lie = if others.is_empty() { " lies" } else { " lie" };
    let words =
        format!("{lie} low for the left hand; if the sound is thick, play root and seventh alone.");
    phrase.words(&words, style);
    let live = board.live;
    if page.is_multiple_of(2) {
        board.from(live.x0, live.y0, phrase);
    } else {
        board.to(live.x1, live.y0, phrase);
    }
}

/// The page number, in the outer corner of a sheet printed on both sides.
pub(super) fn draw_folio(board: &mut Board, plan: &Plan<'_>, page: usize) {
    let style = Style::new(TextFace::Regular, plan.page.sizes.folio);
    let phrase = Phrase::of(&plan.label(page), style);
    let live = board.live;
    // The first page of a document is a right-hand one.
    if page.is_multiple_of(2) {
        board.to(live.x1, live.y0, phrase);
    } else {
        board.from(live.x0, live.y0, phrase);
    }
}
