//! Heights: how high a score comes out on any number of systems, once it has been drawn on one.
//!
//! What stands above and below a bar hardly depends on how wide the bar is, so a score that has
//! been drawn once need not be drawn again to learn which other ways of setting it would fit.

use std::ops::Range;

use super::System;
use super::rules::Sp;

/// How far ink reaches up from the middle line of the upper staff, and down from that of the
/// lower one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Reach {
    pub(super) above: Sp,
    pub(super) below: Sp,
}

impl Reach {
    fn max(self, other: Self) -> Self {
        Self { above: self.above.max(other.above), below: self.below.max(other.below) }
    }
}

/// What each part of a drawn system needs.
#[derive(Clone, Debug)]
pub(super) struct Reaches {
    /// The prefix with the bar number.
    pub(super) prefix: Reach,
    /// Each bar, its symbols and numerals with it.
    pub(super) bars: Vec<Reach>,
}

/// The heights that the systems of a score would come to, learned from a drawing.
#[derive(Clone, Debug)]
pub struct Heights {
    /// From the middle line of an upper staff down to that of a lower.
    drop: Sp,
    /// The prefix of the first system and of a later one.
    prefixes: [Reach; 2],
    bars: Vec<Reach>,
}

impl Heights {
    pub(super) fn of(systems: &[System], reaches: Vec<Reaches>) -> Self {
        let drop = systems.first().map_or(0.0, |system| system.drop);
        let mut prefixes = reaches.iter().map(|reaches| reaches.prefix);
        let first = prefixes.next().unwrap_or_default();
        let later = prefixes.fold(first, Reach::max);
        let bars = reaches.into_iter().flat_map(|reaches| reaches.bars).collect();
        Self { drop, prefixes: [first, later], bars }
    }

    /// The height of each system, from ink to ink. Another drawing may differ by a little.
    pub fn each(&self, systems: &[Range<usize>]) -> Vec<Sp> {
        let height = |bars: &Range<usize>| {
            let prefix = self.prefixes[usize::from(bars.start > 0)];
            let reach = self.bars[bars.clone()].iter().copied().fold(prefix, Reach::max);
            reach.above + self.drop + reach.below
        };
        systems.iter().map(height).collect()
    }
}
