//! Beams: which notes share one, and how it lies.

use std::ops::Range;
use std::sync::LazyLock;

use kurbo::{Point, Vec2};
use smallvec::SmallVec;

use super::accidental::Accidental;
use super::chord::LaidChord;
use super::extent::Extent;
use super::mark::{Engraved, MarkRole};
use super::position::Direction;
use super::rules::{self, Sp};

/// A beam: the middle of its thickness runs straight between its two outer stems; second beams
/// run beside it, toward the heads.
#[derive(Clone, Debug)]
pub(super) struct Beam {
    first: Point,
    last: Point,
    direction: Direction,
    /// Where second beams run.
    seconds: Vec<Extent>,
}

/// A chord under a beam.
#[derive(Clone, Copy)]
pub(super) struct Beamed<'a> {
    /// The abscissa of its column.
    pub(super) x: Sp,
    pub(super) chord: &'a LaidChord,
}

/// A stem under a beam, seen the way the stems point, so that the beam lies above.
struct Stem {
    x: Sp,
    /// The head nearest to the beam.
    head: Sp,
    /// How many beams it bears.
    beams: usize,
}

impl Stem {
    /// The least height of the middle of the first beam here: room for the shortest stem, and a
    /// little air.
    fn least(&self) -> Sp {
        const AIR: Sp = 0.15;
        let under = if self.beams > 1 {
            rules::SHORTEST_STEM_OF_TWO_BEAMS + PERIOD
        } else {
            rules::SHORTEST_BEAMED_STEM
        };
        self.head + under + rules::BEAM / 2.0 + AIR
    }
}

/// From the middle of a beam to that of the next.
const PERIOD: Sp = rules::BEAM + rules::BEAM_GAP;

impl Beam {
    /// Lays a beam over `chords`, which share a direction.
    pub(super) fn lay(chords: &[Beamed<'_>], direction: Direction) -> Self {
        let sign = direction.sign();
        let stems: SmallVec<[Stem; 8]> = chords
            .iter()
            .map(|Beamed { x, chord }| Stem {
                x: x + chord.stem_x(),
                head: sign * chord.inner_head(),
                beams: chord.value.flags(),
            })
            .collect();
        let (first, last) = (stems[0].x, stems[stems.len() - 1].x);
        let signs = chords.iter().flat_map(|Beamed { x, chord }| {
            let boxes = chord.accidentals.iter().map(Accidental::bounds);
            boxes.map(move |ink| ink + Vec2::new(*x, 0.0))
        });
        let signs = signs.flat_map(|ink| {
            let top = (sign * ink.y0).max(sign * ink.y1);
            [Point::new(ink.x0, top), Point::new(ink.x1, top)]
        });
        let (start, end) = settle(&stems, &signs.collect::<SmallVec<[Point; 16]>>());
        Self {
            first: Point::new(first - rules::STEM / 2.0, sign * start),
            last: Point::new(last + rules::STEM / 2.0, sign * end),
            direction,
            seconds: second_extents(&stems),
        }
    }

    /// Its ends.
    pub(super) fn reach(&self) -> Extent {
        Extent { left: self.first.x, right: self.last.x }
    }

    /// How steeply it rises.
    pub(super) fn slope(&self) -> f64 {
        (self.last.y - self.first.y) / (self.last.x - self.first.x)
    }

    /// Its edge away from the heads.
    pub(super) fn outer_edge(&self, x: Sp) -> Sp {
        self.middle(x) + self.direction.sign() * rules::BEAM / 2.0
    }

    /// Where the stem at an abscissa ends: inside the beam, short of its outer edge.
    pub(super) fn stem_tip(&self, x: Sp) -> Sp {
        self.middle(x) + self.direction.sign() * rules::BEAM / 4.0
    }

    fn middle(&self, x: Sp) -> Sp {
        self.first.y + (x - self.first.x) * self.slope()
    }

    /// The beam itself and its second beams, their ends cut upright, flush with stems.
    pub(super) fn marks(&self) -> impl Iterator<Item = Engraved> {
        let inward = -self.direction.sign() * PERIOD;
        let seconds = self.seconds.iter().map(move |second| self.bar(*second, inward));
        std::iter::once(self.bar(self.reach(), 0.0)).chain(seconds)
    }

    /// A bar of ink, so far from the middle of the beam.
    fn bar(&self, Extent { left, right }: Extent, away: Sp) -> Engraved {
        let end = |x: Sp| Point::new(x, self.middle(x) + away);
        Engraved::slab(MarkRole::Beam, end(left), end(right), rules::BEAM)
    }
}

/// The heights of the two ends of a beam over `stems`, clear of the tops of accidentals, `signs`.
fn settle(stems: &[Stem], signs: &[Point]) -> (Sp, Sp) {
    let (first, last) = (stems[0].x, stems[stems.len() - 1].x);
    let run = (last - first).max(1.0);
    let heads: SmallVec<[Point; 8]> =
        stems.iter().map(|stem| Point::new(stem.x, stem.head)).collect();
    let wanted = wanted_rise(&heads, run);
    let two = stems.iter().any(|stem| stem.beams > 1);
    let over_signs = rules::BEAM / 2.0 + if two { PERIOD } else { 0.0 } + rules::ACCIDENTAL_TO_HEAD;
    let least_at_first = |rise: Sp| {
        let under = stems.iter().map(|stem| (stem.x, stem.least()));
        let under = under.chain(signs.iter().map(|top| (top.x, top.y + over_signs)));
        let needs = under.map(|(x, least)| least - rise * (x - first) / run);
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
            let cost = 2.0 * (rise - wanted).abs() + (start - ideal).abs();
            // What asks every stem comes last.
            if too_steep
                || (wanted == 0.0 && rise != 0.0)
                || best.is_some_and(|(least, _, _)| cost >= least - 1e-9)
                || (two && !(holds_two(start) && holds_two(end)))
                || start < least_at_first(rise) - 1e-6
            {
                continue;
            }
            best = Some((cost, start, end));
        }
    }
    let (_, start, end) = best.unwrap_or((0.0, ideal, ideal + wanted));
    (start, end)
}

/// Whether a second beam below a first whose middle is at `y` does not float in a space: the
/// first straddles a line or hangs from it, as long as the second is inside the staff (Ross, by
/// arithmetic from one beam).
fn holds_two(y: Sp) -> bool {
    y - PERIOD > 2.0 || y - y.round() < 1e-6
}

/// A second beam, or a stump of one, by the stems of its group.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum SecondBeam {
    /// It joins stems, two at the least.
    Joins(Range<usize>),
    /// A stump at a stem that points to the next one.
    Forward(usize),
    /// A stump at a stem that points to the one before.
    Backward(usize),
}

/// The second beams of a group, by the flags of its notes: along each run of sixteenths, or for a
/// single one a stump that points into its beat (common).
pub(super) fn second_beams(flags: &[usize]) -> Vec<SecondBeam> {
    let mut seconds = Vec::new();
    let mut start = 0;
    while start < flags.len() {
        let count = flags[start..].iter().take_while(|flags| **flags > 1).count();
        match count {
            0 => {}
            1 if start == 0 => seconds.push(SecondBeam::Forward(start)),
            1 => seconds.push(SecondBeam::Backward(start)),
            _ => seconds.push(SecondBeam::Joins(start..start + count)),
        }
        start += count.max(1);
    }
    seconds
}

/// Where second beams run.
fn second_extents(stems: &[Stem]) -> Vec<Extent> {
    let half = rules::STEM / 2.0;
    let flags: Vec<usize> = stems.iter().map(|stem| stem.beams).collect();
    let extent = |second| match second {
        SecondBeam::Joins(run) => {
            Extent { left: stems[run.start].x - half, right: stems[run.end - 1].x + half }
        }
        SecondBeam::Forward(stem) => {
            Extent { left: stems[stem].x - half, right: stems[stem].x + rules::PARTIAL_BEAM }
        }
        SecondBeam::Backward(stem) => {
            Extent { left: stems[stem].x - rules::PARTIAL_BEAM, right: stems[stem].x + half }
        }
    };
    second_beams(&flags).into_iter().map(extent).collect()
}

/// The rise that the outer notes ask for, level where an inner note is nearer the beam than
/// both of them (Gould, Ross). The beam lies above `heads`.
pub(super) fn wanted_rise(heads: &[Point], run: Sp) -> Sp {
    let (first, last) = (heads[0].y, heads[heads.len() - 1].y);
    let inner = &heads[1..heads.len() - 1];
    if inner.iter().any(|head| head.y > first.max(last)) {
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

    #[test]
    fn second_beams_join_sixteenths_and_single_ones_point_into_the_beat() {
        let stems = |beams: &[usize]| -> Vec<Stem> {
            (0..)
                .zip(beams)
                .map(|(x, n)| Stem { x: Sp::from(x) * 3.0, head: 0.0, beams: *n })
                .collect()
        };
        let ends = |beams: &[usize]| -> Vec<(i32, i32)> {
            let whole = |x: Sp| x.round() as i32;
            let seconds = second_extents(&stems(beams));
            seconds.iter().map(|second| (whole(second.left), whole(second.right))).collect()
        };
        assert_eq!(ends(&[2, 2, 2, 2]), [(0, 9)]);
        assert_eq!(ends(&[1, 2]), [(2, 3)]);
        assert_eq!(ends(&[2, 1, 2]), [(0, 1), (5, 6)]);
        assert_eq!(ends(&[1, 2, 2]), [(3, 6)]);
        assert_eq!(ends(&[1, 1]), []);
    }
}
