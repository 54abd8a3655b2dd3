//! Drums: a ride cymbal, a hi-hat by the pedal, and brushes on a snare drum.

use super::click::is_back_beat;
use super::sheet::{BandHit, BandSheet};
use crate::score::{QUARTER, Ticks};
use crate::sound::options::Groove;

// General MIDI's numbers of drums (General MIDI Level 1, MMA 1991).
const RIDE: u8 = 51;
const PEDALLED_HI_HAT: u8 = 44;
/// The snare drum, and what is drawn over it in the set for brushes of General MIDI Level 2.
const TAPPED: u8 = 38;
const DRAWN: u8 = 40;

// How hard each stroke is (ours; back beats a little harder and the short one before a beat softer,
// as ride patterns are taught: common practice, no source).
const RIDE_ON: u8 = 76;
const RIDE_BACK: u8 = 88;
const RIDE_OFF: u8 = 62;
const RIDE_EVEN: [u8; 2] = [66, 50];
const HI_HAT: u8 = 72;
const SWEEP: u8 = 48;
const TAP: u8 = 66;

/// How long a stroke on the ride lasts, unless another one follows sooner.
const RINGS: Ticks = QUARTER;

/// The ride cymbal.
pub(super) fn ride(sheet: &BandSheet) -> Vec<BandHit> {
    let metre = sheet.metre;
    let half = metre.felt_beat() / if metre.is_compound() { 3 } else { 2 };
    let is_even = sheet.groove == Groove::Bossa;
    let mut hits = Vec::new();
    for at in (0..sheet.length()).step_by(half as usize) {
        let on_beat = at % metre.felt_beat() == 0;
        let beat = metre.beat_of(at);
        let is_back = is_back_beat(metre, beat);
        // The last eighth of each three, or the off-beat of each second beat.
        let is_skip = if metre.is_compound() {
            at - beat == 2 * half
        } else {
            !on_beat && is_back && sheet.groove != Groove::Ballad
        };
        let strength = match (is_even, on_beat) {
            (true, true) => RIDE_EVEN[0],
            (true, false) => RIDE_EVEN[1],
            (false, true) if is_back => RIDE_BACK,
            (false, true) => RIDE_ON,
            (false, false) if is_skip => RIDE_OFF,
            (false, false) => continue,
        };
        hits.push(BandHit { at, end: at + RINGS, pitch: RIDE, strength });
    }
    apart(hits)
}

/// The hi-hat: on the second beat of each stretch of the bar.
pub(super) fn hi_hat(sheet: &BandSheet) -> Vec<BandHit> {
    let beats = beats(sheet).filter(|at| is_back_beat(sheet.metre, *at));
    let hit = |at| BandHit { at, end: at + QUARTER / 2, pitch: PEDALLED_HI_HAT, strength: HI_HAT };
    beats.map(hit).collect()
}

/// Brushes: a sweep on each beat, and a tap over it on the second of each stretch.
pub(super) fn brushes(sheet: &BandSheet) -> Vec<BandHit> {
    let each = beats(sheet).map(|at| {
        let drawn =
            BandHit { at, end: at + sheet.metre.felt_beat(), pitch: DRAWN, strength: SWEEP };
        let tapped = BandHit { at, end: at + QUARTER / 4, pitch: TAPPED, strength: TAP };
        [Some(drawn), Some(tapped).filter(|_| is_back_beat(sheet.metre, at))]
    });
    each.flatten().flatten().collect()
}

/// The felt beats of a sheet.
fn beats(sheet: &BandSheet) -> impl Iterator<Item = Ticks> {
    let beat = sheet.metre.felt_beat();
    (0..sheet.length() / beat).map(move |index| index * beat)
}

/// The strokes, each ending where the next one on the same drum begins.
fn apart(mut hits: Vec<BandHit>) -> Vec<BandHit> {
    for index in 1..hits.len() {
        let next = hits[index].at;
        hits[index - 1].end = hits[index - 1].end.min(next);
    }
    hits
}
