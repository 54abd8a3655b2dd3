//! How large the chords of a chart can be, and how many bars stand on a line.

use super::barline;
use super::cell::{BarCell, Cells};
use super::lines::{ChartLine, endings, lines};
use crate::chart::Chart;
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Barline, Metre};
use crate::typeset::{self, TextFace};

/// Sizes of type on a chart, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sizes {
    /// Of the symbols.
    pub(super) symbol: f64,
    /// Of the numerals.
    pub(super) numeral: f64,
    /// Of the names of keys, of endings and the like.
    pub(super) label: f64,
}

/// The numerals beside the symbols.
const NUMERAL: f64 = 0.62;
/// The letter of a section beside the symbols, and the white about it and right of it, in ems of
/// the symbols.
const LETTER: f64 = 0.8;
const LETTER_PAD: f64 = 0.2;
const AFTER_LETTER: f64 = 0.45;
/// The em of the time signature, in ems of the symbols.
const METRE: f64 = 1.3;
/// White left and right of what stands in a bar, from its barlines, in ems of the symbols.
const PADS: [f64; 2] = [0.26, 0.2];
/// What the last barline takes beyond the place where its bar ends, in ems of the symbols.
const EDGE: f64 = 0.03;
/// From the descent of the symbols to the rule below them, and the length of the strokes that
/// count beats below that, in ems of the symbols.
const TO_SHELF: f64 = 0.2;
pub(super) const BEAT: f64 = 0.17;
/// From the rule to the ascent of the numerals, in ems of the symbols.
const TO_NUMERALS: f64 = 0.32;
/// Heights of what stands over the bars, of the cadences and of the keys, in ems of their labels.
const OVER: f64 = 1.7;
const CADENCE: f64 = 1.0;
const AREA: f64 = 1.4;
/// White between two lines at the least and at the most, and before a section more, in ems of the
/// symbols.
const WHITE: [f64; 2] = [0.4, 1.7];
const SECTION: f64 = 0.35;
/// How much smaller each trial is than the one before, in points.
const STEP: f64 = 0.25;
/// Bars on a line: the usual number first.
const COLUMNS: [usize; 4] = [4, 8, 2, 1];
/// Size of the symbols that leaves nothing to be wished for, as a share of the largest.
const COMFORTABLE: f64 = 0.68;

/// What is known of a chart before its sizes are.
pub(super) struct ChartSetting<'a> {
    pub(super) chart: &'a Chart,
    pub(super) cells: &'a Cells,
    /// The size of labels, and the least of numerals.
    pub(super) label: f64,
    pub(super) least_numeral: f64,
    /// The largest and the least size of symbols that is pleasant to read.
    pub(super) symbols: [f64; 2],
    /// Whether keys and cadences stand below.
    pub(super) has_areas: bool,
    pub(super) has_cadences: bool,
}

/// How high the bands of a line are, from the top down, in points.
#[derive(Clone, Copy, Debug)]
pub(super) struct LineBands {
    pub(super) over: f64,
    pub(super) ascent: f64,
    /// From the baseline of the symbols to the rule.
    pub(super) shelf: f64,
    /// From there to the baseline of the numerals, and on to their descent.
    pub(super) numerals: [f64; 2],
    pub(super) cadence: f64,
    pub(super) area: f64,
}

/// A chart with its sizes and its lines.
pub(super) struct Room {
    pub(super) sizes: Sizes,
    pub(super) bands: LineBands,
    pub(super) lines: Vec<ChartLine>,
    /// The width of what stands left of the bars, and of a bar.
    pub(super) letter: f64,
    pub(super) cell: f64,
}

impl ChartSetting<'_> {
    fn sizes(&self, symbol: f64) -> Sizes {
        let numeral = (NUMERAL * symbol).max(self.least_numeral).min(symbol);
        Sizes { symbol, numeral, label: self.label.min(symbol) }
    }

    fn bands(&self, sizes: Sizes) -> LineBands {
        let slots = || self.cells.slots();
        let highest = |size: f64, inks: &mut dyn Iterator<Item = kurbo::Rect>| {
            let both = inks
                .fold([0.0, 0.0], |[up, down]: [f64; 2], ink| [up.max(ink.y1), down.max(-ink.y0)]);
            both.map(|reach| reach * size)
        };
        let [ascent, descent] = highest(sizes.symbol, &mut slots().map(|slot| slot.inks[0]));
        let cap = typeset::cap_height(TextFace::Semibold, sizes.symbol);
        let has_numerals = slots().any(|slot| slot.numeral.is_some());
        let [up, down] = highest(sizes.numeral, &mut slots().map(|slot| slot.inks[1]));
        let beats = BEAT * sizes.symbol;
        let to_numerals = (TO_NUMERALS * sizes.symbol).max(beats * 1.6) + up;
        LineBands {
            over: OVER * sizes.label,
            ascent: ascent.max(cap),
            shelf: descent + TO_SHELF * sizes.symbol,
            numerals: if has_numerals { [to_numerals, down] } else { [beats * 1.4, 0.0] },
            cadence: if self.has_cadences { CADENCE * sizes.label } else { 0.0 },
            area: if self.has_areas { AREA * sizes.label } else { 0.0 },
        }
    }

    /// A chart of so many columns at a size, if it stands in a width.
    fn room(&self, columns: usize, symbol: f64, width: f64) -> Option<Room> {
        let sizes = self.sizes(symbol);
        let letter = self.letter_column(sizes);
        let room = Room {
            sizes,
            bands: self.bands(sizes),
            lines: lines(self.chart, columns),
            letter,
            cell: (width - letter - EDGE * symbol) / columns as f64,
        };
        let holds = |line: &ChartLine| {
            line.columns().all(|(_, bar)| {
                let [left, right] = room.pads(self.chart, line, bar);
                room.cell >= left + right + self.least(line, bar, sizes)
            })
        };
        room.lines.iter().all(holds).then_some(room)
    }

    fn least(&self, line: &ChartLine, bar: usize, sizes: Sizes) -> f64 {
        let cell = self.cell(line, bar);
        let repeat = if cell.slots.is_empty() { sizes.symbol } else { 0.0 };
        cell.least([sizes.symbol, sizes.numeral]).max(repeat)
    }

    /// The bar of a line.
    pub(super) fn cell(&self, line: &ChartLine, bar: usize) -> &BarCell {
        static NONE: BarCell = BarCell { slots: Vec::new() };
        match line.section {
            None => self.cells.pick_up.as_ref(),
            Some(section) => self.cells.sections.get(section).and_then(|cells| cells.get(bar)),
        }
        .unwrap_or(&NONE)
    }

    /// The width of what stands left of the bars: letters, and beside the first of them the metre.
    fn letter_column(&self, sizes: Sizes) -> f64 {
        let widths = self.chart.sections.iter().enumerate().map(|(index, section)| {
            let metre = if index == 0 { self.metre(sizes) } else { 0.0 };
            letter_box(&section.name, sizes)[0] + metre
        });
        widths.fold(0.0, f64::max) + AFTER_LETTER * sizes.symbol
    }

    fn metre(&self, sizes: Sizes) -> f64 {
        metre_width(self.chart.metre, sizes) + AFTER_LETTER * sizes.symbol
    }

    /// How the chart stands best in a width and a height; on more pages than one where it has no
    /// room on a page.
    pub(super) fn best(&self, width: f64, height: f64) -> Room {
        let [largest, least] = self.symbols;
        let sizes = || {
            let steps = ((largest - least) / STEP) as usize;
            (0..=steps).map(move |step| largest - STEP * step as f64)
        };
        let of = |columns: usize| {
            let on_page = |symbol: f64| {
                self.room(columns, symbol, width).filter(|room| room.height(WHITE[0]) <= height)
            };
            sizes().find_map(on_page)
        };
        let mut best: Option<Room> = None;
        for columns in COLUMNS {
            let Some(room) = of(columns) else { continue };
            let is_larger =
                best.as_ref().is_none_or(|best| room.sizes.symbol > best.sizes.symbol + STEP);
            if is_larger {
                best = Some(room);
            }
            let size = best.as_ref().map_or(0.0, |best| best.sizes.symbol);
            if size >= COMFORTABLE * largest {
                break;
            }
        }
        best.unwrap_or_else(|| self.on_pages(width))
    }

    /// The same whatever the height: at a size to read well, and with fewer bars to a line before
    /// type gets small; smaller than small where nothing else is left.
    fn on_pages(&self, width: f64) -> Room {
        let [largest, least] = self.symbols;
        let sizes = || {
            let first = COMFORTABLE * largest;
            let steps = ((first - least) / STEP).max(0.0) as usize;
            (0..=steps).map(move |step| first - STEP * step as f64)
        };
        let of = |columns: usize| sizes().find_map(|symbol| self.room(columns, symbol, width));
        [4, 2, 1].into_iter().find_map(of).unwrap_or_else(|| {
            let mut symbol = least;
            loop {
                symbol *= 0.95;
                if let Some(room) = self.room(1, symbol, width) {
                    return room;
                }
            }
        })
    }
}

impl Room {
    /// How high a line is.
    pub(super) fn line_height(&self, has_over: bool, has_cadence: bool) -> f64 {
        let LineBands { over, ascent, shelf, numerals: [up, down], cadence, area } = self.bands;
        let over = if has_over { over } else { 0.0 };
        let cadence = if has_cadence { cadence } else { 0.0 };
        over + ascent + shelf + up + down + cadence + area
    }

    /// How much white stands over a line beside that between any two.
    pub(super) fn before(&self, line: &ChartLine) -> f64 {
        if line.begins_section() { SECTION * self.sizes.symbol } else { 0.0 }
    }

    /// The least height of all its lines, each with what stands over it, with so much white between
    /// them in ems.
    fn height(&self, white: f64) -> f64 {
        let line = |line: &ChartLine| {
            self.line_height(true, true) + self.before(line) + white * self.sizes.symbol
        };
        self.lines.iter().map(line).sum()
    }

    /// The white between lines, at the least and at the most.
    pub(super) fn white(&self) -> [f64; 2] {
        WHITE.map(|white| white * self.sizes.symbol)
    }

    /// The white left and right of the chords of a bar, from the places where bars end.
    pub(super) fn pads(&self, chart: &Chart, line: &ChartLine, bar: usize) -> [f64; 2] {
        let em = self.sizes.symbol;
        let [before, after] = self.barlines(chart, line, bar);
        let reaches = [barline::reach(before)[1], barline::reach(after)[0]];
        [(reaches[0] + PADS[0]) * em, (reaches[1] + PADS[1]) * em]
    }

    /// The barlines before and after a bar of a line.
    pub(super) fn barlines(&self, chart: &Chart, line: &ChartLine, bar: usize) -> [Barline; 2] {
        let Some(section) = line.section else { return [Barline::Single; 2] };
        let ends_line = bar + 1 == line.bars.end;
        let before = match bar.checked_sub(1).filter(|_| bar > line.bars.start) {
            None => barline::at_start(chart, section, bar),
            Some(last) => barline::after(chart, section, last, false),
        };
        [before, barline::after(chart, section, bar, ends_line)]
    }
}

/// The em of a section's letter; a word is as small as labels are.
pub(super) fn letter_size(name: &str, sizes: Sizes) -> f64 {
    let size = LETTER * sizes.symbol;
    if name.chars().count() > 2 { size.min(sizes.label) } else { size }
}

/// Width and height of the box about a section's letter, and the white inside it.
pub(super) fn letter_box(name: &str, sizes: Sizes) -> [f64; 3] {
    let size = letter_size(name, sizes);
    let pad = LETTER_PAD * size + 1.0;
    let height = typeset::cap_height(TextFace::Bold, size) + 2.0 * pad;
    let width = typeset::width(TextFace::Bold, name, size) + 2.0 * pad;
    [width.max(height), height, pad]
}

/// The em of the time signature.
pub(super) fn metre_em(sizes: Sizes) -> f64 {
    METRE * sizes.symbol
}

/// The figures of a time signature.
pub(super) fn metre_signs(metre: Metre) -> [Option<Sign>; 2] {
    let sign = |figure: i32| u8::try_from(figure).ok().and_then(Sign::time_digit);
    [sign(metre.beats()), sign(metre.unit())]
}

/// How wide it is.
pub(super) fn metre_width(metre: Metre, sizes: Sizes) -> f64 {
    let face = MusicFace::get();
    let widths = metre_signs(metre).into_iter().flatten().map(|sign| face.bounds(sign).width());
    widths.fold(0.0, f64::max) * metre_em(sizes) / 4.0
}

/// Whether something stands over the bars of a line.
pub(super) fn has_over(chart: &Chart, place: usize, line: &ChartLine) -> bool {
    let section = &chart.sections[place];
    let is_last = line.bars.end == section.bars.len();
    is_last && chart.way_on(place).is_some()
        || section.bars[line.bars.clone()].iter().enumerate().any(|(nth, bar)| {
            let rounds = barline::rounds(section, line.bars.start + nth);
            !bar.ending.is_empty() || bar.to_coda || rounds.is_some()
        })
        || endings(section)
            .iter()
            .any(|ending| ending.bars.start < line.bars.end && line.bars.start < ending.bars.end)
}
