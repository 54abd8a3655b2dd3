//! The layout engine: from a score to systems of marks in staff spaces.
//!
//! A system's origin is the left end of the middle line of its upper staff; y grows upward.

mod accidental;
mod beam;
mod breaking;
mod chord;
mod column;
mod mark;
mod prefix;
pub mod rows;
pub mod rules;
mod skyline;
mod spacing;
mod system;
mod tie;

use std::ops::Range;

use crate::recipe::Counts;
use crate::score::{Clef, Hand, Score};
use crate::theory::SymbolStyle;

use self::breaking::Breaker;
use self::column::{Column, change_sign};
use self::prefix::Prefix;
use self::spacing::{BarSpacing, Positions};
use self::system::{Draft, Place};

pub use mark::{Form, Mark, Role};
pub use rules::Sp;

/// What a teacher chose about how the music looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// How chord symbols are written.
    pub symbols: SymbolStyle,
    /// Where counts stand between the staves.
    pub counts: Counts,
}

/// A finished system.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// The bars it holds, by index.
    pub bars: Range<usize>,
    /// The top of its ink.
    pub top: Sp,
    /// The bottom of its ink.
    pub bottom: Sp,
    /// From the middle line of the upper staff down to that of the lower.
    pub drop: Sp,
    /// How far its spaces are stretched: 1.0 where all are ideal.
    pub force: f64,
    /// Its marks.
    pub marks: Vec<Mark>,
}

/// How a system reaches left of its staves: brace and gap.
pub const BRACE_REACH: Sp = 2.1;

/// A score measured for a width, ready to be set on any number of systems.
pub struct Layout<'a> {
    score: &'a Score,
    width: Sp,
    columns: Vec<Column<'a>>,
    bars: Vec<BarSpacing>,
    breaker: Breaker,
    /// The prefix of the first system, and that of a later one in the opening clefs.
    opening: Prefix,
    later: Prefix,
}

impl<'a> Layout<'a> {
    /// Measures a score for systems of a width.
    pub fn new(score: &'a Score, look: Look, width: Sp) -> Self {
        let columns = column::columns(score, &look);
        let bars = spacing::bars(score, &columns);
        let opening = prefix::prefix(score.opening_clefs, score.key, Some(score.metre));
        let later = prefix::prefix(score.opening_clefs, score.key, None);
        let [first, other] = [&opening, &later].map(|prefix| width - left_of(prefix));
        let breaker = Breaker::new(&bars, first, other);
        Self { score, width, columns, bars, breaker, opening, later }
    }

    /// Sets the score on `count` systems, or `None` where its bars do not fit on so many.
    pub fn systems(&self, count: usize) -> Option<Vec<System>> {
        let ranges = self.breaker.cut(count)?;
        let grid = grid(&ranges, self.lefts(), self.width);
        let positions = grid
            .and_then(|grid| self.place(&ranges, &grid))
            .or_else(|| self.place(&ranges, &[]))?;
        let drafts: Vec<Draft<'_>> = ranges
            .into_iter()
            .zip(positions)
            .map(|(range, positions)| self.draft(range, positions))
            .collect();
        let inner_gap = drafts.iter().map(Draft::least_inner_gap).fold(0.0, Sp::max);
        Some(drafts.into_iter().map(|draft| draft.finish(inner_gap)).collect())
    }

    /// How far the spaces of the tightest of `count` systems would be stretched, before any of
    /// them is drawn; `None` where the bars do not fit on so many.
    pub fn force(&self, count: usize) -> Option<f64> {
        let ranges = self.breaker.cut(count)?;
        let lefts = self.lefts();
        let forces = ranges.into_iter().map(|range| {
            let left = if range.start == 0 { lefts[0] } else { lefts[1] };
            spacing::force(&self.bars[range], self.width - left).unwrap_or(0.0)
        });
        Some(forces.fold(f64::INFINITY, f64::min))
    }

    /// Where the bars of the first and of a later system begin.
    fn lefts(&self) -> [Sp; 2] {
        [&self.opening, &self.later].map(left_of)
    }

    /// The prefix of the system that begins with a bar.
    fn prefix(&self, first_bar: usize) -> Prefix {
        if first_bar == 0 {
            return self.opening.clone();
        }
        let columns = &self.columns[self.bars[first_bar].columns.clone()];
        prefix::prefix(clefs_at(self.score, columns), self.score.key, None)
    }

    /// The positions of every system, its inner barlines on `grid` if there is one.
    fn place(&self, systems: &[Range<usize>], grid: &[Sp]) -> Option<Vec<Positions>> {
        let place = |range: &Range<usize>| {
            let prefix = self.prefix(range.start);
            let is_last = range.end == self.bars.len();
            let end = if is_last { self.width - final_barline() } else { self.width };
            let ends: Vec<Sp> = grid.iter().copied().chain([end]).collect();
            let own = &self.bars[range.clone()];
            let mut positions = spacing::place(own, prefix.right, prefix.to_note, &ends)?;
            if let Some(last) = positions.barlines.last_mut() {
                *last = self.width;
            }
            Some(positions)
        };
        systems.iter().map(place).collect()
    }

    fn draft(&'a self, bars: Range<usize>, positions: Positions) -> Draft<'a> {
        let courtesy = [Hand::Right, Hand::Left].map(|hand| {
            let next = self.columns.get(self.bars.get(bars.end)?.columns.start)?;
            next.item(hand)?.event.clef_change.map(change_sign)
        });
        let own = &self.bars[bars.clone()];
        let columns = &self.columns[own[0].columns.start..own[own.len() - 1].columns.end];
        let prefix = self.prefix(bars.start);
        let is_last = bars.end == self.bars.len();
        let place = Place { bars, is_last, courtesy };
        Draft::new(columns, positions, place, prefix, self.width, self.score)
    }
}

/// Sets `score` on `count` systems of a width, or `None` where its bars do not fit on so many.
pub fn engrave(score: &Score, look: &Look, width: Sp, count: usize) -> Option<Vec<System>> {
    Layout::new(score, *look, width).systems(count)
}

/// Where the inner barlines of every system stand, if all systems hold as many bars: one grid
/// for the sheet. The first system's longer prefix and the others' shorter one meet half way.
fn grid(systems: &[Range<usize>], lefts: [Sp; 2], width: Sp) -> Option<Vec<Sp>> {
    let bars = systems.first()?.len();
    if systems.iter().any(|system| system.len() != bars) {
        return None;
    }
    let [first, later] = lefts;
    let left = if systems.len() > 1 { (first + later) / 2.0 } else { first };
    let bar = (width - left) / bars as Sp;
    Some((1..bars).map(|index| left + bar * index as Sp).collect())
}

/// Where bars begin after a prefix, which brings its own distance to the first head in place of
/// the barline's.
fn left_of(prefix: &Prefix) -> Sp {
    prefix.right + prefix.to_note - rules::BARLINE_TO_NOTE
}

/// How much wider a final barline is than a plain one.
fn final_barline() -> Sp {
    rules::THICK_BARLINE + rules::BARLINE_GAP
}

/// The clefs in force at the beginning of a bar, given its columns.
fn clefs_at(score: &Score, columns: &[Column<'_>]) -> [Clef; 2] {
    [Hand::Right, Hand::Left].map(|hand| {
        let first = columns.iter().find_map(|column| column.item(hand));
        first.map_or(score.opening_clef(hand), |item| item.clef)
    })
}
