//! Whether a hand can hold a chord.

use super::grips::{beyond, comfortable, grips};
use super::hand::HandSize;
use super::rules::{FINGERS, Spot};
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
    let mut spots = [Spot::default(); FINGERS];
    let mut count = 0;
    for pitch in pitches {
        let spot = Spot::of(hand, *pitch);
        if spots[..count].contains(&spot) {
            continue;
        }
        if count == FINGERS {
            return Reach::Beyond;
        }
        spots[count] = spot;
        count += 1;
    }
    let spots = &mut spots[..count];
    spots.sort_unstable_by_key(|spot| spot.semitones);
    if grips(count).iter().any(|grip| comfortable(size, spots, grip)) {
        Reach::Comfortable
    } else if grips(count).iter().any(|grip| beyond(size, spots, grip) == 0) {
        Reach::Stretched
    } else {
        Reach::Beyond
    }
}
