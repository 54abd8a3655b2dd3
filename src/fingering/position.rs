//! Fingers for notes that lie under one hand at once.

use super::hand::{HandSize, Measure};
use super::rules::{
    Cost, FINGERS, Key, Rules, THREE_FOUR_FIVE, THUMB_ON_BLACK, WEAK_FINGER, WHITE_NEIGHBOUR,
};
use super::ways::{Way, beyond, ways};
use crate::score::Hand;
use crate::theory::Pitch;

/// The best fingers for one to five rising pitches that the hand covers without crossing, or
/// `None` where no hand of ordinary size can.
///
/// Ties go to the choice that uses the lower fingers, as handbooks do.
pub fn one_position(hand: Hand, pitches: &[Pitch]) -> Option<Vec<u8>> {
    if pitches.len() > FINGERS {
        return None;
    }
    let mut keys: Vec<Key> = pitches.iter().map(|pitch| Key::of(hand, *pitch)).collect();
    keys.sort_by_key(|key| key.semitones);
    let best = best_way(Rules::of(HandSize::Medium, Measure::Semitones), &keys, &[])?;
    let mut fingers: Vec<u8> = best[..keys.len()].iter().map(|finger| finger + 1).collect();
    if hand == Hand::Left {
        fingers.reverse();
    }
    Some(fingers)
}

/// The best way to cover rising keys with one position, or `None` where they are beyond the hand
/// or the given fingers, each with the place of its key, leave no way.
pub(super) fn best_way(rules: &Rules, keys: &[Key], fixed: &[(usize, u8)]) -> Option<Way> {
    ways(keys.len())
        .iter()
        .filter(|way| fixed.iter().all(|(place, finger)| way[*place] == *finger))
        .filter(|way| beyond(rules.size, keys, way) == 0)
        .min_by_key(|way| cost(rules, keys, way))
        .copied()
}

/// The cost of playing the keys one after another, from the thumb outward. There is no change of
/// position in it, and the thumb passes nothing.
fn cost(rules: &Rules, keys: &[Key], way: &Way) -> Cost {
    let mut total = 0;
    for (place, key) in keys.iter().enumerate() {
        let finger = usize::from(way[place]);
        if let Some(next) = keys.get(place + 1) {
            total += rules.ease(*key, *next, (finger, usize::from(way[place + 1])));
        }
        let before = place.checked_sub(1).map(|before| &keys[before]);
        let neighbours = before.into_iter().chain(keys.get(place + 1));
        let white = neighbours.filter(|key| !key.black).count() as Cost * WHITE_NEIGHBOUR;
        total += match finger {
            0 if key.black => THUMB_ON_BLACK + white,
            3 => WEAK_FINGER,
            4 if key.black => WEAK_FINGER + white,
            4 => WEAK_FINGER,
            _ => 0,
        };
    }
    let weakest = way[..keys.len()].windows(3).filter(|three| three[0] >= 2).count();
    total + weakest as Cost * THREE_FOUR_FIVE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Key, NoteName, Quality, SeventhChord};

    /// One octave, one hand, no crossing.
    ///
    /// Source: the 1997 model of Parncutt et al., computed for all twelve roots outside this
    /// project; the same digits are the usual teaching (common practice, no source).
    const ONE_OCTAVE: [(Quality, [u8; 4], [u8; 4]); 7] = [
        (Quality::MajorSeventh, [1, 2, 3, 5], [5, 3, 2, 1]),
        (Quality::Dominant, [1, 2, 3, 5], [5, 3, 2, 1]),
        (Quality::HalfDiminished, [1, 2, 3, 5], [5, 3, 2, 1]),
        (Quality::DiminishedSeventh, [1, 2, 3, 5], [5, 3, 2, 1]),
        (Quality::MinorSeventh, [1, 2, 4, 5], [5, 4, 2, 1]),
        (Quality::MinorMajorSeventh, [1, 2, 3, 5], [5, 4, 2, 1]),
        (Quality::AugmentedMajorSeventh, [1, 2, 4, 5], [5, 3, 2, 1]),
    ];

    #[test]
    fn the_one_octave_table_holds_on_every_root() {
        let roots: Vec<NoteName> = Key::majors().map(Key::tonic).collect();
        for (quality, right, left) in ONE_OCTAVE {
            for root in &roots {
                let chord = SeventhChord { root: *root, quality };
                let bottom = Pitch::new(*root, 3);
                let pitches = [0, 1, 2, 3].map(|tone| bottom.up(chord.tone_interval(tone)));
                let fingers = |hand| one_position(hand, &pitches);
                assert_eq!(fingers(Hand::Right).as_deref(), Some(&right[..]), "{root} {quality:?}");
                assert_eq!(fingers(Hand::Left).as_deref(), Some(&left[..]), "{root} {quality:?}");
            }
        }
    }

    #[test]
    fn a_stretch_beyond_the_hand_has_no_fingers() {
        let bottom = Pitch::new(NoteName::parse("C").unwrap(), 3);
        let top = Pitch::new(NoteName::parse("F").unwrap(), 4);
        assert_eq!(one_position(Hand::Right, &[bottom, top]), None);
    }
}
