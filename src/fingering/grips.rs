//! The ways to lay fingers on the keys of a moment.

use super::hand::{HandSize, Measure, limits};
use super::line::NONE;
use super::rules::{Cost, FINGERS, Lever};

/// Fingers laid on the keys of a moment, counted from 0, from the thumb's side.
pub(super) type Grip = [u8; FINGERS];

/// The fingers of a figure, moment by moment, and what they cost.
pub(super) type GripWay = (Vec<Grip>, Cost);

/// No fingers yet.
pub(super) const NO_GRIP: Grip = [NONE; FINGERS];

/// The most ways to lay fingers on the keys of one moment: two or three keys, five fingers.
pub(super) const GRIPS: usize = 10;

/// The ways to lay rising fingers on `count` keys, those with the lower fingers first.
const fn grips_of(count: usize) -> ([Grip; GRIPS], usize) {
    let mut grips = [[0; FINGERS]; GRIPS];
    let mut found = 0;
    // Bit 4 stands for the thumb, so sets that hold the lower fingers are the larger numbers.
    let mut set = 1_u32 << FINGERS;
    while set > 0 {
        set -= 1;
        if set.count_ones() as usize == count {
            let mut finger = 0;
            let mut place = 0;
            while finger < FINGERS {
                if set & (0b10000 >> finger) != 0 {
                    grips[found][place] = finger as u8;
                    place += 1;
                }
                finger += 1;
            }
            found += 1;
        }
    }
    (grips, found)
}

/// The ways to lay fingers on `count` keys, at most five.
pub(super) fn grips(count: usize) -> &'static [Grip] {
    static BY_COUNT: [([Grip; GRIPS], usize); FINGERS + 1] =
        [grips_of(0), grips_of(1), grips_of(2), grips_of(3), grips_of(4), grips_of(5)];
    let (grips, found) = &BY_COUNT[count];
    &grips[..*found]
}

/// Units on the row of keys by which fingers held down together are beyond the hand.
pub(super) fn beyond(size: HandSize, levers: &[Lever], grip: &Grip) -> i32 {
    let mut units = 0;
    for (low, lever) in levers.iter().enumerate() {
        for (high, other) in levers.iter().enumerate().skip(low + 1) {
            let span = Measure::Lattice.distance(lever.semitones, other.semitones);
            let (low, high) = (usize::from(grip[low]) + 1, usize::from(grip[high]) + 1);
            units += limits(size, low, high).beyond_practical(span);
        }
    }
    units
}

/// Whether fingers held down together are all within comfort.
pub(super) fn comfortable(size: HandSize, levers: &[Lever], grip: &Grip) -> bool {
    let within = |low: usize, high: usize| {
        let span = Measure::Lattice.distance(levers[low].semitones, levers[high].semitones);
        let limits = limits(size, usize::from(grip[low]) + 1, usize::from(grip[high]) + 1);
        limits.beyond_comfort(span) == 0
    };
    (0..levers.len()).all(|low| (low + 1..levers.len()).all(|high| within(low, high)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lower_fingers_come_first() {
        assert_eq!(grips(1).iter().map(|grip| grip[0]).collect::<Vec<_>>(), [0, 1, 2, 3, 4]);
        assert_eq!(grips(4)[0][..4], [0, 1, 2, 3]);
        assert_eq!(grips(4)[4][..4], [1, 2, 3, 4]);
        let counts: Vec<usize> = (0..=FINGERS).map(|count| grips(count).len()).collect();
        assert_eq!(counts, [1, 5, 10, 10, 5, 1]);
    }
}
