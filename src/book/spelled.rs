//! Which tables of chords a book has: the seven sevenths of each mode, the chords that lead to them,
//! and what else its drills go through.

use crate::drill::{ChordPlan, Degree, Exercise, Passage, PassageHome};
use crate::theory::{Key, Mode};

use super::{BookOptions, WriteIn};

/// The title of the tables.
const TITLE: &str = "The chords, spelled";
/// The most chords of a table: the sevenths of a key.
pub(crate) const MOST_CHORDS: usize = 7;

/// The same of chords that may have up to seven notes.
const MOST_WIDE: usize = 4;

/// A table of chords, each of them in every key.
#[derive(Clone, Debug)]
pub(crate) struct ChordTable {
    pub(crate) title: String,
    pub(crate) chords: Vec<ChordPlan>,
    /// The keys, in its mode: those of the drills that go through its chords.
    pub(crate) keys: Vec<Key>,
    /// Whether the notes are left out, to be written in.
    pub(crate) is_blank: bool,
}

/// Tables with their notes left out where that is asked for, each followed by the whole one where
/// the answers are too.
pub(crate) fn with_answers(tables: Vec<ChordTable>, options: &BookOptions) -> Vec<ChordTable> {
    if !options.leave_out.contains(&WriteIn::Spelling) {
        return tables;
    }
    let both = |table: ChordTable| {
        let title = format!("{}, answers", table.title);
        let answers = options.answers.then(|| ChordTable { title, ..table.clone() });
        std::iter::once(ChordTable { is_blank: true, ..table }).chain(answers)
    };
    tables.into_iter().flat_map(both).collect()
}

/// Chords that are no sevenths of their scale, in the order of their tables.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Other {
    Dominant,
    LeadingTone,
    Rest,
}

impl Other {
    const ALL: [Self; 3] = [Self::Dominant, Self::LeadingTone, Self::Rest];

    /// What a chord of a passage is, if it is one of these.
    fn of(degree: Degree) -> Option<Self> {
        match (degree.of, degree.kind, degree.place.number()) {
            (None, None, _) => None,
            (Some(_), None, 5) => Some(Self::Dominant),
            (Some(_), None, 7) => Some(Self::LeadingTone),
            _ => Some(Self::Rest),
        }
    }

    /// The title of a table of these in a mode.
    fn title(self, mode: Mode) -> String {
        let words = match self {
            Self::Dominant => "The chords, spelled: secondary dominants",
            Self::LeadingTone => "The chords, spelled: leading-tone sevenths",
            Self::Rest => "Further chords",
        };
        match mode {
            Mode::Major => words.to_owned(),
            _ => format!("{words}, {}", mode.words()),
        }
    }
}

/// The tables that explain the chords of drills: the degrees of each mode that they are in, then
/// the chords that lead to degrees, then, `with_others`, all others. Their keys stand in the order
/// of those of the document.
pub(crate) fn of(exercises: &[Exercise], all: &[Key], with_others: bool) -> Vec<ChordTable> {
    let passages = || exercises.iter().flat_map(|exercise| &exercise.template.passages);
    let mut modes: Vec<Mode> = Vec::new();
    for passage in passages() {
        if !modes.contains(&passage.home.mode) {
            modes.push(passage.home.mode);
        }
    }
    let mut tables: Vec<ChordTable> = Vec::new();
    for mode in &modes {
        let degrees = (1..=MOST_CHORDS as i32).map(Degree::step);
        let chords = degrees.filter_map(|degree| degree.chord(PassageHome::own(*mode))).collect();
        tables.push(ChordTable {
            title: format!("{TITLE}: {}", mode.words()),
            chords,
            keys: keys(exercises, all, *mode, |_| true),
            is_blank: false,
        });
    }
    let sorts = modes.iter().flat_map(|mode| Other::ALL.map(|other| (*mode, other)));
    for (mode, other) in sorts.filter(|(_, other)| with_others || *other != Other::Rest) {
        let own: Vec<&Passage> = passages().filter(|passage| passage.home.mode == mode).collect();
        let title = other.title(mode);
        let most = if other == Other::Rest { MOST_WIDE } else { MOST_CHORDS };
        for some in others(&own, other).chunks(most) {
            let (title, chords) = (title.clone(), some.to_vec());
            let is_of = |degree: Degree| {
                let chord = degree.chord(PassageHome::own(mode));
                chord.is_some_and(|chord| some.iter().any(|own| own.numeral == chord.numeral))
            };
            let keys = keys(exercises, all, mode, is_of);
            tables.push(ChordTable { title, chords, keys, is_blank: false });
        }
    }
    if let [alone] = tables.as_mut_slice() {
        alone.title = TITLE.to_owned();
    }
    tables
}

/// The keys, in a mode, of the drills that go through such degrees in it, each as a drill of its
/// tonality spells it where there is one.
fn keys(
    exercises: &[Exercise],
    all: &[Key],
    mode: Mode,
    is_of: impl Fn(Degree) -> bool,
) -> Vec<Key> {
    let goes = |exercise: &&Exercise| {
        let mut own = exercise.template.passages.iter().filter(|it| it.home.mode == mode);
        own.any(|passage| passage.degrees.iter().any(|degree| is_of(*degree)))
    };
    let (alike, other): (Vec<&Exercise>, Vec<&Exercise>) = exercises
        .iter()
        .filter(goes)
        .partition(|it| it.template.mode.is_minor() == mode.is_minor());
    let had: Vec<Key> = alike.into_iter().chain(other).flat_map(|it| it.keys.clone()).collect();
    let as_had = |key: &Key| had.iter().find(|own| own.place_in_round() == key.place_in_round());
    all.iter().filter_map(as_had).map(|key| key.in_mode(mode)).collect()
}

/// The chords of one sort that passages go through, each once. What is a seventh of another key
/// than the drill's stands in the row of that key.
fn others(passages: &[&Passage], other: Other) -> Vec<ChordPlan> {
    let mut chords: Vec<ChordPlan> = Vec::new();
    for passage in passages {
        for degree in passage.degrees.iter().filter(|it| Other::of(**it) == Some(other)) {
            let chord = degree.chord(PassageHome::own(passage.home.mode));
            let is_new = |chord: &ChordPlan| chords.iter().all(|own| own.numeral != chord.numeral);
            chords.extend(chord.filter(is_new));
        }
    }
    chords.sort_by_key(|chord| chord.numeral.of);
    chords
}
