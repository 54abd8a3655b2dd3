//! Remarks at the foot of a sheet: where a voicing yielded, and what is wide for the hand.

use super::board::Board;
use super::book::Plan;
use super::phrase::{Phrase, Style};
use crate::engrave::{Role, rows};
use crate::score::{LeftOut, Score};
use crate::text::TextFace;
use crate::theory::{SeventhChord, chord_symbol};

/// Chords that are named one by one; more are counted.
const MOST_NAMED: usize = 4;

/// Beside the page number: which left-hand chords lost notes because they lie low, and which
/// chords are wider than is comfortable for the hand.
pub(super) fn draw(board: &mut Board, plan: &Plan<'_>, page: usize, score: &Score) {
    let (largest, least) = (plan.grown.sizes.folio, plan.page.sizes.folio);
    // The page number stands at the other end of the line.
    let room = plan.width() - 3.0 * largest;
    let sizes = [largest, (largest + least) / 2.0, least];
    let mut phrases = sizes.into_iter().filter_map(|size| remarks(plan, score, size));
    let Some(smallest) = phrases.next_back() else { return };
    let phrase = phrases.find(|phrase| phrase.width() <= room).unwrap_or(smallest);
    let live = board.live;
    if page.is_multiple_of(2) {
        board.from(live.x0, live.y0, phrase);
    } else {
        board.to(live.x1, live.y0, phrase);
    }
}

/// All remarks, in words of a size; `None` where there are none.
fn remarks(plan: &Plan<'_>, score: &Score, size: f64) -> Option<Phrase> {
    if score.low_chords.is_empty() && score.wide_chords.is_empty() {
        return None;
    }
    let style = Style::new(TextFace::Italic, size);
    let mut phrase = Phrase::default();
    for left_out in [LeftOut::Third, LeftOut::Fifth, LeftOut::Colour] {
        let own = score.low_chords.iter().filter(|(_, other)| *other == left_out);
        let own: Vec<SeventhChord> = own.map(|(chord, _)| *chord).collect();
        if own.is_empty() {
            continue;
        }
        if phrase.width() > 0.0 {
            phrase.space(size / 2.0);
        }
        phrase.words("Where ", style);
        let one = name(&mut phrase, plan, &own, style);
        let lie = if one { "lies" } else { "lie" };
        let words = format!(" {lie} low, the left hand leaves out the {}.", left_out.words());
        phrase.words(&words, style);
    }
    if !score.wide_chords.is_empty() {
        if phrase.width() > 0.0 {
            phrase.space(size / 2.0);
        }
        let one = name(&mut phrase, plan, &score.wide_chords, style);
        let words = if one {
            " is wide for this hand: roll it or leave a note out; stop where it strains."
        } else {
            " are wide for this hand: roll them or leave notes out; stop where it strains."
        };
        phrase.words(words, style);
    }
    Some(phrase)
}

/// Adds the names of chords, or how many they are; whether it is only one.
fn name(phrase: &mut Phrase, plan: &Plan<'_>, chords: &[SeventhChord], style: Style) -> bool {
    if chords.len() > MOST_NAMED {
        phrase.words(&format!("{} chords", chords.len()), style);
        return false;
    }
    for (index, chord) in chords.iter().enumerate() {
        let joint = match index {
            0 => "",
            _ if index + 1 == chords.len() => " and ",
            _ => ", ",
        };
        phrase.words(joint, style);
        let parts = chord_symbol(*chord, plan.recipe.symbols);
        let symbol = rows::set(&parts, Role::Symbol, 1.0, TextFace::Regular);
        phrase.setting(&symbol, style.size);
    }
    chords.len() == 1
}
