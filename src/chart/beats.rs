//! When the chords of a bar fall that says no more than which they are.

use crate::score::{Metre, Ticks};

/// Most chords of a bar: one on each beat, and no more than four.
pub(super) fn most_chords(metre: Metre) -> usize {
    const MOST: usize = 4;
    MOST.min(metre.beats() as usize)
}

/// How many counts each of so many chords lasts, as evenly as whole counts have it.
///
/// A chord ends where the middle of the bar is, so that two in five are three and two; of what is
/// not even, the longer comes first: three in four are two, one and one (common practice, no
/// source).
fn counts(metre: Metre, chords: usize) -> Vec<i32> {
    let unit = metre.count_unit();
    let ends = metre.divisions().iter().copied().chain([metre.bar()]);
    let mut groups: Vec<i32> = Vec::new();
    let mut start = 0;
    for end in ends {
        groups.push((end - start) / unit);
        start = end;
    }
    let [first, second] = match groups[..] {
        [first, second] if chords > 1 => [first, second],
        _ => return shared(metre.beats(), chords as i32),
    };
    let split = |left: i32| {
        let right = chords as i32 - left;
        let both = (left <= first && right <= second && right > 0)
            .then(|| [shared(first, left), shared(second, right)].concat());
        both.map(|both| (both.iter().copied().max().unwrap_or(0), both))
    };
    // Of splits that are as even, the first one leaves the longer chords before.
    let best = (1..chords as i32).filter_map(split).min_by_key(|(longest, _)| *longest);
    best.map_or_else(|| shared(metre.beats(), chords as i32), |(_, counts)| counts)
}

/// So many counts for so many chords, the longer ones first.
fn shared(counts: i32, chords: i32) -> Vec<i32> {
    let chords = chords.max(1);
    (0..chords).map(|nth| counts / chords + i32::from(nth < counts % chords)).collect()
}

/// The moments of a bar at which so many chords fall, as evenly as can be.
pub(super) fn even(metre: Metre, chords: usize) -> Vec<Ticks> {
    let mut at = 0;
    let begin = |counts: i32| {
        let here = at;
        at += counts * metre.count_unit();
        here
    };
    counts(metre, chords).into_iter().map(begin).collect()
}

/// The moments of so many chords that lead to the first bar: one on each of the last counts.
pub(super) fn leading(metre: Metre, chords: usize) -> Vec<Ticks> {
    let chords = chords as Ticks;
    (0..chords).map(|nth| (nth - chords) * metre.count_unit()).collect()
}

/// How long a slash is, if a bar that is filled with so many chords and slashes has beats for them:
/// a count each, or a felt beat.
pub(super) fn slash(metre: Metre, signs: usize) -> Option<Ticks> {
    let fits = |unit: Ticks| metre.bar() == unit * signs as Ticks;
    [metre.count_unit(), metre.felt_beat()].into_iter().find(|unit| fits(*unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_fall_on_beats_as_evenly_as_can_be() {
        let of = |metre, chords| counts(metre, chords);
        assert_eq!(of(Metre::FourFour, 2), [2, 2]);
        assert_eq!(of(Metre::FourFour, 3), [2, 1, 1]);
        assert_eq!(of(Metre::FourFour, 4), [1, 1, 1, 1]);
        assert_eq!(of(Metre::ThreeFour, 2), [2, 1]);
        assert_eq!(of(Metre::FiveFour, 2), [3, 2]);
        assert_eq!(of(Metre::FiveFour, 3), [2, 1, 2]);
        assert_eq!(of(Metre::SixEight, 2), [3, 3]);
    }

    #[test]
    fn every_number_of_chords_fills_its_bar_and_shows_the_middle() {
        for metre in Metre::ALL {
            for chords in 1..=most_chords(metre) {
                let counts = counts(metre, chords);
                assert_eq!(counts.len(), chords, "{metre}");
                assert_eq!(counts.iter().sum::<i32>(), metre.beats(), "{metre}");
                assert!(counts.iter().all(|count| *count > 0), "{metre}: {counts:?}");
                let moments = even(metre, chords);
                if chords > 1 {
                    let middle = |it| moments.contains(it);
                    assert!(metre.divisions().iter().all(middle), "{metre}: {moments:?}");
                }
            }
        }
    }
}
