//! The dynamic programme over the moments of a line.

use super::costs::{Moves, NEVER, Triple, least};
use super::grips::{GRIPS, Grip, grips};
use super::line::{FingeringError, Moment};
use super::rules::{Cost, Rules};

/// Costs by way of a moment, and then by way of the moment before it.
type CostTable = [[Cost; GRIPS]; GRIPS];

/// For each way of a moment and of the one before it, the best way of the one before that.
type Backward = [[u8; GRIPS]; GRIPS];

/// The least costs of reaching the last moment of a line, and the ways there.
pub(super) struct Programme<'a> {
    moments: &'a [Moment],
    /// Beyond what was taken off to keep them small.
    last: CostTable,
    taken_off: Cost,
    backward: Vec<Backward>,
}

/// What lies between the moments of a line.
#[derive(Clone, Copy)]
pub(super) struct Joints<'a> {
    /// Of each moment, whether the hand moves to it because a figure begins.
    pub(super) moves: &'a [bool],
    /// Of each moment, whether it is reached within one position.
    pub(super) in_place: &'a [bool],
}

impl<'a> Programme<'a> {
    /// Runs through moments, at least one; `own` is what the ways of each cost by themselves.
    pub(super) fn run(
        rules: &Rules,
        moments: &'a [Moment],
        joints: Joints<'_>,
        own: impl Fn(usize) -> [Cost; GRIPS],
    ) -> Result<Self, FingeringError> {
        let Joints { moves, in_place } = joints;
        let mut last: CostTable = [[NEVER; GRIPS]; GRIPS];
        // The first moment follows one that had a single way and cost nothing.
        for (row, cost) in last.iter_mut().zip(own(0)) {
            row[0] = cost;
        }
        let taken_off = settle(&mut last, &moments[0])?;
        let backward = Vec::with_capacity(moments.len());
        let mut programme = Self { moments, last, taken_off, backward };
        for at in 1..moments.len() {
            let step = Moves::new(rules, [&moments[at - 1], &moments[at]], moves[at], in_place[at]);
            programme.step(at, &own(at), &step, Triple::new(rules, moments, at).as_ref())?;
        }
        Ok(programme)
    }

    fn step(
        &mut self,
        at: usize,
        own: &[Cost; GRIPS],
        step: &Moves<'_>,
        triple: Option<&Triple<'_>>,
    ) -> Result<(), FingeringError> {
        let [before, now] = [&self.moments[at - 1], &self.moments[at]];
        let mut next: CostTable = [[NEVER; GRIPS]; GRIPS];
        let mut back: Backward = [[0; GRIPS]; GRIPS];
        for (here, here_way) in grips(before.count).iter().enumerate() {
            let so_far = &self.last[here];
            if so_far.iter().all(|cost| *cost >= NEVER) {
                continue;
            }
            let alike = if triple.is_none() { least(so_far.iter().copied()) } else { (0, 0) };
            for (there, there_way) in grips(now.count).iter().enumerate() {
                if own[there] >= NEVER {
                    continue;
                }
                let (cost, from) = match triple {
                    Some(triple) => triple.least(so_far, here, there),
                    None => alike,
                };
                next[there][here] = cost + own[there] + step.cost(here_way, there_way);
                back[there][here] = from;
            }
        }
        self.taken_off += settle(&mut next, now)?;
        self.last = next;
        self.backward.push(back);
        Ok(())
    }

    /// The least costly way of every moment, and its cost.
    pub(super) fn best(&self) -> (Vec<Grip>, Cost) {
        let ends = (0..GRIPS).map(|there| least(self.last[there].iter().copied()).0);
        let (_, there) = least(ends);
        self.trace(usize::from(there))
    }

    /// The same for every way of the last moment that can be reached.
    pub(super) fn best_of_each(&self) -> impl Iterator<Item = (Vec<Grip>, Cost)> {
        let ways = 0..grips(self.moments[self.moments.len() - 1].count).len();
        let reached = ways.filter(|there| self.last[*there].iter().any(|cost| *cost < NEVER));
        reached.map(|there| self.trace(there))
    }

    /// Follows the least cost back from a way of the last moment.
    fn trace(&self, mut there: usize) -> (Vec<Grip>, Cost) {
        let (cost, here) = least(self.last[there].iter().copied());
        let mut here = usize::from(here);
        let mut chosen = vec![Grip::default(); self.moments.len()];
        for at in (0..self.moments.len()).rev() {
            chosen[at] = grips(self.moments[at].count)[there];
            if let Some(back) = at.checked_sub(1).map(|before| &self.backward[before]) {
                (there, here) = (here, usize::from(back[there][here]));
            }
        }
        (chosen, cost + self.taken_off)
    }
}

/// Counts costs from the least of them, so that they stay small however long the line; gives what
/// was taken off.
fn settle(table: &mut CostTable, moment: &Moment) -> Result<Cost, FingeringError> {
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
    Ok(lowest)
}
