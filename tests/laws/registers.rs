//! Laws of registers: where a bass of the left hand lies, how far apart the hands are, and what keys that
//! sound together are called.

use quintfall::drill::{MOST_LEDGER_LINES, Template};
use quintfall::recipe::FingeringMarks;
use quintfall::score::{Clef, Event, Hand, QUARTER, Score, Ticks};
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

/// Whether the left hand has single notes while the right one holds chords, and they are no bass.
fn has_line_below(template: &Template) -> bool {
    let score = realised(template, Key::ring(template.mode)[0], FingeringMarks::None);
    let events = score.bars.iter().flat_map(|bar| &bar.staves.left.events);
    let sounding: Vec<&Event> = events.filter(|event| !event.notes.is_empty()).collect();
    let single = sounding.iter().filter(|event| event.notes.len() == 1).count();
    let short = sounding.iter().filter(|event| event.end() - event.at < QUARTER).count();
    let is_swapped = template.passages.iter().all(|it| it.is_swapped);
    is_swapped && single + 1 >= sounding.len() && 2 * short > sounding.len()
}

/// The hands of a drill keep one distance in all its keys: what is heard below a chord in one key is heard
/// there in every other. A line of the left hand is not heard as the lower part of a chord: over it the
/// right hand may be an octave further away in some keys.
#[test]
fn hands_keep_one_distance_in_all_keys() {
    for template in drills().into_iter().chain(with_bass()) {
        let farther = if has_line_below(&template) { 12 } else { 0 };
        let mut all: Vec<(i32, String)> = Vec::new();
        for key in Key::all(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            let [left, right] = [Hand::Left, Hand::Right].map(|hand| outer(&score, hand));
            all.push((right[0] - left[0], key.to_string()));
        }
        let nearest = all.iter().map(|(own, _)| *own).min().expect("a drill has keys");
        let mut distances = all.iter().map(|(own, _)| own - nearest);
        assert!(distances.all(|more| more == 0 || more == farther), "{}: {all:?}", template.name);
    }
}

/// The lowest bottom of each interval of a chord, in MIDI numbers from the unison up (arranging
/// handbooks; the ninths and tenths from memory), and how far below them solo piano goes.
const LOW_INTERVAL_LIMITS: [i32; 17] =
    [0, 52, 51, 48, 46, 46, 41, 34, 41, 41, 41, 41, 0, 40, 39, 36, 34];
const BELOW_LIMITS: i32 = 2;

/// Ledger lines below its staff that a left hand reads without looking low.
const USUAL_BELOW: i32 = 2;

/// Where the range of a right hand begins: G3.
const RIGHT_HAND_FROM: i32 = 55;

/// Whether a chord an octave lower would lie too far below the low-interval limits.
fn would_be_thick(event: &Event) -> bool {
    let mut keys: Vec<i32> = event.notes.iter().map(|note| note.pitch.midi() - 12).collect();
    keys.sort_unstable();
    let pairs = keys.iter().enumerate();
    let mut pairs =
        pairs.flat_map(|(index, low)| keys[index + 1..].iter().map(move |high| (*low, high - low)));
    pairs.any(|(low, span)| {
        let limit = LOW_INTERVAL_LIMITS.get(span as usize);
        limit.is_some_and(|limit| limit - low > BELOW_LIMITS)
    })
}

/// No left hand leaves its clef in a key that could lie an octave lower in bass clef alone, with two ledger
/// lines below it at the most, no chord below the low-interval limits, and the right hand, where it would
/// have to come along, within its range.
#[test]
fn a_left_hand_in_treble_could_not_lie_an_octave_lower() {
    let (mut in_treble, mut all) = (0, 0);
    for template in drills() {
        let is_free = has_line_below(&template);
        for key in Key::ring(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            all += 1;
            let events = || score.bars.iter().flat_map(|bar| &bar.staves.left.events);
            let own = Hand::Left.usual_clef();
            if score.opening_clefs.left == own && events().all(|event| event.clef_change.is_none())
            {
                continue;
            }
            in_treble += 1;
            let positions =
                events().flat_map(|event| &event.notes).map(|note| own.position(note.pitch) - 7);
            let lines = |position: i32| (position - 4).max(0) / 2;
            let below = positions.clone().map(|position| lines(-position)).max().unwrap_or(0);
            let above = positions.map(lines).max().unwrap_or(0);
            let is_legible = below <= USUAL_BELOW && above <= MOST_LEDGER_LINES;
            let right = outer(&score, Hand::Right)[0] - 12;
            let could = is_legible
                && !events().any(would_be_thick)
                && (is_free || right >= RIGHT_HAND_FROM);
            assert!(!could, "{} in {key} could lie an octave lower", template.name);
        }
    }
    println!("{in_treble} of {all} left hands leave their clef");
}

/// C3: below it a third or a seventh without its root sounds as another chord, since the ear supplies a
/// root below the lowest note, for which the low-interval limits hold as well (arranging handbooks).
const INNER_VOICES_FROM: i32 = 48;

/// A chord of the left hand that lies wholly below C3 stands on its root.
#[test]
fn a_left_hand_without_the_root_is_not_deep() {
    let (mut deep, mut rootless) = (0, 0);
    for template in drills() {
        for key in Key::ring(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            let events = score.bars.iter().flat_map(|bar| &bar.staves.left.events);
            for event in events.filter(|event| event.notes.len() > 1) {
                let by_height = |pitch: &Pitch| pitch.midi();
                let pitches = || event.notes.iter().map(|note| note.pitch);
                let Some(lowest) = pitches().min_by_key(by_height) else { continue };
                let before = score.harmonies.iter().take_while(|harmony| harmony.at <= event.at);
                let Some(harmony) = before.last() else { continue };
                if lowest.name == harmony.chord.root {
                    deep += usize::from(lowest.midi() < INNER_VOICES_FROM);
                    continue;
                }
                rootless += 1;
                let highest = pitches().map(|pitch| pitch.midi()).max();
                let name = format!("{} in {key} at {}", template.name, event.at);
                assert!(highest >= Some(INNER_VOICES_FROM), "{name}: {lowest} is too low");
            }
        }
    }
    println!("{rootless} chords without their root, {deep} on theirs begin below C3");
    assert!(rootless > 1000 && deep > 100);
}

/// A melody that the left hand doubles below the right hand's chords is read in whichever clef has the
/// fewer ledger lines: two do in every key.
#[test]
fn a_doubled_melody_needs_two_ledger_lines_in_any_key() {
    let mut doubled = 0;
    for template in drills() {
        for key in Key::ring(template.mode) {
            let score = realised(&template, key, FingeringMarks::None);
            let hands = Hand::BOTH.map(|hand| {
                let events = score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
                events.filter(|event| !event.notes.is_empty()).collect::<Vec<&Event>>()
            });
            let [right, left] = &hands;
            let is_double = |(above, below): (&&Event, &&Event)| {
                let top = above.notes.iter().map(|note| note.pitch).max_by_key(|it| it.midi());
                let [own] = &below.notes[..] else { return false };
                top.is_some_and(|top| top.name == own.pitch.name && above.at == below.at)
            };
            if right.len() != left.len() || !right.iter().zip(left).all(is_double) {
                continue;
            }
            let mut clef = score.opening_clefs.left;
            for event in left {
                clef = event.clef_change.unwrap_or(clef);
                let lines = clef.ledger_lines(event.notes[0].pitch);
                assert!(lines <= USUAL_BELOW, "{} in {key} at {}", template.name, event.at);
            }
            doubled += 1;
        }
    }
    assert!(doubled >= 12, "{doubled}");
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
