//! Where figures meet, and where runs end, in every drill, key and hand, and in random figures.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use quintfall::fingering::HandSpans;
use quintfall::score::{Hand, QUARTER};

use crate::library::{Found, Line, Struck, add, is_black, lines, told};
use crate::lines::{Line as Written, pitch};

/// Semitones of a step, and of the widest step or third within a run.
const STEP: i32 = 2;
const THIRD: i32 = 4;

/// How often in the library fingers may cross over a step (ours): after a ninth whose only white key is
/// its lowest, so that no thumb passes in it.
const MAY_CROSS_STEP: usize = 1;
/// How often in the library fingers may gather over a step where figures meet, and a key that is
/// struck again change its finger (ours): where the next figure begins elsewhere.
const MAY_GATHER: usize = 55;
const MAY_CHANGE: usize = 100;

/// A key as it lies from the thumb's side.
fn outward(hand: Hand, key: i32) -> i32 {
    if hand == Hand::Right { key } else { -key }
}

/// Whether fingers meet crossed: not in the order of their keys, unless the thumb passes below the
/// second, third or fourth finger, or one of these over it.
pub(crate) fn crosses(hand: Hand, from: (i32, u8), to: (i32, u8)) -> bool {
    let rise = outward(hand, to.0) - outward(hand, from.0);
    let climb = i32::from(to.1) - i32::from(from.1);
    let passes = from.1.min(to.1) == 1 && from.1.max(to.1) < 5;
    rise != 0 && climb != 0 && (rise > 0) != (climb > 0) && !passes
}

/// The last note of each figure and the first of the next, which follows it at once.
fn meetings<'a>(figures: &[&'a [Struck]]) -> Vec<[&'a Struck; 2]> {
    let meeting = |pair: &[&'a [Struck]]| {
        let [from, to] = [pair[0].last()?, pair[1].first()?];
        let is_single = from.notes.len() == 1 && to.notes.len() == 1;
        (is_single && from.end == to.at).then_some([from, to])
    };
    figures.windows(2).filter_map(meeting).collect()
}

/// No fifth finger leads to a thumb a step further out, nor any finger over another but the thumb.
#[test]
fn no_fingers_cross_over_a_step_where_figures_meet() {
    let mut found = Found::new();
    let mut count = 0;
    for line in lines() {
        for [from, to] in meetings(&line.figures()) {
            count += 1;
            let [one, other] = [from.notes[0], to.notes[0]];
            if (other.0 - one.0).abs() <= STEP && crosses(line.hand, one, other) {
                add(&mut found, &line, to.at, &format!("{one:?} {other:?}"));
            }
        }
    }
    println!("{count} meetings");
    assert!(count > 0);
    assert!(told("cross over a step", &found) <= MAY_CROSS_STEP);
}

/// Where figures meet over a step or a third.
#[test]
fn no_fingers_cross_over_a_third_where_figures_meet() {
    let mut found = Found::new();
    for line in lines() {
        for [from, to] in meetings(&line.figures()) {
            let [one, other] = [from.notes[0], to.notes[0]];
            let span = (other.0 - one.0).abs();
            if (STEP + 1..=THIRD).contains(&span) && crosses(line.hand, one, other) {
                add(&mut found, &line, to.at, &format!("{one:?} {other:?}"));
            }
        }
    }
    assert_eq!(told("cross over a third", &found), 0);
}

/// Over a step fingers lie side by side: the right hand seldom gathers two fingers or more between,
/// nor changes the finger of a key that is struck again.
#[test]
fn few_hands_gather_where_figures_meet() {
    let (mut gathered, mut changed) = (Found::new(), Found::new());
    for line in lines().into_iter().filter(|line| line.hand == Hand::Right) {
        for [from, to] in meetings(&line.figures()) {
            let [one, other] = [from.notes[0], to.notes[0]];
            let told = format!("{one:?} {other:?}");
            let apart = one.1.abs_diff(other.1);
            let span = (other.0 - one.0).abs();
            if span == 0 && apart > 0 {
                add(&mut changed, &line, to.at, &told);
            } else if (1..=STEP).contains(&span) && apart > 2 && !crosses(line.hand, one, other) {
                add(&mut gathered, &line, to.at, &told);
            }
        }
    }
    assert!(told("gather over a step", &gathered) <= MAY_GATHER);
    assert!(told("change the finger of a key", &changed) <= MAY_CHANGE);
}

/// Small figures as pianists join them (common practice, no source): what comes next lies under the
/// hand, and a key that is struck again keeps its finger.
#[test]
fn figures_lead_to_one_another() {
    let joined: [(&[&[i32]], &str); 5] = [
        (&[&[60, 64, 67, 64], &[64]], "1353 3"),
        (&[&[67, 65, 64, 62], &[60]], "5432 1"),
        (&[&[60, 62, 64, 65, 67], &[65]], "12345 4"),
        (&[&[64, 67, 69, 72, 67, 69, 72, 74], &[72]], "12342345 4"),
        (
            &[
                &[77, 75, 72, 69],
                &[60, 64, 67, 70],
                &[72, 67, 64],
                &[67, 71, 74, 77],
                &[77, 75, 72, 69],
                &[60, 64, 67, 64],
                &[64],
            ],
            "5432 1234 532 1235 5432 1353 3",
        ),
    ];
    for (figures, expected) in joined {
        let written: Vec<Vec<_>> =
            figures.iter().map(|keys| keys.iter().map(|key| pitch(*key)).collect()).collect();
        let digits = Written::figures(&written).digits(Hand::Right);
        assert_eq!(digits, expected.replace(' ', ""), "{figures:?}");
    }
}

/// The notes that go outward from a place of a line, by steps and thirds and without a rest.
fn run(line: &Line, from: usize) -> &[Struck] {
    let goes_on = |pair: &&[Struck]| {
        let [Some(one), Some(other)] = [pair[0].alone(), pair[1].alone()] else { return false };
        let rise = outward(line.hand, other.0) - outward(line.hand, one.0);
        pair[0].end == pair[1].at && (1..=THIRD).contains(&rise)
    };
    let count = line.struck[from..].windows(2).take_while(goes_on).count();
    &line.struck[from..=from + count]
}

/// A run that turns round or ends takes the fifth finger for its last note rather than a thumb that
/// passes, unless the line leaps on outward from there; so it does where one note more follows, if a white key lies so that the thumb can
/// begin the last five there.
#[test]
fn no_thumb_passes_for_the_last_notes_of_a_run() {
    let mut found = Found::new();
    let mut without_choice = Found::new();
    let mut count = 0;
    for line in lines() {
        let mut from = 0;
        while from < line.struck.len() {
            let run = run(&line, from);
            from += run.len();
            let leaps = |to: &Struck| {
                let last = &run[run.len() - 1];
                let keys = last.alone().zip(to.alone()).filter(|_| last.end == to.at);
                let rise = |((a, _), (b, _))| outward(line.hand, b) - outward(line.hand, a);
                keys.map(rise).is_some_and(|rise| (THIRD + 1..12).contains(&rise))
            };
            let leaps_on = line.struck.get(from).is_some_and(leaps);
            if run.len() < 3 {
                continue;
            }
            count += 1;
            let notes: Vec<(i32, u8)> = run.iter().filter_map(Struck::alone).collect();
            for left in [1, 2] {
                let at = notes.len() - left;
                let is_pass = notes[at].1 == 1 && notes[at - 1].1 > 1 && notes[at - 1].1 < 5;
                // After a note of two beats the hand is moved.
                let before = &run[at - 1];
                if before.end - before.at >= 2 * QUARTER {
                    continue;
                }
                // What the figure has by itself it has everywhere.
                if !is_pass || left == 1 && leaps_on || left == 2 && !run[at + 1].begins {
                    continue;
                }
                let thumbs = notes.len().saturating_sub(5)..at;
                let has_choice = left == 1 || thumbs.into_iter().any(|at| !is_black(notes[at].0));
                let found = if has_choice { &mut found } else { &mut without_choice };
                add(found, &line, run[at].at, &format!("{notes:?}"));
            }
        }
    }
    println!("{count} runs");
    assert!(count > 0);
    told("pass the thumb late, as black keys have it", &without_choice);
    assert_eq!(told("pass the thumb for their last notes", &found), 0);
}

/// How often a finger may cross over the thumb for one note by itself (ours): after a ninth, of which
/// no finger is left.
const MAY_CROSS_LAST: usize = 12;

/// A line that ends, rests or turns on one note by itself comes there with its five fingers over the
/// keys: no finger crosses over the thumb for it.
#[test]
fn no_finger_crosses_over_the_thumb_for_one_last_note() {
    let mut found = Found::new();
    let mut count = 0;
    for line in lines() {
        let figures = line.figures();
        for (place, pair) in figures.windows(2).enumerate() {
            let ([_, .., from], [to]) = (pair[0], pair[1]) else { continue };
            let (Some(one), Some(other)) = (from.alone(), to.alone()) else { continue };
            let falls = |from: i32, to: i32| {
                (1..=THIRD).contains(&(outward(line.hand, from) - outward(line.hand, to)))
            };
            let next = figures.get(place + 2).map(|next| &next[0]);
            let next = next.filter(|next| next.at == to.end).and_then(Struck::alone);
            let goes_on = next.is_some_and(|next| falls(other.0, next.0));
            if from.end != to.at || !falls(one.0, other.0) || goes_on {
                continue;
            }
            count += 1;
            if one.1 == 1 {
                add(&mut found, &line, to.at, &format!("{one:?} {other:?}"));
            }
        }
    }
    println!("{count} last notes");
    assert!(count > 0);
    assert!(told("cross over the thumb for one last note", &found) <= MAY_CROSS_LAST);
}

/// A figure: where it begins, and how far above that its other notes lie.
fn figures() -> impl Strategy<Value = Vec<Vec<i32>>> {
    let steps = prop_oneof![Just(2), Just(1), Just(3), Just(4)];
    let figure = (vec(steps, 1..4), any::<bool>()).prop_map(|(steps, is_down)| {
        let mut keys = vec![0];
        for step in steps {
            keys.push(keys[keys.len() - 1] + step);
        }
        if is_down {
            keys.reverse();
        }
        keys
    });
    (60..72_i32, vec((figure, -4..=4_i32), 1..10)).prop_map(|(first, figures)| {
        let mut last = first;
        let mut line = Vec::new();
        for (figure, step) in figures {
            let step = if (48..90).contains(&(last + step)) { step } else { -step };
            let begin = last + step - figure[0];
            line.push(figure.iter().map(|key| begin + key).collect::<Vec<i32>>());
            last = begin + figure[figure.len() - 1];
        }
        line
    })
}

/// How many of the random lines may cross all the same: where every other way has one finger on
/// two keys (ours).
const MAY_CROSS: usize = 3;

/// Random figures that all lie under the hand meet in the order of their fingers, or over the thumb;
/// the same figures each time.
#[test]
fn random_figures_do_not_meet_crossed() {
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let mut crossed = 0;
    for _ in 0..600 {
        let tree = (figures(), 0..2_usize).new_tree(&mut runner).expect("figures can be made");
        let (figures, hand) = tree.current();
        let hand = Hand::BOTH[hand];
        let written: Vec<Vec<_>> =
            figures.iter().map(|keys| keys.iter().map(|key| pitch(*key)).collect()).collect();
        let line = Written::figures(&written);
        let fingers = line.solve(hand, HandSpans::default()).fingers.concat();
        let keys = figures.concat();
        let meets_crossed = |(at, begins): (usize, &bool)| {
            let [one, other] = [at - 1, at].map(|at| (keys[at], fingers[at]));
            let is_step = (other.0 - one.0).abs() <= STEP;
            *begins && is_step && crosses(hand, one, other)
        };
        crossed += usize::from(line.figures.iter().enumerate().skip(1).any(meets_crossed));
    }
    println!("{crossed} of 600 random lines cross");
    assert!(crossed <= MAY_CROSS, "{crossed}");
}

/// Semitones of a sixth: fingers from the second to the fifth lie on no more without a stretch (Parncutt et
/// al. 1997: the comfortable span of the pair is eight).
const WITHOUT_THUMB: i32 = 8;

/// Four notes that go one way over more than a sixth, and are a figure by themselves, have the thumb where the
/// hand has time to move there: at the beginning, and after a rest or a half note.
#[test]
fn a_broken_seventh_has_the_thumb_where_there_is_time() {
    let (mut found, mut all) = (Found::new(), 0);
    for line in lines() {
        let figures = line.figures();
        for (place, figure) in figures.iter().enumerate().filter(|(_, it)| it.len() == 4) {
            let last = place.checked_sub(1).and_then(|before| figures[before].last());
            let has_time = last.is_none_or(|last| figure[0].at - last.at >= 2 * QUARTER);
            let notes: Option<Vec<(i32, u8)>> = figure.iter().map(Struck::alone).collect();
            let Some(notes) = notes.filter(|_| has_time) else { continue };
            let goes = |way: i32| notes.windows(2).all(|pair| way * (pair[1].0 - pair[0].0) > 0);
            let span = (notes[3].0 - notes[0].0).abs();
            if !goes(1) && !goes(-1) || span <= WITHOUT_THUMB {
                continue;
            }
            all += 1;
            if notes.iter().all(|(_, finger)| *finger > 1) {
                add(&mut found, &line, figure[0].at, &format!("{notes:?}"));
            }
        }
    }
    let without = told("broken sevenths without the thumb", &found);
    assert!(without == 0 && all > 100, "{without} of {all}");
}
