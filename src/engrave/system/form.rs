//! Signs of form over a system: the brackets of endings, letters of sections, titles of passages.
//! They stand above everything else, endings first, and the brackets over bars to watch last.

use std::ops::Range;

use kurbo::{BezPath, Point, Rect, Vec2};

use super::draft::SystemDraft;
use crate::engrave::extent::Extent;
use crate::engrave::mark::{Engraved, MarkRole};
use crate::engrave::rules::{self, Sp};
use crate::engrave::skyline::Skyline;
use crate::score::{Ending, Heading};
use crate::typeset::line::{Phrase, Style, accidental};
use crate::typeset::{self, TextFace, polygon};

/// Marks that belong to a bar, over which they stand.
pub(super) struct OverBar {
    pub(super) bar: usize,
    pub(super) marks: Vec<Engraved>,
}

impl OverBar {
    /// The box round its ink, if it has any.
    fn ink(&self) -> Option<Rect> {
        self.marks.iter().map(Engraved::bounds).reduce(|all, ink| all.union(ink))
    }

    /// The top of its ink.
    pub(super) fn top(&self) -> Sp {
        self.ink().map_or(Sp::NEG_INFINITY, |ink| ink.y1)
    }

    fn raise(&mut self, by: Sp) {
        for mark in &mut self.marks {
            mark.shift(Vec2::new(0.0, by));
        }
    }
}

impl SystemDraft<'_> {
    /// The signs of form over a system on which `others` stand above its upper staff.
    pub(super) fn form(&self, others: &[Engraved]) -> Vec<OverBar> {
        let signs = &self.score.signs;
        let bars = &self.seat.bars;
        let own = |ending: &&Ending| ending.bars.start < bars.end && bars.start < ending.bars.end;
        let endings: Vec<OverBar> =
            signs.endings.iter().filter(own).map(|ending| self.ending(ending)).collect();
        let headings = signs.headings.range(bars.clone());
        let headings = headings.map(|(bar, heading)| self.heading(*bar, heading));
        let ways = signs.ways.range(bars.clone()).map(|(bar, words)| self.way(*bar, words));
        // What stands over the beginning of a bar comes before what stands over its end.
        let mut headings: Vec<OverBar> = headings.chain(ways).collect();
        headings.sort_by_key(|over| over.bar);
        let runs = self.look.watch.runs(bars);
        let watched: Vec<OverBar> = runs.into_iter().map(|run| self.watched(run)).collect();
        if endings.is_empty() && headings.is_empty() && watched.is_empty() {
            return Vec::new();
        }
        let mut below = self.staves.right.skyline.clone();
        for mark in others {
            below.add(mark.bounds());
        }
        // Headings stand over the row of symbols, wherever in it there would be room for one.
        let symbols = others.iter().filter(|mark| mark.role == MarkRole::Symbol);
        if let Some(row) = symbols.map(Engraved::bounds).reduce(|all, ink| all.union(ink)) {
            below.add(Rect { x0: 0.0, x1: self.width, ..row });
        }
        let lines = [rules::FORM_SIDE, rules::FORM_TO_FORM];
        // What begins at a barline may have an overhang of its own.
        let words = [rules::HEADING_SIDE, rules::WORDS_TO_LETTER - 0.1];
        let mut all = set_level(endings, lines, &mut below);
        all.extend(set_level(headings, words, &mut below));
        all.extend(set_level(watched, lines, &mut below));
        all
    }

    /// The ends of what spans bars of this system.
    fn span(&self, bars: &Range<usize>) -> [Sp; 2] {
        let own = &self.seat.bars;
        let left = match bars.start - own.start {
            0 => self.prefix_right + rules::ENDING_AFTER_PREFIX,
            before => self.positions.barlines[before - 1] - rules::ENDING_LINE / 2.0,
        };
        let right = self.positions.barlines[bars.end - own.start - 1];
        [left, if bars.end == own.end { right } else { right - rules::ENDING_TO_ENDING }]
    }

    /// The bracket over a run of bars to watch, its line at height 0: with a jog where the run
    /// begins or ends, and where it begins a word in its middle.
    fn watched(&self, run: Range<usize>) -> OverBar {
        let watch = self.look.watch;
        let begins = run.start == 0 || !watch.has(run.start - 1);
        let ends = !watch.has(run.end) || run.end == self.score.bars.len();
        let [left, right] = self.span(&run);
        let (line, jog) = (rules::WATCH_LINE, rules::WATCH_JOG);
        let part = |ends: [Sp; 2], jogs| bracket(MarkRole::Watch, ends, jogs, (line, jog));
        let (face, size) = (TextFace::Italic, rules::WATCH_SIZE);
        let width = typeset::width(face, WATCH, size);
        let around = 2.0 * (rules::WATCH_TO_WORD + rules::WATCH_LEAST);
        if !begins || right - left < width + around {
            return OverBar { bar: run.start, marks: vec![part([left, right], [begins, ends])] };
        }
        let from = (left + right - width) / 2.0;
        let down = line / 2.0 + typeset::x_height(face, size) / 2.0;
        let word = Engraved::text(MarkRole::Watch, WATCH, face, Point::new(from, -down), size);
        let marks = vec![
            part([left, from - rules::WATCH_TO_WORD], [true, false]),
            word,
            part([from + width + rules::WATCH_TO_WORD, right], [false, ends]),
        ];
        OverBar { bar: run.start, marks }
    }

    /// The bracket of an ending, as far as it stands on this system, its line at height 0.
    fn ending(&self, ending: &Ending) -> OverBar {
        let bars = &self.seat.bars;
        let begins = ending.bars.start >= bars.start;
        let first = ending.bars.start.max(bars.start);
        let last = ending.bars.end.min(bars.end);
        let ends = ending.bars.end <= bars.end && !ending.is_open;
        let [left, right] = self.span(&(first..last));
        let size = (rules::ENDING_LINE, rules::ENDING_JOG);
        let mut marks = vec![bracket(MarkRole::Ending, [left, right], [begins, ends], size)];
        if begins {
            let words = ending.words();
            let size = rules::ENDING_SIZE;
            let cap = typeset::cap_height(TextFace::Regular, size);
            let down = rules::ENDING_LINE + rules::ENDING_TO_WORDS + cap;
            let at = Point::new(left + rules::ENDING_LINE + rules::ENDING_TO_WORDS, -down);
            marks.push(Engraved::text(MarkRole::Ending, words, TextFace::Regular, at, size));
        }
        OverBar { bar: first, marks }
    }

    /// The letter and the title over a bar, their baseline at height 0; they end with the system at
    /// the latest.
    fn heading(&self, bar: usize, heading: &Heading) -> OverBar {
        let first = self.seat.bars.start;
        let mut x = if bar == first { 0.0 } else { self.positions.barlines[bar - first - 1] };
        let mut marks = Vec::new();
        if let Some(letter) = &heading.letter {
            let own = letter_marks(letter, x);
            x = own[0].bounds().x1 + rules::LETTER_TO_TITLE;
            marks.extend(own);
        }
        if let Some(title) = &heading.title {
            let set = |size: Sp| slanted(title, size);
            let room = self.width - (x - marks.first().map_or(x, |mark| mark.bounds().x0));
            let width = set(rules::TITLE_SIZE).width();
            let size = rules::TITLE_SIZE * (room / width).min(1.0);
            let own = set(size).at(Point::new(x, 0.0)).into_iter();
            marks.extend(own.map(|(trace, _)| Engraved { role: MarkRole::PassageTitle, trace }));
        }
        let mut over = OverBar { bar, marks };
        if let Some(ink) = over.ink() {
            let back = (ink.x1 - self.width).max(0.0).min(ink.x0.max(0.0));
            for mark in &mut over.marks {
                mark.shift(Vec2::new(-back, 0.0));
            }
        }
        over
    }

    /// What is said at the end of a bar, its baseline at height 0: it ends with the bar, and begins
    /// with the system at the earliest.
    fn way(&self, bar: usize, words: &str) -> OverBar {
        let own = &self.seat.bars;
        let is_followed = bar + 1 < own.end && self.score.signs.headings.contains_key(&(bar + 1));
        let white = if is_followed { rules::WORDS_TO_LETTER } else { WAY_TO_BARLINE };
        let right = self.positions.barlines[bar - own.start] - white;
        let width = slanted(words, rules::TITLE_SIZE).width();
        let size = rules::TITLE_SIZE * (right / width).min(1.0);
        let phrase = slanted(words, size);
        let at = Point::new(right - phrase.width(), 0.0);
        let marks = phrase.at(at).into_iter();
        let marks =
            marks.map(|(trace, _)| Engraved { role: MarkRole::PassageTitle, trace }).collect();
        OverBar { bar, marks }
    }
}

/// How far from its barline what is said at the end of a bar stands, in staff spaces (ours).
const WAY_TO_BARLINE: Sp = 0.5;

/// A title in slanted letters, which lean toward an accidental and so keep a little more white
/// before it.
fn slanted(title: &str, size: Sp) -> Phrase {
    const BEFORE_SIGN: f64 = 0.09;
    let style = Style::new(TextFace::Italic, size);
    let mut phrase = Phrase::default();
    for words in title.split_inclusive(|c| accidental(c).is_some()) {
        let sign = words.char_indices().next_back().filter(|(_, c)| accidental(*c).is_some());
        let (letters, sign) = words.split_at(sign.map_or(words.len(), |(at, _)| at));
        phrase.words(letters, style);
        if !sign.is_empty() {
            phrase.space(BEFORE_SIGN * size);
            phrase.words(sign, style);
        }
    }
    phrase
}

/// Raises marks so that they clear what is below them, all as far as the one that needs most; what
/// would stand too near to the one before it, above that one. They clear `side` at either side of
/// what is below, and one another by `apart`. Adds them to what is below.
fn set_level(mut all: Vec<OverBar>, [side, apart]: [Sp; 2], below: &mut Skyline) -> Vec<OverBar> {
    let need = |ink: Rect, below: &Skyline| {
        let under = Extent { left: ink.x0 - side, right: ink.x1 + side };
        below.top(under).unwrap_or(2.0).max(2.0) + rules::FORM_CLEARANCE - ink.y0
    };
    let inks = all.iter().filter_map(OverBar::ink);
    let level = inks.map(|ink| need(ink, below)).fold(Sp::NEG_INFINITY, Sp::max);
    let mut before: Option<Rect> = None;
    for over in &mut all {
        let Some(ink) = over.ink() else { continue };
        let is_near = |before: &Rect| ink.x0 < before.x1 + apart;
        let over_it = before.filter(is_near).map(|it| it.y1 + rules::FORM_CLEARANCE - ink.y0);
        over.raise(level.max(over_it.unwrap_or(level)));
        before = over.ink();
    }
    for mark in all.iter().flat_map(|over| &over.marks) {
        below.add(mark.bounds());
    }
    all
}

/// The word in the bracket over bars to watch.
const WATCH: &str = "watch";

/// A line between two abscissas, with a jog at either end or without, as one outline; so thick, and
/// its jogs so long.
fn bracket(
    role: MarkRole,
    [left, right]: [Sp; 2],
    jogs: [bool; 2],
    (line, jog): (Sp, Sp),
) -> Engraved {
    let down = -jog;
    let mut corners = vec![(left, 0.0), (right, 0.0)];
    if jogs[1] {
        corners.extend([(right, down), (right - line, down), (right - line, -line)]);
    } else {
        corners.push((right, -line));
    }
    if jogs[0] {
        corners.extend([(left + line, -line), (left + line, down), (left, down)]);
    } else {
        corners.push((left, -line));
    }
    let corners: Vec<Point> = corners.into_iter().map(|(x, y)| Point::new(x, y)).collect();
    Engraved::fill(role, polygon(&corners))
}

/// A section's letter in its box, the box first; the box begins at an abscissa.
fn letter_marks(letter: &str, left: Sp) -> Vec<Engraved> {
    let (face, size) = (TextFace::Bold, rules::LETTER_SIZE);
    let ink = typeset::ink_bounds(face, letter, size);
    let cap = typeset::cap_height(face, size);
    let (pad, line) = (rules::LETTER_PAD, rules::LETTER_BOX);
    // As high for every letter, and no narrower than high.
    let height = cap + 2.0 * (pad + line);
    let width = (ink.width() + 2.0 * (pad + line)).max(height);
    let bottom = -pad - line;
    let outer = Rect::new(left, bottom, left + width, bottom + height);
    let inner = outer.inset(-line);
    let mut path = BezPath::new();
    path.extend(ring(outer, false).into_iter().chain(ring(inner, true)));
    let x = outer.center().x - ink.center().x;
    vec![
        Engraved::fill(MarkRole::SectionLetter, path),
        Engraved::text(MarkRole::SectionLetter, letter, face, Point::new(x, 0.0), size),
    ]
}

/// A box as an outline, one way round or the other.
fn ring(ink: Rect, is_backward: bool) -> BezPath {
    let mut corners = [(ink.x0, ink.y0), (ink.x1, ink.y0), (ink.x1, ink.y1), (ink.x0, ink.y1)];
    if is_backward {
        corners.reverse();
    }
    polygon(&corners.map(|(x, y)| Point::new(x, y)))
}
