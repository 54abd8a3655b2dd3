//! Clefs: which clef each sound of a hand is read in, by one rule for all keys of a drill.

use std::collections::{BTreeMap, BTreeSet};

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

/// Ledger lines below a treble clef that send a chord of the left hand to its bass clef, or above
/// a bass clef one of the right hand to its treble clef, where that takes it with fewer (ours).
pub const LEDGER_LINES_TO_RETURN: i32 = 3;

// Costs of a clef plan. Unit: 1.0 = one ledger line on one chord in one key.
const COST_LEDGER_LINES: [f64; 4] = [0.0, 1.0, 3.0, 5.0];
/// Each ledger line past the third: only where no clef avoids it.
const COST_TOO_FAR: f64 = 400.0;
/// A chord that hangs off the other hand's clef by so many ledger lines on the side of its own,
/// which would take it with fewer: no copyist leaves it there.
const COST_HANGS: f64 = 60.0;
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
/// Another plan for the higher keys, and one more for those between, shared out among all: only
/// where fewer plans would be hard to read in some keys, or have changes of clef that most of
/// them could do without.
const COST_OTHER_PLANS: [f64; 3] = [0.0, 8.0, 24.0];

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
        let lines = ledger_lines(clef, tonic, sound);
        let worst = lines[0].max(lines[1]);
        let Some(cost) = COST_LEDGER_LINES.get(worst as usize) else {
            return COST_TOO_FAR * f64::from(worst - MOST_LEDGER_LINES);
        };
        if clef == self.usual {
            return weight * cost;
        }
        // The side that faces the staff of the hand's own clef.
        let facing = lines[usize::from(self.usual == Clef::Treble)];
        let own = ledger_lines(self.usual, tonic, sound);
        let hangs = facing >= LEDGER_LINES_TO_RETURN && own[0].max(own[1]) < facing;
        weight * (cost + COST_OTHER_CLEF + if hangs { COST_HANGS } else { 0.0 })
    }

    /// The cheapest plans for keys whose tonics stand on these staff steps, in order, with the
    /// number of keys on each: one for all, or one for the lower of them and one for the higher,
    /// or a third for those between.
    pub(super) fn plans(&self, tonics: &[(i32, usize)]) -> ClefPlans {
        let costs: Vec<Vec<[f64; 2]>> =
            tonics.iter().map(|(tonic, keys)| self.costs(*tonic, *keys)).collect();
        let mut known: BTreeMap<(usize, usize), (f64, ClefPlan)> = BTreeMap::new();
        let mut plan = |from: usize, to: usize| {
            let found = known.entry((from, to)).or_insert_with(|| {
                let mut sums = vec![[0.0; 2]; self.line.len()];
                for own in &costs[from..to] {
                    for (sum, own) in sums.iter_mut().zip(own) {
                        *sum = [sum[0] + own[0], sum[1] + own[1]];
                    }
                }
                let own = &tonics[from..to];
                let keys = own.iter().map(|(_, keys)| keys).sum();
                let (cost, clefs) = self.consistent(sums, keys);
                (cost, ClefPlan { highest: own.last().map_or(0, |(step, _)| *step), clefs })
            });
            found.clone()
        };
        let all_keys = tonics.iter().map(|(_, keys)| *keys as f64).sum::<f64>();
        let count = tonics.len();
        let (cost, all) = plan(0, count);
        let mut best = ClefPlans { plans: vec![all], cost };
        let twos = (1..count).map(|split| vec![0, split, count]);
        let threes =
            (1..count).flat_map(|low| (low + 1..count).map(move |high| vec![0, low, high, count]));
        for bounds in twos.chain(threes) {
            let others = COST_OTHER_PLANS[bounds.len() - 2] * all_keys;
            if others >= best.cost {
                break;
            }
            let parts: Vec<(f64, ClefPlan)> =
                bounds.windows(2).map(|pair| plan(pair[0], pair[1])).collect();
            let cost = others + parts.iter().map(|(cost, _)| cost).sum::<f64>();
            if cost < best.cost {
                let plans = parts.into_iter().map(|(_, plan)| plan).collect();
                best = ClefPlans { plans, cost };
            }
        }
        best
    }

    /// The cheapest plan in which a chord stands in the clef of most of its height, or else in
    /// that of both its neighbours: a chord that has neither gives way, or all of its height do if
    /// that takes no further change of clef, whichever is cheapest.
    fn consistent(&self, mut reading: Vec<[f64; 2]>, keys: usize) -> (f64, Vec<Clef>) {
        let mut best = self.cheapest(&reading, keys);
        let mut kept: BTreeSet<usize> = BTreeSet::new();
        while let Some(stray) = self.stray(&best.1, &kept) {
            let height = outer(&self.line[stray]);
            let alike: Vec<usize> =
                (0..self.line.len()).filter(|index| outer(&self.line[*index]) == height).collect();
            let most = changes(&best.1);
            let row = usize::from(best.1[stray] == CLEFS[1]);
            let ways =
                [(vec![stray], 1 - row, usize::MAX), (alike.clone(), 0, most), (alike, 1, most)];
            let tried = ways.into_iter().filter_map(|(chords, row, most)| {
                let mut reading = reading.clone();
                for index in chords {
                    reading[index][1 - row] = f64::INFINITY;
                }
                let found = self.cheapest(&reading, keys);
                (changes(&found.1) <= most).then_some((found, reading))
            });
            let limit = best.0 + COST_HANGS * keys as f64;
            let found = tried.min_by(|a, b| a.0.0.total_cmp(&b.0.0));
            match found.filter(|(found, _)| found.0 < limit) {
                Some(settled) => (best, reading) = settled,
                None => _ = kept.insert(stray),
            }
        }
        best
    }

    /// The first chord, of those that are not to be kept, that stands neither in the clef of most
    /// of its height nor in that of both its neighbours.
    fn stray(&self, clefs: &[Clef], kept: &BTreeSet<usize>) -> Option<usize> {
        // How many more of a height stand in the hand's own clef than in the other.
        let mut heights: BTreeMap<[i32; 2], i32> = BTreeMap::new();
        let vote = |clef: Clef| if clef == self.usual { 1 } else { -1 };
        for (sound, clef) in self.line.iter().zip(clefs) {
            *heights.entry(outer(sound)).or_default() += vote(*clef);
        }
        let is_stray = |index: &usize| {
            let sound = &self.line[*index];
            let around = &clefs[index.saturating_sub(1)..clefs.len().min(index + 2)];
            sound.intervals.len() > 1
                && heights[&outer(sound)] * vote(clefs[*index]) < 0
                && around.iter().any(|clef| *clef != clefs[*index])
        };
        (0..self.line.len()).filter(|index| !kept.contains(index)).find(is_stray)
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

/// How often a plan changes its clef.
fn changes(clefs: &[Clef]) -> usize {
    clefs.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

/// The steps of the lowest and the highest note of a sound above its tonic.
fn outer(sound: &Sound) -> [i32; 2] {
    [sound.intervals.first(), sound.intervals.last()]
        .map(|interval| interval.map_or(0, |interval| interval.steps))
}

/// The ledger lines below and above a clef that a sound needs where its tonic stands on a step.
fn ledger_lines(clef: Clef, tonic: i32, sound: &Sound) -> [i32; 2] {
    let [low, high] = outer(sound).map(|step| tonic + step - clef.middle_line());
    [-low, high].map(|beyond| (beyond - 4).max(0) / 2)
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
