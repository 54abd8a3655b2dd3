//! The tables of chords: the seven sevenths of each key, spelled, and the chords that lead to them.

use crate::book::matter::contents::heading;
use crate::book::plan::Plan;
use crate::book::sheet::foot;
use crate::canvas::Page;
use crate::canvas::board::Board;
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::drill::{ChordPlan, Degree, Exercise, Leading};
use crate::theory::{Key, Mode, chord_symbol};
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

/// The title of the tables.
const TITLE: &str = "The chords, spelled";
/// The most chords of a table, and the fewest that take its whole width.
const COLUMNS: usize = 7;
const FEWEST: usize = 5;

/// A table of chords, each of them in every key.
#[derive(Clone, Debug)]
pub(crate) struct ChordTable {
    pub(crate) title: String,
    mode: Mode,
    chords: Vec<ChordPlan>,
}

/// The tables that explain the chords of drills: the degrees of each mode that they are in, then
/// the chords that lead to degrees.
pub(crate) fn of(exercises: &[Exercise]) -> Vec<ChordTable> {
    let passages = || exercises.iter().flat_map(|exercise| &exercise.template.passages);
    let mut modes: Vec<Mode> = Vec::new();
    for passage in passages() {
        if !modes.contains(&passage.mode) {
            modes.push(passage.mode);
        }
    }
    let mut tables: Vec<ChordTable> = Vec::new();
    for mode in &modes {
        let degrees = (1..=COLUMNS as i32).map(|number| Degree { number, leading: None });
        let chords = degrees.filter_map(|degree| degree.chord(*mode)).collect();
        tables.push(ChordTable { title: mode.words().to_owned(), mode: *mode, chords });
    }
    for (mode, leading) in modes.iter().flat_map(|mode| LEADING.map(|leading| (*mode, leading))) {
        let mut chords: Vec<ChordPlan> = Vec::new();
        let own = passages().filter(|passage| passage.mode == mode);
        let degrees = own.flat_map(|passage| &passage.degrees);
        for degree in degrees.filter(|degree| degree.leading == Some(leading)) {
            let chord = degree.chord(mode);
            let is_new = |chord: &ChordPlan| chords.iter().all(|own| own.numeral != chord.numeral);
            chords.extend(chord.filter(is_new));
        }
        chords.sort_by_key(|chord| chord.numeral.of);
        let words = match leading {
            Leading::Dominant => "secondary dominants",
            Leading::LeadingTone => "leading-tone sevenths",
        };
        let words = match mode {
            Mode::Major => words.to_owned(),
            _ => format!("{words}, {}", mode.words()),
        };
        for some in chords.chunks(COLUMNS) {
            tables.push(ChordTable { title: words.clone(), mode, chords: some.to_vec() });
        }
    }
    let is_alone = tables.len() == 1;
    for table in &mut tables {
        table.title = if is_alone { TITLE.to_owned() } else { format!("{TITLE}: {}", table.title) };
    }
    tables
}

/// The chords that lead to a degree, in the order of their tables.
const LEADING: [Leading; 2] = [Leading::Dominant, Leading::LeadingTone];

/// Lays out the table at an index of the document's.
pub(crate) fn lay_out(plan: &Plan<'_>, index: usize) -> Page {
    let page = plan.chords_page(index);
    let table = &plan.tables[index];
    let mut board = plan.board(page);
    let live = board.live;
    let sizes = &plan.page.sizes;
    let mut y = heading(&mut board, plan, &table.title);
    let keys: Vec<Key> = plan.options.keys.iter().map(|key| key.in_mode(table.mode)).collect();
    let ruled = Table::begin(&mut board);
    for (place, chord) in table.chords.iter().enumerate() {
        let parts = chord.numeral.parts(plan.options.look.symbols);
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
    let width = (board.live.width() - KEY_COLUMN) / count.clamp(FEWEST, COLUMNS) as f64;
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
