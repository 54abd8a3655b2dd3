//! What no teacher would have: thumbs below the fifth finger, hands that fold up over a step, a thumb
//! that passes where five fingers lie over the keys; in every drill, key and hand.

use std::collections::BTreeSet;

use quintfall::score::Hand;

use crate::library::{Found, Struck, add, is_black, lines, steps, told};

/// Semitones of a step, and of the widest third.
const STEP: i32 = 2;
const THIRD: i32 = 4;
/// Semitones that a hand covers without moving.
const POSITION: i32 = 11;
/// Keys under five fingers.
const FINGERS: usize = 5;

/// A key as it lies from the thumb's side, and its finger.
fn outward(hand: Hand, struck: &Struck) -> (i32, u8) {
    let (key, finger) = struck.notes[0];
    (if hand == Hand::Right { key } else { -key }, finger)
}

/// How often the library may do what is told below: where every other choice has one finger on two
/// keys or fingers that go against the line, or where the hand leaps to the next figure anyway (ours). A
/// thumb passes too where the line goes on beyond what the fifth finger leads to, a fourth or more.
const MAY_FOLD: usize = 9;
const MAY_PASS_FOR_NOTHING: usize = 35;

#[test]
fn hardly_a_thumb_passes_the_fifth_finger() {
    let mut found = Found::new();
    for line in lines() {
        for (from, to) in steps(&line.struck) {
            let [(a, f), (b, g)] = [from, to].map(|it| outward(line.hand, it));
            let is_near = (b - a).abs() <= if to.begins { THIRD } else { 12 };
            if is_near && [f.min(g), f.max(g)] == [1, 5] && (b > a) != (g > f) {
                add(&mut found, &line, to.at, &format!("{:?} {:?}", from.notes[0], to.notes[0]));
            }
        }
    }
    assert_eq!(told("times the thumb passes the fifth finger", &found), 0);
}

#[test]
fn hardly_a_hand_folds_up_over_a_step() {
    let mut found = Found::new();
    for line in lines() {
        for (from, to) in steps(&line.struck) {
            let [(a, f), (b, g)] = [from, to].map(|it| outward(line.hand, it));
            if (b - a).abs() <= STEP && f.abs_diff(g) > 2 && (b > a) == (g > f) {
                add(&mut found, &line, to.at, &format!("{:?} {:?}", from.notes[0], to.notes[0]));
            }
        }
    }
    assert!(told("times a hand folds up over a step", &found) <= MAY_FOLD);
}

/// Notes that go one way within one position need no thumb to pass, unless it is easy: between a white
/// key of its own and a black one.
#[test]
fn hardly_a_thumb_passes_within_a_position() {
    let mut found = Found::new();
    for line in lines() {
        for figure in line.figures() {
            let joined =
                figure.chunk_by(|a, b| a.end == b.at && a.notes.len() == 1 && b.notes.len() == 1);
            for joined in joined.filter(|joined| joined[0].notes.len() == 1) {
                for run in one_way(line.hand, joined) {
                    let all: Vec<(i32, u8)> = run.iter().map(|it| outward(line.hand, it)).collect();
                    let keys: BTreeSet<i32> = all.iter().map(|(key, _)| *key).collect();
                    let width = keys.last().unwrap_or(&0) - keys.first().unwrap_or(&0);
                    if keys.len() > FINGERS || width > POSITION {
                        continue;
                    }
                    let colour =
                        |key: i32| is_black(if line.hand == Hand::Right { key } else { -key });
                    for pair in all.windows(2) {
                        let [(a, f), (b, g)] = [pair[0], pair[1]];
                        let is_passed = a != b && (b > a) != (g > f) && f.min(g) == 1;
                        let (thumb, other) = if f == 1 { (a, b) } else { (b, a) };
                        let is_easy = !colour(thumb) && colour(other);
                        if is_passed && !is_easy {
                            add(&mut found, &line, run[0].at, &format!("{all:?}"));
                        }
                    }
                }
            }
        }
    }
    assert!(told("times a thumb passes within a position", &found) <= MAY_PASS_FOR_NOTHING);
}

/// The notes of a figure that go one way.
fn one_way(hand: Hand, notes: &[Struck]) -> Vec<Vec<&Struck>> {
    let mut runs: Vec<Vec<&Struck>> = Vec::new();
    let mut run: Vec<&Struck> = Vec::new();
    for note in notes {
        if let [.., before, last] = *run {
            let [a, b, c] = [before, last, note].map(|it| outward(hand, it).0);
            if (b - a).signum() != (c - b).signum() {
                runs.push(std::mem::replace(&mut run, vec![last]));
            }
        }
        run.push(note);
    }
    runs.push(run);
    runs
}

/// How often a note by itself on a black key, between two white ones, may be the thumb's (ours): where
/// fingers would cross, or strike two keys.
const MAY_STAND_BETWEEN: usize = 8;

/// A melody note by note, each a figure of its own, keeps the thumb off the black keys between white
/// ones.
#[test]
fn hardly_a_thumb_stands_on_a_black_key_between_white_ones() {
    let mut found = Found::new();
    let mut count = 0;
    for line in lines() {
        for three in line.figures().windows(3) {
            let joined = three.windows(2).all(|pair| pair[0][0].end == pair[1][0].at);
            let is_single = |figure: &&[Struck]| figure.len() == 1 && figure[0].notes.len() == 1;
            if !joined || !three.iter().all(is_single) {
                continue;
            }
            let black = [0, 1, 2].map(|place| is_black(three[place][0].notes[0].0));
            if black != [false, true, false] {
                continue;
            }
            count += 1;
            let (key, finger) = three[1][0].notes[0];
            if finger == 1 {
                add(&mut found, &line, three[1][0].at, &format!("{key}"));
            }
        }
    }
    println!("{count} black keys between white ones");
    assert!(count > 0);
    assert!(told("of them are the thumb's", &found) <= MAY_STAND_BETWEEN);
}
