//! A system in the making: its staves drawn, then set apart.

use std::ops::Range;

use kurbo::{Rect, Vec2};

use super::bands::InkBands;
use super::finished::System;
use super::parts::{self, CountRow, OnBaseline, StaffDraft};
use crate::engrave::column::{EventCell, MomentColumn, Standing};
use crate::engrave::extent::Extent;
use crate::engrave::heights::{Spread, Spreads};
use crate::engrave::look::Look;
use crate::engrave::mark::{Engraved, MarkRole};
use crate::engrave::placing::Positions;
use crate::engrave::prefix::Prefix;
use crate::engrave::rules::{self, Sp};
use crate::score::{ByHand, Clef, Hand, Score};

/// Which part of a score a system is.
#[derive(Clone, Debug)]
pub(in crate::engrave) struct SystemSeat {
    /// Its bars.
    pub(in crate::engrave) bars: Range<usize>,
    /// The clef that each staff changes to at its end, if the next system begins in another.
    pub(in crate::engrave) courtesy: ByHand<Option<Clef>>,
    /// In which octave each hand reads the last note before it and the first one after it.
    pub(in crate::engrave) octaves: ByHand<[i32; 2]>,
}

/// The columns of a system.
#[derive(Clone, Copy)]
pub(in crate::engrave) struct Columns<'a> {
    /// The first one, where it looks otherwise than in the middle of a system.
    pub(in crate::engrave) first: Option<&'a MomentColumn<'a>>,
    /// All, the first one as it looks elsewhere.
    pub(in crate::engrave) all: &'a [MomentColumn<'a>],
}

impl<'a> Columns<'a> {
    pub(super) fn iter(self) -> impl Iterator<Item = &'a MomentColumn<'a>> + use<'a> {
        self.first.into_iter().chain(&self.all[usize::from(self.first.is_some())..])
    }
}

/// A system whose staves are drawn but not yet set apart.
pub(in crate::engrave) struct SystemDraft<'a> {
    pub(super) score: &'a Score,
    pub(super) look: Look,
    pub(super) columns: Columns<'a>,
    pub(super) positions: Positions,
    pub(super) seat: SystemSeat,
    /// Where its prefix ends.
    pub(super) prefix_right: Sp,
    /// Where the sign of a repeat begins in it, if there is one.
    pub(super) repeat: Option<Sp>,
    pub(super) width: Sp,
    pub(super) staves: ByHand<StaffDraft>,
    pub(super) counts: Option<CountRow<'a>>,
}

impl<'a> SystemDraft<'a> {
    /// Draws both staves of a system.
    pub(in crate::engrave) fn new(
        columns: Columns<'a>,
        positions: Positions,
        seat: SystemSeat,
        prefix: Prefix,
        width: Sp,
        (score, look): (&'a Score, Look),
    ) -> Self {
        let staves = ByHand::each(|hand| StaffDraft::with_room(columns.all, hand));
        let (prefix_right, repeat) = (prefix.right, prefix.repeat);
        let counts = None;
        let mut draft = Self {
            score,
            look,
            columns,
            positions,
            seat,
            prefix_right,
            repeat,
            width,
            staves,
            counts,
        };
        for (hand, marks) in prefix.marks.with_hands() {
            draft.staves[hand].add(marks);
            draft.draw_staff(hand);
        }
        draft.counts = draft.set_counts();
        draft
    }

    /// The columns with their abscissas.
    pub(super) fn standing(&self) -> impl Iterator<Item = (Sp, &'a MomentColumn<'a>)> {
        self.positions.columns.iter().copied().zip(self.columns.iter())
    }

    /// What a hand has in its columns.
    pub(super) fn cells(&self, hand: Hand) -> Vec<Standing<'a>> {
        self.standing()
            .filter_map(|(x, column)| Some(Standing { x, column, cell: column.cell(hand)? }))
            .collect()
    }

    /// Where the music begins, right of the prefix.
    pub(super) fn first_note(&self) -> Sp {
        self.positions.columns.first().copied().unwrap_or(0.0)
    }

    /// The least inner gap at which the staves, and the counts between them, keep clear.
    pub(in crate::engrave) fn least_inner_gap(&self) -> Sp {
        let ByHand { right: upper, left: lower } = &self.staves;
        let row = self.counts.as_ref().map_or(0.0, CountRow::least_inner_gap);
        let mut gap = rules::LEAST_INNER_GAP.max(row);
        for (x, column) in self.standing() {
            let centre = x + column.centre_x();
            let chords = column.staves.iter().flatten().filter_map(EventCell::chord);
            let signs = chords.flat_map(|chord| &chord.accidentals).map(|sign| x + sign.x);
            let left = signs.fold(centre - 1.5, |left, sign| left.min(sign - rules::ROW_CLEARANCE));
            let beside = Extent { left, right: centre + 1.5 };
            let above = upper.skyline.bottom(beside).unwrap_or(-2.0).min(-2.0);
            let below = lower.skyline.top(beside).unwrap_or(2.0).max(2.0);
            gap = gap.max(below - above + rules::ROW_CLEARANCE - 4.0);
        }
        gap
    }

    /// Sets the staves apart, adds the rows, staff lines and barlines: the finished system, and
    /// what its parts need above and below.
    pub(in crate::engrave) fn finish(mut self, drop: Sp) -> (System, Spreads) {
        let counts = self.counts.take();
        let count_baseline = counts.as_ref().map_or(0.0, |row| row.baseline(drop));
        let counts = counts.iter().flat_map(|row| &row.settings);
        let counts = counts.map(|one| (*one, count_baseline));
        let rows = [self.symbol_row(), self.numeral_row()];
        let mut furniture = self.furniture(drop);
        let mut spreads = self.spreads(&furniture, rows.each_ref().map(Vec::as_slice));
        let [symbols, numerals] = rows.each_ref().map(|row| parts::on_baselines(row));
        let number = furniture.iter().filter(|mark| mark.role == MarkRole::BarNumber).cloned();
        let others: Vec<Engraved> = number.chain(parts::placed(symbols.clone(), 0.0)).collect();
        let form = self.form(&others);
        let blanks = self.look.blanks;
        let rules = [
            blanks.symbols.then(|| self.symbol_rules(&rows[0])),
            blanks.numerals.then(|| self.numeral_rules(&rows[1])),
        ];
        let ByHand { right: upper, left: lower } = self.staves;
        let lowest_line = -drop - 2.0 - rules::STAFF_LINE / 2.0;
        let (mut top, mut bottom) = (spreads.prefix.above, lowest_line);
        for (one, baseline) in symbols.clone() {
            top = (one.setting.bounds().y1 + baseline).max(top);
        }
        for (one, baseline) in numerals.clone() {
            bottom = (one.setting.bounds().y0 + baseline - drop).min(bottom);
        }
        top = upper.skyline.top(Extent::ALL).unwrap_or(top).max(top);
        for over in form {
            top = over.top().max(top);
            let spread = &mut spreads.bars[over.bar - self.seat.bars.start];
            spread.above = over.top().max(spread.above);
            furniture.extend(over.marks);
        }
        let lowest = lower.skyline.bottom(Extent::ALL).unwrap_or(-2.0);
        bottom = (lowest - drop).min(bottom);

        let down = Vec2::new(0.0, -drop);
        let mut bands = InkBands::default();
        let stands = |mark: &&Engraved| !matches!(mark.role, MarkRole::Barline | MarkRole::Brace);
        let beside = furniture.iter().filter(stands).map(Engraved::bounds);
        let own = upper.marks.boxes().iter().copied();
        let between = symbols.clone().chain(counts.clone()).flat_map(|(one, y)| one.boxes(y));
        let below = lower.marks.boxes().iter().map(|ink| *ink + down);
        let last: Vec<Rect> =
            numerals.clone().flat_map(|(one, y)| one.boxes(y)).map(|ink| ink + down).collect();
        let all = beside.chain(own).chain(below).chain(between).chain(last.iter().copied());
        // Twice as fast as a loop, which would ask every link of the chain each time.
        all.for_each(|ink| bands.add(ink));
        let apart = apart(&bands, &last, drop, bottom);

        let words = symbols.clone().chain(counts.clone());
        let words: usize = words.map(|(one, _)| one.setting.marks()).sum();
        let notes = upper.marks.len() + lower.marks.len();
        let mut marks = Vec::with_capacity(furniture.len() + notes + words + last.len());
        marks.extend(furniture);
        let printed = |mut own: Vec<Engraved>, hand: Hand| {
            own.retain(|mark| blanks.prints(hand, mark.role));
            own
        };
        let [symbol_rules, numeral_rules] = rules;
        marks.append(&mut printed(upper.marks.into_marks(), Hand::Right));
        match symbol_rules {
            Some(rules) => marks.extend(rules),
            None => marks.extend(parts::placed(symbols, 0.0)),
        }
        if !blanks.counts {
            marks.extend(parts::placed(counts, 0.0));
        }
        let lowered = marks.len();
        marks.append(&mut printed(lower.marks.into_marks(), Hand::Left));
        match numeral_rules {
            Some(rules) => marks.extend(rules),
            None => marks.extend(parts::placed(numerals, 0.0)),
        }
        marks[lowered..].iter_mut().for_each(|mark| mark.shift(down));
        let force = self.positions.force;
        (System { bars: self.seat.bars, top, bottom, drop, apart, force, marks }, spreads)
    }

    /// What the prefix, with the furniture beside it, and each bar, with its symbols and numerals,
    /// need above and below.
    fn spreads(&self, furniture: &[Engraved], rows: [&[OnBaseline<'_>]; 2]) -> Spreads {
        let ByHand { right: upper, left: lower } = self.staves.as_ref().map(|staff| &staff.skyline);
        let ink = |left: Sp, right: Sp| Spread {
            above: upper.top(Extent { left, right }).unwrap_or(2.0).max(2.0),
            below: -lower.bottom(Extent { left, right }).unwrap_or(-2.0).min(-2.0),
        };
        let mut left = self.first_note();
        let mut prefix = ink(Sp::NEG_INFINITY, left);
        prefix.above = furniture.iter().map(|mark| mark.bounds().y1).fold(prefix.above, Sp::max);
        let mut bars = Vec::with_capacity(self.seat.bars.len());
        for right in &self.positions.barlines {
            bars.push(ink(left, *right));
            left = *right;
        }
        self.add_rows(&mut bars, rows);
        Spreads { prefix, bars }
    }
}

/// The least white between a system whose ink stands in these bands, that of its numerals in these
/// boxes, and which reaches down to `bottom`, and a neighbour.
fn apart(bands: &InkBands, numerals: &[Rect], drop: Sp, bottom: Sp) -> Sp {
    // What hangs lower than a numeral keeps the next system off it.
    let to_staff = numerals.iter().map(|ink| -drop - 2.0 - ink.y1 - (ink.y0 - bottom));
    let most = to_staff.fold(bands.white(), Sp::max) + rules::MORE_BETWEEN_SYSTEMS;
    most.max(rules::SYSTEM_CLEARANCE)
}
