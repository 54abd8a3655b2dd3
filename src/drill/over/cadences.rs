//! The cadences of a tune as a drill of their own, a chord a bar.

use super::form::{BarRun, RunStand};
use super::numeral::usual;
use super::{OverTune, OverWay, Text, slug};
use crate::chart::{Cadence, HeldChord, Unfolded};
use crate::drill::language::judge::MOST_BARS;
use crate::score::Ticks;
use crate::theory::NoteName;

/// How many bars the chord lasts that a cadence leads to.
const REST: Ticks = 2;

/// The drill of a tune's own cadences, each once, in the order in which they come; none where it
/// has none. `is_own` says which of them.
pub fn cadences(over: &OverTune<'_>, is_own: impl Fn(&Cadence) -> bool) -> Option<Text> {
    let tune = over.chart.unfolded();
    let mut runs: Vec<(Vec<String>, BarRun)> = Vec::new();
    let mut bars = 0;
    for cadence in over.analysis.written_cadences().filter(|it| it.kind.has_two() && is_own(it)) {
        let Some(run) = run(over, &tune, cadence) else { continue };
        let words = over.words(&run.stands);
        if runs.iter().any(|(known, _)| *known == words) || bars + run.bars > MOST_BARS as usize {
            continue;
        }
        bars += run.bars;
        runs.push((words, run));
    }
    if runs.is_empty() {
        return None;
    }
    let name = format!("{}-cadences", slug(&over.chart.title));
    let title = format!("{}: its cadences", over.chart.title);
    let about = "Every ii-V of the tune by itself, a chord a bar: before they go by in the tune, let \
                 the hands know them at rest.";
    let passages: Vec<String> =
        runs.iter().map(|(_, run)| over.passage(run, OverWay::Arpeggios)).collect();
    let text = format!("{}\n{}", over.head(&name, &title, about), passages.join("\n"));
    Some(Text { name, title, text })
}

/// A cadence with what it leads to, a harmony a bar.
fn run(over: &OverTune<'_>, tune: &Unfolded, cadence: &Cadence) -> Option<BarRun> {
    let from = tune.changes.iter().position(|change| change.at == cadence.at)?;
    let five = tune.changes.iter().position(|change| change.at == cadence.dominant_at)?;
    let root = |change: &HeldChord| change.chord.map(|chord| chord.root.pitch_class());
    let goal = (five + 1..tune.changes.len())
        .find(|place| root(&tune.changes[*place]) != root(&tune.changes[five]));
    // The end of the form leads to its beginning.
    let goal = goal.unwrap_or(0);
    let bar = tune.metre.bar();
    let mut stands = Vec::new();
    let mut at = 0;
    let mut add = |changes: &[HeldChord], length: Ticks| {
        let own: Vec<&HeldChord> = changes.iter().filter(|it| it.chord.is_some()).take(2).collect();
        let unit = tune.metre.count_unit();
        let half = (length / unit).div_euclid(2) * unit + (length / unit % 2) * unit;
        for (nth, change) in own.iter().enumerate() {
            let length = match (own.len(), nth) {
                (1, _) => length,
                (_, 0) => half,
                _ => length - half,
            };
            stands.push(RunStand { written: change.written, chord: change.chord, at, length });
            at += length;
        }
    };
    let until = if goal > five { goal } else { tune.changes.len() };
    add(tune.changes.get(from..five)?, bar);
    add(tune.changes.get(five..until)?, bar);
    add(tune.changes.get(goal..=goal)?, REST * bar);
    let bars = (at / bar) as usize;
    let place = over.chart.places().into_iter().nth(cadence.written[0])?.words();
    let to = degree(cadence.target, over.home().tonic());
    let title =
        Some(format!("{} to {to}: {place}", cadence.kind.word()).chars().take(32).collect());
    (at % bar == 0 && bars > 0).then(|| BarRun { title, bars, stands, ..BarRun::default() })
}

/// A note as the degree of a key that it usually is, as it is printed: as its numeral has it.
fn degree(note: NoteName, tonic: NoteName) -> String {
    const LETTERS: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
    let (degree, alter) = usual(note, tonic);
    let sign = if alter < 0 { "\u{266d}" } else { "\u{266f}" };
    format!("{}{}", sign.repeat(alter.unsigned_abs() as usize), LETTERS[degree as usize - 1])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A goal is called as the numerals over it call it, however a tune writes its name.
    #[test]
    fn goals_are_called_as_numerals_call_them() {
        let note = |name: &str| name.parse::<crate::theory::Key>().unwrap().tonic();
        for (tonic, goal, called) in [
            ("Ab", "E", "\u{266d}VI"),
            ("Eb", "B", "\u{266d}VI"),
            ("Eb", "E", "\u{266d}II"),
            ("C", "Ab", "\u{266d}VI"),
            ("C", "F#", "\u{266f}IV"),
            ("C", "Gb", "\u{266d}V"),
            ("D", "A", "V"),
        ] {
            assert_eq!(degree(note(goal), note(tonic)), called, "{goal} in {tonic}");
        }
    }
}
