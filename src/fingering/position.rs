//! Fingers for notes that lie under one hand at once.

use super::grips::{Grip, beyond, grips};
use super::rules::{
    Cost, Rules, Spot, THREE_FOUR_FIVE, THUMB_ON_BLACK, WEAK_FINGER, WHITE_NEIGHBOUR,
};

/// The ways to cover rising keys with one position, each with its cost, the best first; none where
/// they are beyond the hand or the given fingers, each with the place of its key, leave no way.
pub(super) fn grips_by_cost(
    rules: &Rules,
    spots: &[Spot],
    fixed: &[(usize, u8)],
) -> Vec<(Grip, Cost)> {
    let possible = grips(spots.len())
        .iter()
        .filter(|grip| fixed.iter().all(|(place, finger)| grip[*place] == *finger))
        .filter(|grip| beyond(rules.size, spots, grip) == 0);
    let mut grips: Vec<(Grip, Cost)> =
        possible.map(|grip| (*grip, cost(rules, spots, grip))).collect();
    grips.sort_by_key(|(_, cost)| *cost);
    grips
}

/// The cost of playing the keys one after another, from the thumb outward. There is no change of
/// position in it, and the thumb passes nothing.
fn cost(rules: &Rules, spots: &[Spot], grip: &Grip) -> Cost {
    let mut total = 0;
    for (place, spot) in spots.iter().enumerate() {
        let finger = usize::from(grip[place]);
        if let Some(next) = spots.get(place + 1) {
            total += rules.ease(*spot, *next, (finger, usize::from(grip[place + 1])));
        }
        let before = place.checked_sub(1).map(|before| &spots[before]);
        let neighbours = before.into_iter().chain(spots.get(place + 1));
        let white = neighbours.filter(|spot| !spot.black).count() as Cost * WHITE_NEIGHBOUR;
        total += match finger {
            0 if spot.black => THUMB_ON_BLACK + white,
            3 => WEAK_FINGER,
            4 if spot.black => WEAK_FINGER + white,
            4 => WEAK_FINGER,
            _ => 0,
        };
    }
    let weakest = grip[..spots.len()].windows(3).filter(|three| three[0] >= 2).count();
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
        let spots = [pitch("C", 3), pitch("F", 4)].map(|pitch| Spot::of(Hand::Right, pitch));
        let rules = Rules::of(HandSize::Medium, Measure::Semitones);
        assert_eq!(grips_by_cost(rules, &spots, &[]), []);
        assert_eq!(grips_by_cost(rules, &spots[..1], &[]).len(), FINGERS);
    }
}
