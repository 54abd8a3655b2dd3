//! Walking lines over the tunes that come with the program, in every key.

use quintfall::chart::{Chart, demos};
use quintfall::score::{Stay, Ticks};
use quintfall::sound::{Groove, Options, Part, play_tune};
use quintfall::theory::{Key, Mode};

use crate::accompanied::{about, is_a_bass, line, stays, walks};
use crate::with;

/// How often each tune is played.
const CHORUSES: usize = 2;

/// A line over a tune in a key: strokes by tick.
type Walked = Vec<(Ticks, u8)>;

/// Every tune of ours in all keys of its mode, with the line that walks over it.
fn each_line(mut check: impl FnMut(&str, &Chart, &[Stay], &Walked)) {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let home = chart.key.unwrap_or_else(|| Key::ring(mode)[0]);
        for (turn, key) in Key::ring(mode).into_iter().enumerate() {
            let moved = chart.transposed(home, key);
            let tune = moved.unfolded();
            let options = Options {
                groove: Some(Groove::Walking),
                choruses: CHORUSES,
                seed: turn as u64,
                count_in: 0,
                ..with(&[Part::Bass])
            };
            let played =
                play_tune(&[(tune.clone(), Some(key))], &about(chart.feel), 120, &options).unwrap();
            let stays = stays(&tune, CHORUSES);
            let name = format!("{name} in {key}");
            let line = line(&played, 0);
            is_a_bass(&name, tune.metre, &stays, &line);
            walks(&name, tune.metre, &stays, &line);
            let line: Walked = line.iter().map(|(at, stroke)| (*at, stroke.pitch)).collect();
            check(&name, &moved, &stays, &line);
        }
    }
}

#[test]
fn the_bass_keeps_its_laws_over_all_tunes_in_all_keys() {
    let mut notes = 0;
    each_line(|_, _, _, line| notes += line.len());
    assert!(notes > 10_000, "{notes}");
}

/// Each chorus begins with the root, or the bass in its place, and no chord has the third of another
/// kind right after its root.
#[test]
fn choruses_begin_at_the_root_and_no_chord_is_made_another() {
    let mut thirds = 0;
    each_line(|name, chart, stays, line| {
        let chorus = chart.metre.bar() * chart.unfolded().bars as Ticks;
        for (at, pitch) in line.iter().filter(|(at, _)| at % chorus == 0) {
            let stay = stays.iter().find(|stay| stay.at == *at).unwrap();
            let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
            assert_eq!((i32::from(*pitch) - foot).rem_euclid(12), 0, "{name}: the top at {at}");
        }
        for stay in stays {
            let mut own = line.iter().filter(|(at, _)| (stay.at..stay.end).contains(at));
            let (Some((_, first)), Some((at, second))) = (own.next(), own.next()) else { continue };
            let foot = stay.chord.bass.unwrap_or(stay.chord.root).pitch_class();
            if (i32::from(*first) - foot).rem_euclid(12) != 0 {
                continue;
            }
            let above = (i32::from(*second) - stay.chord.root.pitch_class()).rem_euclid(12);
            let Some(third) = stay.chord.kind.frame()[1] else { continue };
            thirds += 1;
            let is_tone = stay
                .chord
                .notes()
                .any(|it| (i32::from(*second) - it.pitch_class()).rem_euclid(12) == 0);
            let other = if third.semitones == 4 { 3 } else { 4 };
            let is_other = above == other && !is_tone;
            assert!(!is_other, "{name}: {above} over the root of {:?} at {at}", stay.chord);
        }
    });
    assert!(thirds > 2000, "{thirds}");
}

/// Two bars that come at once again are played otherwise, and a tune does not begin each chorus
/// alike: of all bars of a tune few have the very notes of the bar two before them.
#[test]
fn lines_over_tunes_are_seldom_the_same_again() {
    let (mut pairs, mut same) = (0, 0);
    each_line(|_, chart, _, line| {
        let bar = chart.metre.bar();
        let last = line.last().map_or(0, |(at, _)| at / bar);
        let bars: Vec<Vec<u8>> = (0..=last)
            .map(|index| {
                let own = line.iter().filter(|(at, _)| at / bar == index);
                own.map(|(_, pitch)| *pitch).collect()
            })
            .collect();
        for four in bars.windows(4).filter(|four| four.iter().all(|bar| bar.len() > 2)) {
            pairs += 1;
            same += usize::from(four[..2] == four[2..]);
        }
    });
    println!("{same} of {pairs} pairs of bars are those before them");
    assert!(pairs > 2000 && same * 100 <= pairs, "{same} of {pairs}");
}

/// Between the notes of a bar a line goes by step, or from one tone of the chord to another: what
/// is not of the chord is leapt to seldom.
#[test]
fn leaps_are_between_tones_of_the_chord() {
    let (mut leaps, mut beside) = (0, 0);
    each_line(|_, _, stays, line| {
        for pair in line.windows(2) {
            let chord = |at: Ticks| stays.iter().position(|it| (it.at..it.end).contains(&at));
            let (Some(one), Some(other)) = (chord(pair[0].0), chord(pair[1].0)) else { continue };
            if one != other || pair[0].1.abs_diff(pair[1].1) < 3 {
                continue;
            }
            let chord = stays[one].chord;
            let tones: Vec<i32> =
                chord.notes().chain(chord.bass).map(|it| it.pitch_class()).collect();
            leaps += 1;
            let is_tone =
                |pitch: u8| tones.iter().any(|it| (i32::from(pitch) - it).rem_euclid(12) == 0);
            // The note that leads into the next chord may be leapt to.
            let leads = stays[one].end - pair[1].0 <= pair[1].0 - pair[0].0;
            beside += usize::from(!(leads || is_tone(pair[0].1) && is_tone(pair[1].1)));
        }
    });
    println!("{beside} of {leaps} leaps are to or from other notes");
    assert!(leaps > 1000 && beside * 100 <= 3 * leaps, "{beside} of {leaps}");
}
