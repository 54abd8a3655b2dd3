//! Beams: which eighths share one, and how it lies.

use std::sync::LazyLock;

use kurbo::{BezPath, Point};

use super::chord::{Chord, Direction};
use super::mark::{Mark, Role};
use super::rules::{self, Sp};
use crate::score::{Event, Metre, QUARTER, Ticks};

/// Cuts the events of one bar and staff into beamed groups, as index ranges of at least two.
///
/// A half bar of eighths alone takes one beam; where it holds rests or longer values, each beat
/// takes its own. No beam crosses an imaginary barline (Berklee; Gould).
pub(super) fn groups(metre: Metre, bar_start: Ticks, events: &[Event]) -> Vec<Vec<usize>> {
    let beamable = |event: &Event| event.value.has_flag() && !event.is_rest();
    let half_of = |event: &Event| metre.group_of(event.at - bar_start);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, event) in events.iter().enumerate() {
        if !beamable(event) {
            continue;
        }
        let half = half_of(event);
        let pure = events.iter().filter(|other| half_of(other) == half).all(beamable);
        let beat = |event: &Event| (event.at - bar_start).div_euclid(QUARTER);
        let joins = groups.last().and_then(|group| group.last()).is_some_and(|last| {
            let before = &events[*last];
            *last + 1 == index && half_of(before) == half && (pure || beat(before) == beat(event))
        });
        match groups.last_mut() {
            Some(group) if joins => group.push(index),
            _ => groups.push(vec![index]),
        }
    }
    groups.retain(|group| group.len() > 1);
    groups
}

/// A beam: the middle of its thickness runs straight between its two outer stems.
#[derive(Clone, Copy, Debug)]
pub(super) struct Beam {
    first: Point,
    last: Point,
    direction: Direction,
}

impl Beam {
    /// Lays a beam over `chords`, each with the abscissa of its column; all share a direction.
    pub(super) fn lay(chords: &[(Sp, &Chord)], direction: Direction) -> Self {
        let sign = direction.sign();
        // All heights below are measured the way the stems point, so that a beam lies above.
        let stems: Vec<(Sp, Sp)> = chords
            .iter()
            .map(|(x, chord)| (x + chord.stem_x(), sign * chord.inner_head()))
            .collect();
        let (first, last) = (stems[0].0, stems[stems.len() - 1].0);
        let run = (last - first).max(1.0);
        let wanted = wanted_rise(&stems, run);
        let least_at_first = |rise: Sp| {
            let needs =
                stems.iter().map(|(x, head)| head + STEM_TO_BEAM - rise * (x - first) / run);
            // Stems of ledger-line notes reach the middle line (Gould p. 14).
            let to_middle = -rules::BEAM / 2.0 + (-rise).max(0.0);
            needs.fold(to_middle, Sp::max)
        };
        let ideal = least_at_first(wanted);
        let mut best: Option<(f64, Sp, Sp)> = None;
        for &start in quants_between(ideal - 0.3, ideal + 1.0) {
            for &end in quants_between(start + wanted - 0.5, start + wanted + 0.5) {
                let rise = end - start;
                let too_steep = rise.abs() > wanted.abs() + 0.3 || rise * wanted < 0.0;
                if too_steep
                    || (wanted == 0.0 && rise != 0.0)
                    || start < least_at_first(rise) - 1e-6
                {
                    continue;
                }
                let cost = 2.0 * (rise - wanted).abs() + (start - ideal).abs();
                if best.is_none_or(|(least, _, _)| cost < least - 1e-9) {
                    best = Some((cost, start, end));
                }
            }
        }
        let (_, start, end) = best.unwrap_or((0.0, ideal, ideal + wanted));
        Self {
            first: Point::new(first - rules::STEM / 2.0, sign * start),
            last: Point::new(last + rules::STEM / 2.0, sign * end),
            direction,
        }
    }

    /// Where the stem at an abscissa ends: inside the beam, short of its outer edge.
    pub(super) fn stem_tip(&self, x: Sp) -> Sp {
        self.middle(x) + self.direction.sign() * rules::BEAM / 4.0
    }

    fn middle(&self, x: Sp) -> Sp {
        let share = (x - self.first.x) / (self.last.x - self.first.x);
        self.first.y + share * (self.last.y - self.first.y)
    }

    /// The beam itself, its ends cut upright, flush with its outer stems.
    pub(super) fn mark(&self) -> Mark {
        let half = rules::BEAM / 2.0;
        let mut path = BezPath::with_capacity(5);
        path.move_to((self.first.x, self.first.y - half));
        path.line_to((self.last.x, self.last.y - half));
        path.line_to((self.last.x, self.last.y + half));
        path.line_to((self.first.x, self.first.y + half));
        path.close_path();
        Mark::fill(Role::Beam, path)
    }
}

/// From the innermost head to the middle of the beam: room for the shortest stem, and a little
/// air.
const STEM_TO_BEAM: Sp = rules::SHORTEST_BEAMED_STEM + rules::BEAM / 2.0 + 0.15;

/// The rise that the outer notes ask for, level where an inner note is nearer the beam than
/// both of them (Gould, Ross). `stems` holds abscissas and heads, the beam above them.
fn wanted_rise(stems: &[(Sp, Sp)], run: Sp) -> Sp {
    let (first, last) = (stems[0].1, stems[stems.len() - 1].1);
    let inner = &stems[1..stems.len() - 1];
    if inner.iter().any(|(_, head)| *head > first.max(last)) {
        return 0.0;
    }
    let steps = (2.0 * (last - first).abs()).round() as usize;
    let rise = rules::BEAM_RISE[steps.min(rules::BEAM_RISE.len() - 1)];
    if last < first { -rise } else { rise }
        .clamp(-rules::BEAM_STEEPEST * run, rules::BEAM_STEEPEST * run)
}

/// Whether a beam's middle may end at a height: straddling a line,
/// sitting on one or hanging from one inside the staff (Ross); on the grid outside it.
fn is_quant(y: Sp) -> bool {
    let settle = 0.25 - rules::STAFF_LINE / 2.0;
    let from_line = (y - y.round()).abs();
    if y.abs() > 2.0 + settle + 1e-6 {
        let grid = y / rules::BEAM_GRID;
        return (grid - grid.round()).abs() < 1e-6;
    }
    from_line < 1e-6 || (from_line - settle).abs() < 1e-6
}

/// Every legal height in a stretch.
fn quants_between(low: Sp, high: Sp) -> &'static [Sp] {
    /// No beam lies further from the middle line, in lines.
    const FURTHEST: i32 = 24;
    static QUANTS: LazyLock<Vec<Sp>> = LazyLock::new(|| {
        let settle = 0.25 - rules::STAFF_LINE / 2.0;
        let offsets = [-settle, 0.0, settle, 0.25, 0.5, 0.75];
        let near = |line: i32| offsets.map(|offset| f64::from(line) + offset);
        let mut all: Vec<Sp> = (-FURTHEST..=FURTHEST).flat_map(near).collect();
        all.retain(|y| is_quant(*y));
        all.sort_by(Sp::total_cmp);
        all.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        all
    });
    let first = QUANTS.partition_point(|y| *y < low - 1e-6);
    let last = QUANTS.partition_point(|y| *y <= high + 1e-6);
    &QUANTS[first..last.max(first)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_beam_end_floats_in_a_space() {
        let quants = quants_between(-2.0, 2.0);
        assert!(quants.iter().all(|y| ((y - y.floor()) - 0.5).abs() > 0.2), "{quants:?}");
        assert_eq!(quants.len(), 13, "three to a line, but two half outside: {quants:?}");
    }
}
