//! What stands beside and over the bars: letters, the metre, endings, the way to the coda, and the
//! sign of a bar that repeats the one before.

use kurbo::{BezPath, Circle, Point, Rect, Shape as _};

use super::barline;
use super::lines::endings;
use super::piece::{ChartPiece, PieceRole, level, upright};
use super::room::{Sizes, letter_box, letter_size, metre_em, metre_signs};
use crate::canvas::Trace;
use crate::chart::Section;
use crate::score::Metre;
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace, polygon};

/// Thickness of the box about a letter and of a bracket, in points.
const LINE: f64 = 0.8;
/// White between a bracket and its words, in ems of them.
const TO_WORDS: f64 = 0.4;
/// The em of the number of a bar, in ems of labels.
const NUMBER: f64 = 0.9;
/// White at either end of a bracket, in ems of its words.
const SIDE: f64 = 0.25;

/// The letter of a section in its box, which ends at an abscissa and has its middle at a height.
pub(super) fn letter(name: &str, left: f64, middle: f64, sizes: Sizes) -> ChartPiece {
    let size = letter_size(name, sizes);
    let [width, height, _] = letter_box(name, sizes);
    let frame = Rect::new(left, middle - height / 2.0, left + width, middle + height / 2.0);
    let Rect { x0, y0, x1, y1 } = frame.inset(-LINE / 2.0);
    let outline = polygon(&[(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from));
    let own = typeset::width(TextFace::Bold, name, size);
    let baseline = middle - typeset::cap_height(TextFace::Bold, size) / 2.0;
    let text = Trace::Text {
        text: name.into(),
        face: TextFace::Bold,
        at: Point::new(frame.center().x - own / 2.0, baseline),
        size,
    };
    ChartPiece::new(PieceRole::Letter, vec![Trace::Stroke { path: outline, width: LINE }, text])
}

/// The time signature, its right edge at an abscissa and its middle at a height.
pub(super) fn metre(metre: Metre, right: f64, middle: f64, sizes: Sizes) -> ChartPiece {
    let em = metre_em(sizes);
    let space = em / 4.0;
    let width = super::room::metre_width(metre, sizes);
    let signs = metre_signs(metre).into_iter().zip([1.0, -1.0]);
    let set = |(sign, up): (Option<crate::glyphs::Sign>, f64)| {
        let sign = sign?;
        let ink = crate::glyphs::MusicFace::get().bounds(sign);
        let x = right - width / 2.0 - ink.center().x * space;
        Some(Trace::Sign { sign, at: Point::new(x, middle + up * space), size: em })
    };
    ChartPiece::new(PieceRole::Metre, signs.filter_map(set).collect())
}

/// The sign of a bar that repeats the one before, about a point: a slanted stroke between two dots.
pub(super) fn repeat(centre: Point, em: f64) -> ChartPiece {
    let (half, rise, thick) = (0.34 * em, 0.3 * em, 0.13 * em);
    let corners = [
        (centre.x - half, centre.y - rise),
        (centre.x - half + 1.6 * thick, centre.y - rise),
        (centre.x + half, centre.y + rise),
        (centre.x + half - 1.6 * thick, centre.y + rise),
    ];
    let dot = |x: f64, y: f64| {
        Trace::Fill(Circle::new(Point::new(centre.x + x, centre.y + y), 0.085 * em).to_path(1e-3))
    };
    let stroke = Trace::Fill(polygon(&corners.map(Point::from)));
    let traces = vec![stroke, dot(-0.25 * em, 0.17 * em), dot(0.25 * em, -0.17 * em)];
    ChartPiece::new(PieceRole::Symbol, traces)
}

/// The number of the bar that a line begins with, its right edge at an abscissa and its top at a
/// height.
pub(super) fn number(bar: usize, right: f64, top: f64, label: f64) -> ChartPiece {
    let size = NUMBER * label;
    let phrase = Phrase::of(&bar.to_string(), Style::new(TextFace::Regular, size));
    let baseline = top - typeset::cap_height(TextFace::Regular, size);
    let at = Point::new(right - phrase.width(), baseline);
    ChartPiece::of(PieceRole::Number, phrase, at)
}

/// Where what stands over the bars of a line has its room: the abscissas of the ends of its bars,
/// and the height of the band.
pub(super) struct OverLine<'a> {
    /// For each column the abscissas where its bar begins and ends.
    pub(super) bars: &'a [(usize, [f64; 2])],
    /// The lower and the upper edge.
    pub(super) band: [f64; 2],
    pub(super) label: f64,
}

impl OverLine<'_> {
    /// The brackets of endings, as far as they stand on this line.
    pub(super) fn endings(&self, section: &Section) -> Vec<ChartPiece> {
        let shown = |bar: usize| self.bars.iter().find(|(own, _)| *own == bar).map(|it| it.1);
        let mut pieces = Vec::new();
        for ending in endings(section) {
            let own: Vec<(usize, [f64; 2])> =
                ending.bars.clone().filter_map(|bar| Some((bar, shown(bar)?))).collect();
            let (Some(first), Some(last)) = (own.first(), own.last()) else { continue };
            let side = SIDE * self.label;
            let (left, right) = (first.1[0] + side, last.1[1] - side);
            let begins = first.0 == ending.bars.start;
            let closes = !ending.is_open && last.0 + 1 == ending.bars.end;
            let top = self.band[1] - LINE / 2.0;
            let low = self.band[0] + 0.1 * self.label;
            let mut traces = vec![level([left, right], top, LINE)];
            if begins {
                traces.push(upright(left + LINE / 2.0, [low, top], LINE));
                let style = Style::new(TextFace::Semibold, self.label);
                let words = Phrase::of(&ending.words(), style);
                let at = Point::new(left + TO_WORDS * self.label, self.baseline());
                traces.extend(words.at(at).into_iter().map(|(trace, _)| trace));
            }
            if closes {
                traces.push(upright(right - LINE / 2.0, [low, top], LINE));
            }
            pieces.push(ChartPiece::new(PieceRole::Ending, traces));
        }
        pieces
    }

    fn baseline(&self) -> f64 {
        let cap = typeset::cap_height(TextFace::Semibold, self.label);
        self.band[1] - LINE - 0.28 * self.label - cap
    }

    /// How often a repeat is played, the way to the coda, and where the tune goes on from the end of
    /// the section, at the end of the bar that they are about; smaller where the bar is narrow.
    pub(super) fn ways(&self, section: &Section, way_on: Option<&str>) -> Vec<ChartPiece> {
        let mut pieces = Vec::new();
        for (bar, [left, right]) in self.bars {
            let Some(own) = section.bars.get(*bar) else { continue };
            let rounds = barline::rounds(section, *bar);
            let way_on = way_on.filter(|_| bar + 1 == section.bars.len());
            if rounds.is_none() && !own.to_coda && way_on.is_none() {
                continue;
            }
            let numbers = if own.ending.is_empty() { 0.0 } else { 2.0 * self.label };
            // Over the bar before, where nothing stands, there is room too.
            let before = bar.checked_sub(1).and_then(|before| section.bars.get(before));
            let is_free = own.ending.is_empty()
                && before.is_some_and(|it| !it.to_coda && it.ending.is_empty())
                && self.bars.iter().any(|(other, _)| other + 1 == *bar);
            let free = if is_free { right - left } else { 0.0 };
            let room = right - left + free - numbers - 2.0 * self.label;
            let set = |size: f64| way(rounds, way_on, own.to_coda, size);
            let size = self.label * (room / set(self.label).width()).min(1.0);
            let phrase = set(size);
            let x = right - 0.8 * self.label - phrase.width();
            pieces.push(ChartPiece::of(PieceRole::Coda, phrase, Point::new(x, self.baseline())));
        }
        pieces
    }
}

/// What leads on from a bar, in words.
fn way(rounds: Option<u8>, way_on: Option<&str>, to_coda: bool, size: f64) -> Phrase {
    let style = Style::new(TextFace::Italic, size);
    let mut phrase = Phrase::default();
    if let Some(rounds) = rounds {
        phrase.words(&format!("{rounds} times"), style);
    }
    if let Some(words) = way_on {
        if rounds.is_some() {
            phrase.words(", then ", style);
        }
        phrase.words(words, style);
    }
    if to_coda {
        if rounds.is_some() || way_on.is_some() {
            phrase.words(", ", style);
        }
        phrase.words("last time to coda", style);
        phrase.space(0.3 * size);
        let width = 0.8 * size;
        phrase.drawing(coda(Point::new(width / 2.0, 0.3 * size), size), width);
    }
    phrase
}

/// The sign of the coda about a point: a ring and a cross that reaches out of it.
fn coda(centre: Point, em: f64) -> Trace {
    let mut path: BezPath = kurbo::Ellipse::new(centre, (0.24 * em, 0.29 * em), 0.0).to_path(1e-3);
    let (wide, high) = (0.36 * em, 0.42 * em);
    path.move_to((centre.x - wide, centre.y));
    path.line_to((centre.x + wide, centre.y));
    path.move_to((centre.x, centre.y - high));
    path.line_to((centre.x, centre.y + high));
    Trace::Stroke { path, width: 0.075 * em }
}
