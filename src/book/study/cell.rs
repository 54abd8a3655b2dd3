//! The chords of a bar, and where in its cell each of them stands.

use kurbo::Rect;

use crate::chart::{Analysis, Chart, ChartBar, ChordStand};
use crate::score::Ticks;
use crate::theory::{ChordStyle, NumeralStyle, chord_symbol, plain_text};
use crate::typeset::TextFace;
use crate::typeset::line::{Phrase, Style};

/// White between two chords of a bar at the least, in ems of the symbols.
const GAP: f64 = 0.42;

/// How chords are written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Writing {
    pub(super) symbols: ChordStyle,
    pub(super) numerals: NumeralStyle,
}

/// A chord of a bar, its symbol and its numeral set at an em of 1.
#[derive(Clone, Debug)]
pub(super) struct Slot {
    /// When it falls, from the start of its bar; before 0 in a pick-up.
    pub(super) at: Ticks,
    /// Its place among all that are written.
    pub(super) written: usize,
    pub(super) symbol: Phrase,
    pub(super) numeral: Option<Phrase>,
    /// The boxes round the ink of the two, which are asked for more often than they are drawn.
    pub(super) inks: [Rect; 2],
    /// How far the two reach to the right.
    reaches: [f64; 2],
    /// The two in words.
    pub(super) words: String,
}

impl Slot {
    fn new(stand: &ChordStand, written: usize, analysis: Option<&Analysis>, how: Writing) -> Self {
        let bold = Style::new(TextFace::Semibold, 1.0);
        let (symbol, mut words) = match stand.chord {
            Some(chord) => {
                let parts = chord_symbol(chord, how.symbols);
                (Phrase::harmony(&parts, bold), plain_text(&parts))
            }
            None => (Phrase::of("N.C.", bold), "no chord".to_owned()),
        };
        let reading = analysis.and_then(|analysis| analysis.reading(written));
        let parts = reading.map(|it| it.numeral.parts(how.numerals, how.symbols));
        let parts = parts.filter(|parts| !parts.is_empty());
        if let (Some(reading), Some(parts)) = (reading, &parts) {
            words = format!("{words}, {} in {}", plain_text(parts), reading.key.words());
        }
        let numeral = parts.map(|it| Phrase::harmony(&it, Style::new(TextFace::Regular, 1.0)));
        let ink = numeral.as_ref().map_or(Rect::ZERO, Phrase::ink);
        let inks = [symbol.ink(), ink];
        let width = numeral.as_ref().map_or(0.0, Phrase::width);
        let reaches = [symbol.width().max(inks[0].x1), width.max(ink.x1)];
        Self { at: stand.at, written, symbol, numeral, inks, reaches, words }
    }

    /// How much room it takes, its numeral at a size of its own.
    pub(super) fn width(&self, [symbol, numeral]: [f64; 2]) -> f64 {
        (self.reaches[0] * symbol).max(self.reaches[1] * numeral)
    }
}

/// What stands in a bar.
#[derive(Clone, Debug)]
pub(super) struct BarCell {
    /// Its chords; none where it repeats the bar before.
    pub(super) slots: Vec<Slot>,
}

impl BarCell {
    /// The least width that holds its chords at these sizes of symbols and of numerals.
    pub(super) fn least(&self, sizes: [f64; 2]) -> f64 {
        let gaps = self.slots.len().saturating_sub(1) as f64 * GAP * sizes[0];
        self.slots.iter().map(|slot| slot.width(sizes)).sum::<f64>() + gaps
    }

    /// Where its chords stand in a width that holds them: on their beats, or as near to them as
    /// their neighbours let them.
    pub(super) fn places(&self, width: f64, bar: Ticks, sizes: [f64; 2]) -> Vec<f64> {
        let share = |at: Ticks| f64::from(at.rem_euclid(bar)) / f64::from(bar) * width;
        let mut places: Vec<f64> = self.slots.iter().map(|slot| share(slot.at)).collect();
        let widths: Vec<f64> = self.slots.iter().map(|slot| slot.width(sizes)).collect();
        let gap = GAP * sizes[0];
        for next in 1..places.len() {
            places[next] = places[next].max(places[next - 1] + widths[next - 1] + gap);
        }
        let mut limit = width;
        for (place, own) in places.iter_mut().zip(&widths).rev() {
            *place = place.min(limit - own);
            limit = *place - gap;
        }
        places
    }
}

/// Every bar of a chart: the pick-up, then those of each section.
pub(super) struct Cells {
    pub(super) pick_up: Option<BarCell>,
    pub(super) sections: Vec<Vec<BarCell>>,
}

impl Cells {
    pub(super) fn of(chart: &Chart, analysis: Option<&Analysis>, how: Writing) -> Self {
        let mut written = 0;
        let mut cell = |stands: &[ChordStand]| {
            let slot = |stand: &ChordStand| {
                written += 1;
                Slot::new(stand, written - 1, analysis, how)
            };
            BarCell { slots: stands.iter().map(slot).collect() }
        };
        let pick_up = (!chart.pick_up.is_empty()).then(|| cell(&chart.pick_up));
        let mut of_bars = |bars: &[ChartBar]| bars.iter().map(|bar| cell(&bar.changes)).collect();
        let sections = chart.sections.iter().map(|section| of_bars(&section.bars)).collect();
        Self { pick_up, sections }
    }

    pub(super) fn all(&self) -> impl Iterator<Item = &BarCell> {
        self.pick_up.iter().chain(self.sections.iter().flatten())
    }

    /// All chords, as they are written.
    pub(super) fn slots(&self) -> impl Iterator<Item = &Slot> {
        self.all().flat_map(|cell| &cell.slots)
    }
}
