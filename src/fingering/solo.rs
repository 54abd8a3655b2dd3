//! The dynamic programme over the single notes of a figure, from every finger to every finger.

use super::costs::{Moves, NEVER, Triple};
use super::grips::{GRIPS, Grip, NO_GRIP};
use super::line::{Moment, NONE};
use super::rules::{Cost, FINGERS, FOLDED, FOLDS, PER_POINT, Rules};

/// Ours: fingers of a run that leave one out over a step, for each that they leave out, where
/// they are not the handbook's.
const SKIPPED: Cost = 12 * PER_POINT;
/// Ours: a finger that comes again on another key after one other, outside runs: it is drawn off a
/// key that the hand still lies over.
const RETURNS: Cost = 6 * PER_POINT;
/// Ours: a finger that comes again after one other while the line goes one way, outside runs: the hand
/// creeps from key to key, where handbooks have groups of three and four.
const CREEPS: Cost = 10 * PER_POINT;
/// Semitones of a step.
const STEP: i32 = 2;

/// Costs by finger.
type ByFinger<T> = [T; FINGERS];

/// By the finger that a figure begins with; eight, so that they are reckoned side by side.
type ByFirst<T> = [T; 8];

/// By the finger of a note, of the note before it, and of the first.
type FingerTable<T> = ByFinger<ByFinger<ByFirst<T>>>;

/// Cost and place in one number, of which the least is taken without a branch.
const PLACES: Cost = 16;

/// The best way from every finger of the first of at least two single notes to every finger of the
/// last. `own` is what the fingers of each note cost, `runs` has the handbook's.
pub(super) fn from_end_to_end(
    rules: &Rules,
    moments: &[Moment],
    in_place: &[bool],
    runs: &[Grip],
    own: impl Fn(usize) -> [Cost; GRIPS],
) -> Vec<(Vec<Grip>, Cost)> {
    let mut last: FingerTable<Cost> = [[[NEVER; 8]; FINGERS]; FINGERS];
    // There is no note before the first.
    for (finger, cost) in own(0).into_iter().enumerate().take(FINGERS) {
        last[finger][0][finger] = cost;
    }
    let mut backward: Vec<FingerTable<u8>> = Vec::with_capacity(moments.len());
    for (at, in_place) in in_place.iter().enumerate().skip(1) {
        let step = steps(rules, moments, at, *in_place, runs);
        let third = thirds(rules, moments, at, runs);
        let own = own(at);
        let mut next: FingerTable<Cost> = [[[NEVER; 8]; FINGERS]; FINGERS];
        let mut back: FingerTable<u8> = [[[0; 8]; FINGERS]; FINGERS];
        for (here, so_far) in last.iter().enumerate() {
            for there in 0..FINGERS {
                let more = own[there] + step[here][there];
                if more >= NEVER {
                    continue;
                }
                let mut best: ByFirst<Cost> = [Cost::MAX; 8];
                for ((place, so_far), third) in (0..).zip(so_far).zip(third[here][there]) {
                    for (best, cost) in best.iter_mut().zip(so_far) {
                        *best = (*best).min(PLACES * (cost + third) + place);
                    }
                }
                next[there][here] = best.map(|best| (best / PLACES + more).min(NEVER));
                back[there][here] = best.map(|best| (best % PLACES) as u8);
            }
        }
        last = next;
        backward.push(back);
    }
    ends(&last, &backward)
}

/// The best way to every finger of the last note from every finger of the first.
fn ends(last: &FingerTable<Cost>, backward: &[FingerTable<u8>]) -> Vec<(Vec<Grip>, Cost)> {
    let mut ways = Vec::new();
    for first in 0..FINGERS {
        for (finger, ends) in last.iter().enumerate() {
            let here = (0..FINGERS).min_by_key(|here| ends[*here][first]).unwrap_or(0);
            if ends[here][first] < NEVER {
                ways.push((trace(backward, first, [finger, here]), ends[here][first]));
            }
        }
    }
    ways
}

/// What it costs to come to a note from two before it, by the fingers of the one before, of its own
/// and of the one before both.
fn thirds(
    rules: &Rules,
    moments: &[Moment],
    at: usize,
    runs: &[Grip],
) -> ByFinger<ByFinger<ByFinger<Cost>>> {
    let Some(two_before) = at.checked_sub(2) else { return Default::default() };
    let triple = Triple::new(rules, moments, at);
    let [from, between, to] = [two_before, at - 1, at].map(|at| moments[at].levers[0].semitones);
    let is_free = runs[at][0] == NONE;
    let returns = is_free && (1..=STEP).contains(&(to - from).abs());
    // A finger may come again over the thumb, or after it, as in scales.
    let is_near = (between - from).abs() <= STEP || (to - between).abs() <= STEP;
    let goes_on = is_free && (between - from) * (to - between) > 0;
    std::array::from_fn(|here| {
        std::array::from_fn(|there| {
            std::array::from_fn(|before| {
                let cost = triple.as_ref().map_or(0, |triple| triple.cost(before, here, there));
                let is_pass = here == 0 && is_near;
                let creeps = goes_on && before == there && here != there && !is_pass;
                cost + if returns && before == there { RETURNS } else { 0 }
                    + if creeps { CREEPS } else { 0 }
            })
        })
    })
}

/// What it costs to come to a note, by the finger before and its own.
fn steps(
    rules: &Rules,
    moments: &[Moment],
    at: usize,
    in_place: bool,
    runs: &[Grip],
) -> ByFinger<ByFinger<Cost>> {
    let [before, now] = [&moments[at - 1], &moments[at]];
    let moves = Moves::new(rules, [before, now], false, in_place);
    let rise = now.levers[0].semitones - before.levers[0].semitones;
    let [from, to] = [runs[at - 1][0], runs[at][0]];
    let is_step = from != NONE && to != NONE && (1..=STEP).contains(&rise.abs());
    std::array::from_fn(|here| {
        std::array::from_fn(|there| {
            let is_handbooks = [here, there] == [usize::from(from), usize::from(to)];
            let in_order = (here < there) == (rise > 0);
            let left_out = here.abs_diff(there).saturating_sub(1) as Cost;
            let skips = is_step && in_order && !is_handbooks;
            let is_near = (1..=STEP).contains(&rise.abs());
            let folds = is_near && in_order && here.abs_diff(there) >= FOLDS;
            moves.cost(&alone(here), &alone(there))
                + if skips { left_out * SKIPPED } else { 0 }
                + if folds { FOLDED } else { 0 }
        })
    })
}

fn alone(finger: usize) -> Grip {
    let mut grip = NO_GRIP;
    grip[0] = finger as u8;
    grip
}

/// Follows the least cost back from the last note, by its finger and that of the note before.
fn trace(backward: &[FingerTable<u8>], first: usize, [finger, before]: [usize; 2]) -> Vec<Grip> {
    let mut fingers = vec![NO_GRIP; backward.len() + 1];
    let (mut there, mut here) = (finger, before);
    for (place, grip) in fingers.iter_mut().enumerate().rev() {
        *grip = alone(there);
        if let Some(back) = place.checked_sub(1).map(|before| &backward[before]) {
            (there, here) = (here, usize::from(back[there][here][first]));
        }
    }
    fingers
}
