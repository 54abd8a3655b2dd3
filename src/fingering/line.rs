//! A line cut into moments: what is struck and what is still held, as the rules see it.

use thiserror::Error;

use super::rules::{FINGERS, Lever};
use crate::score::{Hand, Ticks};
use crate::theory::Pitch;

/// Notes that one hand strikes together and lets go together.
#[derive(Clone, Copy, Debug)]
pub struct HandStruck<'a> {
    /// When they are struck.
    pub at: Ticks,
    /// When they are let go; later than `at`.
    pub end: Ticks,
    /// The notes.
    pub pitches: &'a [Pitch],
    /// Fingers that are given, 1 to 5, in the order of the notes. Notes beyond the end of this
    /// list have none, so it may be empty.
    pub fixed: &'a [Option<u8>],
}

/// Why a line has no fingers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum FingeringError {
    /// A given finger is none of the five.
    #[error("note {}: finger {finger} is given; write a digit from 1 to 5", index + 1)]
    NoSuchFinger {
        /// Which of the line's struck notes or chords.
        index: usize,
        /// What was given.
        finger: u8,
    },
    /// More notes than fingers sound together.
    #[error("note {}: {count} notes sound together, and a hand has five fingers", index + 1)]
    TooManyNotes {
        /// Which of the line's struck notes or chords.
        index: usize,
        /// Notes that sound together, with those still held.
        count: usize,
    },
    /// It is struck before the one that stands before it in the line.
    #[error("note {}: it is struck before the note that precedes it; put the line in order of time", index + 1)]
    OutOfOrder {
        /// Which of the line's struck notes or chords.
        index: usize,
    },
    /// The given fingers leave none for the rest, or stand in the wrong order.
    #[error(
        "note {}: the fingers given here cannot be used together; within a chord they rise in \
         the right hand and fall in the left, and a held note keeps its finger", index + 1
    )]
    CannotBeFixed {
        /// Which of the line's struck notes or chords.
        index: usize,
    },
    /// Held notes leave no finger for those struck meanwhile.
    #[error("note {}: the notes still held leave no finger for it; let them go earlier", index + 1)]
    CannotBeHeld {
        /// Which of the line's struck notes or chords.
        index: usize,
    },
}

impl FingeringError {
    /// Which of the line's struck notes or chords is at fault.
    pub fn index(self) -> usize {
        match self {
            Self::NoSuchFinger { index, .. }
            | Self::TooManyNotes { index, .. }
            | Self::OutOfOrder { index }
            | Self::CannotBeFixed { index }
            | Self::CannotBeHeld { index } => index,
        }
    }
}

/// No note: of the moment before, or of the line.
pub(super) const NONE: u8 = u8::MAX;

/// A moment at which something is struck: all keys that are down then, from the thumb's side.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment {
    pub(super) count: usize,
    pub(super) levers: [Lever; FINGERS],
    /// Which of the keys are struck now, as bits.
    pub(super) fresh: u8,
    /// For a key held since before: its place in the moment before, else [`NONE`].
    pub(super) held: [u8; FINGERS],
    /// Given fingers, counted from 0, else [`NONE`].
    pub(super) fixed: [u8; FINGERS],
    /// When each key is let go.
    ends: [Ticks; FINGERS],
    /// Whether silence comes before.
    pub(super) rest: bool,
    /// When it is struck.
    pub(super) at: Ticks,
    /// The first struck note or chord of the line that begins here.
    pub(super) index: usize,
}

impl Moment {
    fn new(index: usize, rest: bool, at: Ticks) -> Self {
        Self {
            count: 0,
            levers: [Lever::default(); FINGERS],
            fresh: 0,
            held: [NONE; FINGERS],
            fixed: [NONE; FINGERS],
            ends: [0; FINGERS],
            rest,
            at,
            index,
        }
    }

    /// Places a key among the others; a key that is struck again is no longer held.
    fn put(&mut self, lever: Lever, end: Ticks, held: u8, fixed: u8) -> Result<(), FingeringError> {
        let below = self.levers[..self.count].iter().take_while(|k| k.semitones < lever.semitones);
        let place = below.count();
        if place == self.count || self.levers[place] != lever {
            if self.count == FINGERS {
                let count = self.count + 1;
                return Err(FingeringError::TooManyNotes { index: self.index, count });
            }
            self.levers[place..=self.count].rotate_right(1);
            self.held[place..=self.count].rotate_right(1);
            self.fixed[place..=self.count].rotate_right(1);
            self.ends[place..=self.count].rotate_right(1);
            let lower = (1 << place) - 1;
            self.fresh = self.fresh & lower | (self.fresh & !lower) << 1;
            self.count += 1;
            self.levers[place] = lever;
            self.held[place] = held;
            self.ends[place] = end;
            self.fixed[place] = NONE;
        }
        let again = held == NONE && self.held[place] != NONE;
        self.ends[place] = if again { end } else { self.ends[place].max(end) };
        self.held[place] = held;
        if held == NONE {
            self.fresh |= 1 << place;
        }
        if fixed != NONE {
            if self.fixed[place] != NONE && self.fixed[place] != fixed {
                return Err(FingeringError::CannotBeFixed { index: self.index });
            }
            self.fixed[place] = fixed;
        }
        Ok(())
    }

    /// The place of its only struck key, if it is the only one.
    pub(super) fn single(&self) -> Option<usize> {
        self.fresh.is_power_of_two().then(|| self.fresh.trailing_zeros() as usize)
    }

    /// The only key that is down, if it is the only one.
    pub(super) fn alone(&self) -> Option<Lever> {
        (self.count == 1).then_some(self.levers[0])
    }

    /// Why this moment, after those before it, has no way at all.
    pub(super) fn impossible(&self) -> FingeringError {
        let index = self.index;
        if self.fixed.iter().any(|fixed| *fixed != NONE) {
            FingeringError::CannotBeFixed { index }
        } else {
            FingeringError::CannotBeHeld { index }
        }
    }

    /// Whether the same keys are struck, with the same fingers given, and nothing else is down.
    pub(super) fn is_struck_like(&self, other: &Self) -> bool {
        let is_all = |moment: &Self| moment.fresh.count_ones() as usize == moment.count;
        self.levers() == other.levers()
            && self.fixed == other.fixed
            && is_all(self)
            && is_all(other)
    }

    pub(super) fn is_fresh(&self, place: usize) -> bool {
        self.fresh & (1 << place) != 0
    }

    pub(super) fn levers(&self) -> &[Lever] {
        &self.levers[..self.count]
    }

    /// The place of a key that is down.
    pub(super) fn place(&self, lever: Lever) -> Option<usize> {
        self.levers().iter().position(|other| *other == lever)
    }
}

/// The moments of a line, in order.
pub(super) fn moments(hand: Hand, line: &[HandStruck<'_>]) -> Result<Vec<Moment>, FingeringError> {
    let mut moments: Vec<Moment> = Vec::with_capacity(line.len());
    let mut last_at = None;
    let mut sounds_until = Ticks::MIN;
    for (index, struck) in line.iter().enumerate() {
        if struck.pitches.is_empty() {
            continue;
        }
        if last_at.is_some_and(|last| struck.at < last) {
            return Err(FingeringError::OutOfOrder { index });
        }
        if last_at != Some(struck.at) {
            let rest = last_at.is_some() && sounds_until < struck.at;
            let mut moment = Moment::new(index, rest, struck.at);
            if let Some(before) = moments.last() {
                hold(before, struck.at, &mut moment)?;
            }
            moments.push(moment);
        }
        last_at = Some(struck.at);
        sounds_until = sounds_until.max(struck.end);
        let count = moments.len();
        let moment = &mut moments[count - 1];
        moment.index = index;
        for (place, pitch) in struck.pitches.iter().enumerate() {
            let fixed = match struck.fixed.get(place).copied().flatten() {
                None => NONE,
                Some(finger @ 1..=5) => finger - 1,
                Some(finger) => return Err(FingeringError::NoSuchFinger { index, finger }),
            };
            moment.put(Lever::of(hand, *pitch), struck.end, NONE, fixed)?;
        }
    }
    Ok(moments)
}

/// Puts into `moment` what is still down from the moment before.
fn hold(before: &Moment, at: Ticks, moment: &mut Moment) -> Result<(), FingeringError> {
    for (place, lever) in before.levers().iter().enumerate() {
        if before.ends[place] > at {
            moment.put(*lever, before.ends[place], place as u8, NONE)?;
        }
    }
    Ok(())
}
