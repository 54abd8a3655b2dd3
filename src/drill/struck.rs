//! Notes that a hand strikes together, in no key.

use super::compose;
use super::language::figure::PlacedTone;
use crate::score::Ticks;
use crate::theory::Interval;

/// Notes struck together, as intervals above the tonic of the hand's own octave.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct StruckSound {
    /// When they are struck.
    pub(super) at: Ticks,
    /// When they end.
    pub(super) end: Ticks,
    /// The intervals, low to high.
    pub(super) intervals: Vec<Interval>,
    /// The fingers that the teacher gives them, in the same order.
    pub(super) fixed: Vec<Option<u8>>,
    /// The chord that they belong to, by index.
    pub(super) chord: usize,
    /// Whether they are played short.
    pub(super) staccato: bool,
    /// Whether they are held at will.
    pub(super) fermata: bool,
    /// Whether they only lead on, and belong to no scale.
    pub(super) is_passing: bool,
    /// Whether they are one note of a line that neither its chord nor its key has.
    pub(super) is_foreign: bool,
    /// Whether they are a triad of their own over their chord, which names none of them.
    pub(super) is_triad: bool,
    /// Whether they are part of a bass that flows from chord to chord.
    pub(super) is_walking: bool,
}

impl StruckSound {
    /// What is laid out, over a chord by its index.
    pub(super) fn plain(at: Ticks, end: Ticks, placed: &[PlacedTone], chord: usize) -> Self {
        let (intervals, fixed) = placed.iter().map(|tone| (tone.interval, tone.finger)).unzip();
        Self {
            at,
            end,
            intervals,
            fixed,
            chord,
            staccato: false,
            fermata: false,
            is_passing: false,
            is_foreign: false,
            is_triad: false,
            is_walking: false,
        }
    }

    /// A note of a composed line, over chords of which the first has an index.
    pub(super) fn composed(note: &compose::LineNote, first: usize) -> Self {
        let placed = PlacedTone { interval: note.interval, finger: None };
        let sound = Self::plain(note.at, note.end, &[placed], first + note.chord);
        Self { is_passing: note.is_passing, ..sound }
    }

    /// Moves all notes by octaves.
    pub(super) fn move_by(&mut self, octaves: i32) {
        for interval in &mut self.intervals {
            *interval = interval.plus_octaves(octaves);
        }
    }

    /// Takes out the note at a place.
    pub(super) fn remove(&mut self, place: usize) {
        self.intervals.remove(place);
        self.fixed.remove(place);
    }
}
