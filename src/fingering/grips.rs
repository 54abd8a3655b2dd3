//! The ways to lay fingers on the keys of a moment.

use super::hand::{HandSize, Measure, limits};
use super::rules::{FINGERS, Key};

/// Fingers laid on the keys of a moment, counted from 0, from the thumb's side.
pub(super) type Way = [u8; FINGERS];

/// The most ways to lay fingers on the keys of one moment: two or three keys, five fingers.
pub(super) const WAYS: usize = 10;

/// The ways to lay rising fingers on `count` keys, those with the lower fingers first.
const fn ways_of(count: usize) -> ([Way; WAYS], usize) {
    let mut ways = [[0; FINGERS]; WAYS];
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
                    ways[found][place] = finger as u8;
                    place += 1;
                }
                finger += 1;
            }
            found += 1;
        }
    }
    (ways, found)
}

/// The ways to lay fingers on `count` keys, at most five.
pub(super) fn ways(count: usize) -> &'static [Way] {
    static BY_COUNT: [([Way; WAYS], usize); FINGERS + 1] =
        [ways_of(0), ways_of(1), ways_of(2), ways_of(3), ways_of(4), ways_of(5)];
    let (ways, found) = &BY_COUNT[count];
    &ways[..*found]
}

/// Units on the row of keys by which fingers held down together are beyond the hand.
pub(super) fn beyond(size: HandSize, keys: &[Key], way: &Way) -> i32 {
    let mut units = 0;
    for (low, key) in keys.iter().enumerate() {
        for (high, other) in keys.iter().enumerate().skip(low + 1) {
            let span = Measure::Lattice.distance(key.semitones, other.semitones);
            let (low, high) = (usize::from(way[low]) + 1, usize::from(way[high]) + 1);
            units += limits(size, low, high).beyond_practical(span);
        }
    }
    units
}

/// Whether fingers held down together are all within comfort.
pub(super) fn comfortable(size: HandSize, keys: &[Key], way: &Way) -> bool {
    let within = |low: usize, high: usize| {
        let span = Measure::Lattice.distance(keys[low].semitones, keys[high].semitones);
        let limits = limits(size, usize::from(way[low]) + 1, usize::from(way[high]) + 1);
        limits.beyond_comfort(span) == 0
    };
    (0..keys.len()).all(|low| (low + 1..keys.len()).all(|high| within(low, high)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lower_fingers_come_first() {
        assert_eq!(ways(1).iter().map(|way| way[0]).collect::<Vec<_>>(), [0, 1, 2, 3, 4]);
        assert_eq!(ways(4)[0][..4], [0, 1, 2, 3]);
        assert_eq!(ways(4)[4][..4], [1, 2, 3, 4]);
        let counts: Vec<usize> = (0..=FINGERS).map(|count| ways(count).len()).collect();
        assert_eq!(counts, [1, 5, 10, 10, 5, 1]);
    }
}
