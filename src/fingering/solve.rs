//! The choice of fingers for a whole line: a dynamic programme over its moments.

use super::costs::{Moves, NEVER, Triple, least, own};
use super::figure::{in_place, write_again, write_figures};
use super::grips::{GRIPS, Grip, beyond, grips};
use super::hand::{HandSize, Measure};
use super::line::{FingeringError, Moment, NONE, Struck, moments};
use super::passage::write_runs;
use super::rules::{Cost, Lever, Rules};
use crate::score::Hand;

/// How a line is fingered.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Settings {
    /// The size of the hand.
    pub size: HandSize,
    /// How distances are judged.
    pub measure: Measure,
}

/// The fingers of a line.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fingering {
    /// For each struck note or chord, a finger for each of its notes, 1 to 5.
    pub fingers: Vec<Vec<u8>>,
    /// The struck notes and chords, by index, that the hand cannot hold together with what else
    /// is down: to be rolled, revoiced, or marked with a caution.
    pub beyond: Vec<usize>,
}

/// Fingers for every note of one hand's line, the least costly over the whole line.
///
/// The line is in order of time; notes that are struck at one moment may stand in one
/// [`Struck`] or in several. `figures` says of each whether a figure begins with it, and may be
/// empty, or shorter than the line, where none does: the hand moves to where a figure begins, and
/// one that lies in a position takes the fingers of that position. A held note keeps its finger, a
/// repeated one too. Given fingers are kept. What the hand cannot hold gets fingers all the same,
/// and is listed.
///
/// # Errors
///
/// See [`FingeringError`]: its index names the note or chord at fault.
pub fn fingers(
    hand: Hand,
    line: &[Struck<'_>],
    figures: &[bool],
    settings: Settings,
) -> Result<Fingering, FingeringError> {
    let moments = moments(hand, line)?;
    let rules = Rules::of(settings.size, settings.measure);
    let grips = solve(rules, &moments, figures)?;
    let mut fingering = Fingering { fingers: Vec::with_capacity(line.len()), beyond: Vec::new() };
    let mut at = 0;
    let mut last = None;
    for (index, struck) in line.iter().enumerate() {
        if struck.pitches.is_empty() {
            fingering.fingers.push(Vec::new());
            continue;
        }
        if last.is_some_and(|last| last != struck.at) {
            at += 1;
        }
        last = Some(struck.at);
        let (moment, grip) = (&moments[at], grips[at]);
        let finger = |lever: Lever| moment.place(lever).map_or(0, |place| grip[place] + 1);
        let digits = struck.pitches.iter().map(|pitch| finger(Lever::of(hand, *pitch)));
        fingering.fingers.push(digits.collect());
        if beyond(rules.size, moment.levers(), &grip) > 0 {
            fingering.beyond.push(index);
        }
    }
    Ok(fingering)
}

/// Costs by way of a moment, and then by way of the moment before it.
pub(super) type CostTable = [[Cost; GRIPS]; GRIPS];

/// For each way of a moment and of the one before it, the best way of the one before that.
type Backward = [[u8; GRIPS]; GRIPS];

/// The least costly way of every moment.
fn solve(rules: &Rules, moments: &[Moment], figures: &[bool]) -> Result<Vec<Grip>, FingeringError> {
    let mut wanted = vec![NONE; moments.len()];
    let moves = write_figures(rules, moments, figures, &mut wanted);
    let in_position = wanted.clone();
    write_runs(moments, &moves, &mut wanted);
    let chosen = least_costly(rules, moments, &moves, &wanted)?;
    let fingers: Vec<u8> = chosen.iter().map(|grip| grip[0]).collect();
    if write_again(moments, &moves, &in_position, &fingers, &mut wanted) {
        // What is alike feels alike, whatever stands beside it.
        return least_costly(rules, moments, &moves, &wanted).or(Ok(chosen));
    }
    Ok(chosen)
}

/// The least costly way of every moment; `wanted` are the fingers that single notes should have.
fn least_costly(
    rules: &Rules,
    moments: &[Moment],
    moves: &[bool],
    wanted: &[u8],
) -> Result<Vec<Grip>, FingeringError> {
    let Some(first) = moments.first() else { return Ok(Vec::new()) };
    let in_place = in_place(rules.size, moments, moves);
    let mut backward: Vec<Backward> = Vec::with_capacity(moments.len());
    let mut so_far: CostTable = [[NEVER; GRIPS]; GRIPS];
    // The first moment follows one that had a single way and cost nothing.
    for (row, cost) in so_far.iter_mut().zip(own(rules, moments, 0, wanted[0])) {
        row[0] = cost;
    }
    settle(&mut so_far, first)?;
    for at in 1..moments.len() {
        let own = own(rules, moments, at, wanted[at]);
        let [before, now] = [&moments[at - 1], &moments[at]];
        let step = Moves::new(rules, [before, now], moves[at], in_place[at]);
        let triple = Triple::new(rules, moments, at);
        let mut next: CostTable = [[NEVER; GRIPS]; GRIPS];
        let mut back: Backward = [[0; GRIPS]; GRIPS];
        for (here, here_way) in grips(before.count).iter().enumerate() {
            if so_far[here].iter().all(|cost| *cost >= NEVER) {
                continue;
            }
            let alike = if triple.is_none() { least(so_far[here].iter().copied()) } else { (0, 0) };
            for (there, there_way) in grips(now.count).iter().enumerate() {
                if own[there] >= NEVER {
                    continue;
                }
                let (cost, from) = match &triple {
                    Some(triple) => triple.least(&so_far[here], here, there),
                    None => alike,
                };
                next[there][here] = cost + own[there] + step.cost(here_way, there_way);
                back[there][here] = from;
            }
        }
        settle(&mut next, now)?;
        so_far = next;
        backward.push(back);
    }
    Ok(trace(moments, &so_far, &backward))
}

/// Counts costs from the least of them, so that they stay small however long the line.
fn settle(table: &mut CostTable, moment: &Moment) -> Result<(), FingeringError> {
    let rows = &mut table[..grips(moment.count).len()];
    let lowest = rows.iter().fold(NEVER, |lowest, row| row.iter().fold(lowest, |l, c| l.min(*c)));
    if lowest >= NEVER {
        return Err(moment.impossible());
    }
    for row in rows {
        for cost in row {
            *cost = if *cost >= NEVER { NEVER } else { *cost - lowest };
        }
    }
    Ok(())
}

/// Follows the least cost back from the end.
fn trace(moments: &[Moment], last: &CostTable, backward: &[Backward]) -> Vec<Grip> {
    let (mut there, mut here) = (0, 0);
    for (grip, row) in last.iter().enumerate() {
        let (cost, before) = least(row.iter().copied());
        if cost < last[there][here] {
            (there, here) = (grip, usize::from(before));
        }
    }
    let mut chosen = vec![Grip::default(); moments.len()];
    for at in (0..moments.len()).rev() {
        chosen[at] = grips(moments[at].count)[there];
        if let Some(back) = at.checked_sub(1).map(|before| &backward[before]) {
            (there, here) = (here, usize::from(back[there][here]));
        }
    }
    chosen
}
