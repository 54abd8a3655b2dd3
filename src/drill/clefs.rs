//! Clefs: which clef each sound of a hand is read in, by one rule for all keys of a drill.

use std::ops::Range;

use super::sketch::Sound;
use crate::score::{Clef, Metre, QUARTER};

/// A clef for each sound of a line, in the keys whose tonics lie so low.
#[derive(Clone, Debug)]
pub(super) struct ClefPlan {
    /// The staff step of the highest tonic that it serves.
    pub(super) highest: i32,
    pub(super) clefs: Vec<Clef>,
}

/// The clef plans of a line for all its keys, low to high, and what reading them costs in all of
/// them together.
#[derive(Clone, Debug)]
pub(super) struct ClefPlans {
    pub(super) plans: Vec<ClefPlan>,
    pub(super) cost: f64,
}

/// Ledger lines that a student may be asked to read.
///
/// Source: single notes are read reliably within three (Frontiers in Psychology 9:2192, 2018).
pub const MOST_LEDGER_LINES: i32 = 3;

// Costs of a clef plan. Unit: 1.0 = one ledger line on one chord in one key.
const COST_LEDGER_LINES: [f64; 4] = [0.0, 1.0, 3.0, 5.0];
/// Each ledger line past the third: only where no clef avoids it.
const COST_TOO_FAR: f64 = 400.0;
/// A chord in the other hand's clef: a little more than two ledger lines, so that a hand returns
/// to its own as soon as two serve.
const COST_OTHER_CLEF: f64 = 3.1;
/// A change of clef at a barline.
const COST_CHANGE_AT_BARLINE: f64 = 10.0;
/// A change of clef inside a bar.
const COST_CHANGE_IN_BAR: f64 = 12.0;
/// A change of clef inside a group of notes that the eye takes in as one.
const COST_CHANGE_IN_GROUP: f64 = 40.0;
/// A change of clef between two strokes of one chord, or before the last of all.
const COST_CHANGE_FOR_NOTHING: f64 = 60.0;
/// A line that lies in the other hand's clef from the beginning: dearer than a few ledger
/// lines, cheaper than going to and fro between clefs.
const COST_UNUSUAL_OPENING: f64 = 19.0;
/// A line that ends in another clef than it began: it is played again from the start.
const COST_NO_RETURN: f64 = 15.0;
/// Another plan for the higher keys, shared out among all: only where one plan would be hard to
/// read in some keys, or has changes of clef that most of them could do without.
const COST_OTHER_PLAN: f64 = 8.0;

const CLEFS: [Clef; 2] = [Clef::Treble, Clef::Bass];

/// What reading a line costs, whatever its key.
pub(super) struct Reading<'a> {
    line: &'a [Sound],
    usual: Clef,
    /// How much each sound counts: all sounds of a chord count as one.
    weights: Vec<f64>,
    /// What a change of clef before each sound costs.
    changes: Vec<f64>,
}

impl<'a> Reading<'a> {
    pub(super) fn new(metre: Metre, usual: Clef, line: &'a [Sound]) -> Self {
        let weights = line
            .chunk_by(|a, b| a.chord == b.chord)
            .flat_map(|own| std::iter::repeat_n(1.0 / own.len() as f64, own.len()));
        let changes = (0..line.len()).map(|index| change_before(metre, line, index));
        Self { line, usual, weights: weights.collect(), changes: changes.collect() }
    }

    /// What each sound costs in each clef where the tonic stands on a staff step, `keys` times.
    fn costs(&self, tonic: i32, keys: usize) -> Vec<[f64; 2]> {
        let each = self.line.iter().zip(&self.weights).map(|(sound, weight)| {
            CLEFS.map(|clef| keys as f64 * self.cost(clef, tonic, sound, *weight))
        });
        each.collect()
    }

    fn cost(&self, clef: Clef, tonic: i32, sound: &Sound, weight: f64) -> f64 {
        let outer = [sound.intervals.first(), sound.intervals.last()];
        let lines = outer.into_iter().flatten().map(|interval| {
            let position = tonic + interval.steps - clef.middle_line();
            (position.abs() - 4).max(0) / 2
        });
        let lines = lines.max().unwrap_or(0);
        let other = if clef == self.usual { 0.0 } else { COST_OTHER_CLEF };
        match COST_LEDGER_LINES.get(lines as usize) {
            Some(cost) => weight * (cost + other),
            None => COST_TOO_FAR * f64::from(lines - MOST_LEDGER_LINES),
        }
    }

    /// The cheapest plans for keys whose tonics stand on these staff steps, in order, with the
    /// number of keys on each: one for all, or one for the lower of them and one for the higher.
    pub(super) fn plans(&self, tonics: &[(i32, usize)]) -> ClefPlans {
        let costs: Vec<Vec<[f64; 2]>> =
            tonics.iter().map(|(tonic, keys)| self.costs(*tonic, *keys)).collect();
        let plan = |range: Range<usize>| {
            let mut sums = vec![[0.0; 2]; self.line.len()];
            for own in &costs[range.clone()] {
                for (sum, own) in sums.iter_mut().zip(own) {
                    *sum = [sum[0] + own[0], sum[1] + own[1]];
                }
            }
            let own = &tonics[range];
            let keys = own.iter().map(|(_, keys)| keys).sum();
            let (cost, clefs) = self.cheapest(&sums, keys);
            (cost, ClefPlan { highest: own.last().map_or(0, |(step, _)| *step), clefs })
        };
        let (cost, all) = plan(0..tonics.len());
        let mut best = ClefPlans { plans: vec![all], cost };
        let other_plan = COST_OTHER_PLAN * tonics.iter().map(|(_, keys)| *keys as f64).sum::<f64>();
        for split in 1..tonics.len() {
            if other_plan >= best.cost {
                break;
            }
            let (low, high) = (plan(0..split), plan(split..tonics.len()));
            let cost = other_plan + low.0 + high.0;
            if cost < best.cost {
                best = ClefPlans { plans: vec![low.1, high.1], cost };
            }
        }
        best
    }

    /// The cheapest clef for each sound where they cost so much to read in each clef: few ledger
    /// lines, few changes, changes at barlines where they can be. Each sound keeps one clef, so no
    /// tie runs across a change.
    fn cheapest(&self, reading: &[[f64; 2]], keys: usize) -> (f64, Vec<Clef>) {
        let plan = |opening: Clef| {
            let unusual = if opening == self.usual { 0.0 } else { COST_UNUSUAL_OPENING };
            let (cost, clefs) = self.cheapest_from(opening, reading, keys as f64);
            (cost + unusual * keys as f64, clefs)
        };
        let other = if self.usual == Clef::Treble { Clef::Bass } else { Clef::Treble };
        let (usual, other) = (plan(self.usual), plan(other));
        if other.0 < usual.0 { other } else { usual }
    }

    /// The cheapest plan that opens in a clef, by dynamic programming over the two clefs.
    fn cheapest_from(&self, opening: Clef, reading: &[[f64; 2]], keys: f64) -> (f64, Vec<Clef>) {
        let mut costs = CLEFS.map(|clef| if clef == opening { 0.0 } else { f64::INFINITY });
        let mut came_from: Vec<[usize; 2]> = Vec::with_capacity(reading.len());
        for (reading, change) in reading.iter().zip(&self.changes) {
            let change = change * keys;
            let from = [0, 1].map(|now: usize| {
                // Of two equal plans the later change: up to it the hand reads the clef it knows.
                if costs[now] < costs[1 - now] + change { now } else { 1 - now }
            });
            costs = [0, 1].map(|now: usize| {
                let arrived = costs[now].min(costs[1 - now] + change);
                arrived + reading[now]
            });
            came_from.push(from);
        }
        let no_return = COST_NO_RETURN * keys;
        let ending = [0, 1]
            .map(|row: usize| costs[row] + if CLEFS[row] == opening { 0.0 } else { no_return });
        let mut row = usize::from(ending[1] < ending[0]);
        let cost = ending[row];
        let mut clefs = Vec::with_capacity(reading.len());
        for from in came_from.iter().rev() {
            clefs.push(CLEFS[row]);
            row = from[row];
        }
        clefs.reverse();
        (cost, clefs)
    }
}

/// What a change of clef before the sound at an index costs.
fn change_before(metre: Metre, line: &[Sound], index: usize) -> f64 {
    let sound = &line[index];
    let in_bar = sound.at.rem_euclid(metre.bar());
    match index {
        0 => f64::INFINITY,
        _ if index + 1 == line.len() || sound.intervals == line[index - 1].intervals => {
            COST_CHANGE_FOR_NOTHING
        }
        _ if in_bar == 0 => COST_CHANGE_AT_BARLINE,
        _ if in_bar == metre.group_of(in_bar).0 || !is_beamed(&line[index - 1..=index]) => {
            COST_CHANGE_IN_BAR
        }
        _ => COST_CHANGE_IN_GROUP,
    }
}

/// Whether two neighbouring sounds are short enough to share a beam, and follow without a rest.
fn is_beamed(pair: &[Sound]) -> bool {
    let is_short = |sound: &Sound| sound.end - sound.at <= QUARTER / 2;
    pair.iter().all(is_short) && pair[0].end == pair[1].at
}
