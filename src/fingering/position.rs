//! Fingers for notes that lie under one hand at once.

use super::rules::{
    Cost, Key, Rules, THREE_FOUR_FIVE, THUMB_ON_BLACK, WEAK_FINGER, WHITE_NEIGHBOUR,
};
use super::ways::{Way, beyond, ways};

/// The ways to cover rising keys with one position, each with its cost, the best first; none where
/// they are beyond the hand or the given fingers, each with the place of its key, leave no way.
pub(super) fn ways_by_cost(rules: &Rules, keys: &[Key], fixed: &[(usize, u8)]) -> Vec<(Way, Cost)> {
    let possible = ways(keys.len())
        .iter()
        .filter(|way| fixed.iter().all(|(place, finger)| way[*place] == *finger))
        .filter(|way| beyond(rules.size, keys, way) == 0);
    let mut ways: Vec<(Way, Cost)> = possible.map(|way| (*way, cost(rules, keys, way))).collect();
    ways.sort_by_key(|(_, cost)| *cost);
    ways
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
    use super::super::hand::{HandSize, Measure};
    use super::super::rules::FINGERS;
    use super::*;
    use crate::score::Hand;
    use crate::theory::{NoteName, Pitch};

    #[test]
    fn a_stretch_beyond_the_hand_has_no_fingers() {
        let pitch = |name, octave| Pitch::new(NoteName::parse(name).unwrap(), octave);
        let keys = [pitch("C", 3), pitch("F", 4)].map(|pitch| Key::of(Hand::Right, pitch));
        let rules = Rules::of(HandSize::Medium, Measure::Semitones);
        assert_eq!(ways_by_cost(rules, &keys, &[]), []);
        assert_eq!(ways_by_cost(rules, &keys[..1], &[]).len(), FINGERS);
    }
}
