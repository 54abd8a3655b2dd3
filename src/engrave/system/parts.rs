//! What a system is put together from: staves in the making, and rows before they have a baseline.

use kurbo::{Point, Rect, Vec2};

use crate::engrave::column::MomentColumn;
use crate::engrave::mark::{Boxed, Engraved};
use crate::engrave::rows::TypeSetting;
use crate::engrave::rules::{self, Sp};
use crate::engrave::skyline::Skyline;
use crate::score::Hand;

/// One staff of a system in the making; ordinates from its own middle line.
pub(super) struct StaffDraft {
    pub(super) marks: Boxed,
    pub(super) skyline: Skyline,
}

impl StaffDraft {
    /// An empty staff, with room for what columns are likely to bring.
    pub(super) fn with_room(columns: &[MomentColumn<'_>], hand: Hand) -> Self {
        let cells = columns.iter().filter_map(|column| column.cell(hand));
        let notes: usize = cells.map(|cell| 1 + cell.event.notes.len()).sum();
        let marks = 16 + 3 * notes;
        Self { marks: Boxed::with_room(marks), skyline: Skyline::with_room(2 * marks) }
    }

    pub(super) fn add(&mut self, marks: impl IntoIterator<Item = Engraved>) {
        // Marks come in chains of iterators, which a loop would walk link by link.
        marks.into_iter().for_each(|mark| self.skyline.add(self.marks.push(mark)));
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
    pub(super) setting: &'a TypeSetting,
}

impl<'a> Stood<'a> {
    /// The box round each of its marks, on a baseline.
    pub(super) fn boxes(self, baseline: Sp) -> impl Iterator<Item = Rect> + use<'a> {
        self.setting.boxes(Point::new(self.x, baseline))
    }
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

    /// Their baseline, as near the middle between the staves as ink allows.
    pub(super) fn baseline(&self, drop: Sp) -> Sp {
        let highest = self.above - rules::COUNT_CLEARANCE - self.up;
        let lowest = self.below - drop + rules::COUNT_CLEARANCE - self.down;
        let middle = -drop / 2.0 - (self.up + self.down) / 2.0;
        if lowest < highest { middle.clamp(lowest, highest) } else { (lowest + highest) / 2.0 }
    }
}

/// A symbol or numeral on its baseline, and its bar.
pub(super) struct OnBaseline<'a> {
    pub(super) bar: usize,
    pub(super) stood: Stood<'a>,
    pub(super) baseline: Sp,
}

/// The settings of a row with their baselines.
pub(super) fn on_baselines<'a>(
    row: &[OnBaseline<'a>],
) -> impl Iterator<Item = (Stood<'a>, Sp)> + Clone {
    row.iter().map(|one| (one.stood, one.baseline))
}

/// The marks of settings on their baselines, lowered by `drop`.
pub(super) fn placed<'a>(
    row: impl Iterator<Item = (Stood<'a>, Sp)>,
    drop: Sp,
) -> impl Iterator<Item = Engraved> {
    let lowered = move |mut mark: Engraved| {
        mark.shift(Vec2::new(0.0, -drop));
        mark
    };
    let marks = |(one, baseline): (Stood<'a>, Sp)| one.setting.at(Point::new(one.x, baseline));
    row.flat_map(marks).map(lowered)
}
