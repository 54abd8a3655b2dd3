//! The bass that a drill of a teacher's own has over the changes of a tune: the left hand walks or goes
//! in two, the right one has the chords.

use quintfall::chart::{Chart, demos};
use quintfall::drill::Template;
use quintfall::drill::over::expanded;
use quintfall::score::{Event, Hand, Score, Stay};
use quintfall::theory::Key;

use crate::exercise;

/// A tune that is silent in the middle of bars, after two chords of a bar, and where a section ends.
const SILENCES: &str = "title = \"Shut Doors\"\nmetre = \"4/4\"\nkey = \"Ab\"\n[[section]]\nname = \"A\"\nbars = \"\"\"\n\
     | Abmaj7 | Fm7 NC | Bbm7 Eb7 | Ab/C Bdim7 |\n| Bbm7 / / NC | Eb7 | Abmaj7 Db7 | Db6/9 NC |\n\
     | Cm7 F7 | Bbm7 Eb7 / NC | Ab6 | N.C. |\n\"\"\"\n";

/// Tunes in three and in five whose chords last for several bars.
const LONG: [&str; 2] = [
    "title = \"Long Lanes\"\nmetre = \"3/4\"\nkey = \"F\"\n[[section]]\nname = \"A\"\nbars = \"\"\"\n\
     | Fmaj7 | % | % | Dm7 |\n| Gm7 | % | C7 | % |\n\"\"\"\n",
    "title = \"Far Fields\"\nmetre = \"5/4\"\nkey = \"E minor\"\n[[section]]\nname = \"A\"\nbars = \"\"\"\n\
     | Em7 | % | % | % |\n| Am7 | % | B7 / / C7 / | Em7 |\n\"\"\"\n",
];

/// Roots of a chromatic octave, with flats and with sharps.
const ROOTS: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];

/// A tune in C whose basses fall from a root by these semitones, two to a bar, to rest on a whole bar.
fn falling(from: usize, falls: &[usize]) -> String {
    let root = |down: usize| ROOTS[(from + 24 - down) % 12];
    let first = root(0);
    let chords: Vec<String> =
        falls.iter().map(|down| format!("{first}m7/{}", root(*down))).collect();
    let bars: Vec<String> = chords.chunks(2).map(|pair| pair.join(" ")).collect();
    format!(
        "title = \"Down the Steps\"\nmetre = \"4/4\"\nkey = \"C\"\n[[section]]\nname = \"A\"\n\
         bars = \"| Cmaj7 | {first}m7 {} | Cmaj7 |\"\n",
        bars.join(" | ")
    )
}

/// A drill of a teacher's own over a tune, with a word for its left hand.
fn own_drill(chart: &Chart, left: &str) -> Template {
    let text = format!(
        "name = \"own\"\ntitle = \"Own\"\nmetre = \"{}\"\n[[passage]]\nchanges = \"x\"\nleft = \"{left}\"\n\
         figure = \"chord\"\nnote = \"whole\"\nvoicing = \"guide-tones\"\nvoice-leading = true\n",
        chart.metre
    );
    let own = expanded(&text, |_| Ok(chart.clone())).unwrap().expect("it names a tune");
    Template::parse(&own, "own").unwrap_or_else(|error| panic!("{error}\n{own}"))
}

/// Our tunes and those above.
fn charts() -> Vec<Chart> {
    let own = std::iter::once(SILENCES).chain(LONG).map(|text| ("own", text));
    demos().chain(own).map(|(name, text)| Chart::parse(text, name).unwrap()).collect()
}

/// Every tune under a left hand that walks and under one in two, in every key: its chords and its bars.
fn each_own(mut check: impl FnMut(&str, &Template, &[Stay], &Score)) {
    for chart in charts() {
        for left in ["walking", "two-feel"] {
            let drill = own_drill(&chart, left);
            for key in Key::ring(drill.mode) {
                let own = exercise(&drill, &[key], 100);
                let harmony = own.drill();
                let score = own.score(&harmony, own.keys[0]);
                let stays: Vec<Stay> = harmony.stays(own.keys[0]).collect();
                check(&format!("{}, {left}, in {key}", chart.title), &drill, &stays, &score);
            }
        }
    }
}

fn foot(stay: &Stay) -> i32 {
    stay.chord.bass.unwrap_or(stay.chord.root).pitch_class().rem_euclid(12)
}

/// What the left hand strikes.
fn struck(score: &Score) -> Vec<&Event> {
    let events = score.bars.iter().flat_map(|bar| &bar.staves[Hand::Left].events);
    events.filter(|event| !event.is_rest() && !event.is_tied_in()).collect()
}

/// The bass comes to every chord on its root, or on the bass that it has of its own, before a silence
/// too; one that walks goes on from there while the chord stays.
#[test]
fn a_bass_comes_to_every_chord_on_what_it_rests_on() {
    let mut met = 0;
    each_own(|name, _, stays, score| {
        let struck = struck(score);
        for (index, stay) in stays.iter().enumerate() {
            let stays_on = index > 0 && foot(&stays[index - 1]) == foot(stay);
            let mut own = struck.iter().filter(|it| (stay.at..stay.end).contains(&it.at));
            let Some(first) = own.next().filter(|_| !(stays_on && name.contains("walking"))) else {
                continue;
            };
            let bar = first.at / score.metre.bar() + 1;
            let lowest = first.notes[0].pitch.midi().rem_euclid(12);
            assert_eq!(lowest, foot(stay), "{name}, bar {bar}: {:?}", first.notes);
            met += 1;
        }
    });
    assert!(met > 5000, "{met}");
}

/// Each bar begins anew: whatever the hand plays in it, it strikes its first note there and holds none
/// over from the bar before.
#[test]
fn a_bass_strikes_on_one_of_every_bar() {
    let mut met = 0;
    each_own(|name, _, _, score| {
        for (index, bar) in score.bars.iter().enumerate() {
            let Some(first) = bar.staves[Hand::Left].events.first() else { continue };
            assert!(!first.is_tied_in(), "{name}, bar {}", index + 1);
            met += usize::from(!first.is_rest());
        }
    });
    assert!(met > 4000, "{met}");
}

/// Whether the bass of a chord is a step from the one before it, or the same, by its name.
fn is_step(pair: &[Stay]) -> bool {
    let apart = (foot(&pair[1]) - foot(&pair[0])).rem_euclid(12);
    apart <= 2 || apart >= 10
}

/// How many pairs of chords have basses a step apart, and which of these the hand plays otherwise.
fn broken_steps(name: &str, stays: &[Stay], score: &Score) -> (usize, Vec<String>) {
    let struck = struck(score);
    let at = |stay: &Stay| struck.iter().find(|it| it.at == stay.at);
    let (mut met, mut broken) = (0, Vec::new());
    for pair in stays.windows(2).filter(|pair| is_step(pair)) {
        let (Some(one), Some(next)) = (at(&pair[0]), at(&pair[1])) else { continue };
        let [one, next] = [one, next].map(|event| event.notes[0].pitch);
        met += 1;
        if one.midi().abs_diff(next.midi()) > 2 {
            broken
                .push(format!("{name}, bar {}: {one} {next}", pair[1].at / score.metre.bar() + 1));
        }
    }
    (met, broken)
}

/// A bass in two that falls by step stays in step, wherever it begins and whatever the key, and keeps
/// between G1 and G3, where a bass of the left hand lies.
#[test]
fn a_bass_that_falls_by_step_is_not_broken_by_a_seventh() {
    let mut met = 0;
    for (from, first) in ROOTS.iter().enumerate() {
        for falls in [&[1, 2, 3, 4, 5][..], &[2, 3, 5, 7, 8], &[2, 4, 5, 7]] {
            let chart = Chart::parse(&falling(from, falls), "own").unwrap();
            let drill = own_drill(&chart, "two-feel");
            for key in Key::ring(drill.mode) {
                let own = exercise(&drill, &[key], 100);
                let harmony = own.drill();
                let score = own.score(&harmony, own.keys[0]);
                let stays: Vec<Stay> = harmony.stays(own.keys[0]).collect();
                let name = format!("from {first} in {key}");
                let (steps, broken) = broken_steps(&name, &stays[1..stays.len() - 1], &score);
                assert!(broken.is_empty(), "{broken:#?}");
                met += steps;
                for event in struck(&score) {
                    let pitch = event.notes[0].pitch;
                    assert!((31..=55).contains(&pitch.midi()), "{name}: {pitch}");
                }
            }
        }
    }
    assert!(met > 1000, "{met}");
}

/// Over our tunes, a bass in two goes by step wherever the basses of its chords do.
#[test]
fn a_bass_in_two_goes_by_step_where_its_chords_do() {
    let (mut met, mut broken) = (0, Vec::new());
    each_own(|name, _, stays, score| {
        if name.contains("two-feel") {
            let (steps, own) = broken_steps(name, stays, score);
            met += steps;
            broken.extend(own);
        }
    });
    assert!(met > 500 && broken.is_empty(), "{} of {met}: {broken:#?}", broken.len());
}

/// A bass in two that goes nowhere else ends on the root of the last chord, held through the last bar.
#[test]
fn a_bass_in_two_rests_on_the_last_root() {
    let mut met = 0;
    each_own(|name, drill, stays, score| {
        let form = &drill.passages[drill.passages.len() - 1].form;
        if form.ends_repeat() || form.way_on.is_some() || name.contains("walking") {
            return;
        }
        let (bar, last) = (score.metre.bar(), stays[stays.len() - 1]);
        let begins = last.at.max((last.end - 1) / bar * bar);
        let own: Vec<&Event> = struck(score).into_iter().filter(|it| it.at >= begins).collect();
        let is_silent = own.is_empty();
        assert!(is_silent || own.len() == 1 && own[0].at == begins, "{name}: {own:?}");
        met += usize::from(!is_silent);
    });
    assert!(met > 50, "{met}");
}
