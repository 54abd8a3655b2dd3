//! A line of a chart: its bars in cells of one width, with all that stands about them.

use kurbo::Point;

use super::areas::{self, InKey, JoinedPair, Keys, PlacedChord};
use super::barline;
use super::cell::BarCell;
use super::lines::ChartLine;
use super::piece::{ChartPiece, PieceRole, level, upright};
use super::room::{BEAT, ChartSetting, LineBands, Room, has_over};
use super::signs::{self, OverLine};
use crate::chart::{Analysis, ChartBar};
use crate::score::Ticks;
use crate::typeset::{self, TextFace};

/// Thickness of the rule below the chords and of the strokes that count beats, in points.
const SHELF: f64 = 0.6;

/// White between the number of a bar and the barline after it, in ems of the symbols.
const TO_NUMBER: f64 = 0.2;

/// A line as it stands: its pieces, and what they say.
pub(super) struct DrawnLine {
    pub(super) pieces: Vec<ChartPiece>,
    pub(super) words: String,
    /// The key that goes on to the next line of the section.
    pub(super) carried: Option<InKey>,
}

/// What lines of a chart are drawn from.
pub(super) struct LineGrid<'a> {
    pub(super) setting: &'a ChartSetting<'a>,
    pub(super) room: &'a Room,
    pub(super) analysis: Option<&'a Analysis>,
    /// What joins its chords.
    pub(super) joined: Vec<JoinedPair<'a>>,
    /// Where the lines begin.
    pub(super) left: f64,
}

/// The heights of a line, from its top down.
struct LineHeights {
    over: [f64; 2],
    baseline: f64,
    /// The top of barlines.
    top: f64,
    shelf: f64,
    numerals: f64,
    cadence: f64,
    area: f64,
}

impl LineGrid<'_> {
    /// How high a line is.
    pub(super) fn height(&self, line: &ChartLine) -> f64 {
        self.room.line_height(self.has_over(line), self.has_cadence(line))
    }

    fn has_over(&self, line: &ChartLine) -> bool {
        line.section.is_none_or(|section| has_over(self.setting.chart, section, line))
    }

    /// Whether a cadence is marked below a line.
    fn has_cadence(&self, line: &ChartLine) -> bool {
        let place = self.place(line);
        self.joined.iter().any(|pair| pair.is_on(place))
    }

    /// The place of a line among all.
    fn place(&self, line: &ChartLine) -> usize {
        self.room.lines.iter().take_while(|other| *other != line).count()
    }

    fn heights(&self, line: &ChartLine, top: f64) -> LineHeights {
        let LineBands { over, ascent, shelf, numerals: [up, down], cadence, area } =
            self.room.bands;
        let sizes = self.room.sizes;
        let bars = if self.has_over(line) { top - over } else { top };
        let cadence = if self.has_cadence(line) { cadence } else { 0.0 };
        let baseline = bars - ascent;
        let shelf = baseline - shelf;
        let numerals = shelf - up;
        let below = numerals - down;
        let cap = typeset::cap_height(TextFace::Semibold, sizes.symbol);
        LineHeights {
            over: [bars, top],
            baseline,
            top: (baseline + 1.12 * cap).min(bars),
            shelf,
            numerals,
            cadence: below - 0.6 * cadence,
            area: below - cadence - area + 0.42 * sizes.label,
        }
    }

    /// Where the bar of a column begins and ends.
    fn ends(&self, column: usize) -> [f64; 2] {
        let left = self.left + self.room.letter + column as f64 * self.room.cell;
        [left, left + self.room.cell]
    }

    /// Draws a line that begins at a height; `carried` is the key that goes on from the line before.
    pub(super) fn draw(&self, line: &ChartLine, top: f64, carried: Option<InKey>) -> DrawnLine {
        let heights = self.heights(line, top);
        let sizes = self.room.sizes;
        let chart = self.setting.chart;
        let mut pieces = self.beside(line, &heights);
        let (mut placed, mut spoken) = (Vec::new(), Vec::new());
        let mut frame = Vec::new();
        let mut bars = Vec::new();
        for (column, bar) in line.columns() {
            let ends = self.ends(column);
            bars.push((bar, ends));
            let [before, after] = self.room.barlines(chart, line, bar);
            let span = [heights.shelf - SHELF / 2.0, heights.top];
            if bar == line.bars.start {
                frame.extend(barline::traces(before, ends[0], span, sizes.symbol));
            }
            frame.extend(barline::traces(after, ends[1], span, sizes.symbol));
            let [left, right] = self.room.pads(chart, line, bar);
            let inner = [ends[0] + left, ends[1] - right];
            let cell = self.setting.cell(line, bar);
            let own = self.bar(cell, inner, &heights, &mut pieces);
            frame.extend(self.beats(cell, &own, inner[1], heights.shelf));
            spoken.push(words(cell));
            placed.extend(own);
        }
        if let (Some((_, first)), Some((_, last))) = (bars.first(), bars.last()) {
            frame.push(level([first[0], last[1]], heights.shelf, SHELF));
        }
        pieces.insert(0, ChartPiece::new(PieceRole::Frame, frame));
        if let Some(section) = line.section.map(|section| &chart.sections[section]) {
            let over = OverLine { bars: &bars, band: heights.over, label: sizes.label };
            pieces.extend(over.endings(section));
            let way_on = line.section.and_then(|section| chart.way_on(section));
            pieces.extend(over.ways(section, way_on.as_deref()));
        } else {
            pieces.extend(self.pick_up(&bars, &heights));
        }
        let mut drawn = DrawnLine { pieces, words: self.spoken(line, &spoken), carried: None };
        if let Some(analysis) = self.analysis {
            self.keys(analysis, line, (&bars, &placed), &heights, carried, &mut drawn);
        }
        drawn
    }

    /// The brackets of keys and of cadences.
    fn keys(
        &self,
        analysis: &Analysis,
        line: &ChartLine,
        (bars, placed): (&[(usize, [f64; 2])], &[PlacedChord]),
        heights: &LineHeights,
        carried: Option<InKey>,
        drawn: &mut DrawnLine,
    ) {
        let label = self.room.sizes.label;
        let (Some((_, first)), Some((_, last))) = (bars.first(), bars.last()) else { return };
        let pad = 0.3 * self.room.sizes.symbol;
        let ends = [first[0] + pad, last[1] - pad];
        let (chart, line, place) =
            (self.setting.chart, self.place(line), (heights.cadence, ends, label));
        drawn.pieces.extend(areas::cadences(chart, &self.joined, line, placed, place));
        let keys = Keys { analysis, placed, carried, ends, y: heights.area, label };
        drawn.pieces.extend(keys.pieces());
        drawn.carried = keys.last();
        let names = keys.words();
        if !names.is_empty() {
            drawn.words = format!("{}; keys: {}", drawn.words, names.join(", "));
        }
    }

    /// What stands left of the bars of a line.
    fn beside(&self, line: &ChartLine, heights: &LineHeights) -> Vec<ChartPiece> {
        let Some(section) = line.section else { return Vec::new() };
        let (sizes, chart) = (self.room.sizes, self.setting.chart);
        if !line.begins_section() {
            let right = self.ends(line.indent)[0] - TO_NUMBER * sizes.symbol;
            return vec![signs::number(line.bars.start + 1, right, heights.top, sizes.label)];
        }
        let middle = (heights.top + heights.shelf) / 2.0;
        let name = &chart.sections[section].name;
        let mut pieces = vec![signs::letter(name, self.left, middle, sizes)];
        if section == 0 {
            let right = self.left + self.room.letter - 0.45 * sizes.symbol;
            pieces.push(signs::metre(chart.metre, right, middle, sizes));
        }
        pieces
    }

    /// The chords of a bar between two abscissas; adds their symbols and numerals.
    fn bar(
        &self,
        cell: &BarCell,
        [left, right]: [f64; 2],
        heights: &LineHeights,
        pieces: &mut Vec<ChartPiece>,
    ) -> Vec<PlacedChord> {
        let sizes = self.room.sizes;
        let both = [sizes.symbol, sizes.numeral];
        if cell.slots.is_empty() {
            let cap = typeset::cap_height(TextFace::Semibold, sizes.symbol);
            let centre = Point::new((left + right) / 2.0, heights.baseline + cap / 2.0);
            pieces.push(signs::repeat(centre, sizes.symbol));
            return Vec::new();
        }
        let places = cell.places(right - left, self.setting.chart.metre.bar(), both);
        let mut placed = Vec::new();
        for (slot, place) in cell.slots.iter().zip(places) {
            let x = left + place;
            let at = Point::new(x, heights.baseline);
            pieces.push(ChartPiece::set(PieceRole::Symbol, &slot.symbol, at, sizes.symbol));
            if let Some(numeral) = &slot.numeral {
                let at = Point::new(x, heights.numerals);
                pieces.push(ChartPiece::set(PieceRole::Numeral, numeral, at, sizes.numeral));
            }
            placed.push(PlacedChord { written: slot.written, span: [x, x + slot.width(both)] });
        }
        placed
    }

    /// Strokes below the rule that count the beats of each chord, where those of a bar are not alike
    /// in length.
    fn beats(
        &self,
        cell: &BarCell,
        placed: &[PlacedChord],
        right: f64,
        shelf: f64,
    ) -> Vec<crate::canvas::Trace> {
        let metre = self.setting.chart.metre;
        let starts = cell.slots.iter().map(|slot| slot.at);
        let end = if starts.clone().any(|at| at < 0) { 0 } else { metre.bar() };
        let ends = cell.slots.iter().skip(1).map(|slot| slot.at).chain([end]);
        let lengths: Vec<Ticks> = starts.zip(ends).map(|(from, to)| to - from).collect();
        if lengths.windows(2).all(|pair| pair[0] == pair[1]) && end > 0 {
            return Vec::new();
        }
        let reach = [shelf - BEAT * self.room.sizes.symbol, shelf];
        let mut strokes = Vec::new();
        for (index, (own, length)) in placed.iter().zip(&lengths).enumerate() {
            let beats = length / metre.count_unit();
            let to = placed.get(index + 1).map_or(right, |next| next.span[0]);
            let step = (to - own.span[0]) / f64::from(beats.max(1));
            let at = |beat: i32| own.span[0] + step * f64::from(beat) + SHELF / 2.0;
            strokes.extend((0..beats).map(|beat| upright(at(beat), reach, SHELF)));
        }
        strokes
    }

    /// What is said over the pick-up.
    fn pick_up(&self, bars: &[(usize, [f64; 2])], heights: &LineHeights) -> Vec<ChartPiece> {
        let label = self.room.sizes.label;
        let style = crate::typeset::line::Style::new(TextFace::Italic, label);
        let phrase = crate::typeset::line::Phrase::of("pick-up", style);
        let Some((_, [left, _])) = bars.first() else { return Vec::new() };
        let at = Point::new(left + 0.4 * label, heights.over[0] + 0.45 * label);
        vec![ChartPiece::of(PieceRole::Ending, phrase, at)]
    }

    /// A line in words.
    fn spoken(&self, line: &ChartLine, bars: &[String]) -> String {
        let Some(section) = line.section.map(|section| &self.setting.chart.sections[section])
        else {
            return format!("Pick-up: {}", bars.join(" | "));
        };
        let said = |(bar, words): (&ChartBar, &String)| {
            let mut said = words.clone();
            if bar.begins_repeat {
                said = format!("repeat begins, {said}");
            }
            if !bar.ending.is_empty() {
                let rounds: Vec<String> = bar.ending.iter().map(u8::to_string).collect();
                said = format!("ending {}, {said}", rounds.join(" and "));
            }
            if let Some(rounds) = bar.ends_repeat {
                said = format!("{said}, repeat ends, {rounds} times");
            }
            if bar.to_coda { format!("{said}, last time to coda") } else { said }
        };
        let mut all: Vec<String> =
            section.bars[line.bars.clone()].iter().zip(bars).map(said).collect();
        let way_on = line.section.filter(|_| line.bars.end == section.bars.len());
        let way_on = way_on.and_then(|section| self.setting.chart.way_on(section));
        if let (Some(words), Some(last)) = (way_on, all.last_mut()) {
            last.push_str(&format!(", {words}"));
        }
        let (from, to) = (line.bars.start + 1, line.bars.end);
        format!("{}, bars {from} to {to}: {}", section.name, all.join(" | "))
    }
}

/// A bar in words.
fn words(cell: &BarCell) -> String {
    if cell.slots.is_empty() {
        return "the same again".to_owned();
    }
    let words: Vec<&str> = cell.slots.iter().map(|slot| slot.words.as_str()).collect();
    words.join("; ")
}
