//! A bass: a note wherever one is asked for, from root to root; four to the bar it walks.

use std::ops::RangeInclusive;

use super::bass_cost::{Beat, joined, turn_of};
use super::bass_place::{BassLine, BassPlace, Weight};
use super::choice::{FigureNote, again, beside, chosen, least_alike, repetitions};
use super::contour::{ContourNote, faults};
use super::ground::{CandidateNote, ChordGround, NoteRole, spelled};
use super::join::{BassClose, BassJoins, spelled_to};
use super::line::LineNote;
use super::standing::BassStanding;
use crate::score::Metre;
use crate::theory::Interval;

/// Where the bass of a drill lies, in semitones above the tonic: from its fifth below to its
/// minor sixth (ours: with the tonics of all keys from C2 to B2 it keeps between G1, three ledger
/// lines below its staff, and G3, above which a double bass does not accompany).
pub(crate) const RANGE: RangeInclusive<i32> = -5..=8;

// Costs in the unit of `bass_cost`.
/// A note that the chord had at the same place when it came before, where the whole figure came again; over
/// a chord that stays what the bars had that it is not to be like.
const AGAIN: f64 = 1.0;
/// A note by which the line goes too far one way, or from which it does not come back; each time that
/// it is composed anew.
const TOO_FAR: f64 = 2.0;
/// The most that chance adds, so that bars differ.
const CHANCE: f64 = 1.2;

/// How often a line is composed anew, so that chords that come again have another figure; while it goes
/// too far one way or does not come back, so that it turns; and while a bar over a chord that stays is one of
/// those before it, which are many to differ from.
const MOST_ROUNDS: usize = 8;
const MOST_TURNS: usize = 12;
const MOST_STAYS: usize = 24;
/// A note that the contour wants otherwise, in figures that come again.
const FAULT: usize = 2;
/// How many places may be composed in all when a line is tried again whose figures are too much
/// alike.
const MOST_PLACES: usize = 500;

/// A bass with a note on every felt beat of chords that follow one another: it walks, from what
/// comes before them to what comes after.
pub(crate) fn walking(
    grounds: &[ChordGround],
    metre: Metre,
    (seed, joins): (u64, BassJoins),
) -> Vec<LineNote> {
    let length = metre.felt_beat();
    let of_chord = |ground: &ChordGround| {
        let (start, has_bass) = (ground.start, ground.bass.is_some());
        (0..(ground.end - start) / length).map(move |index| {
            let at = start + index * length;
            let weight = match (at % metre.bar(), index % 2) {
                // What stands in place of a root stays.
                (0, _) if has_bass => Weight::Foot,
                (0, _) => Weight::Tone,
                (_, 0) => Weight::Strong,
                _ => Weight::Weak,
            };
            BassPlace { at, end: at + length, is_one: at % metre.bar() == 0, weight }
        })
    };
    let mut places: Vec<BassPlace> = grounds.iter().flat_map(of_chord).collect();
    if let Some(last) = grounds.last() {
        close(&mut places, last, (metre, joins.close));
    }
    let usual_top = *RANGE.end();
    let drill = BassLine { range: RANGE, usual_top, seed, walks: true, repeats: true, joins };
    bass(grounds, &places, &drill)
}

/// Lets a line come to its last root on one of its last bar, or where its last chord begins, and rest
/// there where nothing follows.
fn close(places: &mut Vec<BassPlace>, last: &ChordGround, (metre, close): (Metre, BassClose)) {
    let bar = (last.end - 1).div_euclid(metre.bar()) * metre.bar();
    let from = bar.max(last.start);
    if close == BassClose::Held {
        places.retain(|place| place.at <= from);
    }
    for place in places.iter_mut().filter(|place| place.at == from && close != BassClose::Open) {
        place.weight = Weight::Foot;
        if close == BassClose::Held {
            place.end = last.end;
        }
    }
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
            let ground = &grounds[chords[place]];
            let next = next_feet(grounds, chords[place], like);
            let is_last_of_chord = chords.get(place + 1) != Some(&chords[place]);
            let leads = |semitones: i32| {
                let is_near = |foot: &i32| matches!((semitones - foot).rem_euclid(12), 1 | 11);
                is_last_of_chord && next.iter().any(is_near)
            };
            let is_waiting = !is_last_of_chord && is_in_last_bar(places, &chords, place);
            // The next root before its time: on a strong beat, or against the chord.
            let is_early = |candidate: &CandidateNote| {
                let is_weak_tone = places[place].weight == Weight::Weak
                    && matches!(candidate.role, NoteRole::Tone(_));
                like.walks
                    && is_waiting
                    && !is_weak_tone
                    && next.contains(&candidate.interval.semitones.rem_euclid(12))
            };
            let mut own = all[chords[place]].clone();
            let stays = BassStanding { grounds, places, chords: &chords, next: &next, place };
            let is_weak = places[place].weight == Weight::Weak;
            // What all of it comes to rest on is no matter of cost.
            let is_close = is_last && like.joins.is_end() && places[place].weight == Weight::Foot;
            // Where another root comes, it is that which is struck.
            let is_arrival = place > 0
                && chords[place - 1] != chords[place]
                && is_other_foot(&grounds[chords[place - 1]], ground);
            own.retain(|candidate| match candidate.role {
                NoteRole::Tone(0) => true,
                _ if is_close || is_arrival || is_early(candidate) => false,
                _ if stays.is_denied(candidate) => false,
                NoteRole::Tone(_) => true,
                _ if ground.is_denied(candidate.interval.semitones, is_weak) => false,
                NoteRole::Scale => !is_tone_alone,
                // Only into a root, right before it.
                NoteRole::Passing => !is_tone_alone && leads(candidate.interval.semitones),
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
            falls: place > 0 && grounds[chords[place - 1]].falls_to(&grounds[chords[place]]),
            ground: &grounds[chords[place]],
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
    let mut best: Option<(usize, Vec<CandidateNote>)> = None;
    for round in 0..MOST_STAYS {
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
        let figures = figure_notes(beats, like, &chosen);
        let mut again = again(grounds, &figures);
        if like.walks {
            again.extend(beside(grounds, &figures));
        }
        let faults = if like.walks { faults_of(beats, &chosen) } else { Vec::new() };
        for (index, place, others) in again.iter().flat_map(|found| {
            let places = found.places.clone().enumerate();
            places.map(move |(index, place)| (index, place, &found.others))
        }) {
            for (own, had) in beats[place].candidates.iter().zip(&mut had[place]) {
                let class = own.interval.semitones.rem_euclid(12);
                if others.iter().any(|other| other.get(index) == Some(&class)) {
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
        // From its third bar on a chord that stays has bars on both sides to differ from.
        let is_later = |at: usize| figures[at].stays;
        let is_stale = again.iter().any(|found| {
            let (start, length) = (found.places.start, found.places.len());
            is_later(start) && start.checked_sub(length).is_some_and(is_later)
        });
        let most = match (is_stale, is_well) {
            (true, _) => MOST_STAYS,
            (false, false) => MOST_TURNS,
            (false, true) => MOST_ROUNDS,
        };
        let is_done = is_well && again.is_empty() || round + 1 >= most;
        let bad = FAULT * faults.len() + again.len() + alike(&chosen);
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

fn is_other_foot(one: &ChordGround, other: &ChordGround) -> bool {
    (one.foot().semitones - other.foot().semitones).rem_euclid(12) != 0
}

/// What the chords after one rest on, within an octave, where that is something else.
fn next_feet(grounds: &[ChordGround], chord: usize, like: &BassLine) -> Vec<i32> {
    let class = |foot: Interval| foot.semitones.rem_euclid(12);
    let own = class(grounds[chord].foot());
    let mut next: Vec<i32> = match grounds.get(chord + 1) {
        Some(next) => vec![class(next.foot())],
        None => like.joins.classes_after().collect(),
    };
    next.retain(|it| *it != own);
    next
}

/// Whether a place lies after the last note on one of its chord, and is not its first.
fn is_in_last_bar(places: &[BassPlace], chords: &[usize], place: usize) -> bool {
    let begins = |it: usize| places[it].weight.is_of_chord();
    let rest = (place..places.len()).take_while(|it| chords[*it] == chords[place]);
    let is_first = place == 0 || chords[place - 1] != chords[place];
    !is_first && !rest.into_iter().any(begins)
}

/// The chord of each place, by index.
fn chords_of(grounds: &[ChordGround], places: &[BassPlace]) -> Vec<usize> {
    let of = |place: &BassPlace| grounds.partition_point(|ground| ground.end <= place.at);
    places.iter().map(|place| of(place).min(grounds.len() - 1)).collect()
}
