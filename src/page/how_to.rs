//! How to practise: the steps, and how to keep the hands well.

use super::board::Board;
use super::book::{self, Plan};
use super::canvas::Page;
use super::contents::heading;
use super::error::PageError;
use super::fit::paragraph;
use super::foot;
use super::header::{leading, lines};
use super::phrase::{Phrase, Style};
use crate::text::TextFace;

/// What to do, in order: a side head and its text.
const STEPS: [(&str, &str); 7] = [
    (
        "Name it",
        "Away from the keys, read the row of the new key in the table of chords and say the four \
         notes of each chord aloud.",
    ),
    (
        "One hand",
        "Left hand alone: every chord slowly, all four notes sounding as one. Then right hand \
         alone, evenly, with the fingers that are printed; where none are, those of the chord \
         before.",
    ),
    (
        "Count",
        "Tap the line between the staves before you play it: the upper wedges with one hand, the \
         lower ones with the other, your voice on every count.",
    ),
    (
        "Both hands",
        "Begin at the first tempo at the foot of the sheet, or slower. A run is clean when every note and \
         every chord is right, in time, and easy.",
    ),
    (
        "Climb",
        "After three clean runs in a row tick the box and take the next tempo. After two stumbles \
         in a row go back one box and be glad of it: speed comes from ease.",
    ),
    (
        "Go round",
        "Take two or three keys a day, a few minutes each, and follow the arrow on the ring. No key \
         need be perfect before the next is opened.",
    ),
    (
        "Write it down",
        "One line of the practice log for each key of the day: the clean tempo, and one thing to \
         mend.",
    ),
];

/// The last step where there are several drills.
const NEXT_DRILL: (&str, &str) = (
    "Move on",
    "When every key of a drill is clean at its first tempo, open the next drill. Keep one key of an \
     old one for each day, so that nothing is lost.",
);

/// What to beware of: a side head and its text.
const CAUTIONS: [(&str, &str); 4] = [
    (
        "Pain",
        "Stop at once if anything hurts, tingles or goes numb, and rest. If it comes back, tell \
         your teacher and ask a doctor before you go on.",
    ),
    (
        "Strain",
        "Shoulders low, wrists loose, thumbs light. If the forearm hardens, slow down; never play \
         through it.",
    ),
    (
        "Wide chords",
        "If a chord is wider than your hand, do not stretch for it: leave out its fifth, or roll \
         it from the bottom. Small hands play this music well.",
    ),
    (
        "Breaks",
        "Let the hands rest for a few minutes at least every twenty. Short and daily is better \
         than long and seldom.",
    ),
];

/// Who has the last word.
const LAST_WORD: &str = "A page cannot watch you play. Where your teacher or your doctor says \
     otherwise, they are right.";

/// Most lines of a paragraph; ours are shorter.
const MOST_LINES: usize = 8;

/// Lays out the page. Errors if words of ours cannot be shown, which the tests rule out.
pub(super) fn lay_out(plan: &Plan<'_>) -> Result<Page, PageError> {
    let page = plan.how_to_page();
    let mut board = plan.board(page);
    let size = size(plan);
    let mut y = heading(&mut board, plan, book::HOW_TO_TITLE);
    let last = plan.recipe.is_course().then_some(&NEXT_DRILL);
    for (number, (head, words)) in STEPS.iter().chain(last).enumerate() {
        y = entry(&mut board, plan, y, &format!("{}   {head}", number + 1), words)?;
    }
    y -= 1.8 * size;
    let style = Style::new(TextFace::Semibold, plan.page.sizes.drill);
    board.from(board.live.x0, y, Phrase::of("Look after your hands", style));
    y -= 2.1 * size;
    for (head, words) in CAUTIONS {
        y = entry(&mut board, plan, y, head, words)?;
    }
    entry(&mut board, plan, y, "", LAST_WORD)?;
    foot::draw_folio(&mut board, plan, page);
    Ok(board.finish())
}

/// The size of the text: the page has room for it, and it is read from a music stand.
fn size(plan: &Plan<'_>) -> f64 {
    plan.page.sizes.body + 1.0
}

/// A side head and its paragraph; returns the baseline of what follows.
fn entry(
    board: &mut Board,
    plan: &Plan<'_>,
    y: f64,
    head: &str,
    words: &str,
) -> Result<f64, PageError> {
    let size = size(plan);
    let column = plan.page.distances.label_column;
    let left = board.live.x0 + column;
    let width = board.live.width() - column;
    board.from(board.live.x0, y, Phrase::of(head, Style::new(TextFace::Semibold, size)));
    let style = Style::new(TextFace::Regular, size);
    let text = paragraph("how to practise", words, style, width, MOST_LINES)?;
    let next = lines(board, left, y, &text);
    Ok(next - 0.55 * leading(style))
}
