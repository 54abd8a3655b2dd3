//! Laws of the score: rhythm, ties, clefs, register.

use std::cell::Cell;

use quintfall::drill::{Choices, Hands, MOST_LEDGER_LINES, Template, realise, respellings};
use quintfall::recipe::FingeringMarks;
use quintfall::score::{Clef, Event, Hand, Note, Score, Ticks};
use quintfall::theory::{Interval, Key, Pitch, Spelling};

use crate::engraving::whole_domain;
use crate::{FINGERINGS, drills, for_every_score, realised};

const HANDS: [Hand; 2] = [Hand::Right, Hand::Left];

fn events(score: &Score, hand: Hand) -> impl Iterator<Item = &Event> {
    score.bars.iter().flat_map(move |bar| &bar.staves[hand].events)
}

/// A numeral has the inversion that the symbol above it names by its bass, whether the hand that holds
/// the chord lies so or another one has the bass.
#[test]
fn numerals_agree_with_the_bass_of_their_symbols() {
    let mut inverted = 0;
    for template in drills() {
        for hands in [Hands::Together, Hands::Right, Hands::Left] {
            let key = Key::all(template.mode).next().expect("there are keys");
            let choices = Choices { hands, ..Choices::default() };
            for harmony in realise(&template, key, choices).harmonies {
                let (chord, inversion) = (harmony.chord, harmony.numeral.inversion);
                let bass = chord.inverted(inversion).bass;
                let tones = chord.kind.frame().map(|tone| Some(chord.root.up(tone?)));
                let place = tones.iter().position(|tone| tone.is_some() && *tone == bass);
                let place = place.unwrap_or(0);
                assert_eq!(usize::from(inversion), place, "{}: {harmony:?}", template.name);
                inverted += usize::from(inversion > 0);
            }
        }
    }
    assert!(inverted > 50, "{inverted} chords are inverted");
}

/// Every sounding event with the clef it is read in.
fn with_clefs(score: &Score, hand: Hand) -> Vec<(Clef, &Event)> {
    let mut clef = score.opening_clefs[hand];
    events(score, hand)
        .map(|event| {
            clef = event.clef_change.unwrap_or(clef);
            (clef, event)
        })
        .collect()
}

/// What sounds: pitch, start, end, ties joined.
fn sounds(score: &Score, hand: Hand) -> Vec<(Pitch, Ticks, Ticks)> {
    let mut sounds: Vec<(Pitch, Ticks, Ticks)> = Vec::new();
    for event in events(score, hand) {
        for note in &event.notes {
            let before = sounds
                .iter_mut()
                .rev()
                .find(|(pitch, _, end)| *pitch == note.pitch && *end == event.at);
            match before.filter(|_| note.tied_in) {
                Some(sound) => sound.2 = event.end(),
                None => sounds.push((note.pitch, event.at, event.end())),
            }
        }
    }
    sounds
}

#[test]
fn every_bar_sums_to_its_metre_on_both_staves() {
    for fingering in FINGERINGS {
        for_every_score(fingering, |name, score| {
            for (index, bar) in score.bars.iter().enumerate() {
                for hand in HANDS {
                    let mut at = bar.start;
                    for event in &bar.staves[hand].events {
                        assert_eq!(event.at, at, "{name}, bar {}, {hand:?}", index + 1);
                        at = event.end();
                    }
                    let end = bar.start + score.metre.bar();
                    assert_eq!(at, end, "{name}, bar {}, {hand:?}", index + 1);
                }
            }
        });
    }
}

#[test]
fn every_tie_leads_to_the_same_pitch_in_the_next_event() {
    let tied = |notes: &[Note], way: fn(&Note) -> bool| -> Vec<Pitch> {
        notes.iter().filter(|note| way(note)).map(|note| note.pitch).collect()
    };
    let mut ties = 0;
    for_every_score(FingeringMarks::Changes, |name, score| {
        for hand in HANDS {
            let all: Vec<&Event> = events(score, hand).collect();
            for (index, event) in all.iter().enumerate() {
                let out = tied(&event.notes, |note| note.tied_out);
                let next: &[Note] = all.get(index + 1).map_or(&[], |next| &next.notes);
                let into = tied(next, |note| note.tied_in);
                assert_eq!(out, into, "{name}, {hand:?}, event {index}");
                ties += out.len();
            }
            assert!(all[0].notes.iter().all(|note| !note.tied_in), "{name}, {hand:?}");
        }
    });
    // The pushed drill alone has fifteen keys, and fifteen pushed chords of three or four notes.
    assert!(ties > 15 * 15 * 3, "{ties}");
}

#[test]
fn no_note_is_tied_across_a_change_of_clef() {
    for_every_score(FingeringMarks::None, |name, score| {
        for hand in HANDS {
            for event in events(score, hand).filter(|event| event.clef_change.is_some()) {
                assert!(!event.is_tied_in(), "{name}, {hand:?}, at {}", event.at);
            }
        }
    });
}

#[test]
fn no_note_needs_more_than_three_ledger_lines() {
    let (mut most, mut found) = (0, Vec::new());
    for_every_score(FingeringMarks::None, |name, score| {
        for hand in HANDS {
            for (clef, event) in with_clefs(score, hand) {
                for note in &event.notes {
                    let lines = clef.ledger_lines(note.pitch);
                    if lines > MOST_LEDGER_LINES {
                        found.push(format!("{name}, {hand:?}: {}", note.pitch));
                    }
                    most = most.max(lines);
                }
            }
        }
    });
    println!("most ledger lines: {most}");
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn hands_neither_meet_nor_cross() {
    let mut nearest = i32::MAX;
    for_every_score(FingeringMarks::None, |name, score| {
        let left = sounds(score, Hand::Left);
        for (high, start, end) in sounds(score, Hand::Right) {
            for (low, from, to) in &left {
                if start < *to && *from < end {
                    let between = high.midi() - low.midi();
                    assert!(between > 0, "{name}, at {start}: right {high}, left {low}");
                    nearest = nearest.min(between);
                }
            }
        }
    });
    println!("nearest the hands come: {nearest} semitones");
}

/// Passages that a teacher may put together, of one of these each.
const FIGURES: [&str; 8] = [
    "1 3 5 7 5 3 1 3",
    "7 5 3 1 3 5 7 9",
    "1 2 3 4 5 6 7 8",
    "low5 1 3 5 7 9 7 5",
    "9 7 5 3 1 low7 low5 1",
    "1+3+5+7:half 1+3+5+7:half",
    "low3 low5 low7 1 3 5 7 9",
    "1 5 8 10 12 10 8 5",
];
const VOICINGS: [&str; 6] =
    ["close", "third-inversion", "shell-7", "rootless-a", "rootless-b", "1+5+10"];
const RHYTHMS: [&str; 5] = ["on-beat", "push", "charleston", "anticipated", "off-beats"];
const CHORDS: [&str; 3] =
    ["progression = \"scale-up\"", "progression = \"ii-V-I\"", "degrees = [8]"];
const HANDS_OF: [&str; 2] = ["as-usual", "swapped"];

/// A passage for each number, as different from the last as can be.
fn passage(number: usize) -> String {
    let pick = |from: &[&'static str], stride: usize| from[number * stride / 3 % from.len()];
    format!(
        "[[passage]]\n{}\nbeats = 4\nfigure = \"{}\"\nnote = \"eighth\"\nvoicing = \"{}\"\n\
         comping = \"{}\"\nhands = \"{}\"\n",
        pick(&CHORDS, 5),
        pick(&FIGURES, 13),
        pick(&VOICINGS, 7),
        pick(&RHYTHMS, 11),
        pick(&HANDS_OF, 17),
    )
}

/// The same for what teachers may put together, two passages at a time, in either hand.
#[test]
fn hands_neither_meet_nor_cross_in_a_teachers_own_drill() {
    let every = if whole_domain() { 1 } else { 6 };
    for number in (0..240).step_by(every) {
        let text = format!(
            "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\n{}{}",
            passage(number),
            passage(number * 31 + 7)
        );
        let template = Template::parse(&text, "own").expect("a sound drill");
        for key in Key::majors() {
            let score = realised(&template, key, FingeringMarks::None);
            let left = sounds(&score, Hand::Left);
            for (high, start, end) in sounds(&score, Hand::Right) {
                let meets = |(low, from, to): &&(Pitch, Ticks, Ticks)| {
                    start < *to && *from < end && high.midi() <= low.midi()
                };
                let met = left.iter().find(meets);
                assert!(met.is_none(), "{text}in {key} at {start}: right {high}, left {met:?}");
            }
        }
    }
}

/// The lowest bottom note, in MIDI numbers, at which an interval of so many semitones still
/// sounds clear; index 1 is the minor second.
///
/// Source: low-interval limits of arranging handbooks (R. Lowell and K. Pullig, *Arranging for
/// Large Jazz Ensemble*, 2003, and others), the value of the majority where they differ. For the
/// tritone one says B2 and one B1: halfway between them, since B2 would be above the limit of the
/// fourth, which is narrower. They "may be adjusted downward": solo piano goes a whole tone below.
const CLEAR_FROM: [i32; 12] = [0, 52, 51, 48, 46, 46, 41, 34, 41, 41, 41, 41];

/// How far below the limits a drill may go, in semitones.
const TOLERATED: i32 = 2;

/// How far a second may, which only inverted chords have at the bottom: they keep it, since it
/// tells which inversion it is.
const TOLERATED_SECOND: i32 = 5;

#[test]
fn no_left_hand_chord_lies_more_than_a_tone_below_the_low_interval_limits() {
    let mut worst = 0;
    for_every_score(FingeringMarks::None, |name, score| {
        for event in events(score, Hand::Left) {
            for low in &event.notes {
                for high in &event.notes {
                    let span = high.pitch.midi() - low.pitch.midi();
                    let Some(limit) = usize::try_from(span).ok().and_then(|at| CLEAR_FROM.get(at))
                    else {
                        continue;
                    };
                    let under = limit - low.pitch.midi();
                    assert!(
                        under <= if span <= 2 { TOLERATED_SECOND } else { TOLERATED },
                        "{name}: {} under {} lies {under} semitones too low",
                        low.pitch,
                        high.pitch
                    );
                    worst = worst.max(under);
                }
            }
        }
    });
    println!("furthest below the low-interval limits: {worst} semitones");
}

/// A score names a left-hand chord as thick if, and only if, one lies further below the limits
/// than solo piano allows itself.
#[test]
fn chords_that_sound_thick_are_named() {
    let (named, clear) = (Cell::new(0), Cell::new(0));
    for_every_score(FingeringMarks::None, |name, score| {
        let is_thick = |event: &Event| {
            event.notes.iter().any(|low| {
                event.notes.iter().any(|high| {
                    let span = usize::try_from(high.pitch.midi() - low.pitch.midi()).ok();
                    let limit = span.and_then(|span| CLEAR_FROM.get(span));
                    limit.is_some_and(|limit| limit - low.pitch.midi() > TOLERATED)
                })
            })
        };
        let thick = events(score, Hand::Left).any(is_thick);
        assert_eq!(thick, !score.thick_chords.is_empty(), "{name}: {:?}", score.thick_chords);
        for told in &score.thick_chords {
            let in_bar = |bar: &i32| {
                let staff = &score.bars[*bar as usize - 1].staves.left;
                staff.events.iter().any(is_thick)
            };
            assert!(told.bars.iter().all(in_bar), "{name}: {told:?}");
        }
        let seen = if thick { &named } else { &clear };
        seen.set(seen.get() + 1);
    });
    assert!(named.get() > 0 && clear.get() > 0);
}

/// The round falls by fifths; a hand that follows it moves a fifth down or a fourth up, never
/// further.
#[test]
fn from_key_to_key_of_the_round_no_hand_moves_by_more_than_a_fifth() {
    const FIFTH: i32 = 7;
    for template in drills() {
        for spelling in [Spelling::Customary, Spelling::Sharps, Spelling::Flats] {
            let round = Key::round(spelling);
            let lowest = |key: Key, hand: Hand| {
                let score = realised(&template, key, FingeringMarks::None);
                let notes = events(&score, hand).flat_map(|event| event.notes.clone());
                notes.map(|note| note.pitch.midi()).min().expect("a drill has notes")
            };
            for hand in HANDS {
                for (place, key) in round.into_iter().enumerate() {
                    let next = round[(place + 1) % 12];
                    let moved = lowest(next, hand) - lowest(key, hand);
                    assert!(
                        moved.abs() <= FIFTH,
                        "{}, {hand:?}: {key} to {next} moves {moved} semitones",
                        template.name
                    );
                }
            }
        }
    }
}

/// A drill in any key is the drill in C moved letter for letter: each note has the alteration
/// that the interval gives it, and rhythm and ties stay. A chord that lies low in either key has
/// lost inner notes; what is left is the same.
#[test]
fn every_key_is_the_drill_in_c_moved_letter_for_letter() {
    let c = Key::majors().find(|key| key.fifths() == 0).expect("C is a key");
    let mut whole_chords = 0;
    for template in drills() {
        let model = realised(&template, c, FingeringMarks::All);
        for key in Key::majors() {
            let moved = realised(&template, key, FingeringMarks::All);
            // A chord with a double sign on its root is spelled otherwise, whole.
            let own = key.in_mode(template.mode);
            let chords = template
                .passages
                .iter()
                .flat_map(|passage| passage.degrees.iter().filter_map(|it| it.chord(passage.home)));
            let by = respellings(&chords.collect::<Vec<_>>(), own);
            let is_respelled = by.into_iter().any(|by| by != Interval::UNISON);
            for hand in HANDS {
                let name = format!("{} in {key}, {hand:?}", template.name);
                let first = |score: &Score| events(score, hand).next().expect("events").notes[0];
                let (from, to) = (first(&model).pitch, first(&moved).pitch);
                let steps = to.staff_step() - from.staff_step();
                let semitones = to.midi() - from.midi();
                let mut pairs = 0;
                let mut others = events(&moved, hand);
                for event in events(&model, hand) {
                    let other = others.next().unwrap_or_else(|| panic!("{name}: too short"));
                    assert_eq!((event.at, event.value), (other.at, other.value), "{name}");
                    let is_whole = event.notes.len() == other.notes.len();
                    whole_chords += usize::from(is_whole);
                    for note in &event.notes {
                        let sought = note.pitch.staff_step() + steps;
                        let sounds = note.pitch.midi() + semitones;
                        let other = other.notes.iter().find(|n| {
                            let off = (n.pitch.staff_step() - sought).abs();
                            // So is a triad over its chord.
                            let may = is_respelled || event.notes.len() == 3;
                            off == 0 && !may || off <= 1 && n.pitch.midi() == sounds
                        });
                        let Some(other) = other else {
                            assert!(!is_whole && hand == Hand::Left, "{name}: {}", note.pitch);
                            continue;
                        };
                        let (a, b) = (note.pitch, other.pitch);
                        assert_eq!(b.midi() - a.midi(), semitones, "{name}: {a} to {b}");
                        assert_eq!((note.tied_in, note.tied_out), (other.tied_in, other.tied_out));
                        pairs += 1;
                    }
                }
                assert!(others.next().is_none(), "{name}: too long");
                assert!(pairs >= 12, "{name}: only {pairs} notes");
            }
        }
    }
    println!("{whole_chords} notes and chords are the same in full");
}
