//! Heights: how high a score comes out on any number of systems, before it is drawn.
//!
//! What stands above and below a bar hardly depends on how wide the bar is, so a score that has
//! been drawn once need not be drawn again to learn which other ways of setting it would fit.
//! Even before, heads and stems let it be guessed.

use std::ops::Range;

use smallvec::SmallVec;

use super::column::{EventCell, MomentColumn};
use super::position::Direction;
use super::prefix::Prefix;
use super::rows::{self, TypeSetting};
use super::rules::{self, Sp};
use crate::score::Hand;

/// How far ink reaches up from the middle line of the upper staff, and down from that of the
/// lower one.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Spread {
    pub(super) above: Sp,
    pub(super) below: Sp,
}

impl Spread {
    fn max(self, other: Self) -> Self {
        Self { above: self.above.max(other.above), below: self.below.max(other.below) }
    }
}

/// What each part of a drawn system needs.
#[derive(Clone, Debug)]
pub(super) struct Spreads {
    /// The prefix with the bar number.
    pub(super) prefix: Spread,
    /// Each bar, its symbols and numerals with it.
    pub(super) bars: Vec<Spread>,
}

/// The heights that the systems of a score would come to, learned from a drawing.
#[derive(Clone, Debug)]
pub struct SystemHeights {
    /// From the middle line of an upper staff down to that of a lower.
    drop: Sp,
    /// What heights have to be multiplied by.
    scale: f64,
    /// The prefix of the first system and of a later one.
    prefixes: [Spread; 2],
    bars: Vec<Spread>,
}

impl SystemHeights {
    /// What a drawing came to, its staves so far apart.
    pub(super) fn of(drop: Sp, systems: Vec<Spreads>) -> Self {
        let mut prefixes = systems.iter().map(|system| system.prefix);
        let first = prefixes.next().unwrap_or_default();
        let later = prefixes.fold(first, Spread::max);
        let bars = systems.into_iter().flat_map(|system| system.bars).collect();
        Self { drop, scale: 1.0, prefixes: [first, later], bars }
    }

    /// A guess from columns that have not been drawn, in bars of their own.
    pub(super) fn guessed(
        columns: &[MomentColumn<'_>],
        bars: usize,
        prefixes: [&Prefix; 2],
    ) -> Self {
        let numerals = height_of(columns.iter().filter_map(|column| column.numeral.as_deref()));
        let counts = height_of(columns.iter().filter_map(|column| column.count.as_deref()));
        let mut spreads = vec![Spread { above: 2.0, below: 2.0 }; bars];
        let (mut upper, mut lower, mut gap) = (-2.0_f64, 2.0_f64, rules::LEAST_INNER_GAP);
        for column in columns {
            let spread = &mut spreads[column.bar];
            let right = column.cell(Hand::Right).map_or((-2.0, 2.0), |cell| ink(cell, Hand::Right));
            let left = column.cell(Hand::Left).map_or((-2.0, 2.0), |cell| ink(cell, Hand::Left));
            upper = upper.min(right.0);
            lower = lower.max(left.1);
            gap = gap.max(left.1 - right.0 + rules::ROW_CLEARANCE - 4.0);
            let symbol = column
                .symbol
                .as_ref()
                .map_or(0.0, |symbol| rules::SYMBOL_CLEARANCE + symbol.bounds().height());
            spread.above = spread.above.max(right.1 + symbol);
            spread.below = spread.below.max(-left.0);
            if column.numeral.is_some() {
                spread.below = spread.below.max(rules::NUMERAL_BASELINE + numerals / 4.0);
            }
        }
        if counts > 0.0 {
            gap = gap.max(lower - upper - 4.0 + counts + 2.0 * rules::COUNT_CLEARANCE);
        }
        let prefixes = prefixes.map(|prefix| {
            let top = prefix.marks.right.iter().map(|mark| mark.bounds().y1);
            Spread { above: top.fold(2.0, Sp::max), below: 2.0 }
        });
        Self { drop: gap + 4.0, scale: TOO_LOW, prefixes, bars: spreads }
    }

    /// The height of each system, from ink to ink. Another drawing may differ by a little.
    pub fn each(&self, systems: &[Range<usize>]) -> SmallVec<[Sp; 12]> {
        let height = |bars: &Range<usize>| {
            let prefix = self.prefixes[usize::from(bars.start > 0)];
            let spread = self.bars[bars.clone()].iter().copied().fold(prefix, Spread::max);
            self.scale * (spread.above + self.drop + spread.below)
        };
        systems.iter().map(height).collect()
    }
}

/// What a guess leaves out: beams that climb, digits that wait for them. Measured over the library
/// in six looks: half of 3,795 drawings came out higher than that, nineteen in twenty at most 6 %
/// higher or 3 % lower.
const TOO_LOW: f64 = 1.015;

fn height_of<'a>(settings: impl Iterator<Item = &'a TypeSetting>) -> Sp {
    settings.map(|setting| setting.bounds().height()).fold(0.0, Sp::max)
}

/// About where the lowest and the highest ink of an cell stand, with its digits.
fn ink(cell: &EventCell<'_>, hand: Hand) -> (Sp, Sp) {
    let Some(chord) = cell.chord() else { return (-2.0, 2.0) };
    let (lowest, highest) = chord.span();
    let (mut low, mut high) = (lowest - 0.5, highest + 0.5);
    if chord.value.has_stem() {
        let tip = chord.free_tip(cell.flag());
        match chord.direction {
            Direction::Up => high = high.max(tip),
            Direction::Down => low = low.min(tip),
        }
    }
    let digits = cell.digits();
    let stack = match digits {
        0 => 0.0,
        _ => {
            rules::FINGER_GAP
                + rows::finger_size().height
                + rules::FINGER_LEADING * (digits - 1) as Sp
        }
    };
    match hand {
        Hand::Right => high = high.max(2.0) + stack,
        Hand::Left => low = low.min(-2.0) - stack,
    }
    (low, high)
}
