//! Ties: an arch for every note that goes on, over barlines and system breaks.

use kurbo::Point;
use smallvec::SmallVec;

use super::chord::LaidChord;
use super::mark::{Engraved, MarkRole};
use super::position::{Direction, PerNote, height};
use super::rules::{self, Sp};
use crate::score::Event;
use crate::typeset::Trace;

/// One end of the ties of a chord.
#[derive(Clone, Copy)]
pub(super) struct End<'a> {
    /// The abscissa of its column.
    pub(super) x: Sp,
    pub(super) event: &'a Event,
    pub(super) chord: &'a LaidChord,
}

/// The ties that lead from one event to the next. Where one of the ends lies in another system,
/// `None` stands for it, and the ties end or begin at `open`.
pub(super) fn ties(
    from: Option<End<'_>>,
    to: Option<End<'_>>,
    open: Sp,
) -> SmallVec<[Engraved; 4]> {
    let Some(near) = from.or(to) else { return SmallVec::new() };
    let tied: PerNote<usize> = (0..near.event.notes.len())
        .filter(|index| {
            let note = near.event.notes[*index];
            if from.is_some() { note.tied_out } else { note.tied_in }
        })
        .collect();
    let left = from.map_or(open, |end| end.x + right_edge(end.chord) + rules::TIE_TO_HEAD);
    let right = to.map_or(open, |end| end.x + end.chord.tied_in_edge() - rules::TIE_TO_HEAD);
    let mut arches: PerNote<(Sp, Direction)> = tied
        .iter()
        .enumerate()
        .map(|(order, index)| {
            let head = height(near.chord.heads[*index].position);
            (head, direction(order, tied.len(), near.chord.direction, head))
        })
        .collect();
    // From the middle of the chord outward on either side, so that each arch can keep clear of
    // the one inside it.
    arches.sort_by(|a, b| {
        a.1.sign().total_cmp(&b.1.sign()).then((a.1.sign() * a.0).total_cmp(&(b.1.sign() * b.0)))
    });
    let mut inside: Option<(Direction, Sp)> = None;
    let arch = |(head, direction): (Sp, Direction)| {
        let within = inside.filter(|(other, _)| *other == direction).map(|(_, apex)| apex);
        let (mark, apex) = arch(left, right, head, direction, within);
        inside = Some((direction, apex));
        mark
    };
    arches.into_iter().map(arch).collect()
}

/// Where ties may begin beside a chord: right of its heads and of its dots.
pub(super) fn right_edge(chord: &LaidChord) -> Sp {
    let edges = if chord.value.is_dotted() { chord.edges(false) } else { chord.head_edges() };
    edges.right
}

/// Which way tie `order` of `count`, low to high, bows: away from the stem where it is alone;
/// in a chord the upper half up, the lower half down, a middle one away from the middle line
/// (Gould).
fn direction(order: usize, count: usize, stem: Direction, head: Sp) -> Direction {
    if count == 1 {
        return match stem {
            Direction::Up => Direction::Down,
            Direction::Down => Direction::Up,
        };
    }
    match (2 * order + 1).cmp(&count) {
        std::cmp::Ordering::Less => Direction::Down,
        std::cmp::Ordering::Greater => Direction::Up,
        std::cmp::Ordering::Equal if head >= 0.0 => Direction::Up,
        std::cmp::Ordering::Equal => Direction::Down,
    }
}

/// A tie between two abscissas at a head, and the height of its apex: two cubics that share their
/// tips. `inside` is the apex of the tie that it bows over.
fn arch(left: Sp, right: Sp, head: Sp, direction: Direction, inside: Option<Sp>) -> (Engraved, Sp) {
    let sign = direction.sign();
    let length = right - left;
    let tip = head + sign * rules::TIE_TIP_HEIGHT;
    let [base, growth, least, most] = rules::TIE_ARCH;
    let wanted = (base + growth * length).clamp(least, most);
    // The apex must not run along a staff line: lift or flatten the arch until it clears one.
    let clears_line = |rise: &Sp| {
        let apex = tip + sign * rise;
        apex.abs() > 2.4 || (apex - apex.round()).abs() >= rules::TIE_MIDDLE
    };
    let clears_tie = |rise: &Sp| {
        inside.is_none_or(|inside| {
            sign * (tip + sign * rise - inside) >= rules::TIE_MIDDLE + rules::TIE_TO_TIE
        })
    };
    let rises = [0.0, 0.08, -0.08, 0.16, -0.16, 0.24, 0.32].map(|change| wanted + change);
    let best = rises.iter().find(|rise| clears_line(rise) && clears_tie(rise));
    let rise = *best.or(rises.iter().find(|rise| clears_tie(rise))).unwrap_or(&wanted);
    // A cubic reaches three quarters of the height of its handles.
    let handle = |rise: Sp| sign * rise * 4.0 / 3.0;
    let half = rules::TIE_MIDDLE / 2.0;
    let trace = Trace::Crescent {
        from: Point::new(left, tip),
        length,
        handles: [handle(rise + half), handle(rise - half)],
        tip: (sign * rules::TIE_TIP / 2.0) as f32,
    };
    (Engraved { role: MarkRole::Tie, trace }, tip + sign * rise)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chord_of_four_ties_two_down_and_two_up() {
        let directions: Vec<Direction> =
            (0..4).map(|order| direction(order, 4, Direction::Down, 0.0)).collect();
        use Direction::{Down, Up};
        assert_eq!(directions, [Down, Down, Up, Up]);
        assert_eq!(direction(0, 1, Direction::Up, 0.0), Down);
        assert_eq!(direction(1, 3, Direction::Up, -1.0), Down);
    }
}
