//! The left hand that walks, on sheets of the library and over every tune of ours.

use quintfall::chart::{Chart, analyse_in, demos};
use quintfall::score::{Hand, Stay, Ticks};
use quintfall::theory::{Key, SymbolStyle, chord_symbol, plain_text};

use crate::charts::Walked;
use crate::exercise;
use crate::joins::walking_drills;
use crate::manner::is_of_its_key;

/// How many notes there are at the least for one that a rule would have otherwise (ours): the hand has
/// little more than an octave, and some roots leave no other way.
const A_FAULT: usize = 500;

/// The passages of each drill in which the hand walks, in a key, with their chords.
fn each_passage(mut check: impl FnMut(&str, Ticks, &[Stay], &Walked)) {
    for drill in walking_drills() {
        let key = Key::ring(drill.mode)[0];
        let own = exercise(&drill, &[key], 100);
        let harmony = own.drill();
        let score = own.score(&harmony, key);
        let stays: Vec<Stay> = harmony.stays(own.keys[0]).collect();
        let line = left_hand(&score);
        let mut from = 0;
        for (index, passage) in drill.passages.iter().enumerate() {
            let chords = &stays[from..from + passage.degrees.len()];
            from += passage.degrees.len();
            let (start, end) = (chords[0].at, chords[chords.len() - 1].end);
            let own = line.iter().filter(|it| (start..end).contains(&it.0));
            let own: Walked = own.copied().collect();
            let beats = ((end - start) / drill.metre.felt_beat()) as usize;
            // Where it walks it has a note on every beat, but for an end that is held.
            if own.len() + 4 > beats && own.len() > 4 {
                let name = format!("{}, passage {}", drill.name, index + 1);
                check(&name, drill.metre.bar(), chords, &own);
            }
        }
    }
}

fn left_hand(score: &quintfall::score::Score) -> Walked {
    let events = score.bars.iter().flat_map(|bar| &bar.staves[Hand::Left].events);
    let struck = events.filter(|event| event.notes.len() == 1);
    let note = |event: &quintfall::score::Event| (event.at, event.notes[0].pitch.midi() as u8);
    struck.map(note).collect()
}

fn foot(stay: &Stay) -> i32 {
    stay.chord.bass.unwrap_or(stay.chord.root).pitch_class().rem_euclid(12)
}

/// No pump of octaves, no bobbing between two notes, no step of a scale that an octave breaks.
#[test]
fn a_hand_that_walks_goes_somewhere() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_passage(|name, bar, _, line| {
        notes += line.len();
        let told = |at: Ticks| format!("{name}, bar {}", at / bar + 1);
        for pair in line.windows(2) {
            if matches!(pair[0].1.abs_diff(pair[1].1), 10 | 11) {
                faults.push(format!("{}: a seventh {pair:?}", told(pair[0].0)));
            }
        }
        for four in line.windows(4) {
            let pitches = [0, 1, 2, 3].map(|place| four[place].1);
            let octaves = pitches.windows(2).filter(|it| it[0].abs_diff(it[1]) == 12).count();
            if pitches[0] == pitches[2] && pitches[1] == pitches[3] || octaves > 1 {
                faults.push(format!("{}: {pitches:?}", told(four[0].0)));
            }
        }
    });
    println!("{} in {notes}", faults.len());
    assert!(notes > 500 && A_FAULT * faults.len() <= notes, "{}: {faults:#?}", faults.len());
}

/// What is not of its chord is of the key that its chord is read in, or leads by a semitone into the next
/// root, on the last beat before it.
#[test]
fn a_hand_that_walks_is_in_its_key() {
    let (mut met, mut faults) = (0, Vec::new());
    for (title, text) in demos() {
        let chart = Chart::parse(text, title).unwrap();
        let home = chart.key.unwrap();
        let key = Key::ring(home.mode())[0];
        let moved = chart.transposed(home, key);
        let analysis = analyse_in(&moved.unfolded(), moved.key).unwrap();
        each_passage(|name, bar, stays, line| {
            if !name.starts_with(title) {
                return;
            }
            for (place, (at, pitch)) in line.iter().enumerate() {
                let class = i32::from(*pitch) % 12;
                let own = stays.iter().find(|it| (it.at..it.end).contains(at)).unwrap();
                let mut tones = own.chord.notes().chain(own.chord.bass);
                let is_tone = tones.any(|it| (class - it.pitch_class()) % 12 == 0);
                // What follows a passage is judged by what its line is joined to.
                let next = line.get(place + 1);
                let leads = next.is_none_or(|next| {
                    let is_change = stays.iter().any(|it| it.at == next.0 && foot(it) != foot(own));
                    is_change && pitch.abs_diff(next.1) == 1
                });
                met += 1;
                if !is_tone && !leads && !is_of_its_key(&analysis, &own.chord, class) {
                    let chord = plain_text(&chord_symbol(own.chord, SymbolStyle::Mixed));
                    faults.push(format!("{name}, bar {}: {pitch} over {chord}", at / bar + 1));
                }
            }
        });
    }
    println!("{} in {met}", faults.len());
    assert!(met > 400 && faults.is_empty(), "{}: {faults:#?}", faults.len());
}

/// The root of the next chord is not heard before its time.
#[test]
fn a_hand_that_walks_is_not_early() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_passage(|name, bar, stays, line| {
        notes += line.len();
        for (at, pitch) in line {
            let own = stays.iter().position(|it| (it.at..it.end).contains(at));
            let Some((stay, next)) = own.and_then(|it| Some((&stays[it], stays.get(it + 1)?)))
            else {
                continue;
            };
            let is_own_time = *at == stay.at || at + 48 >= stay.end;
            let is_next = i32::from(*pitch) % 12 == foot(next) && foot(next) != foot(stay);
            if is_own_time || stay.end - at >= bar || !is_next {
                continue;
            }
            let mut tones = stay.chord.notes().chain(stay.chord.bass);
            let is_tone = tones.any(|it| (i32::from(*pitch) - it.pitch_class()) % 12 == 0);
            if at % 96 == 0 || !is_tone {
                faults.push(format!("{name}, bar {}: {pitch}", at / bar + 1));
            }
        }
    });
    println!("{} in {notes}", faults.len());
    assert!(notes > 500 && faults.is_empty(), "{}: {faults:#?}", faults.len());
}

/// A line of the hand ends on the root of its last chord, on one of its last bar or where that chord
/// begins, and holds it where nothing follows.
#[test]
fn a_hand_that_walks_comes_to_an_end() {
    let mut ends = 0;
    for drill in walking_drills() {
        for key in Key::ring(drill.mode) {
            let own = exercise(&drill, &[key], 100);
            let harmony = own.drill();
            let score = own.score(&harmony, own.keys[0]);
            let last = harmony.stays(own.keys[0]).last().unwrap();
            let bars = score.bars.len() as Ticks * score.metre.bar();
            let passage = drill.passages.last().unwrap();
            let own = harmony
                .stays(own.keys[0])
                .nth(harmony.stays(own.keys[0]).count() - passage.degrees.len());
            let from = own.unwrap().at;
            let line = left_hand(&score);
            let notes = line.iter().filter(|it| it.0 >= from).count();
            if notes + 4 <= ((bars - from) / score.metre.felt_beat()) as usize || notes < 2 {
                continue;
            }
            // What goes on elsewhere walks there.
            let goes_round = passage.form.ends_repeat() || passage.form.way_on.is_some();
            let begins = last.at.max(bars - score.metre.bar());
            let own: Walked = line.iter().filter(|it| it.0 >= begins).copied().collect();
            let name = format!("{} in {key}: {own:?}", drill.name);
            assert_eq!(own.first().map(|it| it.0), Some(begins), "{name}");
            assert_eq!(i32::from(own[0].1) % 12, foot(&last), "{name}");
            assert!(own.len() == 1 || goes_round, "{name}");
            ends += 1;
        }
    }
    assert!(ends > 100, "{ends}");
}
