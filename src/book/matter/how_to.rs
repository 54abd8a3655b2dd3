//! How to practise: the steps, and how to keep the hands well.

use crate::book::error::{PageError, Whose};
use crate::book::matter::contents::{below_heading, heading};
use crate::book::plan::{self, DocumentPlan};
use crate::book::sheet::foot;
use crate::book::sheet::header::{leading, lines};
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::canvas::{Kind, Page};
use crate::drill::Hands;
use crate::typeset::fit::paragraph;
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// What to do, in order: a side head and its text.
const STEPS: [(&str, &str); 7] = [
    (
        "Name it",
        "Away from the keys, read the row of the new key in the table of chords and say the four \
         notes of each chord aloud.",
    ),
    (
        "One hand",
        "Left hand alone: every chord slowly, all its notes sounding as one. Then right hand \
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

/// What stands in place of steps of these heads where one hand plays all that there is.
const LEFT_ALONE: [(&str, (&str, &str)); 2] = [
    (
        "One hand",
        (
            "One hand",
            "The left hand alone has these sheets: every chord slowly, all its notes sounding as \
             one.",
        ),
    ),
    ("Both hands", IN_TIME),
];
const RIGHT_ALONE: [(&str, (&str, &str)); 2] = [
    (
        "One hand",
        (
            "One hand",
            "The right hand alone has these sheets: slowly and evenly, with the fingers that are \
             printed; where none are, those of the chord before.",
        ),
    ),
    ("Both hands", IN_TIME),
];
const IN_TIME: (&str, &str) = (
    "In time",
    "Begin at the first tempo at the foot of the sheet, or slower. A run is clean when every note is \
     right, in time, and easy.",
);

/// The last step where there are several drills.
const NEXT_DRILL: (&str, &str) = (
    "Move on",
    "When every key of a drill is clean at its first tempo, open the next drill. Keep one key of an \
     old one for each day, so that nothing is lost.",
);

/// What stands in place of steps of these heads where a practice plan says what comes when.
const BY_PLAN: [(&str, (&str, &str)); 2] = [
    (
        "Go round",
        (
            "Go round",
            "Take the keys of the day as the practice plan has them, a few minutes each. No key need be \
             perfect before the next is opened.",
        ),
    ),
    (
        "Move on",
        (
            "Move on",
            "The plan lets the drills take turns: go on with its next day, whether or not a drill is \
             clean. What is not comes again, slower.",
        ),
    ),
];

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
        "If a chord is wider than your hand, do not stretch for it: leave out an inner note, or roll \
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

/// How much smaller each trial is than the one before, in points.
const STEP: f64 = 0.5;
/// Shares of a wide page's text columns: the steps need more of it than the cautions.
const STEPS_SHARE: f64 = 0.54;
/// Width of the side heads of a wide page's columns, and white between those columns.
const WIDE_LABELS: [f64; 2] = [36.0 * MM, 29.0 * MM];
const COLUMN_GAP: f64 = 14.0 * MM;
/// White between the text and the lower margin, where the page number stands.
const ABOVE_FOLIO: f64 = 7.0 * MM;

/// A column of side heads and paragraphs.
#[derive(Clone, Copy)]
struct TextColumn {
    left: f64,
    width: f64,
    /// Width of the side heads.
    labels: f64,
}

/// How many pages the steps and the cautions take: one, or on small paper one each.
pub(crate) fn pages(plan: &DocumentPlan<'_>) -> usize {
    let least = plan.page.sizes.note;
    let mut board = plan.board(plan.how_to_page());
    let last = draw(&mut board, plan, HowToSection::Both, least);
    if last.is_ok_and(|last| last < board.live.y0 + ABOVE_FOLIO) { 2 } else { 1 }
}

/// What stands on a page.
#[derive(Clone, Copy, PartialEq, Eq)]
enum HowToSection {
    Both,
    Steps,
    Cautions,
}

/// Lays out one of the pages. Errors if words of ours cannot be shown, which the tests rule out.
pub(crate) fn lay_out(plan: &DocumentPlan<'_>, nth: usize) -> Result<Page, PageError> {
    let sizes = &plan.grown.sizes;
    let page = plan.how_to_page() + nth;
    let part = match (plan.how_to, nth) {
        (1, _) => HowToSection::Both,
        (_, 0) => HowToSection::Steps,
        _ => HowToSection::Cautions,
    };
    // A little larger than running text, since it is read from a music stand; a page with less
    // room has it smaller.
    let mut size = sizes.body + 1.0;
    loop {
        let mut board = plan.board(page);
        let last = draw(&mut board, plan, part, size)?;
        if last >= board.live.y0 + ABOVE_FOLIO || size <= plan.page.sizes.note {
            foot::draw_folio(&mut board, plan, page);
            return Ok(board.finish());
        }
        size -= STEP;
    }
}

/// Draws a part at a size; returns the lowest baseline.
fn draw(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    part: HowToSection,
    size: f64,
) -> Result<f64, PageError> {
    let live = board.live;
    let head = Style::new(TextFace::Semibold, size);
    let heads = STEPS.iter().chain([&NEXT_DRILL]).map(|(head, _)| numbered(STEPS.len(), head));
    let widest = heads.map(|words| typeset::width(head.face, &words, size)).fold(0.0, f64::max);
    let labels = plan.page.distances.label_column.max(widest + AFTER_HEAD * size);
    let width = live.width().min(labels + LONGEST_LINE * size);
    let alone = TextColumn { left: live.x0, width, labels };
    if part == HowToSection::Cautions {
        let style = Style::new(TextFace::Bold, plan.page.sizes.heading);
        let first = live.y1 - typeset::cap_height(style.face, style.size);
        return cautions(board, plan, alone, (first, style), size);
    }
    let top = heading(board, plan, plan::HOW_TO_TITLE);
    if part == HowToSection::Steps {
        let gap = ENTRY_GAP * leading(Style::new(TextFace::Regular, size));
        return Ok(steps(board, plan, alone, top, size)? + gap);
    }
    let style = Style::new(TextFace::Semibold, plan.page.sizes.drill);
    if !plan.is_wide() {
        let column = TextColumn { width: live.width(), ..alone };
        let steps_end = steps(board, plan, column, top, size)?;
        return cautions(board, plan, column, (steps_end - AFTER_STEPS * size, style), size);
    }
    let [first_labels, second_labels] = WIDE_LABELS;
    let text = live.width() - COLUMN_GAP - first_labels - second_labels;
    let width = first_labels + STEPS_SHARE * text;
    let first = TextColumn { left: live.x0, width, labels: first_labels };
    let left = live.x0 + width + COLUMN_GAP;
    let second = TextColumn { left, width: live.x1 - left, labels: second_labels };
    let gap = ENTRY_GAP * leading(Style::new(TextFace::Regular, size));
    let lowest = steps(board, plan, first, top, size)? + gap;
    Ok(cautions(board, plan, second, (top, style), size)?.min(lowest))
}

/// The longest line of a column that has a page for itself, in ems: about 75 characters (common
/// practice in book design).
const LONGEST_LINE: f64 = 32.0;

/// White between entries, in lines, and between the steps and what follows them, in ems.
const ENTRY_GAP: f64 = 0.55;
const AFTER_STEPS: f64 = 1.8;

/// The side head of a step.
fn numbered(number: usize, head: &str) -> String {
    format!("{number}   {head}")
}

/// Least white after a side head, in ems.
const AFTER_HEAD: f64 = 0.8;

/// Draws the steps from a first baseline; returns the baseline of what follows.
fn steps(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    column: TextColumn,
    first: f64,
    size: f64,
) -> Result<f64, PageError> {
    let mut y = first;
    let last = plan.options.is_course.then_some(&NEXT_DRILL);
    let is_all = |hands| plan.chapters.iter().all(|chapter| plan.hands(chapter) == hands);
    let others = match (is_all(Hands::Left), is_all(Hands::Right)) {
        (true, _) => &LEFT_ALONE[..],
        (_, true) => &RIGHT_ALONE,
        _ => &[],
    };
    let by_plan = if plan.options.packet.is_some() { &BY_PLAN[..] } else { &[] };
    let told = |step| {
        let (head, _) = step;
        let mut others = others.iter().chain(by_plan);
        others.find(|(of, _)| *of == head).map_or(step, |(_, other)| *other)
    };
    let all = STEPS.iter().chain(last).copied().map(told);
    for (number, (head, words)) in all.enumerate() {
        y = entry(board, column, y, size, &numbered(number + 1, head), words)?;
    }
    Ok(y)
}

/// Draws the cautions below their heading, which has a style; returns the last baseline.
fn cautions(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    column: TextColumn,
    (first, style): (f64, Style),
    size: f64,
) -> Result<f64, PageError> {
    let is_title = style.size > plan.page.sizes.drill;
    board.begin(Kind::Heading(if is_title { 1 } else { 2 }));
    board.from(column.left, first, Phrase::of("Look after your hands", style));
    let first = if is_title { below_heading(first) + 2.1 * size } else { first };
    let mut y = first - 2.1 * size;
    for (head, words) in CAUTIONS {
        y = entry(board, column, y, size, head, words)?;
    }
    let y = entry(board, column, y, size, "", LAST_WORD)?;
    Ok(y + (1.0 + ENTRY_GAP) * leading(Style::new(TextFace::Regular, size)))
}

/// A side head and its paragraph; returns the baseline of what follows.
fn entry(
    board: &mut Board,
    column: TextColumn,
    y: f64,
    size: f64,
    head: &str,
    words: &str,
) -> Result<f64, PageError> {
    if !head.is_empty() {
        board.begin(Kind::Heading(3));
    }
    board.from(column.left, y, Phrase::of(head, Style::new(TextFace::Semibold, size)));
    board.begin(Kind::Paragraph);
    let style = Style::new(TextFace::Regular, size);
    let width = column.width - column.labels;
    let text = paragraph(Whose::Practice, words, style, size, width, MOST_LINES)?;
    let next = lines(board, column.left + column.labels, y, &text);
    Ok(next - ENTRY_GAP * leading(style))
}
