//! Basses of two notes a bar: those that a hand has on paper, and what is played in their place.

use quintfall::drill::Template;
use quintfall::score::{Event, Hand, Stay, Ticks};
use quintfall::sound::{Part, play_drill};
use quintfall::theory::Key;

use crate::accompanied::line;
use crate::charts::Walked;
use crate::{drills, exercise, with};

fn foot(stay: &Stay) -> i32 {
    stay.chord.bass.unwrap_or(stay.chord.root).pitch_class().rem_euclid(12)
}

/// Every drill whose left hand has nothing but single notes, of two beats or more but for a few, from the
/// root of each chord: the chords, and the notes by tick.
fn each_in_two(mut check: impl FnMut(&Template, Key, &[Stay], &Walked)) {
    for drill in drills() {
        let key = Key::ring(drill.mode)[0];
        let own = exercise(&drill, &[key], 120);
        let harmony = own.drill();
        let score = own.score(&harmony, own.keys[0]);
        let stays: Vec<Stay> = harmony.stays(own.keys[0]).collect();
        let events = score.bars.iter().flat_map(|bar| &bar.staves[Hand::Left].events);
        let struck: Vec<&Event> = events.filter(|event| !event.notes.is_empty()).collect();
        let is_alone = struck.iter().all(|event| event.notes.len() == 1);
        let beat = drill.metre.felt_beat();
        let long = struck.iter().filter(|event| event.value.ticks() >= 2 * beat).count();
        let line: Walked =
            struck.iter().map(|event| (event.at, event.notes[0].pitch.midi() as u8)).collect();
        let has_root = |stay: &Stay| {
            let first = line.iter().find(|it| it.0 >= stay.at);
            first.is_some_and(|it| i32::from(it.1) % 12 == foot(stay))
        };
        let is_bass = is_alone && stays.iter().all(has_root);
        if is_bass && 4 * long >= 3 * struck.len() && struck.len() > score.bars.len() * 3 / 2 {
            check(&drill, own.keys[0], &stays, &line);
        }
    }
}

/// Where the second note of a chord is what the next one rests on, it is struck twice: never so in two
/// chords running (common practice, no source).
#[test]
fn a_hand_in_two_seldom_gives_the_next_root_away() {
    let (mut met, mut faults) = (0, Vec::new());
    each_in_two(|drill, _, stays, line| {
        let is_given_away = |pair: &[Stay]| {
            let own = line.iter().filter(|(at, _)| (pair[0].at..pair[0].end).contains(at));
            let own: Vec<i32> = own.map(|it| i32::from(it.1) % 12).collect();
            foot(&pair[0]) != foot(&pair[1]) && own.len() > 1 && own.last() == Some(&foot(&pair[1]))
        };
        for three in stays.windows(3) {
            met += 1;
            if three.windows(2).all(is_given_away) {
                let bar = three[0].at / drill.metre.bar() + 1;
                faults.push(format!("{}, bar {bar}", drill.name));
            }
        }
    });
    assert!(met > 10 && faults.is_empty(), "{} of {met}: {faults:#?}", faults.len());
}

/// A bass that plays in place of a hand in two plays in two as well.
#[test]
fn what_plays_for_a_hand_in_two_is_in_two() {
    let mut met = 0;
    each_in_two(|drill, key, _, _| {
        let options = quintfall::sound::TrackOptions { count_in: 0, ..with(&[Part::Bass]) };
        let played = play_drill(&exercise(drill, &[key], 120), 120, &options).unwrap();
        let own = line(&played, 0);
        let (bar, beat) = (drill.metre.bar(), drill.metre.felt_beat());
        let name = format!("{} in {key}", drill.name);
        let weak = |at: &Ticks| at % bar == beat;
        assert!(own.iter().all(|(at, _)| !weak(at)), "{name}: on two");
        // Two notes a bar, and here and there one that leads on.
        let bars = own.last().map_or(0, |(at, _)| at / bar + 1) as usize;
        assert!(own.len() <= 3 * bars, "{name}: {} in {bars} bars", own.len());
        met += 1;
    });
    assert!(met > 0, "{met}");
}
