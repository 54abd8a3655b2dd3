//! What a lesson asks of a score: one hand or both, and which fingers show.

use std::cell::Cell;

use quintfall::drill::{self, Choices, Template, library};
use quintfall::engrave::{Look, MarkRole, engrave, rules};
use quintfall::fingering::Measure;
use quintfall::recipe::{FingeringMarks, Hands, Level};
use quintfall::score::{CountStroke, Hand, QUARTER, Score};
use quintfall::typeset::Trace;

/// Every drill of the library, played in two keys with and without some choices.
fn for_every_drill(choices: Choices, look: impl Fn(&Template, &Score, &Score)) {
    for (name, text) in library::all() {
        let template = Template::parse(text, name).expect("library drills are sound");
        for key in ["Db", "E"] {
            let key = key.parse().expect("a key");
            let all = Choices { fingering: FingeringMarks::All, ..Choices::default() };
            let whole = drill::realise(&template, key, all);
            look(&template, &whole, &drill::realise(&template, key, choices));
        }
    }
}

#[test]
fn other_spans_change_some_fingers_and_nothing_else() {
    let fingers = |score: &Score| -> Vec<Option<u8>> {
        let staves = score.bars.iter().flat_map(|bar| bar.staves.iter());
        let notes = staves.flat_map(|staff| &staff.events).flat_map(|event| &event.notes);
        notes.map(|note| note.finger).collect()
    };
    for spans in [Measure::Millimetres, Measure::Lattice] {
        let choices = Choices { fingering: FingeringMarks::All, spans, ..Choices::default() };
        let changed = Cell::new(0);
        for_every_drill(choices, |template, whole, score| {
            let [ours, theirs] = [score, whole].map(fingers);
            assert_eq!(ours.len(), theirs.len(), "{}", template.name);
            changed.set(changed.get() + usize::from(ours != theirs));
        });
        assert!(changed.get() > 0, "{spans:?} changes nothing");
    }
}

/// How many symbols, and how many numerals, are printed of a score.
fn printed(score: &Score) -> [usize; 2] {
    let look = Look::default();
    let systems = (1..).find_map(|count| engrave(score, &look, 100.0, count)).expect("it fits");
    let marks = || systems.iter().flat_map(|system| &system.marks);
    [(MarkRole::Symbol, rules::SYMBOL_SIZE), (MarkRole::Numeral, rules::NUMERAL_SIZE)].map(
        |(role, em)| {
            let texts =
                marks().filter(|mark| mark.role == role).filter_map(|mark| match &mark.trace {
                    Trace::Text { text, size, .. } if *size == em => Some(text.as_str()),
                    _ => None,
                });
            // What stands behind a slash belongs to the word before it, signs between them or not.
            let mut after = "";
            let whole = texts.filter(|text| {
                let is_told = after.ends_with('/') || text.starts_with('/');
                after = text;
                !is_told
            });
            whole.count()
        },
    )
}

/// A waltz whose pushes fall where the right hand holds a note.
const HELD: &str = r#"
name = "held"
title = "Held"
about = "Long notes over pushed chords."
metre = "3/4"
mode = "major"
feel = "even"

[[passage]]
progression = "scale-up"
beats = 3
figure = "5"
note = "dotted-half"
voicing = ["close", "first-inversion"]
comping = "push"
"#;

#[test]
fn every_chord_of_one_hand_alone_has_its_symbol() {
    let held = Template::parse(HELD, "held").expect("a sound drill");
    let key = "Eb".parse().expect("a key");
    for hands in [Hands::Right, Hands::Left] {
        let choices = Choices { hands, ..Choices::default() };
        let all_stand = |template: &Template, score: &Score| {
            let chords = score.harmonies.len();
            assert_eq!(printed(score), [chords; 2], "{}, {hands:?}", template.name);
        };
        all_stand(&held, &drill::realise(&held, key, choices));
        for_every_drill(choices, |template, _, score| all_stand(template, score));
    }
}

#[test]
fn where_the_chords_rest_symbols_stand_at_the_change_of_harmony_in_root_position() {
    for hands in [Hands::Right, Hands::Left] {
        let choices = Choices { hands, ..Choices::default() };
        for_every_drill(choices, |template, whole, score| {
            let mut chords = score.harmonies.iter().zip(&whole.harmonies);
            let mut start = 0;
            for passage in &template.passages {
                let rests = passage.is_swapped == (hands == Hands::Left);
                let own = chords.by_ref().take(passage.degrees.len());
                for (index, (harmony, before)) in own.enumerate() {
                    let name = &template.name;
                    if rests {
                        let late = harmony.at - start;
                        // An off-beat of a swung triplet is written a sixth of a beat late.
                        assert!(late == 0 || (late > 0 && late < QUARTER / 4), "{name}: {late}");
                        // A bass of its own is part of the harmony, whoever rests.
                        let inverts = harmony.numeral.inversion > 0;
                        assert!(!inverts || harmony.chord.bass.is_some(), "{name}");
                    } else {
                        assert_eq!(harmony, before, "{name}");
                    }
                    start += passage.chord_length(index);
                }
            }
        });
    }
}

#[test]
fn one_hand_plays_as_before_while_the_other_rests() {
    for (hands, plays, rests) in
        [(Hands::Right, Hand::Right, Hand::Left), (Hands::Left, Hand::Left, Hand::Right)]
    {
        let choices = Choices { fingering: FingeringMarks::All, hands, ..Choices::default() };
        for_every_drill(choices, |template, whole, score| {
            for (bar, before) in score.bars.iter().zip(&whole.bars) {
                assert_eq!(bar.staves[plays], before.staves[plays], "{}", template.name);
                let silent = &bar.staves[rests].events;
                assert_eq!(silent.len(), 1, "{}: a rest a bar", template.name);
                assert!(silent[0].is_rest() && silent[0].value.ticks() == score.metre.bar());
            }
            let struck = score.counts.iter().any(|count| count.strokes[rests] != CountStroke::None);
            assert!(!struck, "{}: a hand that rests strikes no count", template.name);
            // What the hand that rests would add to a chord is not told where it does not sound.
            let roots = |score: &Score| -> Vec<_> {
                score.harmonies.iter().map(|harmony| harmony.chord.root).collect()
            };
            assert_eq!(roots(score), roots(whole), "{}", template.name);
        });
    }
}

#[test]
fn fingers_of_first_bars_show_where_a_passage_begins_and_nowhere_else() {
    let choices = Choices { fingering: FingeringMarks::FirstBars, ..Choices::default() };
    for_every_drill(choices, |template, whole, score| {
        let mut first_bars = Vec::new();
        let mut start = 0;
        for passage in &template.passages {
            first_bars.push(start / template.metre.bar());
            start += passage.length();
        }
        let shown = |score: &Score, bar: usize| {
            // The last chord, held out, needs no digits.
            let events = score.bars[bar].staves.right.events.iter();
            let notes = events.filter(|event| !event.fermata).flat_map(|event| &event.notes);
            notes.filter(|note| note.shows_finger).count()
        };
        for bar in 0..score.bars.len() {
            let expected = if first_bars.contains(&(bar as i32)) { shown(whole, bar) } else { 0 };
            assert_eq!(shown(score, bar), expected, "{}, bar {}", template.name, bar + 1);
        }
    });
}

#[test]
fn fingers_that_the_teacher_gave_show_outside_first_bars_too() {
    let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\nmode = \"major\"\n\
                [[passage]]\ndegrees = [1, 4]\nbeats = 4\nnote = \"quarter\"\n\
                figure = \"1 3 5@4 7\"\nvoicing = \"close\"\ncomping = \"on-beat\"\n";
    let template = Template::parse(text, "own").expect("a sound drill");
    let choices = Choices { fingering: FingeringMarks::FirstBars, ..Choices::default() };
    let score = drill::realise(&template, "C".parse().expect("a key"), choices);
    let second = score.bars[1].staves.right.events.iter().flat_map(|event| &event.notes);
    let shown: Vec<Option<u8>> =
        second.filter(|note| note.shows_finger).map(|note| note.finger).collect();
    assert_eq!(shown, [Some(4)]);
}

/// The readme's table of levels says what the program does.
#[test]
fn the_table_of_levels_in_the_readme_is_true() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md"));
    let readme = readme.expect("the readme is there");
    for level in [Level::FirstLesson, Level::Beginner, Level::Intermediate, Level::Advanced] {
        let settings = level.settings();
        let word = |value: serde_json::Value| value.as_str().unwrap_or_default().to_owned();
        let words = [
            word(serde_json::json!(settings.counts)),
            word(serde_json::json!(settings.fingering)),
            word(serde_json::json!(settings.hands)),
            word(serde_json::json!(settings.symbols)),
        ];
        let name = word(serde_json::json!(level));
        let row = format!("| `{name}` | {} | {} |", settings.tempo, words.join(" | "));
        assert!(readme.contains(&row), "{row}");
    }
}
