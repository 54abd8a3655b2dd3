//! The return slip: what was practised, to be cut off, filled in and handed back.
//!
//! Its boxes stand in the order of the columns of a class list: name, drill, keys, tempo, date, then
//! what the student writes. It stands at the foot of a handout, or with others on pages of its own.

use kurbo::{Point, Rect};

use crate::book::error::{PageError, Whose};
use crate::book::plan::{Chapter, DocumentPlan};
use crate::book::sheet::leading::leading;
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::{Ink, Kind};
use crate::source::RecipeField;
use crate::theory::Key;
use crate::typeset::fit::{Fitted, Unfit, paragraph};
use crate::typeset::line::{Phrase, Style, in_lines};
use crate::typeset::{self, TextFace};

/// What is filled in, and its share of the width.
const FILLED: [(&str, f64); 5] =
    [("Name", 3.4), ("Drill", 3.8), ("Keys", 2.2), ("Tempo", 1.2), ("Date", 2.2)];
/// Where the keys stand among it.
const KEYS: usize = 2;
/// What the student writes, and its share of the width.
const WRITTEN: [(&str, f64); 3] = [("Clean tempo", 2.4), ("Went well", 2.8), (WRONG, 7.6)];
const WRONG: &str = "What went wrong";
/// What is ticked in the second of these.
const ANSWERS: [&str; 2] = ["yes", "no"];

/// Most lines of what is filled in.
const MOST_LINES: usize = 4;
/// White between two boxes.
const GAP: f64 = 4.0 * MM;
/// White above the cut, below it, and between the two rows.
const ABOVE_CUT: f64 = 4.0 * MM;
const BELOW_CUT: f64 = 4.5 * MM;
const BETWEEN_ROWS: f64 = 3.0 * MM;
/// From the head of a box to its first line, in ems of that line.
const TO_LINE: f64 = 1.35;
/// From the last line to the rule below it.
const TO_RULE: f64 = 1.4 * MM;
/// Room to write in, below a head.
const TO_WRITE: f64 = 8.5 * MM;
/// A dash of the cut, and the white after it.
const DASH: f64 = 2.4 * MM;
const AFTER_DASH: f64 = 1.8 * MM;
/// Side of a box to tick, white before its word, and from one to the next.
const BOX: f64 = 3.0 * MM;
const AFTER_BOX: f64 = 1.2 * MM;
const TO_NEXT_BOX: f64 = 11.0 * MM;

/// The slip of a drill, but for the keys.
#[derive(Clone, Debug)]
pub(crate) struct DrillSlip {
    /// The widths of the boxes that are filled in.
    widths: [f64; 5],
    /// What stands in them.
    filled: [Option<Fitted>; 5],
}

/// A slip with the keys it is for, ready to stand.
#[derive(Clone, Debug)]
pub(crate) struct KeyedSlip {
    slip: DrillSlip,
    keys: Vec<Phrase>,
    /// From its lower edge to the cut and the white above that, in points.
    pub(crate) height: f64,
}

impl DrillSlip {
    /// Sets the words of a drill's slips. Errors where they cannot stand.
    pub(crate) fn new(plan: &DocumentPlan<'_>, chapter: &Chapter<'_>) -> Result<Self, PageError> {
        let (title, words) = plan.sheet_title(chapter);
        let options = plan.options;
        let tempo = chapter.exercise.tempo.to_string();
        let words: [Option<(Whose, &str)>; 5] = [
            options.student.as_deref().map(|words| (Whose::Recipe(RecipeField::Student), words)),
            Some((title, &words)),
            None,
            Some((Whose::Recipe(RecipeField::Tempo), &tempo)),
            options.date.as_deref().map(|words| (Whose::Recipe(RecipeField::Date), words)),
        ];
        let least = plan.page.sizes.least_header;
        let own = |words: &str, size: f64| {
            let words = words.split_whitespace();
            words.map(|word| Phrase::of(word, value(size)).width()).fold(0.0, f64::max)
        };
        let keys = chapter.exercise.keys.iter().map(|key| named(*key, least).width());
        let keys = keys.fold(0.0, f64::max);
        let needs: [f64; 5] = std::array::from_fn(|column| match words[column] {
            Some((_, words)) => own(words, least),
            None if column == KEYS => keys,
            None => 0.0,
        });
        let widths = shared_out(plan.width(), needs).ok_or_else(|| {
            let widest = (0..needs.len()).max_by(|a, b| needs[*a].total_cmp(&needs[*b]));
            let whose = widest.and_then(|column| words[column]).map_or(title, |(whose, _)| whose);
            PageError::from(Unfit::TooLong { whose })
        })?;
        let size = plan.page.sizes.note;
        let mut filled: [Option<Fitted>; 5] = Default::default();
        for ((place, words), width) in filled.iter_mut().zip(words).zip(widths) {
            let Some((whose, words)) = words else { continue };
            *place = Some(paragraph(whose, words, value(size), least, width, MOST_LINES)?);
        }
        Ok(Self { widths, filled })
    }

    /// The slip of a sheet in some keys.
    pub(crate) fn of(&self, plan: &DocumentPlan<'_>, keys: &[Key]) -> KeyedSlip {
        let sizes = &plan.page.sizes;
        let set = |size: f64| {
            let all = keys.iter().map(|key| match keys {
                [_] => named(*key, size),
                _ => Phrase::of(&key.tonic().to_string(), value(size)),
            });
            in_lines(Phrase::default(), all.collect(), 0.5 * size, self.widths[KEYS])
        };
        let is_wide =
            |lines: &Vec<Phrase>| lines.iter().any(|line| line.width() > self.widths[KEYS] + 0.5);
        let mut lines = set(sizes.note);
        if is_wide(&lines) {
            lines = set(sizes.least_header);
        }
        let filled = self.filled.iter().flatten().map(|it| (it.lines.len(), it.style.size));
        let first = filled
            .chain([(lines.len(), sizes.note)])
            .map(|(lines, size)| TO_LINE * size + (lines.max(1) - 1) as f64 * leading(value(size)));
        let row = first.fold(0.0, f64::max);
        let rows = row + TO_RULE + BETWEEN_ROWS + 2.0 * head_height(plan) + TO_WRITE;
        let height = ABOVE_CUT + BELOW_CUT + rows + RULE;
        KeyedSlip { slip: self.clone(), keys: lines, height }
    }
}

impl KeyedSlip {
    /// Draws it with its upper edge, the white above the cut counted in, at a height.
    pub(crate) fn draw(self, board: &mut Board, plan: &DocumentPlan<'_>, top: f64) {
        let (left, right) = (board.live.x0, board.live.x1);
        let bottom = top - self.height + RULE / 2.0;
        let sizes = &plan.page.sizes;
        let cut = top - ABOVE_CUT;
        board.begin(Kind::Artifact);
        dashes(board, [left, right], cut);
        board.begin_described(Kind::Table, "a slip to be cut off and handed back");
        let head = Style::new(TextFace::Regular, sizes.folio);
        let mut x = left;
        let heads = cut - BELOW_CUT - typeset::cap_height(head.face, head.size);
        let written = bottom + TO_WRITE;
        let between = written + head_height(plan) + BETWEEN_ROWS;
        let DrillSlip { widths, filled } = self.slip;
        let mut keys = Some(self.keys);
        for (((title, _), words), width) in FILLED.into_iter().zip(&filled).zip(widths) {
            board.from(x, heads, Phrase::of(title, head));
            let (lines, size) = match words {
                Some(words) => (words.phrases().collect(), words.style.size),
                None if title == FILLED[KEYS].0 => (keys.take().unwrap_or_default(), sizes.note),
                None => (Vec::new(), sizes.note),
            };
            let mut y = heads - TO_LINE * size;
            for line in lines {
                board.from(x, y, line);
                y -= leading(value(size));
            }
            board.rule(x, x + width, between, RULE, Ink::Black);
            x += width + GAP;
        }
        let whole: f64 = WRITTEN.iter().map(|(_, share)| share).sum();
        let room = right - left - GAP * (WRITTEN.len() - 1) as f64;
        let mut x = left;
        for (title, share) in WRITTEN {
            let width = room * share / whole;
            board.from(x, written, Phrase::of(title, head));
            if title == WRITTEN[1].0 {
                boxes(board, Point::new(x, bottom + TO_RULE), value(sizes.note));
            } else {
                board.rule(x, x + width, bottom, RULE, Ink::Black);
            }
            x += width + GAP;
        }
    }
}

/// The style of what is filled in.
fn value(size: f64) -> Style {
    Style::new(TextFace::Semibold, size)
}

/// A key with its mode.
fn named(key: Key, size: f64) -> Phrase {
    Phrase::key(key, value(size), Style::new(TextFace::Regular, size))
}

/// The height of the heads over the boxes.
fn head_height(plan: &DocumentPlan<'_>) -> f64 {
    typeset::cap_height(TextFace::Regular, plan.page.sizes.folio)
}

/// The widths of the boxes that are filled in: by their shares, but none narrower than it needs to
/// be. `None` where they have no room together.
fn shared_out(width: f64, needs: [f64; 5]) -> Option<[f64; 5]> {
    let room = width - GAP * (FILLED.len() - 1) as f64;
    if needs.iter().sum::<f64>() > room {
        return None;
    }
    let mut is_given = [false; 5];
    loop {
        let given: f64 = (0..5).filter(|it| is_given[*it]).map(|it| needs[it]).sum();
        let shares: f64 = (0..5).filter(|it| !is_given[*it]).map(|it| FILLED[it].1).sum();
        let widths: [f64; 5] = std::array::from_fn(|column| match is_given[column] {
            true => needs[column],
            false => (room - given) * FILLED[column].1 / shares,
        });
        match (0..5).find(|it| !is_given[*it] && widths[*it] < needs[*it]) {
            Some(narrow) => is_given[narrow] = true,
            None => return Some(widths),
        }
    }
}

/// The line along which it is cut.
fn dashes(board: &mut Board, [left, right]: [f64; 2], y: f64) {
    // The dashes begin and end with the line.
    let count = ((right - left + AFTER_DASH) / (DASH + AFTER_DASH)).floor().max(1.0);
    let pitch = (right - left - DASH) / (count - 1.0).max(1.0);
    for nth in 0..count as usize {
        let from = left + pitch * nth as f64;
        board.rule(from, from + DASH, y, RULE, Ink::Black);
    }
}

/// The boxes to tick, side by side on a baseline.
fn boxes(board: &mut Board, at: Point, style: Style) {
    let style = Style { face: TextFace::Regular, ..style };
    let middle = at.y + typeset::x_height(style.face, style.size) / 2.0;
    for (nth, word) in ANSWERS.into_iter().enumerate() {
        let left = at.x + TO_NEXT_BOX * nth as f64;
        let frame = Rect::new(left, middle - BOX / 2.0, left + BOX, middle + BOX / 2.0);
        let frame = frame.inset(-RULE / 2.0);
        board.frame(frame, RULE);
        board.from(left + BOX + AFTER_BOX, at.y, Phrase::of(word, style));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_box_is_as_wide_as_it_needs_to_be() {
        let mut seed = 1_u32;
        let mut number = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(seed / 65_536 % 160)
        };
        let (mut shared, mut refused) = (0, 0);
        for _ in 0..2000 {
            let needs = [number(), number(), number(), number(), number()];
            let room = 400.0 - 4.0 * GAP;
            match shared_out(400.0, needs) {
                None => {
                    assert!(needs.iter().sum::<f64>() > room, "{needs:?}");
                    refused += 1;
                }
                Some(widths) => {
                    let is_met = |(need, width): (&f64, &f64)| *width >= need - 1e-9;
                    assert!(needs.iter().zip(&widths).all(is_met), "{needs:?} in {widths:?}");
                    assert!((widths.iter().sum::<f64>() - room).abs() < 1e-6, "{widths:?}");
                    shared += 1;
                }
            }
        }
        assert!(shared > 200 && refused > 200, "{shared} and {refused}");
    }
}
