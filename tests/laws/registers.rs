//! Laws of registers: where a bass of the left hand lies, how far apart the hands are, and what keys that
//! sound together are called.

use quintfall::drill::{MOST_LEDGER_LINES, Template};
use quintfall::recipe::FingeringMarks;
use quintfall::score::{Clef, Event, Hand, Score, Ticks};
use quintfall::theory::{Key, Pitch};

use crate::{drills, realised};

/// The range of a bass as MIDI numbers, G1 to G3: a double bass has E1 to G3 where it accompanies, and
/// below G1 a note would need more ledger lines than a student reads.
const BASS: [i32; 2] = [31, 55];
/// Semitones from the lowest key of a drill to the highest.
const KEYS: i32 = 11;

/// Progressions to walk through: a blues, a cadence in minor, roots all round, and a chord on each
/// semitone.
const CHORDS: [(&str, &str); 5] = [
    ("major", "I7 IV7 I7 I7 IV7 #IVo7 I7 VI7 ii7 V7 I7 V7"),
    ("harmonic-minor", "im6 iiø7 V7b9 im6 ivm7 bVII7 bIIImaj7 V7b9"),
    ("major", "Imaj7 IVmaj7 viiø7 iii7 vi7 ii7 V7 Imaj7"),
    ("major", "Imaj7 bII7 ii7 bIII7 iii7 IVmaj7 #IVo7 V7"),
    ("major", "V7 bVI7 vi7 bVII7 VII7 Imaj7 Imaj7 Imaj7"),
];

/// The lowest and the highest note of a hand, as MIDI numbers.
fn outer(score: &Score, hand: Hand) -> [i32; 2] {
    let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
    let keys = || events.clone().flat_map(|event| &event.notes).map(|note| note.pitch.midi());
    let all: Vec<i32> = keys().collect();
    [all.iter().min(), all.iter().max()].map(|key| *key.expect("the hand plays"))
}

/// Drills whose left hand has a bass and nothing else.
fn with_bass() -> Vec<Template> {
    let own = CHORDS.iter().flat_map(|(mode, chords)| {
        let degrees: Vec<&str> = chords.split(' ').collect();
        let lines = [("walking", "4/4", 4), ("two-feel", "4/4", 4), ("walking", "3/4", 3)];
        lines.map(move |(left, metre, beats)| {
            let text = format!(
                "name = \"own\"\ntitle = \"Own\"\nmetre = \"{metre}\"\nmode = \"{mode}\"\n[[passage]]\n\
                 degrees = {degrees:?}\nbeats = {beats}\nleft = \"{left}\"\nfigure = \"chord:half rest\"\n\
                 note = \"{rest}\"\nvoicing = \"3+7\"\n",
                rest = if beats == 4 { "half" } else { "quarter" },
            );
            Template::parse(&text, "own").unwrap_or_else(|error| panic!("{error:?}\n{text}"))
        })
    });
    let library = drills().into_iter();
    let library = library.filter(|it| ["walking-bass", "two-feel"].contains(&it.name.as_str()));
    own.chain(library).collect()
}

#[test]
fn a_bass_lies_between_g1_and_g3_in_every_key() {
    let mut scores = 0;
    for template in with_bass() {
        for key in Key::all(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            let [low, high] = outer(&score, Hand::Left);
            let degrees = &template.passages[0].degrees;
            let name = format!("{} of {} chords in {key}", template.name, degrees.len());
            assert!(BASS[0] <= low && high <= BASS[1], "{name}: {low} to {high}");
            scores += 1;
        }
    }
    assert!(scores > 12 * 17, "{scores}");
}

/// Roots and fifths that a teacher wrote under chords of the right hand lie no higher than their own
/// width asks for, with all keys within an octave and no more ledger lines than a student reads.
#[test]
fn roots_under_the_right_hand_lie_low() {
    let mut count = 0;
    for template in drills() {
        let is_swapped = |template: &Template| template.passages.iter().all(|it| it.is_swapped);
        if !is_swapped(&template) || template.name == "left-hand" {
            continue;
        }
        let keys = Key::all(template.mode);
        let scores: Vec<Score> =
            keys.map(|key| realised(&template, key, FingeringMarks::None)).collect();
        let all: Vec<[i32; 2]> = scores.iter().map(|score| outer(score, Hand::Left)).collect();
        let width = all.iter().map(|[low, high]| high - low).max().unwrap_or(0);
        let highest = all.iter().map(|[_, high]| *high).max().unwrap_or(0);
        let bound = BASS[1].max(BASS[0] + width + KEYS);
        assert!(highest <= bound, "{}: {highest}, {bound} would do", template.name);
        let lowest = scores.iter().flat_map(|score| score.bars.iter());
        let notes = lowest.flat_map(|bar| &bar.staves.left.events).flat_map(|event| &event.notes);
        let lines = notes.map(|note| Clef::Bass.ledger_lines(note.pitch)).max();
        assert!(lines <= Some(MOST_LEDGER_LINES), "{}: {lines:?}", template.name);
        count += 1;
    }
    assert!(count >= 2, "{count}");
}

/// The hands of a drill keep one distance in all its keys: what is heard below a chord in one key is heard
/// there in every other.
#[test]
fn hands_keep_one_distance_in_all_keys() {
    for template in drills().into_iter().chain(with_bass()) {
        let mut all: Vec<(i32, String)> = Vec::new();
        for key in Key::all(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            let [left, right] = [Hand::Left, Hand::Right].map(|hand| outer(&score, hand));
            all.push((right[0] - left[0], key.to_string()));
        }
        let (first, _) = all[0];
        assert!(all.iter().all(|(own, _)| *own == first), "{}: {all:?}", template.name);
    }
}

/// Ledger lines above its staff that a right hand reads without looking high.
const USUAL_ABOVE: i32 = 2;

/// Some of the keys within an octave are high: a right hand needs more ledger lines above its staff than
/// are usual, but for no more than one note or chord a key, taken over all twelve.
#[test]
fn a_right_hand_is_seldom_high() {
    for template in drills() {
        let high_in = |score: &Score| {
            let mut clef = score.opening_clefs.right;
            let events = score.bars.iter().flat_map(|bar| &bar.staves.right.events);
            let high = events.filter(|event| {
                clef = event.clef_change.unwrap_or(clef);
                let mut pitches = event.notes.iter().map(|note| note.pitch);
                pitches.any(|pitch| {
                    let is_above = pitch.staff_step() > clef.middle_line();
                    is_above && clef.ledger_lines(pitch) > USUAL_ABOVE
                })
            });
            high.count()
        };
        let keys = Key::ring(template.mode);
        let scores = keys.into_iter().map(|key| realised(&template, key, FingeringMarks::None));
        let high: usize = scores.map(|score| high_in(&score)).sum();
        assert!(high <= 12, "{}: {high} high notes or chords", template.name);
    }
}

/// A key that sounds has one name at a time, whichever hands play it and its octaves.
#[test]
fn what_sounds_together_has_one_name_for_a_key() {
    let mut pairs = 0;
    for template in drills() {
        for key in Key::all(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            for bar in &score.bars {
                let notes = |event: &Event| -> Vec<(Ticks, Ticks, Pitch)> {
                    event.notes.iter().map(|note| (event.at, event.end(), note.pitch)).collect()
                };
                let all: Vec<(Ticks, Ticks, Pitch)> =
                    bar.staves.iter().flat_map(|staff| &staff.events).flat_map(notes).collect();
                for (place, (at, end, one)) in all.iter().enumerate() {
                    for (from, to, other) in &all[place + 1..] {
                        let is_together = from < end && at < to;
                        if is_together && (one.midi() - other.midi()).rem_euclid(12) == 0 {
                            let name = format!("{} in {key} at {from}", template.name);
                            assert_eq!(one.name, other.name, "{name}");
                            pairs += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(pairs > 1000, "{pairs}");
}
