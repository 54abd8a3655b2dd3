//! Clefs: which clef each sound of a hand is read in, by one rule for all keys of a drill.

use std::collections::BTreeMap;

use super::legible::{CLEFS, HandSounds, Legible};
use super::stays::{self, Lengths};
use crate::score::Clef;

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

/// Another plan for the higher keys, and one more for those between, for each key of a drill: only
/// where fewer plans would be hard to read in some keys, or have changes of clef that most of
/// them could do without. Unit as in [`super::legible`].
const COST_OTHER_PLANS: [f64; 3] = [0.0, 8.0, 24.0];

/// What reading a line costs, whatever its key; what was worked out once is kept.
pub(super) struct ReadingCost<'a> {
    line: HandSounds<'a>,
    lengths: Lengths,
    known: BTreeMap<i32, Alone>,
}

/// A key by itself: what its sounds cost, and the cheapest plan for it.
struct Alone {
    legible: Legible,
    cost: f64,
}

impl<'a> ReadingCost<'a> {
    pub(super) fn new(line: HandSounds<'a>) -> Self {
        Self { lengths: Lengths::of(&line), line, known: BTreeMap::new() }
    }

    /// What reading would cost in keys whose tonics stand on these staff steps if each had a plan
    /// of its own: all plans together cost no less.
    pub(super) fn at_least(&mut self, tonics: &[(i32, usize)]) -> f64 {
        let Self { line, lengths, known } = self;
        let each = tonics.iter().map(|(tonic, keys)| {
            let alone = known.entry(*tonic).or_insert_with(|| {
                let legible = line.legible(*tonic);
                let cost = stays::cheapest(line, lengths, [(&legible, 1.0)].into_iter(), 1).0;
                Alone { legible, cost }
            });
            *keys as f64 * alone.cost
        });
        each.sum()
    }

    /// The cheapest plans for keys whose tonics stand on these staff steps, in order, with the
    /// number of keys on each: one for all, or one for the lower of them and one for the higher,
    /// or a third for those between.
    pub(super) fn plans(&mut self, tonics: &[(i32, usize)]) -> ClefPlans {
        let least = self.at_least(tonics);
        let mut ranges = Ranges { reading: self, tonics, known: BTreeMap::new() };
        let all_keys = tonics.iter().map(|(_, keys)| *keys as f64).sum::<f64>();
        let count = tonics.len();
        let mut best = (ranges.cost(0, count), vec![0, count]);
        let twos = (1..count).map(|split| vec![0, split, count]);
        let threes =
            (1..count).flat_map(|low| (low + 1..count).map(move |high| vec![0, low, high, count]));
        for bounds in twos.chain(threes) {
            let others = COST_OTHER_PLANS[bounds.len() - 2] * all_keys;
            if others + least >= best.0 {
                break;
            }
            let pairs = bounds.windows(2);
            let cost = others + pairs.map(|pair| ranges.cost(pair[0], pair[1])).sum::<f64>();
            if cost < best.0 {
                best = (cost, bounds);
            }
        }
        let (cost, bounds) = best;
        let plans = bounds.windows(2).map(|pair| ranges.plan(pair[0], pair[1])).collect();
        ClefPlans { plans, cost }
    }
}

/// Plans for keys that follow each other, each worked out once.
struct Ranges<'a> {
    reading: &'a ReadingCost<'a>,
    tonics: &'a [(i32, usize)],
    known: BTreeMap<(usize, usize), (f64, Vec<usize>)>,
}

impl Ranges<'_> {
    /// What the cheapest plan for keys from one to before another costs.
    fn cost(&mut self, from: usize, to: usize) -> f64 {
        self.found(from, to).0
    }

    /// The cheapest plan for keys from one to before another.
    fn plan(&mut self, from: usize, to: usize) -> ClefPlan {
        let units = self.found(from, to).1.clone();
        let clefs = self.reading.line.each_sound(&units).map(|row| CLEFS[row]);
        let highest = self.tonics[..to].last().map_or(0, |(step, _)| *step);
        ClefPlan { highest, clefs: clefs.collect() }
    }

    fn found(&mut self, from: usize, to: usize) -> &(f64, Vec<usize>) {
        let Self { reading, tonics, known } = self;
        known.entry((from, to)).or_insert_with(|| {
            let own = &tonics[from..to];
            let keys = own.iter().map(|(_, keys)| *keys).sum();
            let alone =
                |(tonic, keys): &(i32, usize)| (&reading.known[tonic].legible, *keys as f64);
            stays::cheapest(&reading.line, &reading.lengths, own.iter().map(alone), keys)
        })
    }
}
