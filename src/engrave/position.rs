//! Places on a staff: how high each is, and which way stems point from there.

use smallvec::SmallVec;

use super::rules::Sp;

/// What each note of a chord has, which seldom has more than a hand has fingers.
pub(super) type PerNote<T> = SmallVec<[T; 5]>;

/// Which way a stem points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "directions name themselves")]
pub enum Direction {
    Up,
    Down,
}

impl Direction {
    /// +1.0 up, -1.0 down.
    pub(super) fn sign(self) -> f64 {
        match self {
            Self::Up => 1.0,
            Self::Down => -1.0,
        }
    }
}

/// Half a staff space a position.
pub(super) fn height(position: i32) -> Sp {
    f64::from(position) / 2.0
}

/// The direction of a stem that serves heads at `positions`: the head furthest from the middle
/// line decides; then the majority; then down (Gould, MPA).
pub(super) fn stem_direction(positions: &[i32]) -> Direction {
    let highest = positions.iter().copied().max().unwrap_or(0);
    let lowest = positions.iter().copied().min().unwrap_or(0);
    if highest != -lowest {
        return if highest > -lowest { Direction::Down } else { Direction::Up };
    }
    let above = positions.iter().filter(|position| **position > 0).count();
    let below = positions.iter().filter(|position| **position < 0).count();
    if positions.len() > 2 && below > above { Direction::Up } else { Direction::Down }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_furthest_head_decides_the_stem_and_a_tie_goes_down() {
        assert_eq!(stem_direction(&[0]), Direction::Down);
        assert_eq!(stem_direction(&[-1]), Direction::Up);
        assert_eq!(stem_direction(&[-3, -1, 1, 3]), Direction::Down);
        assert_eq!(stem_direction(&[-4, -2, 4]), Direction::Up);
        assert_eq!(stem_direction(&[-4, 4]), Direction::Down);
        assert_eq!(stem_direction(&[-1, 1, 3, 5]), Direction::Down);
    }
}
