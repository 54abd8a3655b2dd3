//! What a system is put together from: staves in the making, and rows before they have a baseline.

use kurbo::{Point, Vec2};

use crate::engrave::column::Column;
use crate::engrave::mark::Engraved;
use crate::engrave::rows::Setting;
use crate::engrave::rules::{self, Sp};
use crate::engrave::skyline::Skyline;
use crate::score::Hand;

/// One staff of a system in the making; ordinates from its own middle line.
pub(super) struct StaffDraft {
    pub(super) marks: Vec<Engraved>,
    pub(super) skyline: Skyline,
}

impl StaffDraft {
    /// An empty staff, with room for what columns are likely to bring.
    pub(super) fn with_room(columns: &[Column<'_>], hand: Hand) -> Self {
        let cells = columns.iter().filter_map(|column| column.cell(hand));
        let notes: usize = cells.map(|cell| 1 + cell.event.notes.len()).sum();
        let marks = 16 + 3 * notes;
        Self { marks: Vec::with_capacity(marks), skyline: Skyline::with_room(2 * marks) }
    }

    pub(super) fn add(&mut self, marks: impl IntoIterator<Item = Engraved>) {
        for mark in marks {
            self.skyline.add(mark.bounds());
            self.marks.push(mark);
        }
    }

    pub(super) fn add_at(&mut self, x: Sp, marks: impl IntoIterator<Item = Engraved>) {
        self.add(marks.into_iter().map(|mut mark| {
            mark.shift(Vec2::new(x, 0.0));
            mark
        }));
    }
}

/// A setting and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Stood<'a> {
    /// Its origin.
    pub(super) x: Sp,
    pub(super) setting: &'a Setting,
}

/// The counts of a system, before their baseline is known.
pub(super) struct CountRow<'a> {
    pub(super) settings: Vec<Stood<'a>>,
    /// How far they reach below their baseline, and above it.
    pub(super) down: Sp,
    pub(super) up: Sp,
    /// The lowest ink of the upper staff and the highest of the lower one beside any of them,
    /// each from its own middle line.
    pub(super) above: Sp,
    pub(super) below: Sp,
}

impl CountRow<'_> {
    /// The least inner gap that holds the row.
    pub(super) fn least_inner_gap(&self) -> Sp {
        let row = self.up - self.down + 2.0 * rules::COUNT_CLEARANCE;
        self.below - self.above + row - 4.0
    }

    /// The counts on one baseline, as near the middle between the staves as ink allows.
    pub(super) fn place(self, drop: Sp) -> Vec<Engraved> {
        let highest = self.above - rules::COUNT_CLEARANCE - self.up;
        let lowest = self.below - drop + rules::COUNT_CLEARANCE - self.down;
        let middle = -drop / 2.0 - (self.up + self.down) / 2.0;
        let baseline =
            if lowest < highest { middle.clamp(lowest, highest) } else { (lowest + highest) / 2.0 };
        row_at(self.settings, baseline)
    }
}

/// A symbol or numeral on its baseline, and its bar.
pub(super) struct OnBaseline<'a> {
    pub(super) bar: usize,
    pub(super) stood: Stood<'a>,
    pub(super) baseline: Sp,
}

/// The marks of a row.
pub(super) fn placed(row: &[OnBaseline<'_>]) -> Vec<Engraved> {
    let at = |one: &OnBaseline<'_>| Point::new(one.stood.x, one.baseline);
    row.iter().flat_map(|one| one.stood.setting.at(at(one))).collect()
}

/// Settings on one baseline.
pub(super) fn row_at(settings: Vec<Stood<'_>>, baseline: Sp) -> Vec<Engraved> {
    settings.into_iter().flat_map(|one| one.setting.at(Point::new(one.x, baseline))).collect()
}
