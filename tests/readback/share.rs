//! The ink of a page shared out among its staves.

use kurbo::{BezPath, ParamCurve as _, ParamCurveNearest as _, PathEl, Point, Shape as _};

use crate::ink::{Glyph, Ink, Line};
use crate::rhythm::{THREE, is_head};
use crate::staff::{Staff, System, nearest};

/// Everything that lies nearest to one staff.
#[derive(Clone)]
pub(crate) struct Part {
    pub(crate) staff: Staff,
    /// Signs of music, left to right.
    pub(crate) glyphs: Vec<Glyph>,
    pub(crate) ties: Vec<Tie>,
    pub(crate) beams: Vec<Beam>,
    /// Upright lines long enough for a stem.
    pub(crate) stems: Vec<Line>,
    /// The halves of brackets.
    pub(crate) arms: Vec<Arm>,
    /// Short lines that lie: ledger lines, and what else there is.
    pub(crate) flats: Vec<Line>,
}

/// An arch between two heads.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tie {
    pub(crate) left: Point,
    pub(crate) right: Point,
    /// Whether it bows up.
    pub(crate) up: bool,
}

/// A straight-sided bar between two abscissas; heights in its middle.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Beam {
    pub(crate) left: Point,
    pub(crate) right: Point,
}

impl Beam {
    /// The beam of a four-cornered outline with upright ends.
    fn of(fill: &BezPath) -> Option<Self> {
        let ink = fill.bounding_box();
        let corners = corners(fill);
        if is_curved(fill) || corners.len() != 4 {
            return None;
        }
        let end = |x: f64| {
            let heights: Vec<f64> =
                corners.iter().filter(|at| (at.x - x).abs() < 0.05).map(|at| at.y).collect();
            (heights.len() == 2).then(|| Point::new(x, (heights[0] + heights[1]) / 2.0))
        };
        Some(Self { left: end(ink.x0)?, right: end(ink.x1)? })
    }

    /// The height of its middle at an abscissa.
    pub(crate) fn height(&self, x: f64) -> f64 {
        let share = (x - self.left.x) / (self.right.x - self.left.x);
        self.left.y + share * (self.right.y - self.left.y)
    }
}

/// Half a bracket: a bar of ink with a hook at its outer end.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Arm {
    /// The abscissas of its outer and its inner end.
    pub(crate) outer: f64,
    pub(crate) inner: f64,
    /// The height of its inner end.
    pub(crate) y: f64,
    /// Whether its hook points down.
    pub(crate) down: bool,
}

impl Arm {
    /// The arm of a six-cornered outline with upright ends, one of them longer than the other.
    fn of(fill: &BezPath) -> Option<Self> {
        let corners = corners(fill);
        if is_curved(fill) || corners.len() != 6 {
            return None;
        }
        let ink = fill.bounding_box();
        let end = |x: f64| {
            let heights = || corners.iter().filter(|at| (at.x - x).abs() < 0.05).map(|at| at.y);
            let low = heights().fold(f64::INFINITY, f64::min);
            (x, low, heights().fold(f64::NEG_INFINITY, f64::max))
        };
        let ends = [end(ink.x0), end(ink.x1)];
        let [outer, inner] =
            if ends[0].2 - ends[0].1 > ends[1].2 - ends[1].1 { ends } else { [ends[1], ends[0]] };
        // The tip of the hook is level; the bar may slant.
        let mut tips = corners.iter().filter(|at| (at.x - inner.0).abs() > 0.05);
        let level = |at: &&Point| {
            let same = corners.iter().filter(|other| (other.y - at.y).abs() < 0.03).count();
            same == 2 && ((at.y - outer.1).abs() < 0.03 || (at.y - outer.2).abs() < 0.03)
        };
        let tip = tips.find(level)?.y;
        let y = (inner.1 + inner.2) / 2.0;
        Some(Self { outer: outer.0, inner: inner.0, y, down: (tip - outer.1).abs() < 0.03 })
    }
}

fn is_curved(fill: &BezPath) -> bool {
    fill.elements().iter().any(|element| matches!(element, PathEl::CurveTo(..)))
}

/// A straight stem is never shorter, in spaces.
const SHORTEST_STEM: f64 = 1.6;
/// How far from the middle line a stem or an arch may stand, in spaces: three ledger lines, and
/// room past them.
const REACH: f64 = 9.0;
/// The same for signs: a stack of digits stands past all that.
const SIGN_REACH: f64 = 14.0;
/// The same of the middle of a stem: less, for the boxes at the foot of a page have such lines too.
const STEM_REACH: f64 = 7.0;

/// Shares the ink of a page out among its staves, from the top: each mark to the staff that it
/// lies nearest to, but between the staves of a system to the one whose heads it belongs to, for
/// a high left hand's stems, ties and dots may lie nearer to the upper staff than to their own.
pub(crate) fn parts(ink: &Ink, systems: &[System]) -> Vec<Part> {
    let staves: Vec<Staff> =
        systems.iter().flat_map(|system| [system.upper, system.lower]).collect();
    let empty = |staff: &Staff| Part {
        staff: *staff,
        glyphs: vec![],
        ties: vec![],
        beams: vec![],
        stems: vec![],
        arms: vec![],
        flats: vec![],
    };
    let mut parts: Vec<Part> = staves.iter().map(empty).collect();
    let signs = || ink.glyphs.iter().filter(|glyph| is_music(&glyph.meaning));
    for glyph in signs().filter(|glyph| is_anchored(&glyph.meaning)) {
        parts[owner(ink, systems, &staves, glyph)].glyphs.push(glyph.clone());
    }
    for line in &ink.lines {
        let middle = line.from.midpoint(line.to);
        let by = |part: &Part| part.off_line(line);
        for index in owners(&parts, systems, middle, by) {
            parts[index].add_line(*line);
        }
    }
    for fill in &ink.fills {
        let centre = fill.bounding_box().center();
        for index in owners(&parts, systems, centre, |part| part.off_fill(fill)) {
            parts[index].add_fill(fill);
        }
    }
    let letters = letters_between(ink, systems);
    for glyph in signs().filter(|glyph| !is_anchored(&glyph.meaning)) {
        let above = (0..systems.len()).rfind(|index| glyph.at.y < systems[*index].lower.middle);
        if let Some((above, height)) = above.and_then(|above| Some((above, letters[above]?)))
            && glyph.at.y > systems[above + 1].upper.middle
        {
            let index = 2 * above + if glyph.at.y > height { 1 } else { 2 };
            parts[index].glyphs.push(glyph.clone());
            continue;
        }
        for index in owners(&parts, systems, glyph.at, |part| part.off_sign(glyph)) {
            parts[index].glyphs.push(glyph.clone());
        }
    }
    for part in &mut parts {
        part.keep_near();
        part.glyphs.sort_by(|a, b| a.at.x.total_cmp(&b.at.x));
    }
    parts
}

/// The middle between the highest and the lowest letters between each system and the next: those
/// are the numerals of the one and the symbols of the other. Whatever signs stand above it belong
/// to the one, those below to the other.
fn letters_between(ink: &Ink, systems: &[System]) -> Vec<Option<f64>> {
    let mut middles: Vec<Option<f64>> = systems
        .windows(2)
        .map(|pair| {
            let gap = pair[1].upper.middle..pair[0].lower.middle;
            let heights: Vec<f64> = ink
                .glyphs
                .iter()
                .filter(|glyph| glyph.meaning.chars().all(|sign| sign.is_ascii_alphabetic()))
                .filter(|glyph| gap.contains(&glyph.at.y))
                .map(|glyph| glyph.at.y)
                .collect();
            let (low, high) = (f64::INFINITY, f64::NEG_INFINITY);
            let lowest = heights.iter().copied().fold(low, f64::min);
            let highest = heights.iter().copied().fold(high, f64::max);
            (!heights.is_empty()).then_some((lowest + highest) / 2.0)
        })
        .collect();
    middles.push(None);
    middles
}

/// Which staff a head, a rest, a clef or a figure belongs to: the one that ledger lines lead
/// from, if only one is, or else the nearest.
fn owner(ink: &Ink, systems: &[System], staves: &[Staff], glyph: &Glyph) -> usize {
    let index = nearest(systems, glyph.at);
    let other = index ^ 1;
    let hangs = |index: &usize| {
        let staff = &staves[*index];
        let above = (glyph.at.y - staff.middle) / staff.space;
        (3..).take_while(|line| f64::from(*line) < above.abs() + 0.1).all(|line| {
            let y = staff.middle + f64::from(line) * above.signum() * staff.space;
            ink.lines.iter().any(|line| {
                let (left, right) = (line.from.x.min(line.to.x), line.from.x.max(line.to.x));
                let flat = (line.from.y - y).abs() < 0.1 && (line.to.y - y).abs() < 0.1;
                flat && left < glyph.at.x && right > glyph.at.x + glyph.advance
            })
        })
    };
    if is_head(&glyph.meaning) && !hangs(&index) && hangs(&other) { other } else { index }
}

/// Which staff, or staves, a mark belongs to.
fn owners(
    parts: &[Part],
    systems: &[System],
    at: Point,
    off: impl Fn(&Part) -> Option<f64>,
) -> Vec<usize> {
    let index = nearest(systems, at);
    let system = &systems[index / 2];
    let inner = system.lower.middle + 2.0 * system.lower.space
        ..system.upper.middle - 2.0 * system.upper.space;
    if !inner.contains(&at.y) {
        return vec![index];
    }
    let pair = [index / 2 * 2, index / 2 * 2 + 1];
    match pair.map(|index| off(&parts[index])) {
        // What belongs to no head alone is shown to both.
        [None, None] => pair.to_vec(),
        [upper, lower] => {
            let far = f64::INFINITY;
            vec![pair[usize::from(lower.unwrap_or(far) < upper.unwrap_or(far))]]
        }
    }
}

/// Whether a sign stands so near its own staff that its height alone tells which that is.
fn is_anchored(meaning: &str) -> bool {
    let is = |first: char, last: char| meaning.chars().all(|sign| (first..=last).contains(&sign));
    is_head(meaning) || is('\u{E050}', '\u{E08F}') || is('\u{E4E0}', '\u{E4EF}')
}

/// How far a point lies from a stretch.
fn off_segment(at: Point, from: Point, to: Point) -> f64 {
    kurbo::Line::new(from, to).nearest(at, 1e-3).distance_sq.sqrt()
}

impl Part {
    fn heads(&self) -> impl Iterator<Item = &Glyph> {
        self.glyphs.iter().filter(|glyph| is_head(&glyph.meaning))
    }

    /// How far an upright line lies from the nearest edge of a head; `None` for other lines.
    fn off_line(&self, line: &Line) -> Option<f64> {
        let length = line.from.distance(line.to) / self.staff.space;
        if (line.from.x - line.to.x).abs() >= 0.01 || length < SHORTEST_STEM {
            return None;
        }
        let edges = self
            .heads()
            .flat_map(|head| [head.at, Point::new(head.at.x + head.advance, head.at.y)]);
        edges.map(|edge| off_segment(edge, line.from, line.to)).min_by(f64::total_cmp)
    }

    /// How far a sign lies from the nearest head, a flag from the nearest end of a stem, the
    /// digit of a triplet from the nearest beam or bracket. An accidental so near the staff that it may belong to the signature belongs to it.
    fn off_sign(&self, glyph: &Glyph) -> Option<f64> {
        let is_accidental = ("\u{E260}".."\u{E270}").contains(&glyph.meaning.as_str());
        if is_accidental && (glyph.at.y - self.staff.middle).abs() < 2.75 * self.staff.space {
            return Some(0.0);
        }
        let is_flag = ("\u{E240}".."\u{E250}").contains(&glyph.meaning.as_str());
        if is_flag {
            let ends = self.stems.iter().flat_map(|stem| [stem.from, stem.to]);
            return ends.map(|end| end.distance(glyph.at)).min_by(f64::total_cmp);
        }
        let middle = Point::new(glyph.at.x + glyph.advance / 2.0, glyph.at.y);
        if glyph.meaning == THREE {
            let beams = self.beams.iter().map(|beam| beam.left.midpoint(beam.right));
            let arms = self.arms.iter().map(|arm| Point::new(arm.inner, arm.y));
            return beams.chain(arms).map(|at| at.distance(middle)).min_by(f64::total_cmp);
        }
        let middles =
            self.heads().map(|head| Point::new(head.at.x + head.advance / 2.0, head.at.y));
        middles.map(|head| head.distance(middle)).min_by(f64::total_cmp)
    }

    /// How far a tie's tips lie from the nearest head, or a beam from the nearest end of a stem.
    fn off_fill(&self, fill: &BezPath) -> Option<f64> {
        if let Some(arm) = Arm::of(fill) {
            // Its hook points to the notes.
            let toward = arm.down == (arm.y > self.staff.middle);
            return Some(if toward { 0.0 } else { f64::INFINITY });
        }
        if let Some(beam) = Beam::of(fill) {
            let ends = self.stems.iter().flat_map(|stem| [stem.from, stem.to]);
            return ends.map(|end| off_segment(end, beam.left, beam.right)).min_by(f64::total_cmp);
        }
        let (left, right) = tips(fill);
        let tip = |head: &Glyph| {
            let after = Point::new(head.at.x + head.advance, head.at.y);
            after.distance(left).min(head.at.distance(right))
        };
        self.heads().map(tip).min_by(f64::total_cmp)
    }

    /// Drops what lies too far from the staff to belong to it.
    fn keep_near(&mut self) {
        let staff = self.staff;
        let by = |at: Point, reach: f64| {
            at.x >= staff.left
                && at.x <= staff.right + staff.space
                && (at.y - staff.middle).abs() < reach * staff.space
        };
        let line = |line: &Line| by(line.from.midpoint(line.to), REACH);
        let stem = |line: &Line| by(line.from.midpoint(line.to), STEM_REACH);
        self.glyphs.retain(|glyph| by(glyph.at, SIGN_REACH));
        self.ties.retain(|tie| by(tie.left.midpoint(tie.right), REACH));
        self.beams.retain(|beam| by(beam.left, REACH));
        self.stems.retain(stem);
        self.arms.retain(|arm| by(Point::new(arm.outer, arm.y), REACH));
        self.flats.retain(line);
    }

    fn add_fill(&mut self, fill: &BezPath) {
        let ink = fill.bounding_box();
        if is_curved(fill) && ink.width() > 0.9 * self.staff.space {
            let (left, right) = tips(fill);
            self.ties.push(Tie { left, right, up: ink.center().y > left.midpoint(right).y });
        } else if ink.width() > 0.5 * self.staff.space {
            self.beams.extend(Beam::of(fill));
            self.arms.extend(Arm::of(fill));
        }
    }

    fn add_line(&mut self, line: Line) {
        let length = line.from.distance(line.to) / self.staff.space;
        if (line.from.x - line.to.x).abs() < 0.01 {
            if length > SHORTEST_STEM && length < REACH {
                self.stems.push(line);
            }
        } else if length < 3.0 * REACH {
            self.flats.push(line);
        }
    }
}

fn is_music(meaning: &str) -> bool {
    meaning.chars().next().is_some_and(|sign| ('\u{E000}'..'\u{F400}').contains(&sign))
}

/// The corners of an outline, each once.
fn corners(path: &BezPath) -> Vec<Point> {
    let mut corners: Vec<Point> = Vec::new();
    for segment in path.segments() {
        let at = segment.start();
        if corners.iter().all(|other| other.distance(at) > 0.02) {
            corners.push(at);
        }
    }
    corners
}

/// The left and the right tip of a tie's outline.
fn tips(path: &BezPath) -> (Point, Point) {
    let points: Vec<Point> =
        path.segments().flat_map(|segment| [segment.start(), segment.end()]).collect();
    let bounds = path.bounding_box();
    let at = |x: f64| {
        let near: Vec<f64> =
            points.iter().filter(|point| (point.x - x).abs() < 0.05).map(|point| point.y).collect();
        Point::new(x, near.iter().sum::<f64>() / near.len().max(1) as f64)
    };
    (at(bounds.x0), at(bounds.x1))
}
