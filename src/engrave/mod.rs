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

use self::column::{Column, change_sign};
use self::prefix::Prefix;
use self::spacing::Positions;
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
pub const BRACE_REACH: Sp = 2.0;

/// Sets `score` on `count` systems of a width, or `None` where its bars do not fit on so many.
pub fn engrave(score: &Score, look: &Look, width: Sp, count: usize) -> Option<Vec<System>> {
    let columns = column::columns(score, look);
    let bars = spacing::bars(score, &columns, look);
    let prefix_of = |first_bar: usize| {
        let clefs = clefs_at(score, &columns[bars[first_bar].columns.clone()]);
        prefix::prefix(clefs, score.key, (first_bar == 0).then_some(score.metre))
    };
    let opening = prefix_of(0);
    let later = prefix::prefix(score.opening_clefs, score.key, None);
    // The prefix brings its own distance to the first head in place of the barline's.
    let left_of = |prefix: &Prefix| prefix.right + prefix.to_note - rules::BARLINE_TO_NOTE;
    let lefts = [left_of(&opening), left_of(&later)];
    let ranges = breaking::into_systems(&bars, count, width - lefts[0], width - lefts[1])?;
    let grid = grid(&ranges, lefts, width);
    let place_all = |grid: Option<&[Sp]>| -> Option<Vec<Positions>> {
        let place = |range: &Range<usize>| {
            let prefix = prefix_of(range.start);
            let end = if range.end == bars.len() { width - final_barline() } else { width };
            let mut ends = grid.map_or(Vec::new(), <[Sp]>::to_vec);
            ends.push(end);
            let own = &bars[range.clone()];
            let mut positions = spacing::place(own, prefix.right, prefix.to_note, &ends)?;
            if let Some(last) = positions.barlines.last_mut() {
                *last = width;
            }
            Some(positions)
        };
        ranges.iter().map(place).collect()
    };
    let positions = grid.and_then(|grid| place_all(Some(&grid))).or_else(|| place_all(None))?;
    let drafts: Vec<Draft<'_>> = ranges
        .iter()
        .zip(positions)
        .map(|(range, positions)| {
            let courtesy = [Hand::Right, Hand::Left].map(|hand| {
                let next = columns.get(bars.get(range.end)?.columns.start)?;
                next.item(hand)?.event.clef_change.map(change_sign)
            });
            let is_last = range.end == bars.len();
            let own = &bars[range.clone()];
            let own = &columns[own[0].columns.start..own[own.len() - 1].columns.end];
            let place = Place { bars: range.clone(), is_last, courtesy };
            Draft::new(own, positions, place, prefix_of(range.start), width, score)
        })
        .collect();
    let inner_gap = drafts.iter().map(Draft::least_inner_gap).fold(0.0, Sp::max);
    Some(drafts.into_iter().map(|draft| draft.finish(inner_gap, look)).collect())
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
