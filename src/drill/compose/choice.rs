//! The choice of one candidate for each place of a line.

use std::ops::Range;

use super::ground::{CandidateNote, ChordGround};
use super::path::{chance, cheapest};
use crate::theory::Interval;

/// Notes from which on they are a figure.
const LEAST_FIGURE: usize = 2;
/// How many bars back a bar over a chord that stays has no like.
const BARS_BEFORE: usize = 2;

/// The candidates, one for each place, that cost least together: `pair(place, last, own)` is what one
/// costs after the one before it, both told by index, and `turn(place, before, last, own)` what it
/// costs more after the two before it. Chance, from a seed, adds up to so much to each, so that lines differ. `None` where
/// no way is left.
pub(super) fn chosen(
    candidates: &[&[CandidateNote]],
    (seed, most_chance): (u64, f64),
    pair: impl Fn(usize, Option<usize>, usize) -> f64,
    turn: impl Fn(usize, CandidateNote, CandidateNote, CandidateNote) -> f64,
) -> Option<Vec<CandidateNote>> {
    let counts: Vec<usize> = candidates.iter().map(|own| own.len()).collect();
    let drawn: Vec<Vec<f64>> = candidates
        .iter()
        .enumerate()
        .map(|(place, own)| {
            let drawn =
                |it: &CandidateNote| most_chance * chance(seed, place, it.interval.semitones);
            own.iter().map(drawn).collect()
        })
        .collect();
    let way = cheapest(
        &counts,
        |place, last, own| pair(place, last, own) + drawn[place][own],
        |place, before, last, own| {
            let (before, last) = (candidates[place - 2][before], candidates[place - 1][last]);
            turn(place, before, last, candidates[place][own])
        },
    )?;
    Some(candidates.iter().zip(way).map(|(own, index)| own[index]).collect())
}

/// How many chords have, above their roots, the very figure of the two chords before them, and how
/// many pairs of chords have those of the pair before; of notes that are told with their chords.
/// Figures of one note or two are no figures.
pub(super) fn repetitions(
    grounds: &[ChordGround],
    notes: impl Iterator<Item = (usize, CandidateNote)>,
) -> usize {
    let mut figures: Vec<Vec<i32>> = vec![Vec::new(); grounds.len()];
    for (chord, note) in notes {
        let root = grounds[chord].root.semitones;
        figures[chord].push((note.interval.semitones - root).rem_euclid(12));
    }
    let is_figure = |figure: &[i32]| figure.len() > 2;
    let three = figures.windows(3).filter(|three| is_figure(&three[0]));
    let threes = three.filter(|three| three[0] == three[1] && three[1] == three[2]).count();
    let four = figures.windows(4).filter(|four| is_figure(&four[0]) && is_figure(&four[1]));
    threes + four.filter(|four| four[..2] == four[2..]).count()
}

/// A note of a bass as part of a figure.
#[derive(Clone, Copy, Debug)]
pub(super) struct FigureNote {
    /// The chord, by index.
    pub(super) chord: usize,
    /// Whether a figure begins with it over a chord that has begun.
    pub(super) begins: bool,
    /// Whether the harmony before it was the same.
    pub(super) stays: bool,
    /// What it is, in whatever octave.
    pub(super) class: i32,
}

/// A figure that comes again, and those that it is not to be.
#[derive(Clone, Debug)]
pub(super) struct FigureAgain {
    pub(super) places: Range<usize>,
    /// What their notes are, in whatever octave.
    pub(super) others: Vec<Vec<i32>>,
}

/// The places of chords that have the figure which the same chord had before, when it went on to the
/// same chord; and of bars over a chord that stays that have the figure of one of the two before them.
pub(super) fn again(grounds: &[ChordGround], notes: &[FigureNote]) -> Vec<FigureAgain> {
    let mut found = Vec::new();
    // What each chord had, by its foot, its root, its tones, and the foot that comes next.
    type KnownSteps<'a> = (i32, i32, &'a [Interval], Option<i32>);
    let mut known: Vec<(KnownSteps<'_>, Vec<Vec<i32>>)> = Vec::new();
    // What the bars of a chord that stays had, whatever comes next.
    let mut bars: Vec<Vec<i32>> = Vec::new();
    let class = |interval: Interval| interval.semitones.rem_euclid(12);
    let mut from = 0;
    for own in notes.chunk_by(|one, next| one.chord == next.chord && !next.begins) {
        let places = from..from + own.len();
        from = places.end;
        if !own[0].stays {
            bars.clear();
        }
        if own.len() < LEAST_FIGURE {
            continue;
        }
        let ground = &grounds[own[0].chord];
        let next = notes.get(from).map(|note| class(grounds[note.chord].foot()));
        let chord = (class(ground.foot()), class(ground.root), &*ground.tones, next);
        let figure: Vec<i32> = own.iter().map(|it| it.class).collect();
        let most = if own[0].stays { BARS_BEFORE } else { 1 };
        let mut others = bars[bars.len().saturating_sub(BARS_BEFORE)..].to_vec();
        bars.push(figure.clone());
        match known.iter_mut().find(|(known, _)| *known == chord) {
            Some((_, before)) => {
                others.extend_from_slice(&before[before.len().saturating_sub(most)..]);
                before.push(figure.clone());
            }
            None => known.push((chord, vec![figure.clone()])),
        }
        if others.contains(&figure) {
            found.push(FigureAgain { places, others });
        }
    }
    found
}

/// The degree that a note is above a root, by its semitones within an octave.
const DEGREES: [u8; 12] = [1, 2, 2, 3, 3, 4, 4, 5, 6, 6, 7, 7];
/// Notes from which on figures beside one another may not be the same.
const LEAST_BESIDE: usize = 3;

/// The places of chords, and of bars over a chord that stays, that have the figure of those right before
/// them, told by degrees above their roots.
pub(super) fn beside(grounds: &[ChordGround], notes: &[FigureNote]) -> Vec<FigureAgain> {
    let mut found = Vec::new();
    let mut before: Vec<u8> = Vec::new();
    let mut from = 0;
    for own in notes.chunk_by(|one, next| one.chord == next.chord && !next.begins) {
        let places = from..from + own.len();
        from = places.end;
        let root = grounds[own[0].chord].root.semitones;
        let degree = |it: &FigureNote| DEGREES[(it.class - root).rem_euclid(12) as usize];
        let figure: Vec<u8> = own.iter().map(degree).collect();
        if figure.len() >= LEAST_BESIDE && figure == before {
            let others = vec![own.iter().map(|it| it.class).collect()];
            found.push(FigureAgain { places, others });
        }
        before = figure;
    }
    found
}

/// How often a line is tried again whose figures are too much alike.
const MOST_TRIALS: u64 = 64;

/// Of what several seeds make, the first without repetitions, or else one with the fewest; `None`
/// where none makes anything.
pub(super) fn least_alike(
    seed: u64,
    trials: u64,
    make: impl Fn(u64) -> Option<Vec<CandidateNote>>,
    repetitions: impl Fn(&[CandidateNote]) -> usize,
) -> Option<Vec<CandidateNote>> {
    let seeds = (0..trials.min(MOST_TRIALS))
        .map(|trial| seed.wrapping_add(trial.wrapping_mul(0x1000_0000_01b3)));
    let mut fewest: Option<(usize, Vec<CandidateNote>)> = None;
    for chosen in seeds.filter_map(make) {
        let alike = repetitions(&chosen);
        if fewest.as_ref().is_none_or(|(least, _)| alike < *least) {
            fewest = Some((alike, chosen));
        }
        if alike == 0 {
            break;
        }
    }
    fewest.map(|(_, chosen)| chosen)
}
