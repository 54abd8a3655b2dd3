//! Thinning: what a left-hand chord leaves out where it lies too low to sound clear in full.

use std::borrow::Cow;
use std::ops::RangeBounds;

use super::sketch::{DrillSketch, PlayedChord};
use super::struck::StruckSound;
use crate::score::LeftOut;
use crate::theory::Interval;

/// The lowest bottom note, in MIDI numbers, at which an interval of so many semitones still
/// sounds clear; index 1 is the minor second.
///
/// Source: low-interval limits as printed in arranging handbooks (Lowell & Pullig, *Arranging
/// for Large Jazz Ensemble*, 2003, and others); where they differ the value of the majority; for
/// the tritone, of which one says B2 and one B1, halfway between them; the ninths and tenths from
/// memory.
const LOW_INTERVAL_LIMITS: [i32; 17] =
    [0, 52, 51, 48, 46, 46, 41, 34, 41, 41, 41, 41, 0, 40, 39, 36, 34];

/// How far solo-piano practice goes below the limits, which "may be adjusted downward": within
/// that a chord is played in full.
pub(super) const TOLERATED_UNDERCUT: i32 = 2;

/// How far a second may go below them, which only inverted chords have at the bottom: they keep it,
/// since it tells which inversion it is (ours).
const TOLERATED_SECOND: i32 = 5;

/// How many semitones the muddiest pair of notes lies below its low-interval limit, counted from
/// a tonic with a MIDI number.
pub(super) fn undercut(tonic: i32, sound: &StruckSound) -> i32 {
    undercut_of(1.., tonic, sound)
}

/// How many semitones it lies below what is tolerated at all: nobody lies there where any other octave
/// serves.
pub(super) fn intolerable(tonic: i32, sound: &StruckSound) -> i32 {
    let thirds = undercut_of(3.., tonic, sound) - TOLERATED_UNDERCUT;
    let seconds = undercut_of(1..3, tonic, sound) - TOLERATED_SECOND;
    thirds.max(seconds).max(0)
}

fn undercut_of(spans: impl RangeBounds<usize>, tonic: i32, sound: &StruckSound) -> i32 {
    let mut worst = 0;
    for (index, low) in sound.intervals.iter().enumerate() {
        for high in &sound.intervals[index + 1..] {
            let span = (high.semitones - low.semitones).unsigned_abs() as usize;
            let limit = LOW_INTERVAL_LIMITS.get(span).filter(|_| spans.contains(&span));
            let limit = limit.copied().unwrap_or(0);
            worst = worst.max(limit - tonic - low.semitones);
        }
    }
    worst
}

/// A left-hand chord without the note that makes it thick so low, if what remains is clearer, and
/// what it leaves out: the fifth, a ninth or thirteenth, or else the third; never root or
/// seventh, which tell the chord and its inversion, and never an outer note.
pub(super) fn thinner(
    sketch: &DrillSketch,
    tonic: i32,
    sound: &StruckSound,
) -> Option<(LeftOut, StruckSound)> {
    let before = undercut(tonic, sound);
    let played = &sketch.chords[sound.chord];
    if before <= TOLERATED_UNDERCUT || !played.laid.may_yield {
        return None;
    }
    let has_root = sound.intervals.iter().any(|interval| step_of(played, *interval) == 0);
    let inner = 1..sound.intervals.len().saturating_sub(1);
    let thinner = inner.filter_map(|place| {
        let left_out = left_out(played, sound.intervals[place])?;
        // Without its root a chord is known by its third.
        if left_out == LeftOut::Third && !has_root {
            return None;
        }
        let mut thinner = sound.clone();
        thinner.remove(place);
        Some((undercut(tonic, &thinner), left_out, thinner))
    });
    let clearest = thinner.min_by_key(|(undercut, left_out, _)| (*undercut, *left_out));
    let (_, left_out, thinner) = clearest.filter(|(left, ..)| *left < before)?;
    Some((left_out, thinner))
}

/// The left hand's line with its low chords thinned where its tonic has a MIDI number; and the
/// sounds that yielded, by index.
pub(super) fn thin_out(
    sketch: &DrillSketch,
    tonic: i32,
) -> (Vec<(usize, LeftOut)>, Cow<'_, [StruckSound]>) {
    let mut yielded: Vec<(usize, LeftOut)> = Vec::new();
    let mut line = Cow::Borrowed(sketch.lines.left.as_slice());
    for (index, sound) in sketch.lines.left.iter().enumerate() {
        let Some((left_out, thinner)) = thinner(sketch, tonic, sound) else {
            continue;
        };
        line.to_mut()[index] = thinner;
        yielded.push((index, left_out));
    }
    (yielded, line)
}

/// The steps of a note above the root of its chord, within an octave.
fn step_of(played: &PlayedChord, interval: Interval) -> i32 {
    interval.plus(played.plan.root.down()).steps.rem_euclid(7)
}

/// What a note is to its chord, if the chord may do without it.
fn left_out(played: &PlayedChord, interval: Interval) -> Option<LeftOut> {
    match step_of(played, interval) {
        4 => Some(LeftOut::Fifth),
        1 => Some(LeftOut::Ninth),
        3 => Some(LeftOut::Eleventh),
        5 => Some(LeftOut::Thirteenth),
        2 => Some(LeftOut::Third),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As far as the fifth a wider interval sounds clear at least as low as a narrower one: beats
    /// between its notes and their partials grow faster.
    #[test]
    fn up_to_the_fifth_wider_intervals_sound_clear_lower() {
        for pair in LOW_INTERVAL_LIMITS[1..=7].windows(2) {
            assert!(pair[0] >= pair[1], "{pair:?}");
        }
    }
}
