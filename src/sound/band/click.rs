//! A click to practise with, and the bars that are counted in.

use super::sheet::{BandHit, BandSheet};
use crate::score::{Metre, QUARTER, Ticks};
use crate::sound::options::Clicks;

/// The first of a bar: the high wood block of General MIDI (its metronome clicks came later).
const FIRST: u8 = 76;
/// The others: the low one.
const OTHER: u8 = 77;
/// How hard each is struck.
const STRENGTH: [u8; 2] = [112, 92];
/// How long a click lasts.
const LENGTH: Ticks = QUARTER / 4;

/// The clicks of a sheet.
pub(super) fn click(sheet: &BandSheet) -> Vec<BandHit> {
    let BandSheet { metre, bars, clicks, .. } = sheet;
    let all = (0..*bars)
        .flat_map(|bar| clicks_of(*metre, bar as Ticks * metre.bar()).map(move |hit| (bar, hit)));
    let own = all.filter(|(bar, hit)| match clicks {
        Clicks::All => true,
        Clicks::TwoAndFour => is_back_beat(*metre, hit.at),
        Clicks::EveryOtherBar => bar % 2 == 0,
    });
    own.map(|(_, hit)| hit).collect()
}

/// The clicks of a bar from its start on, one each felt beat.
fn clicks_of(metre: Metre, start: Ticks) -> impl Iterator<Item = BandHit> {
    let beats = metre.bar() / metre.felt_beat();
    (0..beats).map(move |beat| {
        let at = start + beat * metre.felt_beat();
        let place = usize::from(beat > 0);
        let (pitch, strength) = ([FIRST, OTHER][place], STRENGTH[place]);
        BandHit { at, end: at + LENGTH, pitch, strength }
    })
}

/// Whether a moment is the second beat of a stretch between imaginary barlines: two or four of
/// four, two of three, two or five of five, the second of the two beats of six eighths.
pub(super) fn is_back_beat(metre: Metre, at: Ticks) -> bool {
    let moment = at.rem_euclid(metre.bar());
    if metre.is_compound() {
        return moment == metre.felt_beat();
    }
    let (start, _) = metre.group_of(moment);
    moment - start == metre.felt_beat()
}

/// The beats that are counted in: of two bars the first has every other one, as bands are counted
/// in (common practice, no source).
pub(in crate::sound) fn counted_in(metre: Metre, bars: usize) -> Vec<(Ticks, i32)> {
    let beats = metre.bar() / metre.felt_beat();
    let mut counted = Vec::new();
    for bar in 0..bars {
        let is_long = bar + 1 < bars;
        for beat in 0..beats {
            let at = bar as Ticks * metre.bar() + beat * metre.felt_beat();
            let (start, _) = metre.group_of(beat * metre.felt_beat());
            if !is_long || start == beat * metre.felt_beat() {
                // In the long bar "one, two" are its groups.
                let groups =
                    metre.divisions().iter().filter(|division| **division <= start).count();
                let number = if is_long { groups as i32 + 1 } else { beat + 1 };
                counted.push((at, number));
            }
        }
    }
    counted
}

/// The clicks of so many bars that are counted in.
pub(in crate::sound) fn count_in(metre: Metre, bars: usize) -> Vec<BandHit> {
    let counted = counted_in(metre, bars);
    let all = (0..bars).flat_map(|bar| clicks_of(metre, bar as Ticks * metre.bar()));
    all.filter(|hit| counted.iter().any(|(at, _)| *at == hit.at)).collect()
}
