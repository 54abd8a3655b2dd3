//! The pages of the tables of spelled chords.

use kurbo::{Rect, Size};

use crate::book::matter::contents::heading;
use crate::book::plan::DocumentPlan;
use crate::book::sheet::foot;
use crate::book::spelled::{ChordTable, MOST_CHORDS};
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::canvas::{Ink, Page};
use crate::drill::{ChordPlan, spelled};
use crate::theory::{Chord, Key, NumeralStyle, chord_symbol};
use crate::typeset::TextFace;
use crate::typeset::line::{Phrase, Style};

/// Width of the column of keys, and the largest share of a page that it takes.
const KEY_COLUMN: f64 = 15.0 * MM;
const KEY_SHARE: f64 = 0.085;
/// Highest row.
const HIGHEST_ROW: f64 = 20.0 * MM;
/// White between the notes of a chord, in ems, and in the wider columns of a wide page.
const NOTE_GAP: f64 = 0.36;
const WIDE_NOTE_GAP: f64 = 0.62;
/// How much larger the type of a wide page is, in points.
const WIDE_GROWTH: f64 = 1.0;

/// How much smaller type that is too wide for its columns is set at each trial, and no smaller
/// than what, in points.
const STEP: f64 = 0.25;
const LEAST_SIZE: f64 = 6.5;

/// The largest em of symbols and of notes, as shares of the height of a row.
const MOST_OF_ROW: [f64; 2] = [0.45, 0.36];

/// The share of a column that a rule to write notes on takes, and how far below their baseline it
/// lies, in ems.
const BLANK_SHARE: f64 = 0.86;
const BLANK_DOWN: f64 = 0.15;

/// The fewest chords of a table that take its whole width.
const FEWEST: usize = 5;

/// Lays out the table at an index of the document's.
pub(crate) fn lay_out(plan: &DocumentPlan<'_>, index: usize) -> Page {
    let page = plan.chords_page(index);
    let table = &plan.tables[index];
    let mut board = plan.board(page);
    let live = board.live;
    let sizes = &plan.page.sizes;
    let mut y = heading(&mut board, plan, &table.title);
    let keys = &table.keys;
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
    let room = Size::new(column_width(&board, table.chords.len()), height);
    let styles = Styles::of(plan, keys, &table.chords, room);
    for (index, key) in keys.iter().enumerate() {
        Table::row(&mut board, key.words());
        if index > 0 {
            ruled.row_rule(&mut board, y);
        }
        let room = Rect::new(board.live.x0, y - height, board.live.x1, y);
        draw_row(&mut board, plan, styles, (*key, table), room);
        y -= height;
    }
    foot::draw_folio(&mut board, plan, page);
    board.finish()
}

/// The left end of the column at a place, of so many.
fn column(board: &Board, place: usize, count: usize) -> f64 {
    board.live.x0 + key_column(board) + column_width(board, count) * place as f64
}

/// The width of each of so many columns.
fn column_width(board: &Board, count: usize) -> f64 {
    (board.live.width() - key_column(board)) / count.clamp(FEWEST, MOST_CHORDS) as f64
}

fn key_column(board: &Board) -> f64 {
    KEY_COLUMN.min(KEY_SHARE * board.live.width())
}

/// The type of a table.
#[derive(Clone, Copy)]
struct Styles {
    symbols: Style,
    notes: Style,
    /// White between notes, in ems.
    gap: f64,
}

impl Styles {
    /// Type no larger than the room of a chord allows: one size for all symbols, one for all notes.
    fn of(plan: &DocumentPlan<'_>, keys: &[Key], chords: &[ChordPlan], room: Size) -> Self {
        let sizes = &plan.page.sizes;
        let (growth, gap) =
            if plan.is_wide() { (WIDE_GROWTH, WIDE_NOTE_GAP) } else { (0.0, NOTE_GAP) };
        let usual = Self {
            symbols: Style::new(TextFace::Semibold, sizes.body + 1.5 + growth),
            notes: Style::new(TextFace::Regular, sizes.note + 0.5 + growth),
            gap,
        };
        let widest = |size: f64, phrase: &dyn Fn(&Self, Chord) -> Phrase| {
            let own = Self {
                symbols: Style { size, ..usual.symbols },
                notes: Style { size, ..usual.notes },
                ..usual
            };
            let all = keys.iter().flat_map(|key| spelled(chords, *key));
            all.map(|chord| phrase(&own, chord).width()).fold(0.0, f64::max)
        };
        let fitting = |largest: f64, phrase: &dyn Fn(&Self, Chord) -> Phrase| {
            let sizes = (0..).map(|step| largest - STEP * f64::from(step));
            let mut sizes = sizes.take_while(|size| *size > LEAST_SIZE);
            sizes.find(|size| widest(*size, phrase) <= room.width).unwrap_or(LEAST_SIZE)
        };
        let symbol = |own: &Self, chord: Chord| {
            let mut phrase = own.symbol(plan, chord);
            phrase.space(0.5 * own.symbols.size);
            phrase
        };
        let [most_symbols, most_notes] = MOST_OF_ROW.map(|share| share * room.height);
        let symbols = fitting(usual.symbols.size.min(most_symbols), &symbol);
        let notes = fitting(usual.notes.size.min(most_notes), &|own, chord| own.spelled(chord));
        Self {
            symbols: Style { size: symbols, ..usual.symbols },
            notes: Style { size: notes, ..usual.notes },
            gap,
        }
    }

    fn symbol(&self, plan: &DocumentPlan<'_>, chord: Chord) -> Phrase {
        Phrase::harmony(&chord_symbol(chord, plan.options.look.symbols), self.symbols)
    }

    /// The notes of a chord, with white after each.
    fn spelled(&self, chord: Chord) -> Phrase {
        let mut spelled = Phrase::default();
        for note in chord.notes() {
            spelled.note(note, self.notes);
            spelled.space(self.gap * self.notes.size);
        }
        spelled
    }
}

/// A key and its chords: the symbol of each, and its notes below.
fn draw_row(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    styles: Styles,
    (key, table): (Key, &ChordTable),
    room: Rect,
) {
    let sizes = &plan.page.sizes;
    let name = Style::new(TextFace::Bold, sizes.drill);
    let middle = room.center().y;
    // Lower rows have their two lines nearer together.
    let near = (styles.symbols.size / (sizes.body + 1.5)).min(1.0);
    let (symbol_line, note_line) =
        (middle + 0.3 * near * sizes.body, middle - 1.1 * near * sizes.note);
    board.from(room.x0, symbol_line, Phrase::of(&key.tonic().to_string(), name));
    let count = table.chords.len();
    for (place, chord) in spelled(&table.chords, key).into_iter().enumerate() {
        let left = column(board, place, count);
        board.from(left, symbol_line, styles.symbol(plan, chord));
        if table.is_blank {
            let right = left + BLANK_SHARE * column_width(board, count);
            board.rule(left, right, note_line - BLANK_DOWN * styles.notes.size, RULE, Ink::Black);
        } else {
            board.from(left, note_line, styles.spelled(chord));
        }
    }
}
