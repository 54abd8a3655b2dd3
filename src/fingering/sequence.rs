//! Figures that are repeated from degree to degree: the hand moves to where each begins, and
//! one that lies in one position takes the fingers of that position, whatever stands beside it,
//! so that what is alike feels alike.

use std::ops::RangeInclusive;

use super::figure::Position;
use super::line::{Moment, NONE};
use super::passage::SHORTEST;
use super::position::best_way;
use super::rules::{FINGERS, Key, Rules};

/// Notes of a figure. What is shorter is left to the rules, and what is longer is no figure that
/// a player would hear as one.
const LENGTHS: RangeInclusive<usize> = 3..=16;

/// Writes the fingers of repeated figures, counted from 0; says of each moment whether a
/// repetition begins there, to which the hand moves.
pub(super) fn write_figures(rules: &Rules, moments: &[Moment], fingers: &mut [u8]) -> Vec<bool> {
    let mut repeats = vec![false; moments.len()];
    let mut from = 0;
    while from < moments.len() {
        let end = stretch_end(moments, from);
        let stretch = Stretch { rules, moments: &moments[..end], start: from };
        while from < end {
            from = stretch.write_from(from, fingers, &mut repeats).unwrap_or(from + 1);
        }
        from = end.max(from + 1);
    }
    repeats
}

/// Writes the fingers of figures that are known, counted from 0; `starts` says of each struck
/// note or chord of the line whether one begins there. Says of each moment whether the hand
/// moves to it.
pub(super) fn write_given_figures(
    rules: &Rules,
    moments: &[Moment],
    starts: &[bool],
    fingers: &mut [u8],
) -> Vec<bool> {
    let begins = |moment: &Moment| starts.get(moment.index).copied().unwrap_or(false);
    let mut moves = vec![false; moments.len()];
    let mut from = 0;
    while from < moments.len() {
        let rest = &moments[from + 1..];
        let end = rest.iter().position(begins).map_or(moments.len(), |next| from + 1 + next);
        let stretch = Stretch { rules, moments: &moments[..end], start: from };
        let is_single = moments[from..end].iter().all(|moment| moment.alone().is_some());
        if is_single && stretch.fits(from, end) {
            stretch.write(from, end, fingers);
        }
        moves[from] = from > 0;
        from = end;
    }
    moves
}

/// Where the single notes without rests that begin at `from` end.
fn stretch_end(moments: &[Moment], from: usize) -> usize {
    let goes_on =
        |at: &usize| moments[*at].alone().is_some() && (*at == from || !moments[*at].rest);
    (from..moments.len()).take_while(goes_on).last().map_or(from, |last| last + 1)
}

/// Single notes without rests, from its start to the end of its moments.
struct Stretch<'a> {
    rules: &'a Rules,
    moments: &'a [Moment],
    start: usize,
}

impl Stretch<'_> {
    /// Writes the figure at `from` and its repetitions; returns where they end, or `None` where
    /// no figure begins.
    fn write_from(&self, from: usize, fingers: &mut [u8], repeats: &mut [bool]) -> Option<usize> {
        let end = self.moments.len();
        if from == self.start && from + LENGTHS.start() <= end && self.fits(from, end) {
            self.write(from, end, fingers);
            return Some(end);
        }
        let lengths = LENGTHS.take_while(|length| from + 2 * length <= end).filter(|length| {
            self.is_repeated(from, *length) && self.has_no_run(from, from + length)
        });
        let in_position = |length: &usize| {
            self.fits(from, from + length) && self.fits(from + length, from + 2 * length)
        };
        // A figure beyond one position has no fingers of its own, but the hand moves to where it
        // is repeated all the same.
        let length = lengths.clone().find(in_position).or_else(|| lengths.clone().next())?;
        let mut at = from;
        while at + length <= end && (at == from || self.is_repeated(at - length, length)) {
            if self.fits(at, at + length) {
                self.write(at, at + length, fingers);
            }
            repeats[at] = at > from;
            at += length;
        }
        // What is left may turn back through the last position.
        if self.fits(at - length, end) {
            self.write(at - length, end, fingers);
            at = end;
        }
        Some(at)
    }

    fn step(&self, at: usize) -> i32 {
        self.moments[at + 1].step - self.moments[at].step
    }

    /// Whether the figure is followed by another with the same steps of the staff.
    fn is_repeated(&self, from: usize, length: usize) -> bool {
        (from..from + length - 1).all(|at| self.step(at) == self.step(at + length))
    }

    /// Whether the line turns within the figure or where it is repeated, and no part of it is a
    /// run that goes by the handbooks.
    fn has_no_run(&self, from: usize, to: usize) -> bool {
        let rises = |at: usize| self.step(at).signum();
        let mut same = 1;
        let mut turns = false;
        for at in from + 1..to {
            same = if rises(at) == rises(at - 1) { same + 1 } else { 1 };
            turns |= same == 1;
            if same + 1 >= SHORTEST && at + 1 < to {
                return false;
            }
        }
        turns
    }

    fn fits(&self, from: usize, to: usize) -> bool {
        let mut keys = self.moments[from..to].iter().map(|moment| moment.keys[0]);
        let Some(first) = keys.next() else { return false };
        let mut position = Position::new(self.rules.size, first);
        keys.all(|key| position.takes(key))
    }

    fn write(&self, from: usize, to: usize, fingers: &mut [u8]) {
        let mut keys = [Key::default(); FINGERS];
        let mut count = 0;
        for moment in &self.moments[from..to] {
            if !keys[..count].contains(&moment.keys[0]) {
                keys[count] = moment.keys[0];
                count += 1;
            }
        }
        let keys = &mut keys[..count];
        keys.sort_unstable_by_key(|key| key.semitones);
        let place = |moment: &Moment| keys.iter().position(|key| *key == moment.keys[0]);
        let mut given = [(0, 0); FINGERS];
        let mut count = 0;
        for moment in self.moments[from..to].iter().filter(|moment| moment.fixed[0] != NONE) {
            if let Some(place) = place(moment).filter(|_| count < FINGERS) {
                given[count] = (place, moment.fixed[0]);
                count += 1;
            }
        }
        let Some(way) = best_way(self.rules, keys, &given[..count]) else { return };
        for (finger, moment) in fingers[from..to].iter_mut().zip(&self.moments[from..to]) {
            if let Some(place) = place(moment) {
                *finger = way[place];
            }
        }
    }
}
