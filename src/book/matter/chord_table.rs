//! The pages of the tables of spelled chords.

use crate::book::matter::contents::heading;
use crate::book::plan::Plan;
use crate::book::sheet::foot;
use crate::book::spelled::MOST_CHORDS;
use crate::canvas::Page;
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::drill::ChordPlan;
use crate::theory::{Key, NumeralStyle, chord_symbol};
use crate::typeset::TextFace;
use crate::typeset::line::{Phrase, Style};

/// Width of the column of keys.
const KEY_COLUMN: f64 = 15.0 * MM;
/// Highest row.
const HIGHEST_ROW: f64 = 20.0 * MM;
/// White between the notes of a chord, in ems, and in the wider columns of a wide page.
const NOTE_GAP: f64 = 0.36;
const WIDE_NOTE_GAP: f64 = 0.62;
/// How much larger the type of a wide page is, in points.
const WIDE_GROWTH: f64 = 1.0;

/// The fewest chords of a table that take its whole width.
const FEWEST: usize = 5;

/// Lays out the table at an index of the document's.
pub(crate) fn lay_out(plan: &Plan<'_>, index: usize) -> Page {
    let page = plan.chords_page(index);
    let table = &plan.tables[index];
    let mut board = plan.board(page);
    let live = board.live;
    let sizes = &plan.page.sizes;
    let mut y = heading(&mut board, plan, &table.title);
    let keys: Vec<Key> = plan.keys_in(table.mode);
    let ruled = Table::begin(&mut board);
    let look = plan.options.look;
    // The columns of a table need their heads.
    let numerals = match look.numerals {
        NumeralStyle::Off => NumeralStyle::On,
        chosen => chosen,
    };
    for (place, chord) in table.chords.iter().enumerate() {
        let parts = chord.numeral.parts(numerals, look.symbols);
        let phrase = Phrase::harmony(&parts, Style::new(TextFace::Regular, sizes.body + 1.0));
        let left = column(&board, place, table.chords.len());
        board.from(left, y, phrase);
    }
    y -= 2.6 * MM;
    ruled.head_rule(&mut board, y);
    let bottom = live.y0 + 7.0 * MM;
    let height = ((y - bottom) / keys.len() as f64).min(HIGHEST_ROW);
    for (index, key) in keys.iter().enumerate() {
        Table::row(&mut board, key.words());
        if index > 0 {
            ruled.row_rule(&mut board, y);
        }
        draw_row(&mut board, plan, (*key, &table.chords), y, height);
        y -= height;
    }
    foot::draw_folio(&mut board, plan, page);
    board.finish()
}

/// The left end of the column at a place, of so many.
fn column(board: &Board, place: usize, count: usize) -> f64 {
    let width = (board.live.width() - KEY_COLUMN) / count.clamp(FEWEST, MOST_CHORDS) as f64;
    board.live.x0 + KEY_COLUMN + width * place as f64
}

/// A key and its chords: the symbol of each, and its notes below.
fn draw_row(
    board: &mut Board,
    plan: &Plan<'_>,
    (key, chords): (Key, &[ChordPlan]),
    top: f64,
    height: f64,
) {
    let sizes = &plan.page.sizes;
    let (growth, gap) = if plan.is_wide() { (WIDE_GROWTH, WIDE_NOTE_GAP) } else { (0.0, NOTE_GAP) };
    let notes = Style::new(TextFace::Regular, sizes.note + 0.5 + growth);
    let name = Style::new(TextFace::Bold, sizes.drill);
    let symbols = Style::new(TextFace::Semibold, sizes.body + 1.5 + growth);
    let middle = top - height / 2.0;
    let (symbol_line, note_line) = (middle + 0.3 * sizes.body, middle - 1.1 * sizes.note);
    board.from(board.live.x0, symbol_line, Phrase::of(&key.tonic().to_string(), name));
    for (place, chord) in chords.iter().enumerate() {
        let chord = chord.in_key(key);
        let left = column(board, place, chords.len());
        let parts = chord_symbol(chord, plan.options.look.symbols);
        board.from(left, symbol_line, Phrase::harmony(&parts, symbols));
        let mut spelled = Phrase::default();
        for note in chord.notes() {
            spelled.note(note, notes);
            spelled.space(gap * notes.size);
        }
        board.from(left, note_line, spelled);
    }
}
