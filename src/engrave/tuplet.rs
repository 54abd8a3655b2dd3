//! Triplets: which notes share a figure 3, and where it stands, with a bracket where no beam
//! shows how far it reaches.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};

use super::beam::{Beam, wanted_rise};
use super::chord::rest_box;
use super::column::{CellBody, Standing};
use super::extent::Extent;
use super::mark::{Boxed, Engraved, MarkRole};
use super::position::Direction;
use super::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::Hand;
use crate::typeset::polygon;

/// More white than a row keeps from other ink, so that the figure and a digit over it are not
/// read as one stack of fingers (ours).
const BESIDE_FINGERS: Sp = 0.3;

/// A triplet's marks.
struct Tuplet {
    /// Its figure, and the two halves of its bracket where it has one.
    marks: Vec<Engraved>,
    /// The band that it fills from its first note to its last: rows keep clear of the whole of
    /// it, so that they do not break step over the figure.
    band: Rect,
}

/// Draws the triplets of a staff among its `marks`, from its cells and its beams by bar and
/// number. Returns the bands that rows must keep clear of.
pub(super) fn draw(
    cells: &[Standing<'_>],
    beams: &BTreeMap<(usize, usize), Beam>,
    hand: Hand,
    marks: &mut Boxed,
) -> Vec<Rect> {
    let number = |one: &Standing<'_>| Some((one.column.bar, one.cell.tuplet?));
    let mut bands = Vec::new();
    for run in cells.chunk_by(|a, b| number(a) == number(b)) {
        let first = run[0];
        if first.cell.tuplet.is_none() {
            continue;
        }
        let whole = first.cell.beam.filter(|beam| run.iter().all(|i| i.cell.beam == Some(*beam)));
        let beam = whole.and_then(|beam| beams.get(&(first.column.bar, beam)));
        let tuplet = set(run, beam, hand, marks);
        for mark in tuplet.marks {
            marks.push(mark);
        }
        bands.push(tuplet.band);
    }
    bands
}

/// Sets the figure of a triplet on the side of its stems: at the middle of `beam` where one beam joins it, in a bracket otherwise. `ink` is what
/// stands on the staff already.
fn set(parts: &[Standing<'_>], beam: Option<&Beam>, hand: Hand, ink: &Boxed) -> Tuplet {
    let direction = parts
        .iter()
        .find_map(|part| part.cell.chord())
        .map_or(if hand == Hand::Right { Direction::Up } else { Direction::Down }, |chord| {
            chord.direction
        });
    let side = Side { sign: direction.sign() };
    match beam {
        Some(beam) => at_beam(beam, side, ink),
        None => bracketed(parts, side, ink),
    }
}

/// The side of the staff that a figure stands on; heights are counted outward, toward it.
#[derive(Clone, Copy)]
struct Side {
    sign: f64,
}

impl Side {
    /// How far outward a box reaches.
    fn reach(self, ink: Rect) -> Sp {
        (self.sign * ink.y0).max(self.sign * ink.y1)
    }

    /// The figure centred on an abscissa between two heights.
    fn figure(self, centre: Sp, inner: Sp) -> Engraved {
        let ink = figure_box();
        let bottom = if self.sign > 0.0 { inner } else { -inner - ink.height() };
        let origin = Point::new(centre - ink.center().x, bottom - ink.y0);
        Engraved::sign(MarkRole::Tuplet, Sign::Tuplet3, origin)
    }

    /// A box over a stretch, between two heights.
    fn band(self, over: Extent, inner: Sp, outer: Sp) -> Rect {
        Rect::new(over.left, self.sign * inner, over.right, self.sign * outer).abs()
    }
}

fn figure_box() -> Rect {
    MusicFace::get().bounds(Sign::Tuplet3)
}

/// The figure alone, at the middle of its beam.
fn at_beam(beam: &Beam, side: Side, ink: &Boxed) -> Tuplet {
    let reach = beam.reach();
    let centre = (reach.left + reach.right) / 2.0;
    let figure = figure_box();
    let over = Extent::around(centre, figure.width());
    let at_edge = [over.left, over.right].map(|x| side.sign * beam.outer_edge(x));
    let own = |mark: &Engraved, bounds: Rect| {
        matches!(mark.role, MarkRole::Beam | MarkRole::Stem)
            && bounds.x0 >= reach.left - 0.01
            && bounds.x1 <= reach.right + 0.01
    };
    let others = ink
        .iter()
        .filter(|(mark, bounds)| meets(*bounds, over) && !own(mark, *bounds))
        .map(|(_, bounds)| side.reach(bounds));
    let inner = others.chain(at_edge).fold(Sp::NEG_INFINITY, Sp::max) + rules::TUPLET_TO_BEAM;
    let inner = inner.max(2.0 + rules::TUPLET_TO_STAFF);
    let band = side.band(reach, inner, inner + figure.height() + BESIDE_FINGERS);
    Tuplet { marks: vec![side.figure(centre, inner)], band }
}

/// Whether ink reaches into a stretch, or nearly.
fn meets(ink: Rect, stretch: Extent) -> bool {
    ink.x0 < stretch.right + rules::TUPLET_TO_BEAM && stretch.left - rules::TUPLET_TO_BEAM < ink.x1
}

/// The line of a bracket.
struct Bracket {
    over: Extent,
    /// How much further outward it runs for each space to the right.
    slope: f64,
}

impl Bracket {
    /// How far outward the line lies at an abscissa, from where it lies at its left end.
    fn rise(&self, x: Sp) -> Sp {
        self.slope * (x.clamp(self.over.left, self.over.right) - self.over.left)
    }

    /// How far outward the left end must be for the line to keep `white` from `ink`.
    fn least(&self, side: Side, ink: Rect, white: Sp) -> Sp {
        side.reach(ink) + white - self.rise(ink.x0).min(self.rise(ink.x1))
    }
}

/// The figure in a bracket that spans the whole triplet.
fn bracketed(parts: &[Standing<'_>], side: Side, ink: &Boxed) -> Tuplet {
    let ends = |part: &Standing<'_>| match &part.cell.body {
        CellBody::Chord(chord) => {
            let heads = chord.head_edges();
            Extent { left: part.x + heads.left, right: part.x + heads.right }
        }
        CellBody::Rest(value) => Extent { left: part.x, right: part.x + rest_box(*value).x1 },
    };
    let left = parts.first().map_or(0.0, |part| ends(part).left);
    let right = parts.last().map_or(0.0, |part| ends(part).right);
    let over = Extent { left, right };
    let line = Bracket { over, slope: slope(parts, side, right - left) };
    let figure = figure_box();
    let middle = (left + right) / 2.0;
    let gap = Extent::around(middle, figure.width());
    let half = figure.height() / 2.0;
    let hook = rules::TUPLET_HOOK + rules::TUPLET_HOOK_TO_INK;
    // Left of the figure, the line itself; hooks and figure reach further in.
    let staff = 2.0 + rules::TUPLET_TO_STAFF + rules::TUPLET_HOOK;
    let mut start = staff - line.rise(left).min(line.rise(right));
    for bounds in ink.boxes().iter().copied() {
        if meets(bounds, over) {
            start = start.max(line.least(side, bounds, rules::TUPLET_BRACKET_TO_INK));
        }
        if [left, right].iter().any(|end| meets(bounds, Extent { left: *end, right: *end })) {
            start = start.max(line.least(side, bounds, hook));
        }
        if meets(bounds, gap) {
            start = start.max(line.least(side, bounds, half + rules::TUPLET_TO_BEAM));
        }
    }
    let height = |x: Sp| start + line.rise(x);
    let (gap_left, gap_right) = (gap.left - rules::TUPLET_GAP, gap.right + rules::TUPLET_GAP);
    let marks = vec![
        side.figure(middle, height(middle) - half),
        arm(side, Point::new(left, height(left)), Point::new(gap_left, height(gap_left))),
        arm(side, Point::new(right, height(right)), Point::new(gap_right, height(gap_right))),
    ];
    let lowest = height(left).min(height(right)) - rules::TUPLET_HOOK;
    let highest = height(left).max(height(right)).max(height(middle) + half);
    Tuplet { marks, band: side.band(over, lowest, highest + BESIDE_FINGERS) }
}

/// How much further outward a bracket runs for each space to the right: as a beam would over its
/// first and last note, level where either is a rest (common).
fn slope(parts: &[Standing<'_>], side: Side, run: Sp) -> f64 {
    let heads: Option<Vec<Point>> = parts
        .iter()
        .map(|part| {
            let chord = part.cell.chord()?;
            Some(Point::new(part.x + chord.stem_x(), side.sign * chord.inner_head()))
        })
        .collect();
    heads.map_or(0.0, |heads| wanted_rise(&heads, run) / run)
}

/// Half a bracket: a hook at its outer end, a line to the figure. Heights outward.
fn arm(side: Side, hook: Point, inner: Point) -> Engraved {
    let half = rules::TUPLET_BRACKET / 2.0;
    let width = rules::TUPLET_BRACKET * (inner.x - hook.x).signum();
    let along = (inner.y - hook.y) / (inner.x - hook.x) * width;
    let corners = [
        (hook.x, hook.y - rules::TUPLET_HOOK),
        (hook.x, hook.y + half),
        (inner.x, inner.y + half),
        (inner.x, inner.y - half),
        (hook.x + width, hook.y + along - half),
        (hook.x + width, hook.y - rules::TUPLET_HOOK),
    ];
    let corners = corners.map(|(x, y)| Point::new(x, side.sign * y));
    Engraved::fill(MarkRole::Tuplet, polygon(&corners))
}
