//! What a bass comes from and goes on to, beyond the chords that it is composed over: the bars before
//! it and after it as they are heard, with repeats and endings.

use std::ops::RangeInclusive;

use super::ground::{CandidateNote, NoteRole};
use crate::theory::Interval;

/// A leap by its semitones, from the unison to the octave.
pub(super) const LEAP: [f64; 13] =
    [5.0, 0.2, 0.0, 1.0, 1.0, 1.5, 4.0, 1.5, 3.0, 4.0, 5.0, 7.0, 2.5];
/// What leads into the next root by a semitone, by a tone, from its fifth.
pub(super) const LEADING: [f64; 3] = [0.0, 0.4, 0.9];
/// Anything else: in a line that has the time to lead on, only where there is no other way.
pub(super) const NOT_LEADING: [f64; 2] = [3.0, 1000.0];
/// A leap of more than an octave over a join, and a passing note that goes on nowhere: only where
/// there is no other way.
const NO_WAY: f64 = 10_000.0;

/// What comes right before a bass and right after it, each time that it is heard.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct BassJoins {
    /// The notes that come before it.
    pub(crate) before: Vec<Interval>,
    /// What comes after it; nothing where it ends.
    pub(crate) after: Vec<BassNext>,
    /// How it ends.
    pub(crate) close: BassClose,
}

/// How a line ends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum BassClose {
    /// As it goes on.
    #[default]
    Open,
    /// Its last bar begins with the root, and leads back to a beginning.
    Root,
    /// On the root, held to the end.
    Held,
}

/// The first of what comes after a bass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum BassNext {
    /// A note that is known.
    Note(Interval),
    /// What a chord rests on, in whatever octave.
    Foot(Interval),
}

impl BassNext {
    fn class(self) -> i32 {
        let (Self::Note(it) | Self::Foot(it)) = self;
        it.semitones.rem_euclid(12)
    }
}

impl BassJoins {
    /// Whether nothing comes after it.
    pub(super) fn is_end(&self) -> bool {
        self.after.is_empty()
    }

    /// What comes after it, in whatever octave.
    pub(super) fn classes_after(&self) -> impl Iterator<Item = i32> {
        self.after.iter().map(|next| next.class())
    }

    /// What it costs to begin with a note, after all that comes before.
    pub(super) fn costs_to_begin(&self, own: Interval) -> f64 {
        self.before.iter().map(|before| leap(own.semitones - before.semitones)).sum()
    }

    /// What it costs to go on from the last note to all that comes after: one that had the time leads
    /// to each of them as well as it can.
    pub(super) fn costs_to_go_on(&self, range: &RangeInclusive<i32>, from: &JoinFrom) -> f64 {
        let to = |next: &BassNext| match next {
            BassNext::Note(at) => from.costs_to(at.semitones),
            BassNext::Foot(_) => {
                let octaves = range.clone().filter(|it| it.rem_euclid(12) == next.class());
                octaves.map(|at| from.costs_to(at)).fold(2.0 * NO_WAY, f64::min)
            }
        };
        self.after.iter().map(to).sum()
    }
}

/// The spelling of a passing note that leads by a semitone to what comes after a bass: on the letter
/// below it going up, on the letter above going down.
pub(super) fn spelled_to(joins: &BassJoins, own: i32) -> Option<Interval> {
    joins.after.iter().find_map(|next| {
        let (BassNext::Note(next) | BassNext::Foot(next)) = next;
        (-4..=4).map(|octaves| next.plus_octaves(octaves)).find_map(|next| {
            let step = own - next.semitones;
            (step.abs() == 1).then(|| Interval { steps: next.steps + step, semitones: own })
        })
    })
}

/// The last note before a join.
pub(super) struct JoinFrom {
    pub(super) note: CandidateNote,
    /// What its chord rests on.
    pub(super) foot: Interval,
    /// Whether the line walks.
    pub(super) walks: bool,
    /// Whether its chord had the time to lead on: more than a beat.
    pub(super) has_time: bool,
}

impl JoinFrom {
    /// What it costs to go on to a note.
    fn costs_to(&self, at: i32) -> f64 {
        let step = at - self.note.interval.semitones;
        let is_other = (at - self.foot.semitones).rem_euclid(12) != 0;
        let leading = match (step, self.note.role) {
            (-1 | 1, _) => LEADING[0],
            (_, NoteRole::Passing) => NO_WAY,
            _ if !is_other || !self.walks => 0.0,
            (-2 | 2, _) => LEADING[1],
            (5 | -7, _) => LEADING[2],
            _ => NOT_LEADING[usize::from(self.has_time)],
        };
        leap(step) + leading
    }
}

fn leap(step: i32) -> f64 {
    LEAP.get(step.unsigned_abs() as usize).copied().unwrap_or(NO_WAY)
}
