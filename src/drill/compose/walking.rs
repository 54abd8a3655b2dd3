//! A bass: a note wherever one is asked for, from root to root; four to the bar it walks.

use std::ops::RangeInclusive;

use super::choice::{FigureNote, again, chosen, least_alike, repetitions};
use super::contour::{ContourNote, faults};
use super::ground::{CandidateNote, ChordGround, NoteRole, spelled};
use super::join::{BassJoins, JoinFrom, LEADING, LEAP, NOT_LEADING, spelled_to};
use super::line::LineNote;
use super::path::chance;
use crate::score::{Metre, Ticks};
use crate::theory::Interval;

/// Where the bass of a drill lies, in semitones above the tonic: from its fifth below to its
/// minor sixth (ours: with the tonics of all keys from C2 to B2 it keeps between G1, three ledger
/// lines below its staff, and G3, above which a double bass does not accompany).
pub(crate) const RANGE: RangeInclusive<i32> = -5..=8;

// Costs of a bass; the unit is a leap of a third (ours, after what jazz bass methods ask for: the
// root where the chord changes, chord tones on strong beats, steps, a note that leads into the next
// root, and leaps that are recovered; common practice, no source).
/// Wider than an octave.
const BEYOND: f64 = f64::INFINITY;
/// A chord that changes begins with another tone than its root.
const NOT_THE_ROOT: f64 = 60.0;
/// Another tone than the root, where the chord does not change: the fifth, any other.
const ANOTHER_TONE: [f64; 2] = [0.2, 0.35];
/// The same in a bass that has two notes to the bar, where it leads on, and where it rests: there
/// any other would be heard as the root of the next chord, come too early.
const ANOTHER_LEAD: [f64; 2] = [0.2, 2.5];
const ANOTHER_REST: [f64; 2] = [0.2, 20.0];
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
/// A note that the chord had at the same place when it came before, where the whole figure came again.
const AGAIN: f64 = 1.0;
/// A note by which the line goes too far one way, or from which it does not come back; each time that
/// it is composed anew.
const TOO_FAR: f64 = 2.0;
/// Back to the note before the last, in a line that walks: one that rests goes to and fro between
/// root and fifth.
const TO_AND_FRO: f64 = 2.0;
/// A step within a chord that goes up where chance would have the line go down, or down where up: so
/// that the same chords have other lines when they come again.
const AGAINST_ITS_WAY: f64 = 1.0;
/// Each semitone above where the bass usually lies.
const HIGH: f64 = 0.4;
/// The most that chance adds, so that bars differ.
const CHANCE: f64 = 1.2;
/// What the way of a chord is drawn for, apart from any note.
const WAY: i32 = i32::MIN;
/// The widest leap that need not be recovered: a fifth.
const WIDEST_STEP: i32 = 7;

/// How often a line is composed anew, so that chords that come again have another figure; and, while it
/// goes too far one way or does not come back, so that it turns.
const MOST_ROUNDS: usize = 8;
const MOST_TURNS: usize = 12;
/// How many places may be composed in all when a line is tried again whose figures are too much
/// alike.
const MOST_PLACES: usize = 500;

/// What a bass is like.
#[derive(Clone, Debug)]
pub(crate) struct BassLine {
    /// The notes that it has, in semitones above the tonic.
    pub(crate) range: RangeInclusive<i32>,
    /// Up to where it usually lies.
    pub(crate) usual_top: i32,
    /// What tells it from others over the same chords.
    pub(crate) seed: u64,
    /// Whether it walks: if not, it rests on roots and fifths.
    pub(crate) walks: bool,
    /// Whether a note may be struck twice running.
    pub(crate) repeats: bool,
    /// What it comes from and goes on to.
    pub(crate) joins: BassJoins,
}

/// A place of a bass, where a note is struck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct BassPlace {
    /// When.
    pub(crate) at: Ticks,
    /// When it ends.
    pub(crate) end: Ticks,
    /// What may stand there.
    pub(crate) weight: Weight,
}

/// What may stand at a place of a bass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Weight {
    /// The root, or the bass in its place: a tune begins there.
    Foot,
    /// A tone of the chord.
    Tone,
    /// A tone of the chord, rather than a note of the scale.
    Strong,
    /// Any note that goes with the chord or leads to the next one.
    Weak,
}

impl Weight {
    /// Whether nothing but a tone of the chord may stand there.
    fn is_of_chord(self) -> bool {
        matches!(self, Self::Foot | Self::Tone)
    }
}

/// A place with what is known of its chord.
struct Beat<'a> {
    place: BassPlace,
    chord: usize,
    /// Whether the harmony changes with it.
    is_change: bool,
    /// Whether it is the first beat of every second bar of one harmony, in a line that walks.
    is_home: bool,
    /// Whether it has to be led to: the foot is another, and there was time.
    is_led: bool,
    candidates: &'a [CandidateNote],
    /// What the chord rests on.
    foot: Interval,
    /// Its third and its seventh.
    guides: &'a [Interval],
    /// Its fifth above the tonic, as far as it has one.
    fifth: Option<Interval>,
    /// The fifth that it has not, where its own is altered.
    other_fifth: Option<i32>,
    /// The third that it has not.
    other_third: Option<i32>,
}

/// A bass with a note on every felt beat of chords that follow one another: it walks, from what
/// comes before them to what comes after.
pub(crate) fn walking(
    grounds: &[ChordGround],
    metre: Metre,
    (seed, joins): (u64, BassJoins),
) -> Vec<LineNote> {
    let length = metre.felt_beat();
    let of_chord = |ground: &ChordGround| {
        let start = ground.start;
        (0..(ground.end - start) / length).map(move |index| {
            let at = start + index * length;
            let weight = match (at % metre.bar(), index % 2) {
                (0, _) => Weight::Tone,
                (_, 0) => Weight::Strong,
                _ => Weight::Weak,
            };
            BassPlace { at, end: at + length, weight }
        })
    };
    let places: Vec<BassPlace> = grounds.iter().flat_map(of_chord).collect();
    let usual_top = *RANGE.end();
    let drill = BassLine { range: RANGE, usual_top, seed, walks: true, repeats: true, joins };
    bass(grounds, &places, &drill)
}

/// A bass with notes at places that chords which follow one another hold.
pub(crate) fn bass(
    grounds: &[ChordGround],
    places: &[BassPlace],
    like: &BassLine,
) -> Vec<LineNote> {
    let all: Vec<Vec<CandidateNote>> =
        grounds.iter().map(|ground| ground.candidates(like.range.clone())).collect();
    let guides: Vec<Vec<Interval>> = grounds.iter().map(ChordGround::guides).collect();
    let chords: Vec<usize> = chords_of(grounds, places);
    let is_change = |place: usize| {
        let chord = chords[place];
        let before = place.checked_sub(1).map(|before| &grounds[chords[before]]);
        before.is_none_or(|before| {
            let heard = |it: &ChordGround| (it.foot(), it.root, it.tones.clone());
            heard(before) != heard(&grounds[chord])
        })
    };
    let kept: Vec<Vec<CandidateNote>> = (0..places.len())
        .map(|place| {
            let is_last = place + 1 == places.len();
            let is_end = place == 0 || is_last && like.joins.is_end();
            let is_tone_alone = is_end || is_change(place) || places[place].weight.is_of_chord();
            let leads = match places.get(place + 1) {
                Some(_) => {
                    is_change(place + 1)
                        && is_other_foot(&grounds[chords[place]], &grounds[chords[place + 1]])
                }
                None => like.joins.goes_on_from(grounds[chords[place]].foot()),
            };
            let mut own = all[chords[place]].clone();
            let ground = &grounds[chords[place]];
            let is_weak = places[place].weight == Weight::Weak;
            // What all of it comes to rest on is no matter of cost.
            let is_close = is_last && like.joins.is_end() && places[place].weight == Weight::Foot;
            own.retain(|candidate| match candidate.role {
                NoteRole::Tone(0) => true,
                _ if is_close => false,
                NoteRole::Tone(_) => true,
                _ if ground.is_denied(candidate.interval.semitones, is_weak) => false,
                NoteRole::Scale => !is_tone_alone,
                // Only into a root, right before it.
                NoteRole::Passing => !is_tone_alone && leads,
            });
            own
        })
        .collect();
    let mut bars = 0;
    let mut is_home = |place: usize| {
        bars = match (is_change(place), places[place].weight.is_of_chord()) {
            (true, _) => 0,
            (false, begins) => bars + usize::from(begins),
        };
        like.walks && places[place].weight.is_of_chord() && bars % 2 == 0
    };
    let beats: Vec<Beat<'_>> = (0..places.len())
        .map(|place| Beat {
            place: places[place],
            chord: chords[place],
            is_change: is_change(place),
            is_home: is_home(place),
            is_led: place > 0
                && is_change(place)
                && !is_change(place - 1)
                && !places[place - 1].weight.is_of_chord()
                && is_other_foot(&grounds[chords[place - 1]], &grounds[chords[place]]),
            candidates: &kept[place],
            foot: grounds[chords[place]].foot(),
            guides: &guides[chords[place]],
            fifth: grounds[chords[place]].fifth(),
            other_fifth: grounds[chords[place]].other_fifth(),
            other_third: grounds[chords[place]].other_third(),
        })
        .collect();
    let chosen = varied(grounds, &beats, like);
    let mut intervals = spelled(&chosen);
    if let (Some(last), Some(note)) = (intervals.last_mut(), chosen.last())
        && note.role == NoteRole::Passing
        && let Some(spelled) = spelled_to(&like.joins, last.semitones)
    {
        *last = spelled;
    }
    let line = beats.iter().zip(intervals).zip(&chosen);
    let note = |((beat, interval), chosen): ((&Beat<'_>, Interval), &CandidateNote)| {
        let BassPlace { at, end, .. } = beat.place;
        let is_passing = chosen.role == NoteRole::Passing;
        LineNote { at, end, chord: beat.chord, interval, is_passing }
    };
    line.map(note).collect()
}

/// The line that costs least, and where a chord that comes again has the figure that it had before,
/// one that costs little more and has another there.
fn varied(grounds: &[ChordGround], beats: &[Beat<'_>], like: &BassLine) -> Vec<CandidateNote> {
    let candidates: Vec<&[CandidateNote]> = beats.iter().map(|it| it.candidates).collect();
    // A long line has time to come back to a figure.
    let trials = (MOST_PLACES / beats.len().max(1)).max(1) as u64;
    let alike = |chosen: &[CandidateNote]| {
        repetitions(grounds, beats.iter().zip(chosen).map(|(beat, note)| (beat.chord, *note)))
    };
    let joined = joined(beats, like);
    // What is added to each candidate of each place, because its chord had it there before.
    let mut had: Vec<Vec<f64>> = beats.iter().map(|it| vec![0.0; it.candidates.len()]).collect();
    let mut best: Option<((usize, usize), Vec<CandidateNote>)> = None;
    for round in 0..MOST_TURNS {
        let pair = |place: usize, last: Option<usize>, own: usize| {
            let row = last.unwrap_or(0) * beats[place].candidates.len();
            joined[place][row + own] + had[place][own]
        };
        let turn = |_: usize, before, last, own| turn_of(like, [before, last], own);
        let make = |seed: u64| chosen(&candidates, (seed, CHANCE), pair, turn);
        // A line that is composed anew differs by what it had.
        let trials = if round == 0 { trials } else { 1 };
        let chosen = least_alike(like.seed, trials, make, alike);
        let chosen = chosen.expect("tones alone are a bass");
        let again = again(grounds, &figure_notes(beats, like, &chosen));
        let faults = if like.walks { faults_of(beats, &chosen) } else { Vec::new() };
        for place in again.iter().flat_map(|own| own.start + 1..own.end) {
            let class = chosen[place].interval.semitones.rem_euclid(12);
            for (own, had) in beats[place].candidates.iter().zip(&mut had[place]) {
                if own.interval.semitones.rem_euclid(12) == class {
                    *had += AGAIN;
                }
            }
        }
        for place in &faults {
            let same = |it: &CandidateNote| it.interval == chosen[*place].interval;
            if let Some(own) = beats[*place].candidates.iter().position(same) {
                had[*place][own] += TOO_FAR;
            }
        }
        let is_well = faults.is_empty();
        let is_done = is_well && (again.is_empty() || round + 1 >= MOST_ROUNDS);
        let bad = (faults.len(), again.len() + alike(&chosen));
        if best.as_ref().is_none_or(|(least, _)| bad < *least) {
            best = Some((bad, chosen));
        }
        if is_done {
            break;
        }
    }
    best.map(|(_, chosen)| chosen).unwrap_or_default()
}

/// The notes of a line as parts of figures; over a chord that stays each bar of a line that walks is
/// a figure of its own.
fn figure_notes(beats: &[Beat<'_>], like: &BassLine, line: &[CandidateNote]) -> Vec<FigureNote> {
    let note = |(beat, note): (&Beat<'_>, &CandidateNote)| FigureNote {
        chord: beat.chord,
        begins: like.walks && beat.place.weight.is_of_chord(),
        stays: !beat.is_change,
        class: note.interval.semitones.rem_euclid(12),
    };
    beats.iter().zip(line).map(note).collect()
}

/// The places of a line whose contour wants other notes.
fn faults_of(beats: &[Beat<'_>], line: &[CandidateNote]) -> Vec<usize> {
    let note = |(beat, note): (&Beat<'_>, &CandidateNote)| ContourNote {
        chord: beat.chord,
        foot: beat.foot.semitones,
        at: note.interval.semitones,
    };
    faults(&beats.iter().zip(line).map(note).collect::<Vec<_>>())
}

/// What each candidate of each place costs after each of the place before it, by that one and it.
fn joined(beats: &[Beat<'_>], like: &BassLine) -> Vec<Vec<f64>> {
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

fn is_other_foot(one: &ChordGround, other: &ChordGround) -> bool {
    (one.foot().semitones - other.foot().semitones).rem_euclid(12) != 0
}

/// The chord of each place, by index.
fn chords_of(grounds: &[ChordGround], places: &[BassPlace]) -> Vec<usize> {
    let of = |place: &BassPlace| grounds.partition_point(|ground| ground.end <= place.at);
    places.iter().map(|place| of(place).min(grounds.len() - 1)).collect()
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
fn turn_of(like: &BassLine, [before, last]: [CandidateNote; 2], own: CandidateNote) -> f64 {
    let step_before = last.interval.semitones - before.interval.semitones;
    let step = own.interval.semitones - last.interval.semitones;
    match (step_before, step) {
        // No note three times running.
        (0, 0) => f64::INFINITY,
        _ if is_leap(step_before) && step_before * step >= 0 => UNRECOVERED,
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
    let Some(last) = last else { return role };
    let step = own.interval.semitones - last.interval.semitones;
    let leap = match LEAP.get(step.unsigned_abs() as usize) {
        _ if step == 0 && !like.repeats => f64::INFINITY,
        Some(leap) => *leap,
        None => BEYOND,
    };
    let is_beside = [own, last].iter().any(|note| note.role == NoteRole::Scale);
    let leap = match step.abs() {
        wide @ 3.. if is_beside => leap + LEAP_BESIDE[usize::from(wide > 4)],
        _ => leap,
    };
    let earlier_beat = &beats[place - 1];
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
    // By step it leads somewhere; leapt to, it is a tone of another chord.
    let is_other_fifth = step.abs() > 2
        && !matches!(own.role, NoteRole::Tone(_))
        && beat.other_fifth.is_some_and(|it| (own.interval.semitones - it).rem_euclid(12) == 0);
    if is_other_fifth {
        return f64::INFINITY;
    }
    let is_against = if rises { step < 0 } else { step > 0 };
    let way = if like.walks && is_within && is_against { AGAINST_ITS_WAY } else { 0.0 };
    // What all of it comes to rest on may lie an octave from the same root.
    let is_octave = is_close && step.abs() == 12;
    let stops = if is_last && is_leap(step) && !is_octave { UNRECOVERED } else { 0.0 };
    role + leap + leading + way + stops
}
