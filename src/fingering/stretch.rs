//! Stretches of a line: runs, and what lies inside one position, so that the thumb has no call to
//! pass.

use super::hand::{HandSize, lattice, limits};
use super::line::Moment;
use super::rules::{FINGERS, Lever};

/// A figure within these keys of the alternating row lies in one position whatever the hand: a
/// major seventh, the width of a seventh chord, in its widest place.
const SEVENTH: i32 = 13;

/// Keys that one position holds, and how far apart they lie.
pub(super) struct Position {
    levers: [i32; FINGERS],
    count: usize,
    lowest: i32,
    highest: i32,
    widest: i32,
}

impl Position {
    pub(super) fn new(size: HandSize, lever: Lever) -> Self {
        let widest = limits(size, 1, 5).max_comfort.max(SEVENTH);
        let at = lever.semitones;
        Self { levers: [at; FINGERS], count: 1, lowest: at, highest: at, widest }
    }

    /// Takes a key in, if it lies within the position.
    pub(super) fn takes(&mut self, lever: Lever) -> bool {
        let at = lever.semitones;
        if self.levers[..self.count].contains(&at) {
            return true;
        }
        self.lowest = self.lowest.min(at);
        self.highest = self.highest.max(at);
        let width = lattice(self.highest) - lattice(self.lowest);
        if self.count == FINGERS || width > self.widest {
            return false;
        }
        self.levers[self.count] = at;
        self.count += 1;
        true
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
            let run = &moments[from..=to];
            let mut position = Position::new(size, run[0].levers[0]);
            let fits = run.iter().all(|moment| position.takes(moment.levers[0]));
            let levers = run.iter().map(|moment| moment.levers[0]);
            in_place[from + 1..=to].fill(fits && !slips(levers));
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

/// Whether the thumb slips under to the second of some keys: the lowest is black and the next is the
/// white one beside it, to which the thumb passes free of charge (rule 12) and stays off the black
/// one (rule 10).
pub(super) fn slips(levers: impl Iterator<Item = Lever> + Clone) -> bool {
    let Some(lowest) = levers.clone().min_by_key(|lever| lever.semitones) else { return false };
    let is_beside = |lever: Lever| lever.semitones == lowest.semitones + 1 && !lever.black;
    lowest.black && levers.clone().any(is_beside)
}
