//! Stays: for how long a hand reads one clef before it changes to the other.

use super::legible::{COST_CHANGE_AT_BARLINE, HandSounds, Legible};

// Units as in `legible`: 1.0 = one ledger line on one chord in one key.
/// A line that lies in the other hand's clef from the beginning: dearer than a few ledger
/// lines, cheaper than going to and fro between clefs.
const COST_UNUSUAL_OPENING: f64 = 15.0;
/// A line that ends in another clef than it began: it is played again from the start.
const COST_NO_RETURN: f64 = 15.0;
/// From so many bars on a stay costs nothing.
const LONG_STAY: f64 = 3.0;
/// A stay of no length; it falls with the square of what is missing to a long one.
const COST_SHORT_STAY: f64 = 49.0;
/// The same for what is missing to one bar.
const COST_STAY_WITHIN_BAR: f64 = 150.0;

/// A stay of less than two bars: not even to spare a chord beside a change that it needs another clef.
const COST_BRIEF_STAY: f64 = 18.0;
/// Two bars, less what is pushed into them.
const BRIEF_STAY: f64 = 1.8;

/// What a stay of so many bars costs by its length.
fn cost_of_stay(bars: f64) -> f64 {
    let missing = |of: f64| (1.0 - bars / of).max(0.0).powi(2);
    let brief = if bars < BRIEF_STAY { COST_BRIEF_STAY } else { 0.0 };
    COST_SHORT_STAY * missing(LONG_STAY) + COST_STAY_WITHIN_BAR * missing(1.0) + brief
}

/// The cheapest clef for each unit of a line where these are the costs of reading, each in so many
/// of all its `keys`: few ledger lines, few changes, changes at barlines where they can be, and
/// stays of some length.
pub(super) fn cheapest<'a>(
    line: &HandSounds<'_>,
    lengths: &Lengths,
    legible: impl Iterator<Item = (&'a Legible, f64)>,
    keys: usize,
) -> (f64, Vec<usize>) {
    let keys = keys as f64;
    if line.units.is_empty() {
        return (0.0, Vec::new());
    }
    // The costs of all units before each one, in each clef.
    let mut before = vec![[0.0; 2]; line.units.len() + 1];
    let mut changes = vec![[0.0; 2]; line.units.len()];
    for (legible, keys) in legible {
        for (all, own) in changes.iter_mut().zip(&legible.changes) {
            *all = [all[0] + keys * own[0], all[1] + keys * own[1]];
        }
        let mut sum = [0.0; 2];
        for (before, own) in before[1..].iter_mut().zip(&legible.units) {
            sum = [sum[0] + keys * own[0], sum[1] + keys * own[1]];
            *before = [before[0] + sum[0], before[1] + sum[1]];
        }
    }
    let usual = before[line.units.len()][line.usual];
    // Every other plan has an unusual opening or a change.
    if usual <= keys * COST_UNUSUAL_OPENING.min(COST_CHANGE_AT_BARLINE) {
        return (usual, vec![line.usual; line.units.len()]);
    }
    let (before, changes) = (&before, &changes);
    let from = |opening| Stays { line, lengths, before, changes, keys, opening }.cheapest();
    let best = from(line.usual);
    if best.0 <= keys * COST_UNUSUAL_OPENING {
        return best;
    }
    let other = from(1 - line.usual);
    if other.0 < best.0 { other } else { best }
}

/// What all stays that may be short cost by their length: for each moment, where a unit begins or
/// the last one ends, the stays that end there.
pub(super) struct Lengths(Vec<Recent>);

/// The stays that end at a moment and may be short.
struct Recent {
    /// The first unit that one of them begins with: any before it make a long one.
    first: usize,
    /// The cost of each.
    costs: Vec<f64>,
}

impl Lengths {
    /// Of the stays of a line.
    pub(super) fn of(line: &HandSounds<'_>) -> Self {
        let moments = &line.moments;
        let mut first = 0;
        let recent = moments.iter().enumerate().map(|(index, end)| {
            first += moments[first..index].iter().take_while(|at| *end - **at >= LONG_STAY).count();
            let costs = moments[first..index].iter().map(|at| cost_of_stay(end - at));
            Recent { first, costs: costs.collect() }
        });
        Self(recent.collect())
    }
}

/// The search for the cheapest plan that opens in a clef.
struct Stays<'a> {
    line: &'a HandSounds<'a>,
    lengths: &'a Lengths,
    before: &'a [[f64; 2]],
    /// What a change to each clef costs before each unit, beyond what it costs in any key.
    changes: &'a [[f64; 2]],
    keys: f64,
    opening: usize,
}

/// Where a stay begins in a clef.
#[derive(Clone, Copy)]
struct Start {
    /// What all before it costs, less what all before it would cost in its clef.
    cost: f64,
    /// Where the stay before it begins.
    before: usize,
}

const NOWHERE: Start = Start { cost: f64::INFINITY, before: 0 };

impl Stays<'_> {
    /// By dynamic programming over where stays begin.
    fn cheapest(&self) -> (f64, Vec<usize>) {
        let units = &self.line.units;
        let count = units.len();
        let mut starts = vec![[NOWHERE; 2]; count];
        let is_usual = self.opening == self.line.usual;
        starts[0][self.opening].cost =
            if is_usual { 0.0 } else { self.keys * COST_UNUSUAL_OPENING };
        let never_changes = starts[0][self.opening].cost + self.before[count][self.opening];
        // The cheapest of the stays that are long by now, in each clef, and where it begins.
        let mut long = [(f64::INFINITY, 0); 2];
        let mut gone = 0;
        let mut ending = [(f64::INFINITY, 0); 2];
        for index in 1..=count {
            let recent = &self.lengths.0[index];
            for (begun, start) in starts[..recent.first].iter().enumerate().skip(gone) {
                for row in [0, 1] {
                    let cost = start[row].cost;
                    // Of two equal plans the later change: up to it the hand reads the clef it
                    // knows.
                    if cost <= long[row].0 {
                        long[row] = (cost, begun);
                    }
                }
            }
            gone = recent.first;
            let arrived = [0, 1].map(|row| {
                let mut best = long[row];
                for (begun, stay) in (recent.first..index).zip(&recent.costs) {
                    let cost = starts[begun][row].cost + self.keys * stay;
                    if cost <= best.0 {
                        best = (cost, begun);
                    }
                }
                (best.0 + self.before[index][row], best.1)
            });
            match units.get(index) {
                Some(unit) => {
                    starts[index] = [0, 1].map(|row| {
                        let (cost, before) = arrived[1 - row];
                        let change = self.keys * unit.change + self.changes[index][row];
                        let cost = cost + change - self.before[index][row];
                        Start { cost, before }
                    });
                }
                None => ending = arrived,
            }
        }
        ending[1 - self.opening].0 += self.keys * COST_NO_RETURN;
        if never_changes <= ending[0].0.min(ending[1].0) {
            return (never_changes, vec![self.opening; count]);
        }
        let mut row = usize::from(ending[1].0 < ending[0].0);
        let (cost, mut begun) = ending[row];
        let mut rows = vec![row; count];
        while begun > 0 {
            let before = starts[begun][row].before;
            row = 1 - row;
            rows[before..begun].fill(row);
            begun = before;
        }
        (cost, rows)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::sketch::DrillSketch;
    use crate::drill::{Template, library};
    use crate::score::{Clef, Hand};

    /// What a plan costs in one key, added up change by change.
    fn cost(line: &HandSounds<'_>, legible: &Legible, rows: &[usize]) -> f64 {
        let read: f64 = rows.iter().zip(&legible.units).map(|(row, costs)| costs[*row]).sum();
        let opening = if rows[0] == line.usual { 0.0 } else { COST_UNUSUAL_OPENING };
        let ending = if rows.last() == rows.first() { 0.0 } else { COST_NO_RETURN };
        let changes: Vec<usize> =
            (1..rows.len()).filter(|index| rows[*index] != rows[index - 1]).collect();
        if changes.is_empty() {
            return read + opening;
        }
        let change =
            |index: &usize| line.units[*index].change + legible.changes[*index][rows[*index]];
        let change: f64 = changes.iter().map(change).sum();
        let bounds: Vec<usize> = [0].into_iter().chain(changes).chain([rows.len()]).collect();
        let stays = bounds.windows(2).map(|pair| {
            let bars = line.moments[pair[1]] - line.moments[pair[0]];
            let missing = |of: f64| if bars < of { ((of - bars) / of).powi(2) } else { 0.0 };
            let brief = if bars < BRIEF_STAY { COST_BRIEF_STAY } else { 0.0 };
            COST_SHORT_STAY * missing(LONG_STAY) + COST_STAY_WITHIN_BAR * missing(1.0) + brief
        });
        read + opening + ending + change + stays.sum::<f64>()
    }

    /// The plan that is found costs what it is said to, and none costs less.
    #[test]
    fn no_plan_is_cheaper_than_the_one_found() {
        const MOST_UNITS: usize = 9;
        let mut changed = 0;
        for (name, text) in library::all() {
            let template = Template::parse(text, name).unwrap();
            let sketch = DrillSketch::of(&template);
            for hand in Hand::BOTH {
                let mut sounds = sketch.lines[hand].clone();
                let beat = (template.metre, &template.phrase_starts()[..]);
                while HandSounds::new(beat, Clef::Bass, &sounds).units.len() > MOST_UNITS {
                    sounds.truncate(sounds.len() - 1);
                }
                let line = HandSounds::new(beat, hand.usual_clef(), &sounds);
                let lengths = Lengths::of(&line);
                for tonic in 14..36 {
                    let legible = line.legible(tonic);
                    let (found, rows) = cheapest(&line, &lengths, [(&legible, 1.0)].into_iter(), 1);
                    let name = format!("{name}, {hand:?}, tonic on {tonic}");
                    assert!((cost(&line, &legible, &rows) - found).abs() < 1e-6, "{name}");
                    for plan in 0..1_usize << rows.len() {
                        let rows: Vec<usize> =
                            (0..rows.len()).map(|index| plan >> index & 1).collect();
                        assert!(cost(&line, &legible, &rows) > found - 1e-6, "{name}: {rows:?}");
                    }
                    changed += usize::from(rows.windows(2).any(|pair| pair[0] != pair[1]));
                }
            }
        }
        assert!(changed > 40, "only {changed} plans change their clef");
    }
}
