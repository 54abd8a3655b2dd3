//! The table of chords: the seven sevenths of each key, spelled.

use super::board::{Board, GUIDE, HAIRLINE, RULE};
use super::book::Plan;
use super::canvas::{Ink, Page};
use super::contents::heading;
use super::foot;
use super::paper::MM;
use super::phrase::{Phrase, Style};
use crate::engrave::Role;
use crate::engrave::rows;
use crate::text::TextFace;
use crate::theory::{Key, Mode, Numeral, Scale, SeventhChord, chord_symbol};

/// Width of the column of keys.
const KEY_COLUMN: f64 = 15.0 * MM;
/// Highest row.
const HIGHEST_ROW: f64 = 20.0 * MM;
/// White between the notes of a chord, in ems, and in the wider columns of a wide page.
const NOTE_GAP: f64 = 0.36;
const WIDE_NOTE_GAP: f64 = 0.62;
/// How much larger the type of a wide page is, in points.
const WIDE_GROWTH: f64 = 1.0;

/// Lays out the table of a mode, the one at an index of the document's.
pub(super) fn lay_out(plan: &Plan<'_>, index: usize, mode: Mode) -> Page {
    let page = plan.chords_page(index);
    let mut board = plan.board(page);
    let live = board.live;
    let sizes = &plan.page.sizes;
    let mut y = heading(&mut board, plan, &plan.chords_title(mode));
    let keys: Vec<Key> = plan.recipe.keys.iter().map(|key| key.in_mode(mode)).collect();
    let first = keys[0];
    for degree in 1..=7 {
        if let Some(chord) = chord(mode, first, degree) {
            let parts = Numeral {
                alter: scale(mode, first).alteration(degree),
                ..Numeral::new(degree, chord.quality)
            }
            .parts(plan.recipe.symbols);
            let setting = rows::set(&parts, Role::Numeral, 1.0, TextFace::Regular);
            let mut phrase = Phrase::default();
            phrase.setting(&setting, sizes.body + 1.0);
            board.from(column(&board, degree), y, phrase);
        }
    }
    y -= 2.6 * MM;
    board.rule(live.x0, live.x1, y, 2.0 * RULE, Ink::Black);
    let bottom = live.y0 + 7.0 * MM;
    let height = ((y - bottom) / keys.len() as f64).min(HIGHEST_ROW);
    for (index, key) in keys.iter().enumerate() {
        if index > 0 {
            board.rule(live.x0, live.x1, y, HAIRLINE, GUIDE);
        }
        draw_row(&mut board, plan, (*key, mode), y, height);
        y -= height;
    }
    foot::draw_folio(&mut board, plan, page);
    board.finish()
}

/// The chord on a degree of a key in a mode.
fn chord(mode: Mode, key: Key, degree: i32) -> Option<SeventhChord> {
    SeventhChord::diatonic(scale(mode, key), degree)
}

fn scale(mode: Mode, key: Key) -> Scale {
    Scale { tonic: key.tonic(), mode }
}

/// The left end of a degree's column.
fn column(board: &Board, degree: i32) -> f64 {
    let width = (board.live.width() - KEY_COLUMN) / 7.0;
    board.live.x0 + KEY_COLUMN + width * f64::from(degree - 1)
}

/// A key and its seven chords: the symbol, and its notes below.
fn draw_row(board: &mut Board, plan: &Plan<'_>, (key, mode): (Key, Mode), top: f64, height: f64) {
    let sizes = &plan.page.sizes;
    let (growth, gap) = if plan.is_wide() { (WIDE_GROWTH, WIDE_NOTE_GAP) } else { (0.0, NOTE_GAP) };
    let notes = Style::new(TextFace::Regular, sizes.note + 0.5 + growth);
    let name = Style::new(TextFace::Bold, sizes.drill);
    let middle = top - height / 2.0;
    let (symbol_line, note_line) = (middle + 0.3 * sizes.body, middle - 1.1 * sizes.note);
    board.from(board.live.x0, symbol_line, Phrase::of(&key.tonic().to_string(), name));
    for degree in 1..=7 {
        let Some(chord) = chord(mode, key, degree) else { continue };
        let left = column(board, degree);
        let parts = chord_symbol(chord, plan.recipe.symbols);
        let setting = rows::set(&parts, Role::Symbol, 1.0, TextFace::Semibold);
        let mut symbol = Phrase::default();
        symbol.setting(&setting, sizes.body + 1.5 + growth);
        board.from(left, symbol_line, symbol);
        let mut spelled = Phrase::default();
        for note in chord.notes() {
            spelled.note(note, notes);
            spelled.space(gap * notes.size);
        }
        board.from(left, note_line, spelled);
    }
}
