//! Running notes: single notes shorter than two beats that lead on at once, within a figure and from
//! one to the next. The hand has no time to be lifted there.

use quintfall::score::{Hand, QUARTER};

use crate::library::{Found, Struck, add, is_black, lines, steps, told};

/// Semitones of the widest third, of a fourth and of an octave.
const THIRD: i32 = 4;
const FOURTH: i32 = 5;
const OCTAVE: i32 = 12;
/// Semitones that the fingers but the thumb hold in comfort (Parncutt et al. 1997, second finger and
/// fifth); over a wider leap the hand moves whatever it does.
const WITHOUT_THUMB: i32 = 8;

/// How often in the library fingers may go against running notes (ours): a step after a ninth whose only
/// white key is its lowest, so that no thumb passes in it.
const MAY_GO_AGAINST: usize = 1;
/// How often neighbouring fingers may stretch (ours): up to a fourth from a figure whose only white key
/// is its lowest, and to a run that the handbook begins with the fourth finger, after a long note.
const MAY_STRETCH: usize = 2;

/// A key as it lies from the thumb's side.
fn outward(hand: Hand, key: i32) -> i32 {
    if hand == Hand::Right { key } else { -key }
}

/// Whether fingers go one way and keys, within an octave, the other. The thumb may pass below the second
/// to the fourth finger, and they over it, up to a third.
fn is_against(hand: Hand, (a, f): (i32, u8), (b, g): (i32, u8)) -> bool {
    let rise = outward(hand, b) - outward(hand, a);
    let passes = f.min(g) == 1 && f.max(g) < 5 && rise.abs() <= THIRD;
    f != g && (1..OCTAVE).contains(&rise.abs()) && (rise > 0) != (g > f) && !passes
}

/// Whether neighbouring fingers, none of them the thumb, lie more than `most` semitones apart; the second
/// and the third hold a fourth.
fn stretches((a, f): (i32, u8), (b, g): (i32, u8), most: i32) -> bool {
    let most = if f.min(g) == 2 { FOURTH } else { most };
    f.abs_diff(g) == 1 && f.min(g) > 1 && (most + 1..=WITHOUT_THUMB).contains(&(b - a).abs())
}

/// Whether two figures had better not meet so: in one finger on two keys, against the line, stretched,
/// gathered over a third, or over a thumb on a black key.
pub(crate) fn meets_badly(hand: Hand, from: (i32, u8), to: (i32, u8)) -> bool {
    let rise = outward(hand, to.0) - outward(hand, from.0);
    let is_near = (1..OCTAVE).contains(&rise.abs());
    let thumb = [from, to].into_iter().find(|(_, finger)| *finger == 1);
    let is_passed = (rise > 0) != (to.1 > from.1) && thumb.is_some_and(|(key, _)| is_black(key));
    is_near
        && (from.1 == to.1
            || is_against(hand, from, to)
            || stretches(from, to, THIRD)
            || from.1.abs_diff(to.1) > 2 && rise.abs() <= THIRD
            || is_passed)
}

/// Neighbouring running notes.
fn running(struck: &[Struck]) -> impl Iterator<Item = (&Struck, &Struck)> {
    steps(struck).filter(|(from, _)| from.end - from.at < 2 * QUARTER)
}

/// Upward the right hand goes to no finger nearer the thumb, but to the thumb over a third at most, and
/// never from the fifth; downward, and in the left hand, as in a mirror.
#[test]
fn running_fingers_go_with_the_line() {
    let mut found = Found::new();
    let mut count = 0;
    for line in lines() {
        for (from, to) in running(&line.struck) {
            count += 1;
            let [one, other] = [from.notes[0], to.notes[0]];
            if is_against(line.hand, one, other) {
                add(&mut found, &line, to.at, &format!("{one:?} {other:?}"));
            }
        }
    }
    println!("{count} running notes");
    assert!(count > 0);
    assert!(told("times fingers go against them", &found) <= MAY_GO_AGAINST);
}

/// The second finger and the third hold a fourth at most, higher ones a major third where figures meet;
/// within a figure the fifth finger may stretch a fourth, as where five keys fill an octave, and so it
/// may from a long note.
#[test]
fn neighbouring_fingers_do_not_stretch() {
    let mut found = Found::new();
    for line in lines() {
        for (from, to) in steps(&line.struck) {
            let [one, other] = [from.notes[0], to.notes[0]];
            let is_long = from.end - from.at >= 2 * QUARTER;
            let is_close = one.1.max(other.1) < 5 || to.begins && !is_long;
            let most = if is_close { THIRD } else { FOURTH };
            if stretches(one, other, most) {
                add(&mut found, &line, to.at, &format!("{one:?} {other:?}"));
            }
        }
    }
    assert!(told("times neighbouring fingers stretch", &found) <= MAY_STRETCH);
}
