//! What a bass does over chords that stay.

use quintfall::chart::{Chart, demos};
use quintfall::score::{Feel, Metre, Stay};
use quintfall::sound::{Groove, Part, TrackOptions, play_tune};
use quintfall::theory::{Key, Mode};

use crate::accompanied::{about, is_a_bass, line, stays, walks};
use crate::charts::{Walked, each_line};
use crate::{strokes, with};

/// Over a chord that stays for many bars a line keeps its laws.
#[test]
fn a_chord_that_stays_is_walked_over() {
    let bars = format!("| Dm11 {}| Ebm11 {}|", "| % ".repeat(15), "| % ".repeat(7));
    let text = format!(
        "title = \"Own\"\nmetre = \"4/4\"\nkey = \"C\"\n[[section]]\nname = \"A\"\nbars = \"{bars}\"\n"
    );
    let chart = Chart::parse(&text, "own").unwrap();
    let tune = chart.unfolded();
    for seed in 0..12 {
        let options = TrackOptions {
            groove: Some(Groove::Walking),
            seed,
            count_in: 0,
            ..with(&[Part::Bass, Part::Comping])
        };
        let tunes = [(tune.clone(), Some("C".parse().unwrap()))];
        let played = play_tune(&tunes, &about(Feel::Swing), 120, &options).unwrap();
        assert!(strokes(&played, Part::Comping).len() > 48, "seed {seed}");
        let mut own = line(&played, 0);
        let (end, _) = own.pop().unwrap();
        let name = format!("seed {seed}");
        let cut = |stay: Stay| Stay { end: stay.end.min(end), ..stay };
        let stays: Vec<Stay> =
            stays(&tune, 1).into_iter().map(cut).filter(|it| it.at < it.end).collect();
        is_a_bass(&name, tune.metre, &stays, &own);
        walks(&name, tune.metre, &stays, &own);
        let own: Walked = own.iter().map(|(at, stroke)| (*at, stroke.pitch)).collect();
        assert_eq!(stale_bars(tune.metre, &stays, &own), (0, 0), "{name}: {own:?}");
    }
}

/// How many bars over a chord that stays are one of the two before them, and how many have no root on
/// one, nor those beside them.
fn stale_bars(metre: Metre, stays: &[Stay], line: &Walked) -> (usize, usize) {
    let bar = metre.bar();
    let foot = |stay: &Stay| stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
    let (mut same, mut rootless) = (0, 0);
    for stay in stays.iter().filter(|stay| stay.at % bar == 0) {
        let starts = (stay.at..stay.end).step_by(bar as usize).filter(|at| at + bar <= stay.end);
        let bars: Vec<Vec<i32>> = starts
            .map(|from| {
                let own = line.iter().filter(|(at, _)| (from..from + bar).contains(at));
                own.map(|(_, pitch)| i32::from(*pitch)).collect()
            })
            .filter(|own: &Vec<i32>| own.len() > 1)
            .collect();
        for (place, own) in bars.iter().enumerate() {
            same += usize::from(bars[place.saturating_sub(2)..place].contains(own));
        }
        let is_rootless = |own: &Vec<i32>| (own[0] - foot(stay)).rem_euclid(12) != 0;
        rootless += bars.windows(2).filter(|two| two.iter().all(is_rootless)).count();
    }
    (same, rootless)
}

/// Over a chord of several bars of a tune hardly a bar is one of the two before it (one in a hundred
/// such chords: bars of two notes have few ways), and every second one begins with the root.
#[test]
fn bars_of_one_chord_are_not_the_same() {
    let (mut same, mut rootless, mut long) = (0, 0, 0);
    each_line(|name, chart, stays, line| {
        let (own, other) = stale_bars(chart.metre, stays, line);
        if own > 0 {
            println!("{name}");
        }
        same += own;
        rootless += other;
        long += stays.iter().filter(|it| it.end - it.at >= 2 * chart.metre.bar()).count();
    });
    println!("{same} the same, {rootless} without a root, {long} long chords");
    assert!(long > 100 && 100 * same <= long && rootless == 0, "{same}, {rootless} of {long}");
}

/// In a bossa the bass rests on root and fifth: any other note, struck ahead of its bar, is heard as
/// the root of a chord that comes too early (common practice, no source).
#[test]
fn a_bossa_rests_on_roots_and_fifths() {
    let (mut met, mut others) = (0, Vec::new());
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        if !Groove::Bossa.fits(chart.metre) {
            continue;
        }
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let home = chart.key.unwrap_or_else(|| Key::ring(mode)[0]);
        for (seed, key) in (0..).zip(Key::ring(mode)) {
            let tune = chart.transposed(home, key).unfolded();
            let options = TrackOptions {
                groove: Some(Groove::Bossa),
                seed,
                count_in: 0,
                ..with(&[Part::Bass])
            };
            let tunes = [(tune.clone(), Some(key))];
            let played = play_tune(&tunes, &about(chart.feel), 120, &options).unwrap();
            let lead = (-tune.changes[0].at).max(0);
            let stays = stays(&tune, 1);
            for (at, stroke) in line(&played, 0) {
                let at = at - lead;
                let Some(stay) = stays.iter().find(|it| (it.at..it.end).contains(&at)) else {
                    continue;
                };
                let own = |steps: i32| {
                    stay.chord.kind.frame().into_iter().flatten().find(|it| it.steps == steps)
                };
                if at % tune.metre.felt_beat() != 0 || own(4).is_none() {
                    continue;
                }
                met += 1;
                let above = i32::from(stroke.pitch) - stay.chord.root.pitch_class();
                let is_fifth = own(4).is_some_and(|it| (above - it.semitones).rem_euclid(12) == 0);
                let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
                let is_foot = (i32::from(stroke.pitch) - foot).rem_euclid(12) == 0;
                if !is_fifth && !is_foot {
                    others.push(format!("{name} in {key}: {} over {:?}", stroke.pitch, stay.chord));
                }
            }
        }
    }
    println!("{} of {met}", others.len());
    assert!(met > 1000 && others.is_empty(), "{} of {met}: {others:#?}", others.len());
}
