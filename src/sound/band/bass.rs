//! A double bass: it walks, plays in two, or keeps root and fifth, by the rules that lines of drills
//! are composed by.

use super::click::is_back_beat;
use super::sheet::{BandHit, BandSheet};
use crate::drill::compose::{self, BassJoins, BassLine, BassPlace, ChordGround, Weight, chance};
use crate::score::{QUARTER, Stay, Ticks};
use crate::sound::options::Groove;
use crate::theory::Interval;

/// The range of a double bass that walks, E1 to G3 as MIDI numbers them, and the D3 up to where it
/// usually lies (common practice, no source).
const RANGE: std::ops::RangeInclusive<i32> = 28..=55;
const USUAL_TOP: i32 = 50;
/// The B2 up to where that of a ballad lies (common practice, no source).
const BALLAD_TOP: i32 = 47;
/// The C that intervals are counted from: C1.
const C: i32 = 24;
/// Notes that are let go before the next one, so that they are heard apart.
const LIFT: Ticks = 3;
/// How hard a note is struck: on the beats, and on the back beats of a bass that walks.
const STRENGTH: u8 = 84;
/// The same where a line walks: on the back beats, as the hi-hat comes down, and on a note that leads
/// into another chord, which the note that it leads to outweighs (common practice, no source).
const BACK_BEAT: u8 = 90;
const LEADING: u8 = 76;
/// How much chance takes off a note, so that no two bars are struck alike.
const TOUCH: f64 = 5.0;
/// What the touch of a note is drawn for, apart from other chances.
const TOUCHED: i32 = 2;
/// What leads on, or is struck early.
const SOFTER: u8 = 72;
/// What parts the seeds of lines.
const ANOTHER: u64 = 0x1000_0000_01b3;
/// How often a line after a silence is tried for one that was not there before.
const MOST_TRIALS: u64 = 4;
/// How often a bass in two leads into the next bar, one in three, which has one note else, and one of
/// a ballad, which has time.
const LEADS: [f64; 3] = [0.5, 0.7, 0.2];
/// How often a bar of one chord in a ballad has one note (common practice, no source).
const HELD_BARS: f64 = 0.35;
/// What these are drawn for, apart from other chances.
const LED: i32 = 0;
const HELD: i32 = 1;

/// The line.
pub(super) fn line(sheet: &BandSheet) -> Vec<BandHit> {
    let beat = sheet.metre.felt_beat();
    // A pick-up that is shorter than a beat.
    let is_short = |stay: &&Stay| stay.at < 0 && up(stay.at, beat) >= up(stay.end, beat);
    let mut hits: Vec<BandHit> = sheet.stays.iter().filter(is_short).map(foot).collect();
    // After a silence the line begins anew, and is another one if it can be.
    let mut had: Vec<Vec<u8>> = Vec::new();
    for (index, stays) in (0_u64..).zip(runs(sheet)) {
        let before = hits.last().map(above_c).into_iter().collect();
        let joins = BassJoins { before, ..BassJoins::default() };
        for trial in 0..MOST_TRIALS {
            let other = (MOST_TRIALS * index + trial).wrapping_mul(ANOTHER);
            let seed = sheet.seed.wrapping_add(other);
            let own = over(sheet, &stays, (seed, joins.clone()));
            let pitches: Vec<u8> = own.iter().map(|hit| hit.pitch).collect();
            if trial + 1 == MOST_TRIALS || !had.contains(&pitches) {
                had.push(pitches);
                hits.extend(own);
                break;
            }
        }
    }
    at_its_end(sheet, hits)
}

/// The end, which is met on the beat that it is ahead of, struck when all strike it.
fn at_its_end(sheet: &BandSheet, mut hits: Vec<BandHit>) -> Vec<BandHit> {
    let Some(held) = sheet.held else { return hits };
    let met = up(held, sheet.metre.felt_beat());
    if met > held {
        hits.retain(|hit| hit.at < held || hit.at >= met);
        for hit in &mut hits {
            if hit.at == met {
                hit.at = held;
            } else {
                hit.end = hit.end.min(held - LIFT);
            }
        }
    }
    hits
}

/// The pitch of a hit above the C that intervals are counted from.
fn above_c(hit: &BandHit) -> Interval {
    Interval { steps: 0, semitones: i32::from(hit.pitch) - C }
}

/// The felt beat on which something is met that comes on it or ahead of it.
fn up(moment: Ticks, beat: Ticks) -> Ticks {
    (moment + beat - 1).div_euclid(beat) * beat
}

/// What a chord rests on, at the bottom of the range.
fn foot(stay: &Stay) -> BandHit {
    let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
    let pitch = RANGE.start() + (foot - RANGE.start()).rem_euclid(12);
    let pitch = u8::try_from(pitch).unwrap_or(0);
    BandHit { at: stay.at, end: stay.end - LIFT, pitch, strength: SOFTER }
}

/// The harmony on felt beats, in stretches between which no chord is played. A chord that comes
/// between beats, a push, is met on the beat that it is ahead of.
fn runs(sheet: &BandSheet) -> Vec<Vec<Stay>> {
    let beat = sheet.metre.felt_beat();
    let mut runs: Vec<Vec<Stay>> = Vec::new();
    for stay in &sheet.stays {
        let own = Stay { at: up(stay.at, beat), end: up(stay.end, beat), ..*stay };
        if own.at >= own.end {
            continue;
        }
        match runs.last_mut().filter(|run| run.last().is_some_and(|last| last.end == own.at)) {
            Some(run) => run.push(own),
            None => runs.push(vec![own]),
        }
    }
    runs
}

/// The line over chords without gaps.
fn over(sheet: &BandSheet, stays: &[Stay], (seed, joins): (u64, BassJoins)) -> Vec<BandHit> {
    let grounds: Vec<ChordGround> = stays.iter().map(ChordGround::sounding).collect();
    let (Some(first), Some(last)) = (stays.first(), stays.last()) else { return Vec::new() };
    let places = places(sheet, stays, first.at, last.end);
    let usual_top = if sheet.groove == Groove::Ballad { BALLAD_TOP } else { USUAL_TOP };
    let like = BassLine {
        range: RANGE.start() - C..=RANGE.end() - C,
        usual_top: usual_top - C,
        seed,
        walks: sheet.groove == Groove::Walking,
        repeats: sheet.groove != Groove::Bossa,
        joins,
    };
    let notes = compose::bass(&grounds, &places, &like);
    let mut hits: Vec<BandHit> = Vec::new();
    for (note, place) in notes.iter().zip(&places) {
        let pitch = u8::try_from(note.interval.semitones + C).unwrap_or(0);
        let is_early = sheet.groove == Groove::Bossa && note.at > first.at;
        if is_early {
            // Root and fifth are struck an eighth ahead, too.
            let at = note.at - QUARTER / 2;
            if let Some(before) = hits.last_mut() {
                before.end = before.end.min(at - LIFT);
            }
            hits.push(BandHit { at, end: note.at - LIFT, pitch, strength: SOFTER });
        }
        let is_pick_up = place.weight == Weight::Weak && sheet.groove != Groove::Walking;
        let strength = if is_pick_up { SOFTER } else { strength(sheet, stays, note.at) };
        hits.push(BandHit { at: note.at, end: note.end - LIFT, pitch, strength });
    }
    hits
}

/// How hard a note on the beat is struck.
fn strength(sheet: &BandSheet, stays: &[Stay], at: Ticks) -> u8 {
    if sheet.groove != Groove::Walking {
        return STRENGTH;
    }
    let next = at + sheet.metre.felt_beat();
    let leads = stays.windows(2).any(|pair| pair[1].at == next && pair[0].at < at);
    let whole = match (is_back_beat(sheet.metre, at), leads) {
        (_, true) => LEADING,
        (true, false) => BACK_BEAT,
        (false, false) => STRENGTH,
    };
    let place = usize::try_from(at.max(0)).unwrap_or(0);
    whole - (TOUCH * chance(sheet.seed, place, TOUCHED)) as u8
}

/// Where the bass of a groove has notes between two moments.
fn places(sheet: &BandSheet, stays: &[Stay], start: Ticks, end: Ticks) -> Vec<BassPlace> {
    let metre = sheet.metre;
    let (bar, beat) = (metre.bar(), metre.felt_beat());
    let held = sheet.held.map(|held| up(held, beat));
    let is_change = |at: Ticks| stays.iter().any(|stay| stay.at == at);
    let has_bass = |at: Ticks| {
        let own = stays.iter().find(|stay| (stay.at..stay.end).contains(&at));
        own.is_some_and(|stay| stay.chord.bass.is_some())
    };
    // A bar of a ballad in which one note rings.
    let is_held_bar = |at: Ticks| {
        let from = at.div_euclid(bar) * bar;
        let own = from + 1..from + bar;
        sheet.groove == Groove::Ballad
            && !stays.iter().any(|stay| own.contains(&stay.at))
            && chance(sheet.seed, at.div_euclid(bar) as usize, HELD) < HELD_BARS
    };
    let weight_of = |at: Ticks| {
        let (group, _) = metre.group_of(at.rem_euclid(bar));
        let moment = at.rem_euclid(bar);
        let walks = sheet.groove == Groove::Walking;
        match moment {
            // Nothing comes after what is held.
            _ if held.is_some_and(|held| at > held) => None,
            _ if held == Some(at) => Some(Weight::Foot),
            _ if sheet.tops.contains(&at) => Some(Weight::Foot),
            // What stands in place of a root stays.
            0 if has_bass(at) => Some(Weight::Foot),
            _ if is_change(at) => Some(Weight::Tone),
            0 => Some(Weight::Tone),
            _ if is_held_bar(at) => None,
            _ if metre.is_compound() => Some(Weight::Weak),
            _ if moment == group => Some(if walks { Weight::Strong } else { Weight::Tone }),
            _ if walks => {
                Some(if (moment - group) % (2 * beat) == 0 { Weight::Strong } else { Weight::Weak })
            }
            // On the last beat, now and then, one leads into the next bar.
            _ if sheet.groove != Groove::Bossa && moment == bar - beat => {
                let most = match sheet.groove {
                    Groove::Waltz => LEADS[1],
                    Groove::Ballad => LEADS[2],
                    _ => LEADS[0],
                };
                let leads = chance(sheet.seed, at.div_euclid(bar) as usize, LED) < most;
                leads.then_some(Weight::Weak)
            }
            _ => None,
        }
    };
    let beats = (start.div_euclid(beat)..end.div_euclid(beat)).map(|index| index * beat);
    let struck: Vec<(Ticks, Weight)> = beats.filter_map(|at| Some((at, weight_of(at)?))).collect();
    let ends = struck.iter().skip(1).map(|(at, _)| *at).chain([end]);
    struck
        .iter()
        .zip(ends)
        .map(|((at, weight), end)| BassPlace {
            at: *at,
            end,
            is_one: at.rem_euclid(bar) == 0,
            weight: *weight,
        })
        .collect()
}
