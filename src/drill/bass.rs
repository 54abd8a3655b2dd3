//! A bass of roots and fifths: its bars, and in which octaves it lies, within one range and in step where
//! its chords go by step.

use std::ops::{Range, RangeInclusive};

use super::compose;
use super::language::comping::Comping;
use super::language::figure::{Figure, FigureStep, Sounding, Tone};
use super::struck::StruckSound;
use super::template::{Passage, Template};
use crate::score::{ByHand, Hand, Metre, Ticks};
use crate::theory::Interval;

/// A step of a figure with when it begins and ends.
pub(super) type TimedStep<'a> = (Ticks, Ticks, &'a FigureStep);

/// Semitones of an octave.
const OCTAVE: i32 = 12;
/// The widest step between two basses, in semitones.
const STEP: i32 = 2;

// Costs of an octave. Unit: a step between two basses that is broken by a seventh or a ninth.
const COST_BROKEN: i32 = 100;
/// The upper of two octaves, where a bass has both.
const COST_UPPER: i32 = 1;

/// How far a range may lie from the usual one, in semitones: any line of an octave has one that holds it.
const FARTHEST: i32 = OCTAVE / 2;

/// The steps of a bass over the time of a chord: it begins anew in every bar, and where the music comes to
/// rest, the first step of the last bar is held.
pub(super) fn steps(
    figure: &Figure,
    chord: Range<Ticks>,
    (metre, rests): (Metre, bool),
) -> Vec<TimedStep<'_>> {
    let holds = rests && figure.steps.iter().all(|it| matches!(it.sounding, Sounding::Tones(_)));
    let bar = metre.bar();
    let bars = chord.start.div_euclid(bar)..=(chord.end - 1).div_euclid(bar);
    let of_bar = |index: Ticks| {
        let (from, to) = (chord.start.max(index * bar), chord.end.min((index + 1) * bar));
        let is_held = holds && to == chord.end;
        let own = figure.over(to - from).take(if is_held { 1 } else { usize::MAX });
        own.map(move |(begins, ends, step)| {
            (from + begins, if is_held { to } else { from + ends }, step)
        })
    };
    bars.flat_map(of_bar).collect()
}

/// How many octaves too high a root lies for a bass that keeps within half an octave of the tonic.
pub(super) fn octave_of(root: Interval) -> i32 {
    (root.semitones + OCTAVE / 2).div_euclid(OCTAVE)
}

/// Puts basses of single notes into their octaves. Beside a bass that has a name, or one that walks, a hand
/// that has nothing but roots lies where that does.
pub(super) fn settle(
    lines: &mut ByHand<Vec<StruckSound>>,
    template: &Template,
    chords: &[Range<usize>],
) {
    if !has_line(template) {
        return;
    }
    let is_named = |passage: &Passage| matches!(passage.comping, Comping::Bass(_));
    let walks = template.passages.iter().any(|passage| passage.comping == Comping::Walking);
    for hand in [Hand::Left, Hand::Right] {
        let own = template.passages.iter().zip(chords).filter(|(passage, _)| {
            passage.hand_below() == hand && (is_named(passage) || has_roots_alone(passage))
        });
        let own: Vec<&Range<usize>> = own.map(|(_, range)| range).collect();
        let is_bass = |chord: usize| own.iter().any(|range| range.contains(&chord));
        settle_line(&mut lines[hand], is_bass, walks);
    }
}

/// Whether a hand of a drill has a bass by name, or walks.
pub(super) fn has_line(template: &Template) -> bool {
    let has_line =
        |passage: &Passage| matches!(passage.comping, Comping::Bass(_) | Comping::Walking);
    template.passages.iter().any(has_line)
}

/// Whether the line of a passage has nothing but the root of each chord.
fn has_roots_alone(passage: &Passage) -> bool {
    let is_root = |step: &FigureStep| match &step.sounding {
        Sounding::Rest | Sounding::Tied => true,
        Sounding::Tones(tones) => tones == &[Tone::plain(1)],
        Sounding::Chord | Sounding::Upper => false,
    };
    let figures = passage.comping.figures();
    !figures.is_empty() && figures.iter().flat_map(|figure| &figure.steps).all(is_root)
}

/// Puts the notes over each chord of a bass into their octaves. Whoever walks beside it keeps to the usual
/// range, and so does it then; else it has that range in which most steps stay steps.
fn settle_line(line: &mut [StruckSound], is_bass: impl Fn(usize) -> bool, keeps_to_usual: bool) {
    let mut chords: Vec<&mut [StruckSound]> = line
        .chunk_by_mut(|one, next| one.chord == next.chord)
        .filter(|own| own.iter().all(|sound| is_bass(sound.chord) && sound.intervals.len() == 1))
        .collect();
    chords.sort_by_key(|own| own[0].at);
    let feet: Vec<i32> = chords.iter().map(|own| own[0].intervals[0].semitones).collect();
    let farthest = if keeps_to_usual { 0 } else { FARTHEST };
    let mut offsets: Vec<i32> = (-farthest..=farthest).collect();
    offsets.sort_by_key(|offset| offset.abs());
    let ranges = offsets.into_iter().map(|offset| {
        let usual = compose::BASS_RANGE;
        usual.start() + offset..=usual.end() + offset
    });
    let laid = ranges.map(|range| {
        let (cost, laid) = laid(&feet, &range);
        (cost / COST_BROKEN, laid, range)
    });
    let Some((_, laid, range)) = laid.min_by_key(|(broken, ..)| *broken) else { return };
    for (own, foot) in chords.into_iter().zip(laid) {
        let octaves = (foot - own[0].intervals[0].semitones).div_euclid(OCTAVE);
        for sound in own {
            sound.move_by(octaves);
            sound.move_by(octaves_into(&range, sound.intervals[0].semitones));
        }
    }
}

/// Basses within a range, by the least that their octaves cost together, with that cost.
fn laid(feet: &[i32], range: &RangeInclusive<i32>) -> (i32, Vec<i32>) {
    let mut ways: Vec<(i32, Vec<i32>)> = vec![(0, Vec::new())];
    for foot in feet {
        let low = range.start() + (foot - range.start()).rem_euclid(OCTAVE);
        let places = [low, low + OCTAVE].into_iter().filter(|it| range.contains(it));
        let way_to = |place: i32| {
            let upper = if place == low { 0 } else { COST_UPPER };
            let cost = |(cost, way): &(i32, Vec<i32>)| {
                let broken = way.last().is_some_and(|before| is_broken(*before, place));
                cost + upper + if broken { COST_BROKEN } else { 0 }
            };
            let best = ways.iter().min_by_key(|way| cost(way))?;
            Some((cost(best), best.1.iter().copied().chain([place]).collect()))
        };
        ways = places.filter_map(way_to).collect();
    }
    ways.into_iter().min_by_key(|(cost, _)| *cost).unwrap_or_default()
}

/// Whether two basses are a step apart by their names, or the same, and lie further apart.
fn is_broken(one: i32, next: i32) -> bool {
    let apart = (next - one).rem_euclid(OCTAVE);
    (apart <= STEP || apart >= OCTAVE - STEP) && (next - one).abs() > STEP
}

/// How many octaves a note has to move to lie within a range of an octave or more.
fn octaves_into(range: &RangeInclusive<i32>, at: i32) -> i32 {
    if at < *range.start() {
        (range.start() - at + OCTAVE - 1).div_euclid(OCTAVE)
    } else {
        -((at - range.end() + OCTAVE - 1).max(0).div_euclid(OCTAVE))
    }
}
