//! A walking bass: a note on every beat, from root to root.

use super::choice::chosen;
use super::ground::{Candidate, Ground, Role, spelled};
use super::line::Note;
use crate::score::Ticks;
use crate::theory::Interval;

/// Where the bass lies, in semitones above the tonic: from its fifth below to its octave (ours:
/// with the tonics of all keys within an octave it keeps within the range of a double bass).
const RANGE: std::ops::RangeInclusive<i32> = -5..=12;

// Costs of a walking bass; the unit is a leap of a third (ours, after what jazz bass methods ask
// for: the root where the chord changes, chord tones on strong beats, steps, and a note that leads
// into the next root; common practice, no source).
/// A leap by its semitones, from the unison to the octave.
const LEAP: [f64; 13] = [5.0, 0.2, 0.0, 1.0, 1.0, 1.5, 4.0, 1.5, 3.0, 4.0, 5.0, 7.0, 2.5];
/// Wider than an octave.
const BEYOND: f64 = 40.0;
/// A chord that changes begins with another tone than its root.
const NOT_THE_ROOT: f64 = 12.0;
/// A bar of the same chord begins with another tone than its root.
const ANOTHER_TONE: f64 = 0.3;
/// A note of the scale on a strong beat, on a weak one.
const SCALE_NOTE: [f64; 2] = [2.5, 0.6];
/// What leads into the next root by a semitone, by a tone, from its fifth, by anything else.
const LEADING: [f64; 4] = [0.0, 0.4, 0.9, 3.0];
/// Two leaps of more than a third in one direction.
const TWO_LEAPS: f64 = 5.0;
/// The last note of all is not the root.
const OPEN_END: f64 = 6.0;
/// A note beside the chord, a semitone from its third or seventh, which another hand may hold.
const AGAINST: f64 = 1.5;
/// Back to the note before the last.
const TO_AND_FRO: f64 = 2.0;
/// The most that chance adds, so that bars differ.
const CHANCE: f64 = 0.5;

/// A beat of the bass.
struct Beat {
    at: Ticks,
    chord: usize,
    /// Whether the harmony changes with it.
    is_change: bool,
    is_strong: bool,
    candidates: Vec<Candidate>,
    /// The third and the seventh of the chord.
    guides: Vec<Interval>,
}

/// A bass with a note on every beat of chords that follow one another.
pub(crate) fn walking(grounds: &[Ground], length: Ticks, seed: u64) -> Vec<Note> {
    let beats = beats(grounds, length);
    let candidates: Vec<&[Candidate]> = beats.iter().map(|it| it.candidates.as_slice()).collect();
    let cost = |place: usize,
                before: Option<Candidate>,
                last: Option<Candidate>,
                own: Candidate| { cost_of(&beats, place, before, last, own) };
    let chosen = chosen(&candidates, (seed, CHANCE), cost).expect("roots alone are a bass");
    let line = beats.iter().zip(spelled(&chosen)).zip(&chosen);
    let note = |((beat, interval), chosen): ((&Beat, Interval), &Candidate)| {
        let Beat { at, chord, .. } = *beat;
        let is_passing = chosen.role == Role::Passing;
        Note { at, end: at + length, chord, interval, is_passing }
    };
    line.map(note).collect()
}

impl Beat {
    /// Whether a note lies a semitone from the third or the seventh of the chord.
    fn is_against(&self, note: Interval) -> bool {
        self.guides.iter().any(|guide| {
            let apart = (note.semitones - guide.semitones).rem_euclid(12);
            apart == 1 || apart == 11
        })
    }
}

fn beats(grounds: &[Ground], beat: Ticks) -> Vec<Beat> {
    let mut beats = Vec::new();
    for (chord, ground) in grounds.iter().enumerate() {
        let candidates = ground.candidates(RANGE);
        let is_new = chord == 0 || {
            let before = &grounds[chord - 1];
            (before.root, &before.tones) != (ground.root, &ground.tones)
        };
        for index in 0..(ground.end - ground.start) / beat {
            beats.push(Beat {
                at: ground.start + index * beat,
                chord,
                is_change: is_new && index == 0,
                is_strong: index % 2 == 0,
                candidates: candidates.clone(),
                guides: ground.guides(),
            });
        }
    }
    let last = beats.len() - 1;
    let changes: Vec<bool> = beats.iter().map(|beat| beat.is_change).collect();
    for (place, beat) in beats.iter_mut().enumerate() {
        let is_tone_alone = beat.is_change || place == 0 || place == last;
        let leads = changes.get(place + 1) == Some(&true);
        beat.candidates.retain(|candidate| match candidate.role {
            Role::Tone(_) => true,
            Role::Scale => !is_tone_alone,
            // Only into a root, on the beat before it.
            Role::Passing => !is_tone_alone && leads,
        });
    }
    beats
}

/// What a note costs after the two before it.
fn cost_of(
    beats: &[Beat],
    place: usize,
    before: Option<Candidate>,
    last: Option<Candidate>,
    own: Candidate,
) -> f64 {
    let beat = &beats[place];
    let is_last = place + 1 == beats.len();
    let role = match own.role {
        Role::Tone(0) => 0.0,
        Role::Tone(_) if is_last => OPEN_END,
        Role::Tone(_) if beat.is_change => NOT_THE_ROOT,
        Role::Tone(_) => ANOTHER_TONE,
        Role::Scale => SCALE_NOTE[usize::from(!beat.is_strong)],
        Role::Passing if beat.is_against(own.interval) => AGAINST,
        Role::Passing => 0.0,
    };
    let Some(last) = last else { return role };
    let step = own.interval.semitones - last.interval.semitones;
    let leap = LEAP.get(step.unsigned_abs() as usize).copied().unwrap_or(BEYOND);
    let leading = match (beat.is_change, last.role, step.abs()) {
        (true, _, 1) => LEADING[0],
        (_, Role::Passing, _) => f64::INFINITY,
        (true, _, 2) => LEADING[1],
        (true, _, 5 | 7) => LEADING[2],
        (true, ..) => LEADING[3],
        (false, ..) => 0.0,
    };
    let earlier = before.map_or(0.0, |before| {
        let step_before = last.interval.semitones - before.interval.semitones;
        match (step_before, step) {
            // No note three times running.
            (0, 0) => f64::INFINITY,
            (there, back) if there == -back => TO_AND_FRO,
            _ if step_before.abs() > 4 && step.abs() > 4 && step_before * step > 0 => TWO_LEAPS,
            _ => 0.0,
        }
    });
    role + leap + leading + earlier
}
