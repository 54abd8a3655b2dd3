//! Fingers for notes that lie under one hand at once.

use super::grips::{Grip, grips};
use super::passage::{MINOR_THIRD, takes_fourth};
use super::rules::{
    Cost, Lever, OCTAVE, PER_POINT, Rules, THREE_FOUR_FIVE, THUMB_ON_BLACK, WEAK_FINGER,
    WHITE_NEIGHBOUR,
};

/// Ours: a third that only the table of 1997 lets two fingers stretch.
const STRETCHED: Cost = 4 * PER_POINT;
/// Ours: two keys that lie beyond two fingers, and do not follow one another.
const SPREAD: Cost = 8 * PER_POINT;
/// The third finger and the fourth, counted from 0.
const THIRD_AND_FOURTH: (usize, usize) = (2, 3);

/// The ways to cover rising keys with one position, each with its cost, the best first; none where
/// they, played in `steps` from place to place, are beyond the hand or the given fingers, each with the place of its key, leave no way.
pub(super) fn grips_by_cost(
    rules: &Rules,
    levers: &[Lever],
    fixed: &[(usize, u8)],
    steps: &[[usize; 2]],
) -> Vec<(Grip, Cost)> {
    let octave = octave_of_triad(levers).filter(|_| fixed.is_empty());
    let possible = grips(levers.len())
        .iter()
        .filter(|grip| fixed.iter().all(|(place, finger)| grip[*place] == *finger))
        .filter(|grip| is_reached(rules, levers, grip, steps))
        .filter(|grip| octave.is_none_or(|inner| grip[1..3] == inner));
    let mut grips: Vec<(Grip, Cost)> =
        possible.map(|grip| (*grip, cost(rules, levers, grip))).collect();
    grips.sort_by_key(|(_, cost)| *cost);
    grips
}

/// Whether the fingers reach the keys, which are played one by one, some after others (`steps`, by
/// the places of two keys). The third and the fourth finger stretch a major third wherever it lies,
/// as in the handbooks' arpeggios; keys that do not follow one another, and so are nowhere held
/// together, lie one key of the row further apart than the published limit, or within that in
/// semitones.
fn is_reached(rules: &Rules, levers: &[Lever], grip: &Grip, steps: &[[usize; 2]]) -> bool {
    let pair = |low: usize, high: usize| {
        let fingers = (usize::from(grip[low]), usize::from(grip[high]));
        let is_step = steps.contains(&[low, high]);
        let is_looser = !is_step || fingers == THIRD_AND_FOURTH;
        let beyond = rules.beyond(levers[low], levers[high], fingers);
        beyond == 0
            || !is_step && beyond == 1
            || is_looser && rules.is_within_semitones(levers[low], levers[high], fingers)
    };
    (0..levers.len()).all(|low| (low + 1..levers.len()).all(|high| pair(low, high)))
}

/// The fingers of the inner keys of a triad that lies from octave to octave: those of its arpeggio.
fn octave_of_triad(levers: &[Lever]) -> Option<[u8; 2]> {
    let [thumb, second, third, fifth] = *levers else { return None };
    let gaps = [(thumb, second), (second, third), (third, fifth)]
        .map(|(low, high)| high.semitones - low.semitones);
    let is_triad = gaps.iter().all(|gap| *gap >= MINOR_THIRD) && gaps.iter().sum::<i32>() == OCTAVE;
    is_triad.then(|| [1, if takes_fourth(second, third, fifth) { 3 } else { 2 }])
}

/// The cost of playing the keys one after another, from the thumb outward. There is no change of
/// position in it, and the thumb passes nothing.
fn cost(rules: &Rules, levers: &[Lever], grip: &Grip) -> Cost {
    let mut total = 0;
    for (place, lever) in levers.iter().enumerate() {
        let finger = usize::from(grip[place]);
        if let Some(next) = levers.get(place + 1) {
            let fingers = (finger, usize::from(grip[place + 1]));
            total += rules.ease(*lever, *next, fingers);
            total += if rules.is_within(*lever, *next, fingers) { 0 } else { STRETCHED };
        }
        let wider = levers.iter().enumerate().skip(place + 2);
        let is_beyond = |(other, high): &(usize, &Lever)| {
            let fingers = (finger, usize::from(grip[*other]));
            !rules.is_within(*lever, **high, fingers)
                && !rules.is_within_semitones(*lever, **high, fingers)
        };
        total += wider.filter(is_beyond).count() as Cost * SPREAD;
        let before = place.checked_sub(1).map(|before| &levers[before]);
        let neighbours = before.into_iter().chain(levers.get(place + 1));
        let white = neighbours.filter(|lever| !lever.black).count() as Cost * WHITE_NEIGHBOUR;
        total += match finger {
            0 if lever.black => THUMB_ON_BLACK + white,
            3 => WEAK_FINGER,
            4 if lever.black => white,
            _ => 0,
        };
    }
    if let [thumb, .., fifth] = levers {
        let outer = (usize::from(grip[0]), usize::from(grip[levers.len() - 1]));
        total += rules.ease(*thumb, *fifth, outer);
    }
    let weakest = grip[..levers.len()].windows(3).filter(|three| three[0] >= 2).count();
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
        let levers = [pitch("C", 3), pitch("F", 4)].map(|pitch| Lever::of(Hand::Right, pitch));
        let rules = Rules::of(HandSize::Medium, Measure::Semitones);
        assert_eq!(grips_by_cost(rules, &levers, &[], &[[0, 1]]), []);
        assert_eq!(grips_by_cost(rules, &levers[..1], &[], &[]).len(), FINGERS);
    }
}
