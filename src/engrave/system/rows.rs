//! The rows of a system: counts between its staves, symbols above, numerals below, each on one
//! baseline that clears the ink.

use super::draft::Draft;
use super::parts::{CountRow, Stood, row_at};
use crate::engrave::column::Column;
use crate::engrave::extent::Extent;
use crate::engrave::heights::Spread;
use crate::engrave::mark::Engraved;
use crate::engrave::placing::word_left;
use crate::engrave::rows::{self, Setting};
use crate::engrave::rules::{self, Sp};
use crate::score::ByHand;

/// Air at either side of a count when it is pushed clear of ink.
const COUNT_SIDE: Sp = 0.36;

impl<'a> Draft<'a> {
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

    /// The chord symbols on one baseline above everything of the upper staff.
    pub(super) fn place_symbols(&self) -> Vec<Engraved> {
        let symbols = self.harmonic_row(|column| column.symbol.as_deref());
        let baselines = symbols.iter().map(|symbol| self.symbol_baseline(*symbol));
        let baseline = baselines.fold(rules::SYMBOL_BASELINE, Sp::max);
        row_at(symbols, baseline)
    }

    /// The lowest baseline of a chord symbol that clears what is under it.
    fn symbol_baseline(&self, symbol: Stood<'_>) -> Sp {
        let ink = symbol.setting.bounds().inflate(rules::SYMBOL_SIDE, 0.0);
        let left = (symbol.x + ink.x0).max(self.first_note());
        let under = Extent { left, right: symbol.x + ink.x1 };
        let top = self.staves.right.skyline.top(under);
        top.unwrap_or(2.0) + rules::SYMBOL_CLEARANCE - ink.y0
    }

    /// The numerals on one baseline below everything of the lower staff.
    pub(super) fn place_numerals(&self) -> Vec<Engraved> {
        let numerals = self.harmonic_row(|column| column.numeral.as_deref());
        // Fingers may stand left of the first chord's stem.
        let digit = rows::finger_size();
        let left = self.first_note() - digit.width - rules::FINGER_TO_STEM - rules::STEM;
        let over = Extent { left, right: self.width };
        let bottom = self.staves.left.skyline.bottom(over).unwrap_or(-2.0);
        let baseline = numeral_baseline(bottom, &numerals);
        row_at(numerals, baseline)
    }

    /// A setting for each chord, with its left end.
    fn harmonic_row(&self, row: impl Fn(&'a Column<'a>) -> Option<&'a Setting>) -> Vec<Stood<'a>> {
        self.standing().filter_map(|(x, column)| Some(self.stood(x, row(column)?))).collect()
    }

    /// A symbol or numeral of a column, inside the system.
    fn stood(&self, column: Sp, setting: &'a Setting) -> Stood<'a> {
        let right = setting.width.max(setting.bounds().x1);
        Stood { x: word_left(column, right, self.width), setting }
    }

    /// Adds the symbols and numerals to what each bar needs above and below.
    pub(super) fn add_rows(&self, bars: &mut [Spread]) {
        for (x, column) in self.standing() {
            let bar: &mut Spread = &mut bars[column.bar - self.seat.bars.start];
            if let Some(setting) = column.symbol.as_deref() {
                let baseline = self.symbol_baseline(self.stood(x, setting));
                bar.above = bar.above.max(baseline + setting.bounds().y1);
            }
        }
        let numerals = self.harmonic_row(|column| column.numeral.as_deref());
        let inks = numerals.iter().map(|numeral| numeral.setting.bounds());
        let lowest = inks.map(|ink| ink.y0).fold(0.0, Sp::min);
        for bar in bars.iter_mut().filter(|_| !numerals.is_empty()) {
            bar.below = -(numeral_baseline(-bar.below, &numerals) + lowest);
        }
    }
}

/// The highest baseline of numerals that clear what is above them, of which the lowest ink is at
/// `bottom`.
fn numeral_baseline(bottom: Sp, numerals: &[Stood<'_>]) -> Sp {
    let inks = numerals.iter().map(|numeral| numeral.setting.bounds());
    let highest = inks.map(|ink| ink.y1).fold(0.0, Sp::max);
    (bottom - rules::NUMERAL_CLEARANCE - highest).min(-rules::NUMERAL_BASELINE)
}
