//! The dynamic programme over the single notes of a figure, from every finger to every finger.

use super::costs::{Moves, NEVER, Triple};
use super::grips::{GRIPS, Grip, NO_GRIP};
use super::line::{Moment, NONE};
use super::rules::{Cost, FINGERS, PER_POINT, Rules};

/// Ours: fingers of a run that leave one out over a step, for each that they leave out, where
/// they are not the handbook's.
const SKIPPED: Cost = 12 * PER_POINT;
/// Ours: a finger that comes again on another key after one other, outside runs: it is drawn off a
/// key that the hand still lies over.
const RETURNS: Cost = 6 * PER_POINT;
/// Semitones of a step.
const STEP: i32 = 2;

/// Costs by finger.
type ByFinger<T> = [T; FINGERS];

/// For the finger that a figure begins with, by the finger of a note and of the note before it.
type Table<T> = ByFinger<ByFinger<ByFinger<T>>>;

/// The best way from every finger of the first of at least two single notes to every finger of the
/// last. `own` is what the fingers of each note cost, `runs` has the handbook's.
pub(super) fn from_end_to_end(
    rules: &Rules,
    moments: &[Moment],
    in_place: &[bool],
    runs: &[Grip],
    own: impl Fn(usize) -> [Cost; GRIPS],
) -> Vec<(Vec<Grip>, Cost)> {
    // [first][finger][finger before]; there is no note before the first.
    let mut last: Table<Cost> = [[[NEVER; FINGERS]; FINGERS]; FINGERS];
    let start = own(0);
    for finger in 0..FINGERS {
        last[finger][finger][0] = start[finger];
    }
    let mut backward: Vec<Table<u8>> = Vec::with_capacity(moments.len());
    for at in 1..moments.len() {
        let step = steps(rules, moments, at, in_place[at], runs);
        let triple = Triple::new(rules, moments, at);
        let own = own(at);
        let returns = at > 1 && runs[at][0] == NONE && {
            let apart = moments[at - 2].levers[0].semitones - moments[at].levers[0].semitones;
            (1..=STEP).contains(&apart.abs())
        };
        let mut next: Table<Cost> = [[[NEVER; FINGERS]; FINGERS]; FINGERS];
        let mut back: Table<u8> = [[[0; FINGERS]; FINGERS]; FINGERS];
        for (first, so_far) in last.iter().enumerate().filter(|(first, _)| start[*first] < NEVER) {
            for (here, so_far) in so_far.iter().enumerate() {
                for there in 0..FINGERS {
                    let mut so_far = *so_far;
                    if returns {
                        so_far[there] += RETURNS;
                    }
                    let (cost, from) = Triple::least_of(triple.as_ref(), &so_far, here, there);
                    let cost = cost + own[there] + step[here][there];
                    next[first][there][here] = cost.min(NEVER);
                    back[first][there][here] = from;
                }
            }
        }
        last = next;
        backward.push(back);
    }
    let mut ways = Vec::new();
    for first in 0..FINGERS {
        for finger in 0..FINGERS {
            let ends = last[first][finger];
            let here = (0..FINGERS).min_by_key(|here| ends[*here]).unwrap_or(0);
            if ends[here] < NEVER {
                ways.push((trace(&backward, first, [finger, here]), ends[here]));
            }
        }
    }
    ways
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
            moves.cost(&alone(here), &alone(there)) + if skips { left_out * SKIPPED } else { 0 }
        })
    })
}

fn alone(finger: usize) -> Grip {
    let mut grip = NO_GRIP;
    grip[0] = finger as u8;
    grip
}

/// Follows the least cost back from the last note, by its finger and that of the note before.
fn trace(backward: &[Table<u8>], first: usize, [finger, before]: [usize; 2]) -> Vec<Grip> {
    let mut fingers = vec![NO_GRIP; backward.len() + 1];
    let (mut there, mut here) = (finger, before);
    for (place, grip) in fingers.iter_mut().enumerate().rev() {
        *grip = alone(there);
        if let Some(back) = place.checked_sub(1).map(|before| &backward[before]) {
            (there, here) = (here, usize::from(back[first][there][here]));
        }
    }
    fingers
}
