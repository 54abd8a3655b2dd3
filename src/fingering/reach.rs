//! Whether a hand can hold a chord.

use super::grips::{beyond, comfortable, grips};
use super::hand::HandSize;
use super::rules::{FINGERS, Lever};
use crate::score::Hand;
use crate::theory::Pitch;

/// How far a chord stretches a hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reach {
    /// Every two of its notes are within comfort for some fingers.
    Comfortable,
    /// It can be held, but not in comfort.
    Stretched,
    /// It cannot be held: it wants another voicing, or to be rolled.
    Beyond,
}

/// How far the notes of a chord, in any order, stretch a hand of a size.
///
/// The limits are those of Balliauw et al. 2017 for the size (see [`HandSize`]); a chord of more
/// than five notes is beyond any hand.
pub fn reach(hand: Hand, pitches: &[Pitch], size: HandSize) -> Reach {
    let mut levers = [Lever::default(); FINGERS];
    let mut count = 0;
    for pitch in pitches {
        let lever = Lever::of(hand, *pitch);
        if levers[..count].contains(&lever) {
            continue;
        }
        if count == FINGERS {
            return Reach::Beyond;
        }
        levers[count] = lever;
        count += 1;
    }
    let levers = &mut levers[..count];
    levers.sort_unstable_by_key(|lever| lever.semitones);
    if grips(count).iter().any(|grip| comfortable(size, levers, grip)) {
        Reach::Comfortable
    } else if grips(count).iter().any(|grip| beyond(size, levers, grip) == 0) {
        Reach::Stretched
    } else {
        Reach::Beyond
    }
}
