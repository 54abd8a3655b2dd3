//! What the notes of a bass cost, each after those before it.

use super::bass_place::{BassLine, BassPlace, Weight};
use super::ground::{CandidateNote, ChordGround, NoteRole};
use super::join::{JoinFrom, LEADING, LEAP, NOT_LEADING};
use super::path::chance;
use crate::theory::Interval;

// Costs of a bass; the unit is a leap of a third (ours, after what jazz bass methods ask for: the
// root where the chord changes, chord tones on strong beats, steps, a note that leads into the next
// root, and leaps that are recovered; common practice, no source).
/// A minor seventh, in a line that walks, and a major one in any: what is a step, broken by an octave.
const SEVENTH: f64 = 10.0;
const MAJOR_SEVENTH: f64 = 500.0;
/// An octave within a chord, in a bass that has two notes to the bar: it has a fifth to go to.
const OCTAVE_WITHIN: f64 = 3.0;
/// A last note above the lowest octave.
const HIGH_END: f64 = 40.0;
/// Wider than an octave.
const BEYOND: f64 = f64::INFINITY;
/// A chord that changes begins with another tone than its root.
const NOT_THE_ROOT: f64 = 60.0;
/// Another tone than the root, where the chord does not change: the fifth, any other.
const ANOTHER_TONE: [f64; 2] = [0.2, 0.35];
/// The same in a bass that has two notes to the bar, where it leads on, and where it rests: there
/// any other would be heard as the root of the next chord, come too early.
const ANOTHER_LEAD: [f64; 2] = [0.2, 2.5];
const ANOTHER_REST: [f64; 2] = [0.2, 100.0];
/// A leap to a note that is not of the chord, or from it: of a third, of more.
const LEAP_BESIDE: [f64; 2] = [1.5, 3.75];
/// A note of the scale on a strong beat, on a weak one.
const SCALE_NOTE: [f64; 2] = [2.5, 0.6];
/// A leap of more than a fifth that does not turn back after it.
const UNRECOVERED: f64 = 1000.0;
/// Two leaps of more than a third in one direction.
const TWO_LEAPS: f64 = 5.0;
/// The last note of all is not the root.
const OPEN_END: f64 = 6.0;
/// A note beside the chord, a semitone from its third or seventh, which another hand may hold.
const AGAINST: f64 = 1.5;
/// Back to the note before the last, in a line that walks: one that rests goes to and fro between
/// root and fifth.
const TO_AND_FRO: f64 = 2.0;
/// A step within a chord that goes up where chance would have the line go down, or down where up: so
/// that the same chords have other lines when they come again.
const AGAINST_ITS_WAY: f64 = 1.0;
/// Each semitone above where the bass usually lies.
const HIGH: f64 = 0.4;
/// What the way of a chord is drawn for, apart from any note.
const WAY: i32 = i32::MIN;
/// Semitones of an octave.
const OCTAVE: i32 = 12;
/// The widest leap that need not be recovered: a fifth.
const WIDEST_STEP: i32 = 7;

/// A place with what is known of its chord.
pub(super) struct Beat<'a> {
    pub(super) place: BassPlace,
    pub(super) chord: usize,
    /// Whether the harmony changes with it.
    pub(super) is_change: bool,
    /// Whether it is the first beat of every second bar of one harmony, in a line that walks.
    pub(super) is_home: bool,
    /// Whether it has to be led to: the foot is another, and there was time.
    pub(super) is_led: bool,
    pub(super) candidates: &'a [CandidateNote],
    /// What the chord rests on.
    pub(super) foot: Interval,
    /// Its third and its seventh.
    pub(super) guides: &'a [Interval],
    /// Its fifth above the tonic, as far as it has one.
    pub(super) fifth: Option<Interval>,
    /// Whether what it rests on is a semitone below what the chord before it does.
    pub(super) falls: bool,
    pub(super) ground: &'a ChordGround,
    /// The third that it has not.
    pub(super) other_third: Option<i32>,
}

/// What each candidate of each place costs after each of the place before it, by that one and it.
pub(super) fn joined(beats: &[Beat<'_>], like: &BassLine) -> Vec<Vec<f64>> {
    let of = |place: usize| -> Vec<f64> {
        let rises = chance(like.seed, beats[place].chord, WAY) < 0.5;
        let earlier = place.checked_sub(1).map(|place| beats[place].candidates);
        let lasts: Vec<Option<CandidateNote>> = match earlier {
            Some(all) => all.iter().copied().map(Some).collect(),
            None => vec![None],
        };
        let own = beats[place].candidates;
        let after = |last: Option<CandidateNote>| {
            own.iter().map(move |own| cost_of(beats, (like, rises), place, last, *own))
        };
        lasts.into_iter().flat_map(after).collect()
    };
    let mut all: Vec<Vec<f64>> = (0..beats.len()).map(of).collect();
    if let (Some(first), Some(costs)) = (beats.first(), all.first_mut()) {
        for (own, cost) in first.candidates.iter().zip(costs) {
            *cost += like.joins.costs_to_begin(own.interval);
        }
    }
    if let (Some(last), Some(costs)) = (beats.last(), all.last_mut()) {
        // A chord of one beat has no time to lead on.
        let has_time = !last.is_change;
        for (own, cost) in last.candidates.iter().cycle().zip(costs) {
            let from = JoinFrom { note: *own, foot: last.foot, walks: like.walks, has_time };
            *cost += like.joins.costs_to_go_on(&like.range, &from);
        }
    }
    all
}

impl Beat<'_> {
    /// Whether a note is the fifth of the chord.
    fn is_fifth(&self, note: Interval) -> bool {
        self.fifth.is_some_and(|it| (note.semitones - it.semitones).rem_euclid(12) == 0)
    }

    /// Whether a note lies a semitone from the third or the seventh of the chord.
    fn is_against(&self, note: Interval) -> bool {
        self.guides.iter().any(|guide| {
            let apart = (note.semitones - guide.semitones).rem_euclid(12);
            apart == 1 || apart == 11
        })
    }
}

/// What a note costs more after the two before it.
pub(super) fn turn_of(
    like: &BassLine,
    [before, last]: [CandidateNote; 2],
    own: CandidateNote,
) -> f64 {
    let step_before = last.interval.semitones - before.interval.semitones;
    let step = own.interval.semitones - last.interval.semitones;
    match (step_before, step) {
        // No note three times running.
        (0, 0) => f64::INFINITY,
        _ if is_leap(step_before) && step_before * step >= 0 => UNRECOVERED,
        // An octave there and back.
        (-12 | 12, -12 | 12) if like.walks => UNRECOVERED,
        (there, back) if like.walks && there == -back => TO_AND_FRO,
        _ if step_before.abs() > 4 && step.abs() > 4 && step_before * step > 0 => TWO_LEAPS,
        _ => 0.0,
    }
}

fn is_leap(step: i32) -> bool {
    step.abs() > WIDEST_STEP
}

/// What a note costs after the one before it.
fn cost_of(
    beats: &[Beat<'_>],
    (like, rises): (&BassLine, bool),
    place: usize,
    last: Option<CandidateNote>,
    own: CandidateNote,
) -> f64 {
    let beat = &beats[place];
    let is_last = place + 1 == beats.len() && like.joins.is_end();
    let is_close = is_last && beat.place.weight == Weight::Foot;
    let had_root = place > 0 && beats[place - 1].is_change && beats[place - 1].chord == beat.chord;
    let is_first = beat.is_change || beat.is_home || beat.place.weight == Weight::Foot;
    let role = match own.role {
        NoteRole::Tone(0) => 0.0,
        // A last chord of two notes has had its root.
        NoteRole::Tone(_) if is_last && !had_root => OPEN_END,
        NoteRole::Tone(_) if is_first => NOT_THE_ROOT,
        NoteRole::Tone(_) => {
            let costs = match (like.walks, beat.place.weight.is_of_chord()) {
                (true, _) => ANOTHER_TONE,
                (false, false) => ANOTHER_LEAD,
                (false, true) => ANOTHER_REST,
            };
            costs[usize::from(!beat.is_fifth(own.interval))]
        }
        NoteRole::Scale => SCALE_NOTE[usize::from(beat.place.weight == Weight::Weak)],
        NoteRole::Passing if beat.is_against(own.interval) => AGAINST,
        NoteRole::Passing => 0.0,
    };
    let role = role + HIGH * f64::from((own.interval.semitones - like.usual_top).max(0));
    let is_high = own.interval.semitones > like.range.start() + OCTAVE;
    let role = if is_close && is_high { role + HIGH_END } else { role };
    let Some(last) = last else { return role };
    let step = own.interval.semitones - last.interval.semitones;
    let earlier_beat = &beats[place - 1];
    let leap = match LEAP.get(step.unsigned_abs() as usize) {
        _ if step == 0 && !like.repeats => f64::INFINITY,
        Some(leap) => *leap,
        None => BEYOND,
    };
    let leap = match step.abs() {
        10 if like.walks => leap + SEVENTH,
        11 => leap + MAJOR_SEVENTH,
        12 if !like.walks && earlier_beat.chord == beat.chord && !is_close => leap + OCTAVE_WITHIN,
        _ => leap,
    };
    let is_beside = [own, last].iter().any(|note| note.role == NoteRole::Scale);
    let leap = match step.abs() {
        wide @ 3.. if is_beside => leap + LEAP_BESIDE[usize::from(wide > 4)],
        _ => leap,
    };
    let rests = !like.walks && earlier_beat.place.weight.is_of_chord();
    // A step from letter to letter: a third that happens to be as wide leads nowhere.
    let is_step = (own.interval.steps - last.interval.steps).abs() == 1;
    let leading = match (beat.is_change, last.role, step) {
        (true, _, -1 | 1) => LEADING[0],
        (_, NoteRole::Passing, _) => f64::INFINITY,
        // What a bass rests on need not lead.
        _ if rests => 0.0,
        (true, _, -2 | 2) if is_step => LEADING[1],
        // Up a fourth or down a fifth; from the fourth of a root nothing falls into it.
        (true, _, 5 | -7) => LEADING[2],
        // A bass that falls by a semitone leads by itself.
        (true, NoteRole::Tone(_), 3 | 4 | -3 | -4) if beat.falls => LEADING[2],
        (true, ..) => NOT_LEADING[usize::from(beat.is_led)],
        (false, ..) => 0.0,
    };
    let is_within = earlier_beat.chord == beat.chord;
    let is_other_third = is_within
        && last.role == NoteRole::Tone(0)
        && beat.other_third.is_some_and(|it| (own.interval.semitones - it).rem_euclid(12) == 0)
        && !matches!(own.role, NoteRole::Tone(_));
    // It would make of the chord another one.
    if is_other_third {
        return f64::INFINITY;
    }
    // Right after the root it would be the seventh of another chord.
    let is_other_seventh = is_within
        && last.role == NoteRole::Tone(0)
        && beat.ground.is_other_seventh(own.interval.semitones);
    if is_other_seventh {
        return f64::INFINITY;
    }
    // By step it leads somewhere; leapt to, it is a tone of another chord.
    let is_other_fifth = step.abs() > 2
        && !matches!(own.role, NoteRole::Tone(_))
        && beat
            .ground
            .other_fifth()
            .is_some_and(|it| (own.interval.semitones - it).rem_euclid(12) == 0);
    if is_other_fifth {
        return f64::INFINITY;
    }
    let leads_on = beats.get(place + 1).is_none_or(|next| next.chord != beat.chord);
    let leaves = is_within
        && step.abs() > 2
        && own.role == NoteRole::Scale
        && !leads_on
        && beat.ground.is_diminished();
    if leaves {
        return f64::INFINITY;
    }
    let is_against = if rises { step < 0 } else { step > 0 };
    let way = if like.walks && is_within && is_against { AGAINST_ITS_WAY } else { 0.0 };
    // What all of it comes to rest on may lie an octave from the same root.
    let is_octave = is_close && step.abs() == 12;
    let stops = if is_last && is_leap(step) && !is_octave { UNRECOVERED } else { 0.0 };
    role + leap + leading + way + stops
}
