//! Which tables of chords a book has: the seven sevenths of each mode, and the chords that lead to
//! them.

use crate::drill::{ChordPlan, Degree, Exercise, Leading};
use crate::theory::Mode;

/// The title of the tables.
const TITLE: &str = "The chords, spelled";
/// The most chords of a table: the sevenths of a key.
pub(crate) const MOST_CHORDS: usize = 7;

/// A table of chords, each of them in every key.
#[derive(Clone, Debug)]
pub(crate) struct ChordTable {
    pub(crate) title: String,
    pub(crate) mode: Mode,
    pub(crate) chords: Vec<ChordPlan>,
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
        let degrees = (1..=MOST_CHORDS as i32).map(|number| Degree { number, leading: None });
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
        for some in chords.chunks(MOST_CHORDS) {
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
