//! A chart in another key, or as a horn reads it.

use super::model::{Chart, ChordStand};
use crate::theory::{Chord, Interval, Key, Letter, NoteName, Numeral};

/// An instrument that reads another key than it sounds in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Horn {
    /// Trumpet, clarinet, tenor and soprano saxophone: sounds a major second lower, or a ninth.
    BFlat,
    /// Alto and baritone saxophone: sounds a major sixth lower, or a thirteenth.
    EFlat,
    /// Horn: sounds a fifth lower.
    F,
}

impl Horn {
    /// Every one, by the note that it sounds when it reads a C.
    pub const ALL: [Self; 3] = [Self::BFlat, Self::EFlat, Self::F];

    /// The note that it sounds when it reads a C, in letters that can be typed.
    pub const fn word(self) -> &'static str {
        match self {
            Self::BFlat => "Bb",
            Self::EFlat => "Eb",
            Self::F => "F",
        }
    }

    /// The same as it is printed.
    pub const fn printed(self) -> &'static str {
        match self {
            Self::BFlat => "B♭",
            Self::EFlat => "E♭",
            Self::F => "F",
        }
    }

    /// How far what it reads stands above what sounds (common practice, no source).
    pub const fn interval(self) -> Interval {
        match self {
            Self::BFlat => Interval::MAJOR_SECOND,
            Self::EFlat => Interval::MAJOR_SIXTH,
            Self::F => Interval::FIFTH,
        }
    }

    /// The key that it reads where another sounds: the one of fewer signs where there are two.
    pub fn reads(self, sounding: Key) -> Key {
        let tonic = sounding.tonic().up(self.interval());
        Key::on(tonic, sounding.mode()).customary()
    }
}

/// A move from one key to another on which every note of a chart goes along.
#[derive(Clone, Copy, Debug)]
struct Shift {
    interval: Interval,
    /// The key that notes are spelled in.
    to: Key,
}

impl Shift {
    /// The move from a tonic to another.
    fn of(from: Key, to: Key) -> Self {
        let from = NotePlace(from.tonic());
        let interval = NotePlace(to.tonic()).above(from);
        Self { interval, to }
    }

    /// A root: as far above the new tonic as it was above the old one; where that is a note of two
    /// signs, or one of a white key with a sign that the new key has not, the note that sounds alike.
    fn root(self, root: NoteName) -> NoteName {
        let moved = root.up(self.interval);
        let is_white = !moved.is_black() && moved.alter != 0;
        let is_odd = moved.alter.abs() > 1 || is_white && self.to.is_altered(moved);
        if is_odd { plain(moved) } else { moved }
    }

    fn chord(self, chord: Chord) -> Chord {
        let root = self.root(chord.root);
        let bass = chord.bass.map(|bass| {
            let above = NotePlace(bass).above(NotePlace(chord.root));
            let bass = root.up(above);
            if bass.alter.abs() > 1 { plain(bass) } else { bass }
        });
        let alone = Chord { root, bass: None, ..chord };
        bass.map_or(alone, |bass| alone.over(bass))
    }

    fn stand(self, stand: ChordStand) -> ChordStand {
        ChordStand { chord: stand.chord.map(|chord| self.chord(chord)), ..stand }
    }
}

/// How a chord is spelled in the key that it is read in: as the key has it, or else on the side of
/// the circle of fifths on which the key lies. No sign is double, and a white key has a sign only
/// where the signature gives it one.
fn spelled(chord: Chord, key: Key, numeral: Numeral) -> Chord {
    /// From the tonic of a major key to the middle of its seven notes, in fifths.
    const MIDDLE: i32 = 2;
    let twin = |sign: i32| chord.root.up(Interval { steps: sign, semitones: 0 });
    let ways = [chord.root, plain(chord.root), twin(1), twin(-1)];
    let middle = key.fifths() + MIDDLE;
    let far = |note: NoteName| (place_in_fifths(note) - middle).abs();
    let is_fit = |note: &NoteName| {
        let is_white = note.alter != 0 && !note.is_black();
        note.alter.abs() < 2 && (!is_white || !key.is_altered(*note))
    };
    // What its numeral says, as far as it has a plain name there: ♭II7 of F is G♭7.
    let said = root_of(numeral, key);
    let is_said = |note: &NoteName| is_fit(note) && note.pitch_class() == chord.root.pitch_class();
    let near = || ways.into_iter().filter(is_fit).min_by_key(|note| far(*note));
    let root = Some(said).filter(is_said).or_else(near);
    let root = root.unwrap_or(chord.root);
    let bass = chord.bass.map(|bass| {
        let moved = root.up(NotePlace(bass).above(NotePlace(chord.root)));
        if moved.alter.abs() > 1 { plain(moved) } else { moved }
    });
    let alone = Chord { root, bass: None, ..chord };
    bass.map_or(alone, |bass| alone.over(bass))
}

/// The root that a numeral has in a key.
fn root_of(numeral: Numeral, key: Key) -> NoteName {
    let up = |note: NoteName, degree: i32, alter: i32| {
        let steps = (degree - 1).rem_euclid(7);
        let semitones = Letter::from_steps(steps).semitones() + alter;
        note.up(Interval { steps, semitones })
    };
    let goal = numeral.of.map_or(key.tonic(), |of| up(key.tonic(), of.degree, of.alter));
    up(goal, numeral.degree, numeral.alter)
}

/// How many fifths a note lies above C.
fn place_in_fifths(note: NoteName) -> i32 {
    [0, 2, 4, -1, 1, 3, 5][note.letter as usize] + 7 * note.alter
}

/// The same note with one sign at the most, and with none on a white key.
fn plain(note: NoteName) -> NoteName {
    if note.alter == 0 || note.is_black() && note.alter.abs() == 1 {
        return note;
    }
    // A step further in the direction of its signs and as high: E𝄫 is D, E♯ is F.
    let second = Interval { steps: note.alter.signum(), semitones: 0 };
    plain(note.up(second))
}

/// A note name among those within an octave from C.
#[derive(Clone, Copy)]
struct NotePlace(NoteName);

impl NotePlace {
    /// How far it stands above another, within an octave.
    fn above(self, other: Self) -> Interval {
        let steps = self.0.letter.steps() - other.0.letter.steps();
        let white = self.0.letter.semitones() - other.0.letter.semitones();
        let semitones = white + self.0.alter - other.0.alter;
        Interval { steps, semitones }.simple()
    }
}

impl Chart {
    /// The chart moved from one key to another, spelled as that one is.
    #[must_use]
    pub fn transposed(&self, from: Key, to: Key) -> Self {
        let shift = Shift::of(from, to);
        let mut chart = self.clone();
        let bars = chart.sections.iter_mut().flat_map(|section| &mut section.bars);
        let stands = bars.flat_map(|bar| &mut bar.changes);
        for stand in chart.pick_up.iter_mut().chain(stands) {
            *stand = shift.stand(*stand);
        }
        // What is called by a mode of its own keeps it.
        chart.key = self.key.map(|key| Key::on(to.tonic(), key.mode()));
        chart
    }

    /// The chart with every chord spelled by the key and the numeral that it is read as, by its place among all that
    /// are written; what is read in none stays.
    #[must_use]
    pub fn spelled_in(&self, read: impl Fn(usize) -> Option<(Key, Numeral)>) -> Self {
        let mut chart = self.clone();
        let bars = chart.sections.iter_mut().flat_map(|section| &mut section.bars);
        let stands = bars.flat_map(|bar| &mut bar.changes);
        for (written, stand) in chart.pick_up.iter_mut().chain(stands).enumerate() {
            if let (Some(chord), Some((key, numeral))) = (stand.chord, read(written)) {
                stand.chord = Some(spelled(chord, key, numeral));
            }
        }
        chart
    }
}
