//! The rows of a system: counts between its staves, symbols above, numerals below, each near its
//! staff and clear of the ink.

use smallvec::SmallVec;

use super::draft::SystemDraft;
use super::parts::{CountRow, OnBaseline, Stood};
use crate::engrave::blank;
use crate::engrave::column::{LAYER_GAPS, MomentColumn, NUMERAL_LAYER, SYMBOL_LAYER};
use crate::engrave::extent::Extent;
use crate::engrave::heights::Spread;
use crate::engrave::mark::{Engraved, MarkRole};
use crate::engrave::placing::{RowWord, moved};
use crate::engrave::rows::TypeSetting;
use crate::engrave::rules::{self, Sp};
use crate::score::{ByHand, Hand};
use crate::typeset::{self, TextFace};

/// Steps in which a rule to write on is drawn out.
const BLANK_STEP: Sp = 0.25;
/// Air at either side of a count when it is pushed clear of ink.
const COUNT_SIDE: Sp = 0.36;

/// So little that rounding makes it.
const LITTLE: Sp = 1e-6;

/// Where a numeral begins, and how far below the middle line its baseline is.
struct NumeralPlace {
    x: Sp,
    depth: Sp,
}

impl<'a> SystemDraft<'a> {
    /// The row of counts, if there are any.
    pub(super) fn set_counts(&self) -> Option<CountRow<'a>> {
        let ByHand { right: upper, left: lower } = &self.staves;
        let mut settings = Vec::new();
        let (mut down, mut up) = (Sp::INFINITY, Sp::NEG_INFINITY);
        let (mut above, mut below): (Sp, Sp) = (-2.0, 2.0);
        for (x, column) in self.standing() {
            let Some(setting) = column.count.as_deref() else { continue };
            let centre = x + column.centre_x();
            let ink = setting.bounds();
            (down, up) = (down.min(ink.y0), up.max(ink.y1));
            let beside =
                Extent { left: centre + ink.x0 - COUNT_SIDE, right: centre + ink.x1 + COUNT_SIDE };
            above = upper.skyline.bottom(beside).unwrap_or(0.0).min(above);
            below = lower.skyline.top(beside).unwrap_or(0.0).max(below);
            settings.push(Stood { x: centre, setting });
        }
        (!settings.is_empty()).then_some(CountRow { settings, down, up, above, below })
    }

    /// The chord symbols above the upper staff.
    pub(super) fn symbol_row(&self) -> Vec<OnBaseline<'a>> {
        let symbols: Vec<_> =
            self.harmonic_row(SYMBOL_LAYER, |column| Some((0.0, column.symbol.as_deref()?)));
        let needs = symbols.iter().map(|(bar, symbol)| (*bar, self.symbol_baseline(*symbol)));
        let needs: SmallVec<[(usize, Sp); 24]> = needs.collect();
        let baselines = in_a_row(&needs, rules::SYMBOL_BASELINE);
        let up = |((bar, stood), baseline)| OnBaseline { bar, stood, baseline };
        symbols.into_iter().zip(baselines).map(up).collect()
    }

    /// The numerals below the lower staff.
    pub(super) fn numeral_row(&self) -> Vec<OnBaseline<'a>> {
        let numeral =
            |column: &'a MomentColumn<'a>| Some((column.numeral_x(), column.numeral.as_deref()?));
        let mut numerals: Vec<_> = self.harmonic_row(NUMERAL_LAYER, numeral);
        let columns: Vec<(Sp, &MomentColumn<'_>)> =
            self.standing().filter(|(_, column)| column.numeral.is_some()).collect();
        let own = numerals.iter_mut().zip(&columns);
        let needs = own.map(|((bar, numeral), (_, column))| {
            let place = self.numeral_place(*numeral, column);
            numeral.x = place.x;
            (*bar, place.depth)
        });
        let mut needs: Vec<(usize, Sp)> = needs.collect();
        // One that goes down takes its row along, where another may then go down as well.
        let depths = loop {
            let levels = in_a_row(&needs, rules::NUMERAL_BASELINE);
            let mut is_settled = true;
            let mut before = Sp::NEG_INFINITY;
            for (index, (x, column)) in columns.iter().enumerate() {
                let (_, numeral) = &mut numerals[index];
                let has_room = before <= x + numeral.setting.bounds().x0;
                if column.numeral_yields_to_stem() && numeral.x > *x && has_room {
                    let depth = self.depth_at(*numeral, *x, [rules::NUMERAL_SIDE; 2]);
                    if depth - levels[index] <= rules::NUMERAL_UNDER_STEM {
                        numeral.x = *x;
                        needs[index].1 = depth;
                        is_settled = false;
                    }
                }
                before = numeral.x + numeral.setting.reach() + rules::NUMERAL_GAP;
            }
            if is_settled {
                break levels;
            }
        };
        let down = |((bar, stood), depth): (_, Sp)| OnBaseline { bar, stood, baseline: -depth };
        numerals.into_iter().zip(depths).map(down).collect()
    }

    /// The lowest baseline of a chord symbol that clears what is under it.
    fn symbol_baseline(&self, symbol: Stood<'_>) -> Sp {
        let ink = symbol.setting.bounds().inflate(rules::SYMBOL_SIDE, 0.0);
        let left = (symbol.x + ink.x0).max(self.first_note());
        let under = Extent { left, right: symbol.x + ink.x1 };
        let top = self.staves.right.skyline.top(under);
        top.unwrap_or(2.0) + rules::SYMBOL_CLEARANCE - ink.y0
    }

    /// Where a numeral begins, and how far down its highest baseline is that clears what is above it.
    /// Rather than go below a chord's digits it stands a little nearer beside them, or moves toward
    /// its own; never beside those of single notes, with which it would be read in one line.
    fn numeral_place(&self, numeral: Stood<'_>, column: &MomentColumn<'_>) -> NumeralPlace {
        let is_beside = column.numeral_x() > 0.0;
        let place = |x: Sp, side: Sp| {
            let left = if is_beside { rules::NUMERAL_NEAREST - LITTLE } else { side };
            NumeralPlace { x, depth: self.depth_at(numeral, x, [left, side]) }
        };
        let own_bar = self.columns.iter().filter(|other| other.bar == column.bar);
        let mut cells = own_bar.filter_map(|other| other.cell(Hand::Left));
        let free = place(numeral.x, rules::NUMERAL_SIDE);
        if cells.any(|cell| cell.digits() == 1) {
            return free;
        }
        let nearer = if is_beside { rules::NUMERAL_BESIDE - rules::NUMERAL_NEAREST } else { 0.0 };
        let others = [
            place(numeral.x, rules::NUMERAL_LEAST_SIDE),
            place(numeral.x - nearer, rules::NUMERAL_NEAREST),
        ];
        let is_worth =
            |other: &NumeralPlace| free.depth - other.depth > 2.0 * rules::FINGER_LEADING;
        others.into_iter().find(is_worth).unwrap_or(free)
    }

    /// How far down the highest baseline of a numeral is that begins at an abscissa and clears what is
    /// above it, and so much at its left and its right.
    fn depth_at(&self, numeral: Stood<'_>, x: Sp, [left, right]: [Sp; 2]) -> Sp {
        let ink = numeral.setting.bounds();
        let over = Extent { left: x + ink.x0 - left, right: x + ink.x1 + right };
        let bottom = self.staves.left.skyline.bottom(over).unwrap_or(-2.0).min(-2.0);
        rules::NUMERAL_CLEARANCE + ink.y1 - bottom
    }

    /// A setting for each chord, and the bar of each; `row` tells it with how far right of its
    /// column it begins.
    fn harmonic_row(
        &self,
        layer: usize,
        row: impl Fn(&'a MomentColumn<'a>) -> Option<(Sp, &'a TypeSetting)>,
    ) -> Vec<(usize, Stood<'a>)> {
        let (mut words, mut stood) = (Vec::new(), Vec::new());
        for (x, column) in self.standing() {
            let Some((left, setting)) = row(column) else { continue };
            let ink = Extent { left, right: left + setting.reach() };
            words.push(RowWord::new(layer, x, ink));
            stood.push((column.bar, Stood { x: x + left, setting }));
        }
        let moved = moved(&words, LAYER_GAPS[layer], self.width);
        for ((_, stood), by) in stood.iter_mut().zip(moved) {
            stood.x += by;
        }
        stood
    }

    /// A rule in the place of each symbol: as long as one is wide, and longer where there is room to
    /// write.
    pub(super) fn symbol_rules(&self, row: &[OnBaseline<'_>]) -> Vec<Engraved> {
        let skyline = &self.staves.right.skyline;
        self.rules(row, MarkRole::Symbol, |beyond, baseline| {
            let top = skyline.top(beyond).unwrap_or(2.0);
            top + rules::SYMBOL_CLEARANCE <= baseline - rules::BLANK_DOWN
        })
    }

    /// The same in the place of each numeral.
    pub(super) fn numeral_rules(&self, row: &[OnBaseline<'_>]) -> Vec<Engraved> {
        let skyline = &self.staves.left.skyline;
        let cap = typeset::cap_height(TextFace::Regular, rules::NUMERAL_SIZE);
        self.rules(row, MarkRole::Numeral, |beyond, baseline| {
            let bottom = skyline.bottom(beyond).unwrap_or(-2.0);
            baseline + cap + rules::NUMERAL_CLEARANCE <= bottom
        })
    }

    /// Rules on the baselines of a row; `is_free` tells whether there is room beyond a setting.
    fn rules(
        &self,
        row: &[OnBaseline<'_>],
        role: MarkRole,
        is_free: impl Fn(Extent, Sp) -> bool,
    ) -> Vec<Engraved> {
        let rule = |(index, one): (usize, &OnBaseline<'_>)| {
            let left = one.stood.x;
            let own = left + one.stood.setting.reach();
            let next = row.get(index + 1).map(|next| next.stood.x - rules::BLANK_TO_NEXT);
            let end = next.unwrap_or(self.width).min(left + rules::BLANK_LENGTH);
            // As far as there is room, in small steps.
            let steps = (0..).map(|step| own + BLANK_STEP * f64::from(step));
            let beyond =
                |right: Sp| Extent { left: own, right: right + rules::BLANK_TO_NEXT / 2.0 };
            let free = |right: &Sp| is_free(beyond(*right), one.baseline);
            let right = steps.take_while(|right| *right <= end && free(right)).last();
            blank::rule(role, [left, right.unwrap_or(own)], one.baseline)
        };
        row.iter().enumerate().map(rule).collect()
    }

    /// Adds the symbols and numerals to what each bar needs above and below.
    pub(super) fn add_rows(&self, bars: &mut [Spread], rows: [&[OnBaseline<'_>]; 2]) {
        let first = self.seat.bars.start;
        let [symbols, numerals] = rows;
        for one in symbols {
            let bar = &mut bars[one.bar - first];
            bar.above = bar.above.max(one.baseline + one.stood.setting.bounds().y1);
        }
        for one in numerals {
            let bar = &mut bars[one.bar - first];
            bar.below = bar.below.max(-(one.baseline + one.stood.setting.bounds().y0));
        }
    }
}

/// How far from the staff each setting of a row stands, by its bar and what it needs: no nearer than
/// that, and so that the row changes its level seldom, at barlines alone, and lifts none far beyond its
/// need (see [`rules::ROW_LIFT`]).
fn in_a_row(needs: &[(usize, Sp)], usual: Sp) -> SmallVec<[Sp; 24]> {
    let needs: SmallVec<[(usize, Sp); 24]> =
        needs.iter().map(|(bar, need)| (*bar, need.max(usual))).collect();
    let mut levels: SmallVec<[Sp; 24]> = needs.iter().map(|(_, need)| *need).collect();
    levels.sort_by(Sp::total_cmp);
    levels.dedup();
    let lift =
        |level: Sp, need: Sp| (level >= need).then(|| (level - need).powi(2) / rules::ROW_LIFT);
    let bars: SmallVec<[&[(usize, Sp)]; 16]> =
        needs.chunk_by(|one, next| one.0 == next.0).collect();
    // What the best row up to a bar costs for each level that it may stand on, and the level
    // before it.
    let mut best: Vec<Option<(f64, usize)>> = Vec::with_capacity(bars.len() * levels.len());
    for (place, own) in bars.iter().enumerate() {
        let start = place.checked_sub(1).map(|before| before * levels.len());
        let reached = |best: &[Option<(f64, usize)>], at: usize| {
            let Some(start) = start else { return Some((0.0, at)) };
            let before = &best[start..start + levels.len()];
            let from = |(place, cost): (usize, &Option<(f64, usize)>)| {
                let (cost, _) = (*cost)?;
                Some((cost + if place == at { 0.0 } else { 1.0 }, place))
            };
            before.iter().enumerate().filter_map(from).min_by(|a, b| a.0.total_cmp(&b.0))
        };
        for (at, level) in levels.iter().enumerate() {
            let lift = own.iter().map(|(_, need)| lift(*level, *need)).sum::<Option<f64>>();
            // A bar counts once, however many chords it has.
            let lift = lift.map(|lift| lift / own.len() as f64);
            let cost = lift.zip(reached(&best, at));
            best.push(cost.map(|(lift, (cost, place))| (cost + lift, place)));
        }
    }
    let costs = || best.chunks_exact(levels.len().max(1));
    let ends = costs().next_back().into_iter().flatten().enumerate();
    let ends = ends.filter_map(|(at, cost)| Some((at, (*cost)?.0)));
    let Some((mut at, _)) = ends.min_by(|a, b| a.1.total_cmp(&b.1)) else { return SmallVec::new() };
    let mut row = SmallVec::with_capacity(needs.len());
    for (own, costs) in bars.iter().zip(costs()).rev() {
        row.extend(own.iter().map(|_| levels[at]));
        at = costs[at].map_or(at, |(_, before)| before);
    }
    row.reverse();
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_keeps_its_level_and_lets_go_of_what_stands_far_off() {
        let row = |needs: &[Sp]| {
            let needs: Vec<(usize, Sp)> = needs.iter().copied().enumerate().collect();
            in_a_row(&needs, 4.0).to_vec()
        };
        assert_eq!(row(&[]), [0.0; 0]);
        assert_eq!(row(&[3.0, 5.0, 2.0]), [5.0, 5.0, 5.0]);
        assert_eq!(row(&[3.0, 21.0, 2.0]), [4.0, 21.0, 4.0]);
        // A level that changes at each setting is none.
        assert_eq!(row(&[5.0, 7.0, 5.0, 7.0, 5.0, 7.0]), [7.0; 6]);
        // Where a row climbs for good, it climbs once.
        assert_eq!(row(&[4.0, 4.0, 4.0, 11.0, 11.5, 11.0]), [4.0, 4.0, 4.0, 11.5, 11.5, 11.5]);
        // A bar has one level, whatever that costs.
        let in_bars = in_a_row(&[(0, 4.0), (0, 5.0), (1, 4.0), (1, 21.0)], 4.0).to_vec();
        assert_eq!(in_bars, [5.0, 5.0, 21.0, 21.0]);
    }

    proptest::proptest! {
        /// Nothing stands nearer than it needs, nor beyond what some setting of its row needs.
        #[test]
        fn a_row_clears_what_each_of_it_must(
            needs in proptest::collection::vec(0.0..20.0, 0..24),
            to_a_bar in 1..4_usize,
        ) {
            let most = needs.iter().copied().fold(4.0, Sp::max);
            let in_bars = needs.iter().enumerate().map(|(index, need)| (index / to_a_bar, *need));
            let row = in_a_row(&in_bars.collect::<Vec<_>>(), 4.0);
            assert_eq!(row.len(), needs.len());
            for (stands, need) in row.iter().zip(&needs) {
                assert!(stands >= need && (4.0..=most).contains(stands));
            }
        }
    }
}
