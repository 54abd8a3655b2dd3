//! Whether a hand can hold a chord.

use super::hand::HandSize;
use super::rules::{FINGERS, Key};
use super::ways::{beyond, comfortable, ways};
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
    let mut keys = [Key::default(); FINGERS];
    let mut count = 0;
    for pitch in pitches {
        let key = Key::of(hand, *pitch);
        if keys[..count].contains(&key) {
            continue;
        }
        if count == FINGERS {
            return Reach::Beyond;
        }
        keys[count] = key;
        count += 1;
    }
    let keys = &mut keys[..count];
    keys.sort_unstable_by_key(|key| key.semitones);
    if ways(count).iter().any(|way| comfortable(size, keys, way)) {
        Reach::Comfortable
    } else if ways(count).iter().any(|way| beyond(size, keys, way) == 0) {
        Reach::Stretched
    } else {
        Reach::Beyond
    }
}
