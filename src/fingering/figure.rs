//! Figures: the hand moves to where each begins, and one that lies in one position takes the
//! fingers of that position, whatever stands beside it, so that what is alike feels alike; and
//! which moves lie inside one position, so that the thumb has no call to pass.

use std::ops::Range;

use super::grips::Grip;
use super::hand::{HandSize, lattice, limits};
use super::line::{Moment, NONE};
use super::position::grips_by_cost;
use super::rules::{Cost, FINGERS, Lever, PER_POINT, Rules};

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
    let mut posed: Vec<Posed<'_>> = Vec::new();
    let mut from = 0;
    while from < moments.len() {
        let rest = &moments[from + 1..];
        let end = rest.iter().position(begins).map_or(moments.len(), |next| from + 1 + next);
        posed.extend(Posed::new(rules, &moments[from..end], from));
        moves[from] = from > 0;
        from = end;
    }
    for chain in posed.chunk_by(|before, after| before.leads_to(after)) {
        write_chain(chain, fingers);
    }
    moves
}

/// Ours: fingers that meet in the wrong order where a figure begins near the last key of the one
/// before: the same one on two keys, or a lower one beyond a higher. The thumb may come anywhere,
/// and any finger on the same key again.
const WRONG_ORDER: Cost = 8 * PER_POINT;
/// Semitones up to which the keys are near; over a wider leap the hand moves whatever it does.
const NEAR: i32 = 4;

/// A figure of single notes that lie in one position.
struct Posed<'a> {
    moments: &'a [Moment],
    /// Where it begins in the line.
    from: usize,
    /// Its keys, rising, and how many there are.
    levers: [Lever; FINGERS],
    count: usize,
    /// The ways to finger its keys, each with its cost, the best first.
    grips: Vec<(Grip, Cost)>,
}

impl<'a> Posed<'a> {
    /// A figure with its ways; `None` where its notes are not single, or beyond one position.
    fn new(rules: &Rules, moments: &'a [Moment], from: usize) -> Option<Self> {
        let mut notes = moments.iter().map(Moment::alone);
        let mut position = Position::new(rules.size, notes.next()??);
        if !notes.all(|lever| lever.is_some_and(|lever| position.takes(lever))) {
            return None;
        }
        let mut levers = [Lever::default(); FINGERS];
        let mut count = 0;
        for moment in moments {
            if !levers[..count].contains(&moment.levers[0]) {
                levers[count] = moment.levers[0];
                count += 1;
            }
        }
        levers[..count].sort_unstable_by_key(|lever| lever.semitones);
        let mut posed = Self { moments, from, levers, count, grips: Vec::new() };
        let given = moments.iter().filter(|moment| moment.fixed[0] != NONE);
        let given: Vec<(usize, u8)> =
            given.filter_map(|moment| Some((posed.place(moment)?, moment.fixed[0]))).collect();
        posed.grips = grips_by_cost(rules, &levers[..count], &given);
        (!posed.grips.is_empty()).then_some(posed)
    }

    fn place(&self, moment: &Moment) -> Option<usize> {
        self.levers[..self.count].iter().position(|lever| *lever == moment.levers[0])
    }

    fn finger(&self, grip: &Grip, moment: &Moment) -> u8 {
        self.place(moment).map_or(NONE, |place| grip[place])
    }

    fn last(&self) -> &Moment {
        &self.moments[self.moments.len() - 1]
    }

    /// Whether another figure follows at once, without a rest.
    fn leads_to(&self, next: &Self) -> bool {
        self.from + self.moments.len() == next.from && !next.moments[0].rest
    }

    /// What it costs that this figure ends with one finger and the next begins with another.
    fn meeting(&self, last: u8, next: &Self, first: u8) -> Cost {
        let rise = next.moments[0].levers[0].semitones - self.last().levers[0].semitones;
        let in_order = (i32::from(first) - i32::from(last)).signum() == rise.signum();
        let is_free = rise == 0 || first == 0 || last == 0;
        if in_order || is_free || rise.abs() > NEAR { 0 } else { WRONG_ORDER }
    }
}

/// Writes the fingers of figures that follow one another at once, the least costly of all: each
/// takes the fingers of its position, the next best where they would meet the last ones in the
/// wrong order.
fn write_chain(chain: &[Posed<'_>], fingers: &mut [u8]) {
    // The cost of reaching each way of a figure, and the way of the figure before.
    let mut so_far: Vec<Vec<(Cost, usize)>> = Vec::with_capacity(chain.len());
    for (index, posed) in chain.iter().enumerate() {
        let reach = |(grip, own): &(Grip, Cost)| {
            let Some((before, costs)) = index.checked_sub(1).map(|i| (&chain[i], &so_far[i]))
            else {
                return (*own, 0);
            };
            let first = posed.finger(grip, &posed.moments[0]);
            let reached = before.grips.iter().zip(costs).map(|((other, _), (cost, _))| {
                cost + before.meeting(before.finger(other, before.last()), posed, first)
            });
            let least = reached.enumerate().min_by_key(|(_, cost)| *cost);
            least.map_or((*own, 0), |(from, cost)| (cost + own, from))
        };
        so_far.push(posed.grips.iter().map(reach).collect());
    }
    let ends = so_far.last().into_iter().flatten().enumerate();
    let Some((mut chosen, _)) = ends.min_by_key(|(_, (cost, _))| *cost) else { return };
    for (posed, costs) in chain.iter().zip(&so_far).rev() {
        let (grip, _) = &posed.grips[chosen];
        for (place, moment) in posed.moments.iter().enumerate() {
            fingers[posed.from + place] = posed.finger(grip, moment);
        }
        chosen = costs[chosen].1;
    }
}

/// Writes, for figures of single notes that no position holds and that have been played before in
/// the line, the fingers that they had then; whether any of them had others. `in_position` are the
/// fingers of figures that lie in one.
pub(super) fn write_again(
    moments: &[Moment],
    moves: &[bool],
    in_position: &[u8],
    fingers: &[u8],
    wanted: &mut [u8],
) -> bool {
    let starts = (0..moments.len()).filter(|at| *at == 0 || moves[*at]);
    let starts: Vec<usize> = starts.chain([moments.len()]).collect();
    let figures: Vec<Range<usize>> = starts.windows(2).map(|pair| pair[0]..pair[1]).collect();
    let is_alike = |one: &Moment, other: &Moment| {
        one.alone().is_some() && one.alone() == other.alone() && one.fixed == other.fixed
    };
    let mut changes = false;
    for (index, figure) in figures.iter().enumerate() {
        let own = &moments[figure.clone()];
        let before = figures[..index].iter().find(|before| {
            let before = &moments[(*before).clone()];
            before.len() == own.len()
                && before.iter().zip(own).all(|(one, other)| is_alike(one, other))
                // A rest within a figure lets the hand move there.
                && before.iter().zip(own).skip(1).all(|(one, other)| one.rest == other.rest)
        });
        let is_free = in_position[figure.clone()].iter().all(|finger| *finger == NONE);
        let Some(before) = before.filter(|_| is_free) else { continue };
        if fingers[before.clone()] != fingers[figure.clone()] {
            for place in [before, figure] {
                wanted[place.clone()].copy_from_slice(&fingers[before.clone()]);
            }
            changes = true;
        }
    }
    changes
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
            let mut position = Position::new(size, moments[from].levers[0]);
            let fits = moments[from + 1..=to].iter().all(|moment| position.takes(moment.levers[0]));
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
