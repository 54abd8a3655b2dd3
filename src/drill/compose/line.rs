//! A line of eighths over chords, as players of bebop connect them: chord tones on the beat,
//! notes between them off it, and thirds and sevenths led by step from chord to chord.

use super::choice::{chosen, least_alike, repetitions};
use super::ground::{CandidateNote, ChordGround, NoteRole, spelled};
use crate::score::Ticks;
use crate::theory::Interval;

/// Where the line lies, in semitones above the tonic: an octave and a half (ours).
const RANGE: std::ops::RangeInclusive<i32> = -3..=15;

// Costs of a line; the unit is a leap of a fifth. The rules are those of jazz pedagogy (Baker,
// *How to Play Bebop*, 1985, for chord tones on the beat with passing tones off it, from memory;
// guide tones led by step and leaps recovered: common practice, no source); the numbers are ours.
/// A leap by its semitones, from the unison to the octave.
const LEAP: [f64; 13] = [40.0, 0.0, 0.0, 0.3, 0.3, 0.8, 3.0, 1.0, 1.6, 1.8, 3.0, 6.0, 3.0];
/// Wider than an octave.
const BEYOND: f64 = 40.0;
/// A chord begins with its root, third, fifth, seventh.
const FIRST_TONE: [f64; 4] = [0.9, 0.0, 0.6, 0.2];
/// A new chord that is not reached by step.
const NOT_BY_STEP: f64 = 2.0;
/// A passing note.
const PASSING: f64 = 0.4;
/// An altered tone that the symbol names: the line should tell it, so it costs less than nothing.
const TELLS_COLOUR: f64 = -0.3;
/// How many lines are tried for one that tells all its chords, and how many untold chords weigh as much
/// as a figure that comes too often.
const TRIALS_TO_TELL: u64 = 16;
const REPETITION: usize = 100;
/// Notes over a chord from which on a line has the time to tell both.
const TIME_TO_TELL: usize = 4;
/// A leap of a fourth or more that is not recovered by a step or a third the other way.
const UNRECOVERED: f64 = f64::INFINITY;
/// Turning round.
const TURN: f64 = 0.25;
/// The most that chance adds, so that chords differ.
const CHANCE: f64 = 0.8;
/// From how many semitones on a leap has to be recovered: a fourth.
pub(super) const LEAP_TO_RECOVER: i32 = 5;

/// A note of a composed line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct LineNote {
    /// When it is struck.
    pub(crate) at: Ticks,
    /// When it ends.
    pub(crate) end: Ticks,
    /// The chord that it belongs to, by index.
    pub(crate) chord: usize,
    /// Where it lies above the tonic.
    pub(crate) interval: Interval,
    /// Whether it is neither of its chord nor of its scale.
    pub(crate) is_passing: bool,
}

/// A place of the line.
struct LinePlace {
    at: Ticks,
    end: Ticks,
    chord: usize,
    /// Whether it is the first note of its chord.
    is_first: bool,
    candidates: Vec<CandidateNote>,
    /// The altered tones that the symbol names, in semitones above the tonic within an octave.
    colours: Vec<i32>,
    /// What would contradict the chord, told as these are.
    contradictions: Vec<i32>,
}

impl LinePlace {
    fn is_contradicted(&self, note: CandidateNote) -> bool {
        self.contradictions.contains(&note.interval.semitones.rem_euclid(12))
    }
}

/// A line of eighths over chords that follow one another. The last note is held for two beats, if
/// its chord lasts longer than these.
pub(crate) fn line(grounds: &[ChordGround], beat: Ticks, seed: u64) -> Vec<LineNote> {
    let places = places(grounds, beat);
    let alike = |chosen: &[CandidateNote]| {
        let notes = places.iter().zip(chosen).map(|(place, note)| (place.chord, *note));
        repetitions(grounds, notes)
    };
    let bad =
        |chosen: &[CandidateNote]| REPETITION * alike(chosen) + untold(grounds, &places, chosen);
    let composed = |seed: u64| composed(&places, seed);
    let chosen = least_alike(seed, TRIALS_TO_TELL, composed, bad)
        .filter(|chosen| alike(chosen) == 0)
        .or_else(|| least_alike(seed, u64::MAX, composed, alike))
        .expect("the tones of the chords alone are a line");
    let line = places.iter().zip(spelled(&chosen)).zip(&chosen);
    let note = |((place, interval), chosen): ((&LinePlace, Interval), &CandidateNote)| {
        let LinePlace { at, end, chord, .. } = *place;
        LineNote { at, end, chord, interval, is_passing: chosen.role == NoteRole::Passing }
    };
    line.map(note).collect()
}

/// How many chords a line does not tell: by their thirds, or by none of the altered tones that their
/// symbols name.
fn untold(grounds: &[ChordGround], places: &[LinePlace], chosen: &[CandidateNote]) -> usize {
    let notes: Vec<(usize, i32)> = places
        .iter()
        .zip(chosen)
        .map(|(place, note)| (place.chord, note.interval.semitones))
        .collect();
    let chords =
        notes.chunk_by(|one, next| one.0 == next.0).filter(|own| own.len() >= TIME_TO_TELL);
    let untold = |own: &[(usize, i32)]| {
        let ground = &grounds[own[0].0];
        let sounds = |tones: &[Interval]| own.iter().any(|(_, note)| ground.has(tones, *note));
        let lacks_third = ground.third().is_some_and(|third| !sounds(&[third]));
        let lacks_colours = !ground.colours.is_empty() && !sounds(&ground.colours);
        usize::from(lacks_third) + usize::from(lacks_colours)
    };
    chords.map(untold).sum()
}

fn places(grounds: &[ChordGround], beat: Ticks) -> Vec<LinePlace> {
    let mut places = Vec::new();
    let eighth = beat / 2;
    for (chord, ground) in grounds.iter().enumerate() {
        let candidates = ground.candidates(RANGE);
        let is_last = chord + 1 == grounds.len();
        let has_end = is_last && ground.end - ground.start > 2 * beat;
        let moving = if has_end { ground.end - 2 * beat } else { ground.end };
        let class = |tone: Interval| ground.root.plus(tone).semitones.rem_euclid(12);
        let mut at = ground.start;
        while at < ground.end {
            let end = if at < moving { at + eighth } else { ground.end };
            let is_on_beat = (at - ground.start) % beat == 0;
            let is_first = at == ground.start;
            let is_end = is_last && end == ground.end;
            let is_tone_alone = is_on_beat || is_end || places.is_empty();
            let mut candidates = candidates.clone();
            // What moves on to another note stands off the beat.
            candidates.retain(|it| {
                let is_tone = matches!(it.role, NoteRole::Tone(_));
                // What the symbol names is a tone of the chord too, but nothing to end on.
                let is_named = !is_end && ground.has(&ground.colours, it.interval.semitones);
                !is_tone_alone || is_tone || is_named
            });
            places.push(LinePlace {
                at,
                end,
                chord,
                is_first,
                candidates,
                colours: ground.colours.iter().copied().map(class).collect(),
                contradictions: ground.contradictions(),
            });
            at = end;
        }
    }
    places
}

fn composed(places: &[LinePlace], seed: u64) -> Option<Vec<CandidateNote>> {
    let candidates: Vec<&[CandidateNote]> =
        places.iter().map(|it| it.candidates.as_slice()).collect();
    let pair = |place: usize, last: Option<usize>, own: usize| {
        let last = last.map(|index| candidates[place - 1][index]);
        let (earlier, own) = (place.checked_sub(1).map(|it| &places[it]), candidates[place][own]);
        let cost = cost_of(&places[place], place + 1 == places.len(), last, own);
        cost + contradiction(earlier, last, &places[place], own)
    };
    chosen(&candidates, (seed, CHANCE), pair, |_, before, last, own| turn_of(before, last, own))
}

/// What contradicts the third or the seventh of its chord is a short note between two neighbours, of
/// which the second belongs to its chord: it leads there by step and was reached by step.
fn contradiction(
    earlier: Option<&LinePlace>,
    last: Option<CandidateNote>,
    place: &LinePlace,
    own: CandidateNote,
) -> f64 {
    let (Some(earlier), Some(last)) = (earlier, last) else {
        return if place.is_contradicted(own) { f64::INFINITY } else { 0.0 };
    };
    let is_step = (1..=2).contains(&(own.interval.semitones - last.interval.semitones).abs());
    let is_tone = !matches!(own.role, NoteRole::Scale | NoteRole::Passing);
    let is_wrong = place.is_contradicted(own) && !is_step
        || earlier.is_contradicted(last) && !(is_step && is_tone);
    if is_wrong { f64::INFINITY } else { 0.0 }
}

/// What a note costs more after the two before it.
fn turn_of(before: CandidateNote, last: CandidateNote, own: CandidateNote) -> f64 {
    let step_before = last.interval.semitones - before.interval.semitones;
    let step = own.interval.semitones - last.interval.semitones;
    let turns = step_before * step < 0;
    if step_before.abs() >= LEAP_TO_RECOVER && !(turns && step.abs() < LEAP_TO_RECOVER) {
        UNRECOVERED
    } else if turns {
        TURN
    } else {
        0.0
    }
}

/// What a note costs after the one before it.
fn cost_of(
    place: &LinePlace,
    is_end: bool,
    last: Option<CandidateNote>,
    own: CandidateNote,
) -> f64 {
    let role = match own.role {
        NoteRole::Tone(tone) if place.is_first => {
            FIRST_TONE.get(tone).copied().unwrap_or(FIRST_TONE[2])
        }
        NoteRole::Tone(_) | NoteRole::Scale => 0.0,
        NoteRole::Passing => PASSING,
    };
    let class = own.interval.semitones.rem_euclid(12);
    let role = role + if place.colours.contains(&class) { TELLS_COLOUR } else { 0.0 };
    let Some(last) = last else { return role };
    let step = own.interval.semitones - last.interval.semitones;
    let is_passing = |note: CandidateNote| note.role == NoteRole::Passing;
    // A passing note is reached by step and left by a semitone; a note of the scale is left by
    // step or by a third.
    if (is_passing(own) && step.abs() > 2) || (is_passing(last) && step.abs() != 1) {
        return f64::INFINITY;
    }
    if last.role == NoteRole::Scale && step.abs() > 4 {
        return f64::INFINITY;
    }
    let leap = LEAP.get(step.unsigned_abs() as usize).copied().unwrap_or(BEYOND);
    let joins = if place.is_first && step.abs() > 2 { NOT_BY_STEP } else { 0.0 };
    // A leap that nothing comes after is not recovered.
    let stops = if is_end && step.abs() >= LEAP_TO_RECOVER { UNRECOVERED } else { 0.0 };
    role + leap + joins + stops
}
