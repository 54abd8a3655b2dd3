//! Dyads: one size has one fingering throughout a line, wherever on the keys it lies.

use std::rc::Rc;

use smallvec::SmallVec;

use super::figure::HandFigure;
use super::grips::{GRIPS, Grip, GripWay, grips};
use super::line::{Moment, NONE};
use super::rules::{Cost, Lever, PER_POINT, Rules};

/// Ours: a key that is struck again in the next chord by another finger.
const OTHER_FINGER: Cost = PER_POINT;
/// Ours: two dyads of nearly one size that move in parallel, the hand keeping its shape, with other
/// fingers.
const OTHER_SHAPE: Cost = 3 * PER_POINT;
/// Semitones by which dyads of nearly one size differ: as a major third from a minor one.
const NEARLY: i32 = 1;
/// Rounds in which sizes settle beside one another.
const ROUNDS: usize = 2;

/// Gives every dyad that is a figure of its own the fingers that serve its size best: easy by the
/// rules for spans, and such that a key which comes in the next chord too keeps its finger, and
/// that dyads which move in parallel have the same ones. The colour of keys does not count, nor is
/// any finger weak.
pub(super) fn unite_dyads(rules: &Rules, figures: &mut [HandFigure<'_>]) {
    let sizes: Vec<Option<i32>> = figures.iter().map(size).collect();
    let mut kinds: Vec<i32> = sizes.iter().copied().flatten().collect();
    kinds.sort_unstable();
    kinds.dedup();
    if kinds.is_empty() {
        return;
    }
    let kind_of = |size: &Option<i32>| kinds.binary_search(&(*size)?).ok();
    let dyads: Vec<Option<usize>> = sizes.iter().map(kind_of).collect();
    let mut chosen: Vec<Grip> = vec![grips(2)[0]; kinds.len()];
    let mut ease: Vec<[Cost; GRIPS]> = vec![[0; GRIPS]; kinds.len()];
    for (figure, kind) in figures.iter().zip(&dyads) {
        let Some(kind) = *kind else { continue };
        let [low, high] = [0, 1].map(|place| figure.moments[0].levers[place]);
        for (cost, grip) in ease[kind].iter_mut().zip(grips(2)) {
            *cost += rules.hold(low, high, (usize::from(grip[0]), usize::from(grip[1])));
        }
    }
    for round in 0..=ROUNDS {
        for (kind, costs) in ease.iter().enumerate() {
            let mut with = chosen.clone();
            let mut cost = |way: usize| {
                with[kind] = grips(2)[way];
                // Of the first round none has its fingers yet.
                let changes = if round == 0 { 0 } else { changes(figures, &dyads, &with) };
                costs[way] + changes
            };
            let best = (0..GRIPS).min_by_key(|way| cost(*way)).unwrap_or(0);
            chosen[kind] = grips(2)[best];
        }
    }
    for (figure, kind) in figures.iter_mut().zip(dyads) {
        let Some(kind) = kind else { continue };
        let way: GripWay = (vec![chosen[kind]; figure.moments.len()], 0);
        figure.ways = Rc::from([way]);
    }
}

/// The semitones of a dyad that is a figure of its own and has its fingers to choose.
fn size(figure: &HandFigure<'_>) -> Option<i32> {
    let first = &figure.moments[0];
    let is_free = |moment: &Moment| {
        moment.is_struck_like(first) && moment.fixed.iter().all(|finger| *finger == NONE)
    };
    let is_dyad = first.count == 2 && !figure.ways.is_empty();
    (is_dyad && figure.moments.iter().all(is_free))
        .then(|| first.levers[1].semitones - first.levers[0].semitones)
}

/// What it costs that keys, and hands that move in parallel, change their fingers from chord to chord;
/// `dyads` says which of the sizes each figure has that is a dyad.
fn changes(figures: &[HandFigure<'_>], dyads: &[Option<usize>], chosen: &[Grip]) -> Cost {
    let grip = |(figure, dyad): (&HandFigure<'_>, &Option<usize>)| match dyad {
        Some(dyad) => Some(chosen[*dyad]),
        None => figure.ways.first().map(|(fingers, _)| fingers[0]),
    };
    let grips: SmallVec<[Option<Grip>; 48]> = figures.iter().zip(dyads).map(grip).collect();
    let change = |(pair, grips): (&[HandFigure<'_>], &[Option<Grip>])| -> Option<Cost> {
        let [before, now] = [grips[0]?, grips[1]?];
        let [from, to] = [&pair[0].moments[0], &pair[1].moments[0]];
        let other = |(place, lever): (usize, &Lever)| {
            from.place(*lever).is_some_and(|there| before[there] != now[place])
        };
        let others = to.levers().iter().enumerate().filter(|key| other(*key)).count() as Cost;
        let reshapes = before != now && are_parallel(from, to);
        Some(others * OTHER_FINGER + if reshapes { OTHER_SHAPE } else { 0 })
    };
    figures.windows(2).zip(grips.windows(2)).filter_map(change).sum::<Cost>()
}

/// Whether a dyad follows another of nearly its size, both keys moving one way.
fn are_parallel(from: &Moment, to: &Moment) -> bool {
    let (&[low, high], &[next_low, next_high]) = (from.levers(), to.levers()) else { return false };
    let moves = [(low, next_low), (high, next_high)].map(|(a, b)| b.semitones - a.semitones);
    moves[0] * moves[1] > 0 && (moves[0] - moves[1]).abs() <= NEARLY
}
