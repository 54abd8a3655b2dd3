//! Soft chords on a piano: rootless, and led from one to the next.

use super::sheet::{BandHit, BandSheet};
use crate::drill::compose::chance;
use crate::score::{Metre, QUARTER, Stay, Ticks};
use crate::sound::options::Groove;
use crate::theory::{ChordKind, Fifth, Interval, Tension};

/// Where the chords lie, from C♯3 to G5 as MIDI numbers them: above the bass and clear, beside a
/// right hand that plays a line (ours).
const RANGE: std::ops::RangeInclusive<i32> = 49..=79;
/// Where their middle lies best, and what each semitone away from it costs in semitones of motion.
const MIDDLE: f64 = 62.0;
const FROM_MIDDLE: f64 = 0.35;
/// The most notes of a chord.
const MOST: usize = 4;
/// The widest that a hand takes here.
const WIDEST: i32 = 15;
/// A semitone at the bottom or at the top of a chord, in semitones of motion.
const RUB: f64 = 4.0;
/// How hard a chord is struck.
const STRENGTH: u8 = 52;
const EIGHTH: Ticks = QUARTER / 2;
/// A short chord.
const SHORT: Ticks = QUARTER / 3;

/// A stroke of a bar of comping: when, and for how long.
type CompingStroke = (Ticks, Ticks);

// Rhythms of comping, a bar each (common practice, no source).
const IN_FOUR: [&[CompingStroke]; 4] = [
    &[(0, 3 * EIGHTH), (3 * EIGHTH, SHORT)],
    &[(3 * EIGHTH, SHORT), (7 * EIGHTH, EIGHTH)],
    &[(EIGHTH, SHORT), (2 * QUARTER, 3 * EIGHTH)],
    &[(0, SHORT), (3 * EIGHTH, 2 * QUARTER)],
];
const BOSSA: [&[CompingStroke]; 2] = [
    &[(0, QUARTER), (3 * EIGHTH, EIGHTH), (3 * QUARTER, EIGHTH)],
    &[(EIGHTH, EIGHTH), (2 * QUARTER, QUARTER), (7 * EIGHTH, EIGHTH)],
];
const IN_THREE: [&[CompingStroke]; 3] = [
    &[(0, 3 * EIGHTH), (3 * EIGHTH, 3 * EIGHTH)],
    &[(QUARTER, SHORT), (2 * QUARTER, SHORT)],
    &[(0, 3 * QUARTER)],
];
const IN_FIVE: [&[CompingStroke]; 2] = [
    &[(0, 3 * EIGHTH), (3 * EIGHTH, 3 * EIGHTH), (3 * QUARTER, 2 * QUARTER)],
    &[(3 * EIGHTH, SHORT), (3 * QUARTER, SHORT)],
];
const IN_SIX: [&[CompingStroke]; 2] =
    [&[(0, 6 * EIGHTH)], &[(0, 3 * EIGHTH), (3 * EIGHTH, 3 * EIGHTH)]];

/// The chords of a sheet.
pub(super) fn chords(sheet: &BandSheet) -> Vec<BandHit> {
    let mut hits: Vec<BandHit> = Vec::new();
    let mut before: Option<Vec<i32>> = None;
    let mut last: Option<usize> = None;
    for (at, end) in strokes(sheet) {
        // What comes just before a chord belongs to it.
        let is_early = at > 0 && at % sheet.metre.felt_beat() != 0;
        let moment = if is_early { next_beat(sheet, at) } else { at };
        let index = sheet.stays.iter().position(|stay| (stay.at..stay.end).contains(&moment));
        let Some(index) = index.or_else(|| holding(&sheet.stays, at)) else { continue };
        if last != Some(index) {
            before = Some(voicing(&sheet.stays[index], before.as_deref()));
            last = Some(index);
        }
        let end = end.min(sheet.stays[index].end.max(at + SHORT));
        for pitch in before.iter().flatten() {
            let pitch = u8::try_from(*pitch).unwrap_or(0);
            hits.push(BandHit { at, end, pitch, strength: STRENGTH });
        }
    }
    hits
}

fn holding(stays: &[Stay], moment: Ticks) -> Option<usize> {
    stays.iter().position(|stay| (stay.at..stay.end).contains(&moment))
}

/// The beat after an off-beat.
fn next_beat(sheet: &BandSheet, at: Ticks) -> Ticks {
    sheet.metre.beat_of(at) + sheet.metre.felt_beat()
}

/// When chords are struck and for how long, in order.
fn strokes(sheet: &BandSheet) -> Vec<CompingStroke> {
    let bars: &[&[CompingStroke]] = match (sheet.metre, sheet.groove) {
        (_, Groove::Ballad) => &[],
        (Metre::FourFour, Groove::Bossa) => &BOSSA,
        (Metre::FourFour, _) => &IN_FOUR,
        (Metre::ThreeFour, _) => &IN_THREE,
        (Metre::FiveFour, _) => &IN_FIVE,
        (Metre::SixEight, _) => &IN_SIX,
    };
    let mut strokes: Vec<CompingStroke> = Vec::new();
    if bars.is_empty() {
        // A ballad has each chord where it comes, and again in the next bar.
        let bar = sheet.metre.bar();
        for stay in &sheet.stays {
            let again = (stay.at.div_euclid(bar) + 1..).map(|index| index * bar);
            let again = again.take_while(|at| *at < stay.end);
            let starts: Vec<Ticks> = [stay.at].into_iter().chain(again).collect();
            let ends = starts.iter().skip(1).copied().chain([stay.end]);
            strokes.extend(starts.iter().copied().zip(ends));
        }
        return strokes;
    }
    // In a pick-up each chord is held.
    let early = sheet.stays.iter().take_while(|stay| stay.at < 0);
    strokes.extend(early.map(|stay| (stay.at, stay.end)));
    let mut last = 0;
    for bar in 0..sheet.bars {
        let drawn = chance(sheet.seed, bar, 1) * bars.len() as f64;
        // A pattern of two bars stays in its order; elsewhere no bar is that before it.
        let mut place = match sheet.groove {
            Groove::Bossa => bar % bars.len(),
            _ => (drawn as usize).min(bars.len() - 1),
        };
        if bar > 0 && place == last {
            place = (place + 1) % bars.len();
        }
        last = place;
        let start = bar as Ticks * sheet.metre.bar();
        strokes.extend(bars[place].iter().map(|(at, length)| (start + at, start + at + length)));
    }
    for index in 1..strokes.len() {
        let next = strokes[index].0;
        strokes[index - 1].1 = strokes[index - 1].1.min(next);
    }
    // At the very end there is nothing to come, and where that is held all play together.
    let length = sheet.length();
    let end = sheet.held.unwrap_or(length - EIGHTH);
    strokes.retain(|(at, _)| *at < end);
    strokes.extend(sheet.held.map(|held| (held, length)));
    strokes
}

/// The tones of a chord that tell it beside a bass, above its root and in order of need: third,
/// seventh, what is altered or added, ninth and fifth.
fn tones(stay: &Stay) -> Vec<Interval> {
    let kind: ChordKind = stay.chord.kind;
    let [_, third, fifth, seventh] = kind.frame();
    let altered = fifth.filter(|_| !matches!(kind.fifth(), Fifth::Perfect));
    let mut tensions: Vec<Interval> = kind.tensions().iter().map(Tension::interval).collect();
    tensions.reverse();
    // The key's own ninth where it lies a whole tone above the root and not against it.
    let ninth = Some(stay.scale[1]).filter(|ninth| {
        ninth.semitones == 2 && seventh.is_some() && !kind.tensions().has_number(9)
    });
    let fifth = fifth.filter(|_| matches!(kind.fifth(), Fifth::Perfect));
    let root = Some(Interval::UNISON).filter(|_| seventh.is_none() || third.is_none());
    let wanted = [third, seventh, altered].into_iter().flatten();
    let wanted = wanted.chain(tensions).chain([ninth, fifth, root].into_iter().flatten());
    let mut tones: Vec<Interval> = Vec::new();
    for tone in wanted.map(Interval::simple) {
        if !tones.iter().any(|other| other.semitones == tone.semitones) {
            tones.push(tone);
        }
    }
    tones.truncate(MOST);
    tones
}

/// The pitches of a chord: of all ways to lay it out closely the one nearest to what was struck
/// before.
fn voicing(stay: &Stay, before: Option<&[i32]>) -> Vec<i32> {
    let root = stay.chord.root.pitch_class();
    let mut classes: Vec<i32> =
        tones(stay).iter().map(|tone| (root + tone.semitones).rem_euclid(12)).collect();
    classes.sort_unstable();
    let mut best: Option<(f64, Vec<i32>)> = None;
    for bottom in RANGE {
        let Some(first) = classes.iter().position(|class| *class == bottom.rem_euclid(12)) else {
            continue;
        };
        let mut pitches = vec![bottom];
        for step in 1..classes.len() {
            let class = classes[(first + step) % classes.len()];
            let last = pitches[pitches.len() - 1];
            pitches.push(last + (class - last).rem_euclid(12));
        }
        let top = pitches[pitches.len() - 1];
        if top > *RANGE.end() || top - bottom > WIDEST {
            continue;
        }
        let cost = cost(&pitches, before);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, pitches));
        }
    }
    best.map(|(_, pitches)| pitches).unwrap_or_default()
}

/// What it costs to go to a chord, in semitones of motion.
fn cost(pitches: &[i32], before: Option<&[i32]>) -> f64 {
    let middle = f64::from(pitches.iter().sum::<i32>()) / pitches.len() as f64;
    let away = FROM_MIDDLE * (middle - MIDDLE).abs();
    let ends = [pitches.first_chunk::<2>(), pitches.last_chunk::<2>()];
    let rubs = ends.into_iter().flatten().filter(|pair| pair[1] - pair[0] == 1).count();
    let motion = before.map_or(0, |before| {
        let nearest = |pitch: &i32| before.iter().map(|it| (it - pitch).abs()).min().unwrap_or(0);
        pitches.iter().map(nearest).sum::<i32>()
    });
    away + RUB * rubs as f64 + f64::from(motion)
}
