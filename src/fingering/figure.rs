//! Figures: the hand moves to where each begins, and one that lies in one position takes the
//! fingers of that position, whatever stands beside it, so that what is alike feels alike; and
//! which moves lie inside one position, so that the thumb has no call to pass.

use super::hand::{HandSize, lattice, limits};
use super::line::{Moment, NONE};
use super::position::best_way;
use super::rules::{FINGERS, Key, Rules};

/// A figure within these keys of the alternating row lies in one position whatever the hand: a
/// major seventh, the width of a seventh chord, in its widest place.
const SEVENTH: i32 = 13;

/// Keys that one position holds, and how far apart they lie.
pub(super) struct Position {
    keys: [i32; FINGERS],
    count: usize,
    lowest: i32,
    highest: i32,
    widest: i32,
}

impl Position {
    pub(super) fn new(size: HandSize, key: Key) -> Self {
        let widest = limits(size, 1, 5).max_comfort.max(SEVENTH);
        let at = key.semitones;
        Self { keys: [at; FINGERS], count: 1, lowest: at, highest: at, widest }
    }

    /// Takes a key in, if it lies within the position.
    pub(super) fn takes(&mut self, key: Key) -> bool {
        let at = key.semitones;
        if self.keys[..self.count].contains(&at) {
            return true;
        }
        self.lowest = self.lowest.min(at);
        self.highest = self.highest.max(at);
        let width = lattice(self.highest) - lattice(self.lowest);
        if self.count == FINGERS || width > self.widest {
            return false;
        }
        self.keys[self.count] = at;
        self.count += 1;
        true
    }
}

/// Writes the fingers of figures, counted from 0; `figures` says of each struck note or chord of
/// the line whether one begins there. Says of each moment whether the hand moves to it.
pub(super) fn write_figures(
    rules: &Rules,
    moments: &[Moment],
    figures: &[bool],
    fingers: &mut [u8],
) -> Vec<bool> {
    let begins = |moment: &Moment| figures.get(moment.index).copied().unwrap_or(false);
    let mut moves = vec![false; moments.len()];
    let mut from = 0;
    while from < moments.len() {
        let rest = &moments[from + 1..];
        let end = rest.iter().position(begins).map_or(moments.len(), |next| from + 1 + next);
        let own = &moments[from..end];
        if own.iter().all(|moment| moment.alone().is_some()) && fits(rules, own) {
            write(rules, own, &mut fingers[from..end]);
        }
        moves[from] = from > 0;
        from = end;
    }
    moves
}

/// Whether single notes lie in one position.
fn fits(rules: &Rules, moments: &[Moment]) -> bool {
    let mut keys = moments.iter().map(|moment| moment.keys[0]);
    let Some(first) = keys.next() else { return false };
    let mut position = Position::new(rules.size, first);
    keys.all(|key| position.takes(key))
}

/// Writes the fingers of single notes that lie in one position.
fn write(rules: &Rules, moments: &[Moment], fingers: &mut [u8]) {
    let mut keys = [Key::default(); FINGERS];
    let mut count = 0;
    for moment in moments {
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
    for moment in moments.iter().filter(|moment| moment.fixed[0] != NONE) {
        if let Some(place) = place(moment).filter(|_| count < FINGERS) {
            given[count] = (place, moment.fixed[0]);
            count += 1;
        }
    }
    let Some(way) = best_way(rules, keys, &given[..count]) else { return };
    for (finger, moment) in fingers.iter_mut().zip(moments) {
        if let Some(place) = place(moment) {
            *finger = way[place];
        }
    }
}

/// For each moment whether the hand comes to it within one position: the notes that rise, or
/// that fall, without a turn, a rest or a chord are one figure, and where the line turns the hand
/// may move without the thumb's help. So it may where `moves`.
pub(super) fn in_place(size: HandSize, moments: &[Moment], moves: &[bool]) -> Vec<bool> {
    let mut in_place = vec![true; moments.len()];
    let mut from = 0;
    while from + 1 < moments.len() {
        let to = run_end(moments, moves, from);
        if to > from {
            let mut position = Position::new(size, moments[from].keys[0]);
            let fits = moments[from + 1..=to].iter().all(|moment| position.takes(moment.keys[0]));
            in_place[from + 1..=to].fill(fits);
        }
        from = to.max(from + 1);
    }
    in_place
}

/// The last moment of the run of single notes, all rising or all falling, that begins at `from`;
/// a run ends before a moment to which the hand `moves`.
pub(super) fn run_end(moments: &[Moment], moves: &[bool], from: usize) -> usize {
    let direction = |at: usize| {
        let (here, there) = (moments[at].alone()?, moments.get(at + 1)?.alone()?);
        let rise = there.semitones - here.semitones;
        (!moments[at + 1].rest && !moves[at + 1] && rise != 0).then(|| rise.signum())
    };
    let Some(first) = direction(from) else { return from };
    let mut to = from + 1;
    while direction(to) == Some(first) {
        to += 1;
    }
    to
}
