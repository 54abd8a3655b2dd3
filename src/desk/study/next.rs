//! What to learn next, so that most tunes of a folder are mostly known.

use std::path::PathBuf;

use super::plan::{Asking, DrillOf, steps};
use super::tune::Studied;
use super::{analysed, opened};
use crate::chart::{Need, Purpose, is_same, key_shares};
use crate::drill::Template;
use crate::source::Complaint;
use crate::theory::Key;

/// How much of a tune is known that is mostly known (ours).
const MOSTLY: f64 = 0.8;
/// How much a key weighs for each of its bars, and anything else for each time that it occurs, in
/// bars: a cadence lasts about three of them (ours).
const OCCURRENCE: f64 = 3.0;

/// A thing to be learned: a drill in a key.
#[derive(Clone, Debug)]
struct LearnedPiece {
    drill: DrillOf,
    purpose: Purpose,
    key: Key,
    /// What it weighs in each tune, as a share of that tune.
    weights: Vec<f64>,
    /// How often it occurs over all tunes.
    times: usize,
}

/// The list of what occurs in some tunes, and what to learn next, so many things of it.
pub(crate) fn next(paths: &[PathBuf], count: usize) -> Result<String, Vec<Complaint>> {
    let (written, _) = opened(paths)?;
    let mut tunes = Vec::new();
    for own in written {
        let analysis = analysed(&own.chart, &own.name).map_err(|it| vec![it])?;
        tunes.push(Studied::of(own.chart, analysis));
    }
    let pieces = pieces(&tunes);
    let mut lines = occurring(&tunes, &pieces);
    lines.extend(learned(&tunes, &pieces, count));
    Ok(lines.join("\n") + "\n")
}

/// Every drill in every key that any of the tunes wants.
fn pieces(tunes: &[Studied]) -> Vec<LearnedPiece> {
    let mut pieces: Vec<LearnedPiece> = Vec::new();
    for (place, tune) in tunes.iter().enumerate() {
        for need in &tune.needs {
            let alone = [Asking {
                time: (tune.chart.metre, tune.chart.feel),
                tempo: tune.chart.tempo,
                shares: key_shares(&tune.unfolded, &tune.analysis),
                needs: std::slice::from_ref(need),
            }];
            let Some(step) = steps(&alone).into_iter().next() else { continue };
            let weight = weight(tune, need);
            let same = |piece: &&mut LearnedPiece| {
                piece.purpose == need.purpose
                    && is_same(piece.key, need.key)
                    && piece.key.mode() == need.key.mode()
            };
            let piece = match pieces.iter_mut().find(same) {
                Some(piece) => piece,
                None => {
                    pieces.push(LearnedPiece {
                        drill: step.drill,
                        purpose: need.purpose,
                        key: need.key,
                        weights: vec![0.0; tunes.len()],
                        times: 0,
                    });
                    let last = pieces.len() - 1;
                    &mut pieces[last]
                }
            };
            piece.weights[place] += weight;
            piece.times += need.bars.len();
        }
    }
    for place in 0..tunes.len() {
        let whole: f64 = pieces.iter().map(|piece| piece.weights[place]).sum();
        for piece in &mut pieces {
            piece.weights[place] /= whole.max(1e-9);
        }
    }
    pieces
}

/// What asks for the chords of a key.
const KEYS: [Purpose; 5] = [
    Purpose::MajorKey,
    Purpose::MinorKey,
    Purpose::HarmonicKey,
    Purpose::MelodicKey,
    Purpose::ModeKey,
];

/// What asks for cadences.
const CADENCES: [Purpose; 3] =
    [Purpose::MajorCadence, Purpose::MinorCadence, Purpose::MelodicCadence];

/// How much something weighs in a tune, in bars.
fn weight(tune: &Studied, need: &Need) -> f64 {
    match need.purpose {
        purpose if KEYS.contains(&purpose) => {
            let shares = key_shares(&tune.unfolded, &tune.analysis);
            shares.iter().find(|share| is_same(share.key, need.key)).map_or(1.0, |it| it.bars)
        }
        _ => OCCURRENCE * need.bars.len() as f64,
    }
}

/// What a thing is called.
fn named(piece: &LearnedPiece) -> String {
    let of_library = match piece.drill {
        DrillOf::Library(name) => Some(name),
        DrillOf::Text(_) | DrillOf::Sevenths(_) | DrillOf::Fourths(_) => None,
    };
    let text = piece.drill.text().unwrap_or_default();
    let template = Template::parse(&text, "own").ok();
    let title = template.map_or_else(String::new, |template| template.title);
    // What the library has not comes with the packet of a tune.
    let name = of_library.map_or_else(String::new, |name| format!(" (drill {name})"));
    format!("{title} in {}{name}", piece.key.words())
}

fn tunes_with(piece: &LearnedPiece) -> usize {
    piece.weights.iter().filter(|weight| **weight > 0.0).count()
}

/// Keys and cadences by how many tunes have them.
fn occurring(tunes: &[Studied], pieces: &[LearnedPiece]) -> Vec<String> {
    let mut lines = vec![format!("{} tunes", tunes.len())];
    let groups = [("keys that they stay in", KEYS.as_slice()), ("cadences", CADENCES.as_slice())];
    for (head, purposes) in groups {
        lines.push(format!("{head}:"));
        let mut own: Vec<&LearnedPiece> =
            pieces.iter().filter(|piece| purposes.contains(&piece.purpose)).collect();
        own.sort_by_key(|piece| std::cmp::Reverse((tunes_with(piece), piece.times)));
        for piece in own {
            let (key, with, times) = (piece.key.words(), tunes_with(piece), piece.times);
            lines.push(format!("    {key}: in {}, {}", told(with, "tune"), told(times, "time")));
        }
    }
    lines
}

fn told(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// What to learn next: each time what adds most to tunes that are not mostly known yet.
fn learned(tunes: &[Studied], pieces: &[LearnedPiece], count: usize) -> Vec<String> {
    let mut lines = vec!["learn next:".to_owned()];
    let mut known = vec![0.0; tunes.len()];
    let mut left: Vec<&LearnedPiece> = pieces.iter().collect();
    for number in 1..=count {
        let gain = |piece: &&LearnedPiece| -> f64 {
            let own = piece.weights.iter().zip(&known);
            own.map(|(weight, known)| weight.min((MOSTLY - known).max(0.0))).sum()
        };
        // Of equal ones the first.
        let mut best: Option<(usize, f64)> = None;
        for (place, piece) in left.iter().enumerate() {
            let own = gain(piece);
            if own > 1e-9 && best.is_none_or(|(_, most)| own > most + 1e-9) {
                best = Some((place, own));
            }
        }
        let Some((place, _)) = best else {
            lines.push("    nothing more: every tune is mostly known".to_owned());
            break;
        };
        let piece = left.remove(place);
        let is_known = |known: f64| known >= MOSTLY - 1e-9;
        let mut now = Vec::new();
        for ((known, weight), tune) in known.iter_mut().zip(&piece.weights).zip(tunes) {
            let before = is_known(*known);
            *known += weight;
            if !before && is_known(*known) {
                now.push(tune.chart.title.as_str());
            }
        }
        let all = known.iter().filter(|known| is_known(**known)).count();
        let comes = match now.as_slice() {
            [] => String::new(),
            [one] => format!("; {one} is then mostly known, {all} in all"),
            more => format!("; {} are then mostly known, {all} in all", more.join(", ")),
        };
        let wants = if tunes_with(piece) == 1 { "wants" } else { "want" };
        lines.push(format!(
            "    {number}. {}: {} of {} {wants} it, {}{comes}",
            named(piece),
            tunes_with(piece),
            told(tunes.len(), "tune"),
            told(piece.times, "time"),
        ));
    }
    lines
}
