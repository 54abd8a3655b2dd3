//! What a chart says of keys: a bracket below the bars of each, and what joins a ii to its V.

use kurbo::Point;

use super::piece::{ChartPiece, PieceRole, level, upright};
use crate::canvas::Trace;
use crate::chart::{Analysis, Cadence, Chart};
use crate::theory::Key;
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace, polygon};

/// Thickness of a bracket, in points.
const LINE: f64 = 0.9;
/// A dash of a broken line and the white after it, in ems of the label.
const DASH: f64 = 0.32;
const DASH_GAP: f64 = 0.24;
/// How high the ends of a bracket rise, in ems of the label.
const RISE: f64 = 0.5;
/// White about the name in a bracket, and the line before it, in ems of the label.
const NAME_SIDE: f64 = 0.3;
const BEFORE_NAME: f64 = 0.5;
/// White between the brackets of two keys, in ems of the label.
const BETWEEN: f64 = 0.35;
/// Length and half the width of the head of an arrow, in ems of the label.
const HEAD: [f64; 2] = [0.5, 0.2];

/// A chord of a line where it stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlacedChord {
    /// Its place among all that are written.
    pub(super) written: usize,
    /// Where it begins and where its symbol or numeral ends.
    pub(super) span: [f64; 2],
}

/// A key, and whether the tune stays in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct InKey {
    pub(super) key: Key,
    pub(super) is_stayed: bool,
}

impl InKey {
    /// That of a written chord; none where nothing is known of it.
    pub(super) fn of(analysis: &Analysis, written: usize) -> Option<Self> {
        let reading = analysis.reading(written)?;
        let own = || analysis.areas.iter().filter(|area| area.key == reading.key);
        let around = own().find(|area| (area.from..area.until).contains(&reading.at));
        // A chord that is read there most often need not be so the first time.
        let is_stayed = match around {
            Some(area) => area.is_stayed,
            None => own().any(|area| area.is_stayed),
        };
        Some(Self { key: reading.key, is_stayed })
    }

    /// Its name, from the longest to the shortest way to say it.
    fn names(self) -> Vec<String> {
        let key = self.key;
        let minor = if key.is_minor() { "m" } else { "" };
        let mut names = vec![key.words(), format!("{}{minor}", key.tonic())];
        if !self.is_stayed {
            names.insert(0, format!("toward {}", key.words()));
        }
        names
    }
}

/// The brackets of the keys of a line: their chords, what the line begins in, where it begins and
/// ends, and the height of their line.
pub(super) struct Keys<'a> {
    pub(super) analysis: &'a Analysis,
    pub(super) placed: &'a [PlacedChord],
    /// The key that goes on from the line before.
    pub(super) carried: Option<InKey>,
    pub(super) ends: [f64; 2],
    pub(super) y: f64,
    pub(super) label: f64,
}

impl Keys<'_> {
    /// The stretches of one key each, with where they begin and end.
    fn stretches(&self) -> Vec<(InKey, [f64; 2])> {
        let starts_late =
            self.placed.first().is_none_or(|it| it.span[0] > self.ends[0] + self.label);
        let carried = self.carried.filter(|_| starts_late).map(|own| (Some(own), self.ends[0]));
        let own = self.placed.iter().map(|it| (InKey::of(self.analysis, it.written), it.span[0]));
        let mut stretches: Vec<(Option<InKey>, f64)> = Vec::new();
        for (key, x) in carried.into_iter().chain(own) {
            if stretches.last().is_none_or(|(last, _)| *last != key) {
                stretches.push((key, x));
            }
        }
        let ends = stretches.iter().skip(1).map(|(_, x)| x - BETWEEN * self.label);
        let ends: Vec<f64> = ends.chain([self.ends[1]]).collect();
        let known = stretches.into_iter().zip(ends);
        known.filter_map(|((key, from), to)| Some((key?, [from, to]))).collect()
    }

    /// The key that goes on to the next line.
    pub(super) fn last(&self) -> Option<InKey> {
        match self.placed.last() {
            Some(last) => InKey::of(self.analysis, last.written),
            None => self.carried,
        }
    }

    /// The keys in words.
    pub(super) fn words(&self) -> Vec<String> {
        let of = |(own, _): (InKey, [f64; 2])| own.names().swap_remove(0);
        self.stretches().into_iter().map(of).collect()
    }

    pub(super) fn pieces(&self) -> Vec<ChartPiece> {
        self.stretches().into_iter().map(|(key, span)| self.bracket(key, span)).collect()
    }

    /// A bracket that opens upward, with the name of the key in its line.
    fn bracket(&self, own: InKey, [left, right]: [f64; 2]) -> ChartPiece {
        let (y, em) = (self.y, self.label);
        let face = if own.is_stayed { TextFace::Semibold } else { TextFace::Italic };
        let set = |name: &str, size: f64| Phrase::of(name, Style::new(face, size));
        let about = 2.0 * (NAME_SIDE + BEFORE_NAME) * em + 2.0 * LINE;
        let room = (right - left - about).max(0.0);
        let names = own.names();
        let fitting = names.iter().map(|name| set(name, em)).find(|name| name.width() <= room);
        let name = fitting.unwrap_or_else(|| {
            // No line is left on either side then, and the name alone is as wide as its key.
            let name = names.last().map_or("", String::as_str);
            let wide = set(name, em).width();
            set(name, em * ((right - left - 2.0 * LINE - em * 0.3) / wide).clamp(0.3, 1.0))
        });
        let middle = typeset::x_height(face, em) / 2.0;
        let rise = RISE * em;
        let mut traces = vec![
            upright(left + LINE / 2.0, [y - LINE / 2.0, y + rise], LINE),
            upright(right - LINE / 2.0, [y - LINE / 2.0, y + rise], LINE),
        ];
        let is_tight = name.width() > room;
        let start = if is_tight {
            (left + right - name.width()) / 2.0
        } else {
            left + LINE + (BEFORE_NAME + NAME_SIDE) * em
        };
        let gap = [start - NAME_SIDE * em, start + name.width() + NAME_SIDE * em];
        if !is_tight {
            traces.push(level([left, gap[0]], y, LINE));
            traces.extend(self.line([gap[1], right], own.is_stayed));
        }
        let name = name.at(Point::new(start, y - middle));
        traces.extend(name.into_iter().map(|(trace, _)| trace));
        ChartPiece::new(PieceRole::Area, traces)
    }

    /// A line, whole or broken.
    fn line(&self, [left, right]: [f64; 2], is_whole: bool) -> Vec<Trace> {
        if right <= left {
            return Vec::new();
        }
        if is_whole {
            return vec![level([left, right], self.y, LINE)];
        }
        let (dash, gap) = (DASH * self.label, DASH_GAP * self.label);
        // Whole dashes, the last of which ends with the line.
        let count = (((right - left + gap) / (dash + gap)).round() as usize).max(1);
        let dash = (right - left + gap) / count as f64 - gap;
        let one = |nth: usize| {
            let from = left + nth as f64 * (dash + gap);
            level([from, from + dash.max(LINE)], self.y, LINE)
        };
        (0..count).map(one).collect()
    }
}

/// A ii that is joined to its V, on one line or from the end of a line to the next.
#[derive(Clone, Copy, Debug)]
pub(super) struct JoinedPair<'a> {
    /// The line of each of the two.
    lines: [usize; 2],
    cadence: &'a Cadence,
}

/// The cadences whose ii and V both stand on one line, or on two that follow one another, of the chords
/// that stand on each line; no two share a chord between.
pub(super) fn pairs<'a>(analysis: &'a Analysis, lines: &[Vec<usize>]) -> Vec<JoinedPair<'a>> {
    let line = |one: usize| lines.iter().position(|own| own.contains(&one));
    let mut pairs: Vec<JoinedPair<'a>> = Vec::new();
    // What one line shows whole comes before what two of them share.
    for reach in [0, 1] {
        for cadence in analysis.written_cadences().filter(|cadence| cadence.kind.has_two()) {
            let [two, five] = cadence.written;
            let [Some(from), Some(to)] = cadence.written.map(line) else { continue };
            let is_apart = |other: &JoinedPair<'_>| {
                five <= other.cadence.written[0] || two >= other.cadence.written[1]
            };
            if two < five && from + reach == to && pairs.iter().all(is_apart) {
                pairs.push(JoinedPair { lines: [from, to], cadence });
            }
        }
    }
    pairs
}

impl JoinedPair<'_> {
    /// Whether a line has the ii or the V.
    pub(super) fn is_on(&self, line: usize) -> bool {
        self.lines.contains(&line)
    }
}

/// What joins a ii to its V and leads on to its goal, on one line. What two lines share is open at the
/// end of the first and at the beginning of the second.
pub(super) fn cadences(
    chart: &Chart,
    pairs: &[JoinedPair<'_>],
    line: usize,
    placed: &[PlacedChord],
    (y, ends, label): (f64, [f64; 2], f64),
) -> Vec<ChartPiece> {
    let stands: Vec<Option<i32>> =
        chart.written().map(|stand| stand.chord.map(|chord| chord.root.pitch_class())).collect();
    let root = |place: &PlacedChord| stands.get(place.written).copied().flatten();
    let at = |written: usize| placed.iter().position(|it| it.written == written);
    let own = || pairs.iter().filter(|pair| pair.is_on(line));
    let mut pieces = Vec::new();
    for JoinedPair { cadence, .. } in own() {
        let [two, five] = cadence.written.map(at);
        let from = two.map(|two| placed[two].span[0]);
        let Some(five) = five else {
            pieces.push(joined([from, None], ends, None, y, label));
            continue;
        };
        // An arrow leads no further than to the next bracket.
        let later = own().filter_map(|pair| at(pair.cadence.written[0]));
        let after = later.filter(|two| *two >= five).min();
        let limit = after.map_or(ends[1], |next| placed[next].span[0] - 0.25 * label);
        // It ends near the beginning of the V, so that an arrow has room after it.
        let [start, end] = placed[five].span;
        let to = (start + label).min(end);
        // A dominant may be held, or come again with other tones, before it leads on.
        let own_root = root(&placed[five]);
        let goal = match placed[five + 1..].iter().find(|next| root(next) != own_root) {
            Some(next) => {
                let arrives = root(next) == Some(cadence.target.pitch_class());
                arrives.then_some(next.span[0] - 0.25 * label)
            }
            None => cadence.is_resolved.then_some(ends[1]),
        };
        let goal = goal.filter(|goal| *goal <= limit + 1e-6);
        pieces.push(joined([from, Some(to)], ends, goal, y, label));
    }
    pieces
}

/// Whether a chart has a cadence that is marked.
pub(super) fn has_cadences(analysis: &Analysis) -> bool {
    analysis.cadences.iter().any(|cadence| cadence.kind.has_two())
}

/// A bracket below two chords, open to the end of its line on the side of one that stands on another, and
/// an arrow on to a third.
fn joined(
    sides: [Option<f64>; 2],
    ends: [f64; 2],
    goal: Option<f64>,
    y: f64,
    em: f64,
) -> ChartPiece {
    let rise = 0.32 * em;
    let width = 0.6;
    let [from, to] = [0, 1].map(|side| sides[side].unwrap_or(ends[side]));
    let mut traces = vec![level([from, to], y, width)];
    for (side, inward) in sides.into_iter().zip([0.5, -0.5]) {
        let jog = |x: f64| upright(x + inward * width, [y - width / 2.0, y + rise], width);
        traces.extend(side.map(jog));
    }
    let [long, half] = HEAD.map(|part| part * em);
    if let Some(goal) = goal.filter(|goal| *goal > to + 0.4 * long) {
        let base = (goal - long).max(to);
        traces.push(level([to, base], y, width));
        let head = [(base, y + half), (goal, y), (base, y - half)].map(Point::from);
        traces.push(Trace::Fill(polygon(&head)));
    }
    ChartPiece::new(PieceRole::Cadence, traces)
}
