//! Triplets: which notes share a figure 3, and where it stands, with a bracket where no beam
//! shows how far it reaches.

use std::collections::BTreeMap;
use std::ops::Range;

use kurbo::{Point, Rect};

use super::beam::{Beam, wanted_rise};
use super::chord::{Direction, rest_box};
use super::column::{Body, Column, Item};
use super::mark::{Mark, Role};
use super::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::{Event, Hand, QUARTER};
use crate::typeset::polygon;

/// Cuts the events of one bar and staff into triplets, as index ranges.
pub(super) fn groups(events: &[Event]) -> Vec<Range<usize>> {
    let beat = |event: &Event| event.at.div_euclid(QUARTER);
    let mut groups: Vec<Range<usize>> = Vec::new();
    for (index, event) in events.iter().enumerate().filter(|(_, event)| event.value.is_triplet()) {
        match groups.last_mut() {
            Some(group) if group.end == index && beat(&events[group.start]) == beat(event) => {
                group.end += 1;
            }
            _ => groups.push(index..index + 1),
        }
    }
    groups
}

/// More white than a row keeps from other ink, so that the figure and a digit over it are not
/// read as one stack of fingers (ours).
const BESIDE_FINGERS: Sp = 0.3;

/// A triplet's marks.
struct Tuplet {
    /// Its figure, and the two halves of its bracket where it has one.
    marks: Vec<Mark>,
    /// The band that it fills from its first note to its last: rows keep clear of the whole of
    /// it, so that they do not break step over the figure.
    band: Rect,
}

/// Draws the triplets of a staff among its `marks`, from its items with the abscissas of their
/// columns and its beams by bar and number. Returns the bands that rows must keep clear of.
pub(super) fn draw(
    items: &[(Sp, &Column<'_>, &Item<'_>)],
    beams: &BTreeMap<(usize, usize), Beam>,
    hand: Hand,
    marks: &mut Vec<Mark>,
) -> Vec<Rect> {
    let key = |(_, column, item): &(Sp, &Column<'_>, &Item<'_>)| Some((column.bar, item.tuplet?));
    let mut bands = Vec::new();
    for run in items.chunk_by(|a, b| key(a) == key(b)).filter(|run| key(&run[0]).is_some()) {
        let parts: Vec<(Sp, &Item<'_>)> = run.iter().map(|(x, _, item)| (*x, *item)).collect();
        let (_, column, first) = run[0];
        let whole = first.beam.filter(|beam| parts.iter().all(|(_, i)| i.beam == Some(*beam)));
        let beam = whole.and_then(|beam| beams.get(&(column.bar, beam)));
        let tuplet = set(&parts, beam, hand, marks);
        marks.extend(tuplet.marks);
        bands.push(tuplet.band);
    }
    bands
}

/// Sets the figure of a triplet, `parts` with the abscissas of their columns, on the side of its
/// stems: at the middle of `beam` where one beam joins it, in a bracket otherwise. `ink` is what
/// stands on the staff already.
fn set(parts: &[(Sp, &Item<'_>)], beam: Option<&Beam>, hand: Hand, ink: &[Mark]) -> Tuplet {
    let direction = parts
        .iter()
        .find_map(|(_, item)| item.chord())
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
    fn figure(self, centre: Sp, inner: Sp) -> Mark {
        let ink = figure_box();
        let bottom = if self.sign > 0.0 { inner } else { -inner - ink.height() };
        let origin = Point::new(centre - ink.center().x, bottom - ink.y0);
        Mark::sign(Role::Tuplet, Sign::Tuplet3, origin)
    }

    /// A box between two abscissas and two heights.
    fn band(self, (x0, x1): (Sp, Sp), inner: Sp, outer: Sp) -> Rect {
        Rect::new(x0, self.sign * inner, x1, self.sign * outer).abs()
    }
}

fn figure_box() -> Rect {
    MusicFace::get().bounds(Sign::Tuplet3)
}

/// The figure alone, at the middle of its beam.
fn at_beam(beam: &Beam, side: Side, ink: &[Mark]) -> Tuplet {
    let (left, right) = beam.reach();
    let centre = (left + right) / 2.0;
    let figure = figure_box();
    let (x0, x1) = (centre - figure.width() / 2.0, centre + figure.width() / 2.0);
    let at_edge = [x0, x1].map(|x| side.sign * beam.outer_edge(x));
    let own = |mark: &Mark, bounds: Rect| {
        matches!(mark.role, Role::Beam | Role::Stem)
            && bounds.x0 >= left - 0.01
            && bounds.x1 <= right + 0.01
    };
    let others = ink
        .iter()
        .map(|mark| (mark, mark.bounds()))
        .filter(|(mark, bounds)| meets(*bounds, x0, x1) && !own(mark, *bounds))
        .map(|(_, bounds)| side.reach(bounds));
    let inner = others.chain(at_edge).fold(Sp::NEG_INFINITY, Sp::max) + rules::TUPLET_TO_BEAM;
    let inner = inner.max(2.0 + rules::TUPLET_TO_STAFF);
    let band = side.band((left, right), inner, inner + figure.height() + BESIDE_FINGERS);
    Tuplet { marks: vec![side.figure(centre, inner)], band }
}

/// Whether ink reaches between two abscissas, or nearly.
fn meets(ink: Rect, x0: Sp, x1: Sp) -> bool {
    ink.x0 < x1 + rules::TUPLET_TO_BEAM && x0 - rules::TUPLET_TO_BEAM < ink.x1
}

/// The line of a bracket.
struct Line {
    left: Sp,
    right: Sp,
    /// How much further outward it runs for each space to the right.
    slope: f64,
}

impl Line {
    /// How far outward the line lies at an abscissa, from where it lies at its left end.
    fn rise(&self, x: Sp) -> Sp {
        self.slope * (x.clamp(self.left, self.right) - self.left)
    }

    /// How far outward the left end must be for the line to keep `white` from `ink`.
    fn least(&self, side: Side, ink: Rect, white: Sp) -> Sp {
        side.reach(ink) + white - self.rise(ink.x0).min(self.rise(ink.x1))
    }
}

/// The figure in a bracket that spans the whole triplet.
fn bracketed(parts: &[(Sp, &Item<'_>)], side: Side, ink: &[Mark]) -> Tuplet {
    let ends = |(x, item): &(Sp, &Item<'_>)| match &item.body {
        Body::Chord(chord) => {
            let (left, right) = chord.head_edges();
            (x + left, x + right)
        }
        Body::Rest(value) => (*x, x + rest_box(*value).x1),
    };
    let left = parts.first().map_or(0.0, |part| ends(part).0);
    let right = parts.last().map_or(0.0, |part| ends(part).1);
    let line = Line { left, right, slope: slope(parts, side, right - left) };
    let figure = figure_box();
    let middle = (left + right) / 2.0;
    let (x0, x1) = (middle - figure.width() / 2.0, middle + figure.width() / 2.0);
    let half = figure.height() / 2.0;
    let hook = rules::TUPLET_HOOK + rules::TUPLET_HOOK_TO_INK;
    // Left of the figure, the line itself; hooks and figure reach further in.
    let staff = 2.0 + rules::TUPLET_TO_STAFF + rules::TUPLET_HOOK;
    let mut start = staff - line.rise(left).min(line.rise(right));
    for bounds in ink.iter().map(Mark::bounds) {
        if meets(bounds, left, right) {
            start = start.max(line.least(side, bounds, rules::TUPLET_BRACKET_TO_INK));
        }
        if meets(bounds, left, left) || meets(bounds, right, right) {
            start = start.max(line.least(side, bounds, hook));
        }
        if meets(bounds, x0, x1) {
            start = start.max(line.least(side, bounds, half + rules::TUPLET_TO_BEAM));
        }
    }
    let height = |x: Sp| start + line.rise(x);
    let (gap_left, gap_right) = (x0 - rules::TUPLET_GAP, x1 + rules::TUPLET_GAP);
    let marks = vec![
        side.figure(middle, height(middle) - half),
        arm(side, Point::new(left, height(left)), Point::new(gap_left, height(gap_left))),
        arm(side, Point::new(right, height(right)), Point::new(gap_right, height(gap_right))),
    ];
    let lowest = height(left).min(height(right)) - rules::TUPLET_HOOK;
    let highest = height(left).max(height(right)).max(height(middle) + half);
    Tuplet { marks, band: side.band((left, right), lowest, highest + BESIDE_FINGERS) }
}

/// How much further outward a bracket runs for each space to the right: as a beam would over its
/// first and last note, level where either is a rest (common).
fn slope(parts: &[(Sp, &Item<'_>)], side: Side, run: Sp) -> f64 {
    let heads: Option<Vec<(Sp, Sp)>> = parts
        .iter()
        .map(|(x, item)| {
            let chord = item.chord()?;
            Some((x + chord.stem_x(), side.sign * chord.inner_head()))
        })
        .collect();
    heads.map_or(0.0, |heads| wanted_rise(&heads, run) / run)
}

/// Half a bracket: a hook at its outer end, a line to the figure. Heights outward.
fn arm(side: Side, hook: Point, inner: Point) -> Mark {
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
    Mark::fill(Role::Tuplet, polygon(&corners))
}
