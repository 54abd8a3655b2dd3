//! The cadences of a tune as a drill of their own, a chord a bar.

use super::form::{BarRun, RunStand};
use super::numeral::{letters, usual};
use super::{OverTune, OverWay, Text, slug};
use crate::chart::{Cadence, HeldChord, Unfolded};
use crate::drill::language::judge::MOST_BARS;
use crate::score::Ticks;
use crate::theory::{Chord, ChordFamily, NoteName};

/// How many bars the chord lasts that a cadence leads to.
const REST: Ticks = 2;

/// From a goal to the dominant that stands in for it, in semitones.
const TRITONE: i32 = 6;

/// The drill of a tune's own cadences, each once, in the order in which they come; none where it
/// has none. `is_own` says which of them.
pub fn cadences(over: &OverTune<'_>, is_own: impl Fn(&Cadence) -> bool) -> Option<Text> {
    let tune = over.chart.unfolded();
    let mut runs: Vec<(Vec<String>, BarRun)> = Vec::new();
    let mut bars = 0;
    for cadence in over.analysis.written_cadences().filter(|it| it.kind.has_two() && is_own(it)) {
        let Some(run) = run(over, &tune, cadence) else { continue };
        let words = over.words(&run);
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
    let [next, goal] = ends(tune, cadence, five);
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
    let until = |from: usize, end: usize| if end > from { end } else { tune.changes.len() };
    add(tune.changes.get(from..five)?, bar);
    add(tune.changes.get(five..until(five, next))?, bar);
    if goal != next {
        add(tune.changes.get(next..until(next, goal))?, bar);
    }
    add(tune.changes.get(goal..=goal)?, REST * bar);
    let bars = (at / bar) as usize;
    let place = over.chart.places().into_iter().nth(cadence.written[0])?.words();
    let rest = tune.changes[goal].chord.filter(|it| is_on(*it, cadence.target));
    // What is withheld is not told as if it came.
    let to = rest.filter(|_| cadence.is_resolved).map_or_else(String::new, |chord| {
        let is_minor = chord.kind.has_minor_third();
        format!(" to {}", degree(cadence.target, over.home().tonic(), is_minor))
    });
    let title = Some(format!("{}{to}: {place}", cadence.kind.word()).chars().take(32).collect());
    (at % bar == 0 && bars > 0).then(|| BarRun { title, bars, stands, ..BarRun::default() })
}

/// The changes that the dominant of a cadence goes to: the next one on another root, and the one
/// that the cadence ends on, which is the same unless its goal comes one chord later. The end of the
/// form leads to its beginning.
fn ends(tune: &Unfolded, cadence: &Cadence, five: usize) -> [usize; 2] {
    let changes = &tune.changes;
    let root = |place: usize| changes[place].chord.map(|chord| chord.root.pitch_class());
    let after = |place: usize| {
        let mut round = (place + 1..changes.len()).chain(0..place);
        round.find(|other| root(*other) != root(place)).unwrap_or(0)
    };
    let next = after(five);
    let later = after(next);
    let is_goal = |place: usize| changes[place].chord.is_some_and(|it| is_on(it, cadence.target));
    // A dominant may stand in for the goal, with its own ii before it.
    let stands_in = |place: usize| {
        let is_dominant = |it: &Chord| it.kind.family() == ChordFamily::Dominant;
        let far =
            |it: &Chord| (it.root.pitch_class() - cadence.target.pitch_class()).rem_euclid(12);
        changes[place].chord.is_some_and(|it| is_dominant(&it) && far(&it) == TRITONE)
    };
    let is_later = cadence.is_resolved
        && !is_goal(next)
        && (is_goal(later) || !stands_in(next) && stands_in(later));
    [next, if is_later { later } else { next }]
}

fn is_on(chord: Chord, note: NoteName) -> bool {
    chord.root.pitch_class() == note.pitch_class()
}

/// A note as the degree of a key that it usually is, as it is printed: as its numeral has it.
fn degree(note: NoteName, tonic: NoteName, is_minor: bool) -> String {
    let (degree, alter) = usual(note, tonic);
    let sign = if alter < 0 { "\u{266d}" } else { "\u{266f}" };
    format!("{}{}", sign.repeat(alter.unsigned_abs() as usize), letters(degree, is_minor))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::{Chart, analyse, analyse_in};
    use crate::theory::Key;

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
            assert_eq!(degree(note(goal), note(tonic), false), called, "{goal} in {tonic}");
        }
    }

    /// Tunes whose dominants reach their goal by way of another chord, at the end of the form too.
    const LATER: [&str; 4] = [
        "key = \"D\"\n[[section]]\nname = \"A\"\nbars = \"| Dmaj7 | Bm7 | Em7 | A7sus4 | Eb7 | D6 | Em7 A7 | Eb7 |\"\n",
        "key = \"C\"\n[[section]]\nname = \"A\"\nbars = \"| Cmaj7 | Dm7 | G7 | Db7 | Cmaj7 | Em7b5 A7 | Bdim7 | Dm7 G7 |\"\n",
        "key = \"A minor\"\n[[section]]\nname = \"A\"\nbars = \"| Am6 | Bm7b5 E7 | Bb7 | Am6 | Dm7 G7 | Cmaj7 | Bm7 E7 | Am6 |\"\n",
        "key = \"F\"\n[[section]]\nname = \"A\"\nbars = \"| Fmaj7 | Gm7 C7 | Dbm7 | Gb7 | Fmaj7 | Gm7 C7 | Bm7 | B7 |\"\n",
    ];

    /// A cadence runs to the goal that is told of it, and to no other chord; it names its goal as that
    /// is, minor or major, and names none that is withheld.
    #[test]
    fn a_cadence_runs_to_its_goal() {
        let own = LATER.map(|text| format!("title = \"x\"\nmetre = \"4/4\"\n{text}"));
        let mut met = [0; 3];
        for text in crate::chart::demos().map(|(_, text)| text.to_owned()).chain(own) {
            let written = Chart::parse(&text, "x").unwrap_or_else(|error| panic!("{error}"));
            let from = written.key.unwrap_or_else(|| analyse(&written.unfolded()).unwrap().home);
            for to in Key::majors().map(|key| Key::on(key.tonic(), from.mode()).customary()) {
                let chart = written.transposed(from, to);
                let tune = chart.unfolded();
                let analysis = analyse_in(&tune, chart.key).unwrap();
                let over = OverTune { chart: &chart, analysis: &analysis };
                for cadence in analysis.cadences.iter().filter(|it| it.kind.has_two()) {
                    let Some(run) = run(&over, &tune, cadence) else { continue };
                    let last = run.stands.last().and_then(|stand| stand.chord).unwrap();
                    let target = cadence.target.pitch_class();
                    let far = (last.root.pitch_class() - target).rem_euclid(12);
                    let title = run.title.unwrap();
                    let told = title.split(':').next().unwrap().split(" to ").nth(1);
                    assert!(
                        !cadence.is_resolved || matches!(far, 0 | TRITONE),
                        "{title}: {last:?}"
                    );
                    let is_told = cadence.is_resolved && far == 0;
                    assert_eq!(told.is_some(), is_told, "{title}: {last:?}");
                    if let Some(told) = told {
                        let is_minor = last.kind.has_minor_third();
                        let letters = told.trim_start_matches(['\u{266d}', '\u{266f}']);
                        let own =
                            if is_minor { letters.to_lowercase() } else { letters.to_uppercase() };
                        assert_eq!(letters, own, "{title}");
                        met[0] += usize::from(is_minor);
                    }
                    met[1] += usize::from(run.bars > 4);
                    met[2] += usize::from(told.is_none());
                }
            }
        }
        assert!(met[0] > 100 && met[1] > 40 && met[2] > 100, "{met:?}");
    }
}
