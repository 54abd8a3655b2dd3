//! Beams: which notes share one, and how it lies.

use std::sync::LazyLock;

use kurbo::{BezPath, Point, Rect, Vec2};

use super::accidental::Accidental;
use super::chord::{Chord, Direction};
use super::mark::{Mark, Role};
use super::rules::{self, Sp};
use crate::score::{Event, Metre, NoteValue, Ticks};

/// Cuts the events of one bar and staff into beamed groups, as index ranges of at least two.
///
/// Between imaginary barlines eighths alone take one beam; where there are rests or other
/// values, each felt beat takes its own. No beam crosses an imaginary barline (Berklee; Gould).
pub(super) fn groups(metre: Metre, bar_start: Ticks, events: &[Event]) -> Vec<Vec<usize>> {
    let beamable = |event: &Event| event.value.has_flag() && !event.is_rest();
    let is_plain = |event: &Event| event.value == NoteValue::Eighth && !event.is_rest();
    let part_of = |event: &Event| metre.group_of(event.at - bar_start);
    let beat = |event: &Event| metre.beat_of(event.at - bar_start);
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, event) in events.iter().enumerate() {
        if !beamable(event) {
            continue;
        }
        let part = part_of(event);
        let pure = events.iter().filter(|other| part_of(other) == part).all(is_plain);
        let joins = groups.last().and_then(|group| group.last()).is_some_and(|last| {
            let before = &events[*last];
            *last + 1 == index && part_of(before) == part && (pure || beat(before) == beat(event))
        });
        match groups.last_mut() {
            Some(group) if joins => group.push(index),
            _ => groups.push(vec![index]),
        }
    }
    groups.retain(|group| group.len() > 1);
    groups
}

/// A beam: the middle of its thickness runs straight between its two outer stems; second beams
/// run beside it, toward the heads.
#[derive(Clone, Debug)]
pub(super) struct Beam {
    first: Point,
    last: Point,
    direction: Direction,
    /// The abscissas between which a second beam runs.
    seconds: Vec<(Sp, Sp)>,
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
    /// Lays a beam over `chords`, each with the abscissa of its column; all share a direction.
    pub(super) fn lay(chords: &[(Sp, &Chord)], direction: Direction) -> Self {
        let sign = direction.sign();
        let stems: Vec<Stem> = chords
            .iter()
            .map(|(x, chord)| Stem {
                x: x + chord.stem_x(),
                head: sign * chord.inner_head(),
                beams: chord.value.flags(),
            })
            .collect();
        let (first, last) = (stems[0].x, stems[stems.len() - 1].x);
        let signs: Vec<Rect> = chords
            .iter()
            .flat_map(|(x, chord)| {
                let boxes = chord.accidentals.iter().map(Accidental::bounds);
                boxes.map(move |ink| ink + Vec2::new(*x, 0.0))
            })
            .collect();
        let signs = signs.iter().flat_map(|ink| {
            let top = (sign * ink.y0).max(sign * ink.y1);
            [(ink.x0, top), (ink.x1, top)]
        });
        let (start, end) = settle(&stems, &signs.collect::<Vec<_>>());
        Self {
            first: Point::new(first - rules::STEM / 2.0, sign * start),
            last: Point::new(last + rules::STEM / 2.0, sign * end),
            direction,
            seconds: second_beams(&stems),
        }
    }

    /// Its ends.
    pub(super) fn reach(&self) -> (Sp, Sp) {
        (self.first.x, self.last.x)
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
    pub(super) fn marks(&self) -> Vec<Mark> {
        let inward = -self.direction.sign() * PERIOD;
        let mut marks = vec![self.bar(self.first.x, self.last.x, 0.0)];
        marks.extend(self.seconds.iter().map(|(from, to)| self.bar(*from, *to, inward)));
        marks
    }

    /// A bar of ink between two abscissas, so far from the middle of the beam.
    fn bar(&self, from: Sp, to: Sp, away: Sp) -> Mark {
        let half = rules::BEAM / 2.0;
        let (left, right) = (self.middle(from) + away, self.middle(to) + away);
        let mut path = BezPath::with_capacity(5);
        path.move_to((from, left - half));
        path.line_to((to, right - half));
        path.line_to((to, right + half));
        path.line_to((from, left + half));
        path.close_path();
        Mark::fill(Role::Beam, path)
    }
}

/// The heights of the two ends of a beam over `stems`, clear of the tops of accidentals, `signs`.
fn settle(stems: &[Stem], signs: &[(Sp, Sp)]) -> (Sp, Sp) {
    let (first, last) = (stems[0].x, stems[stems.len() - 1].x);
    let run = (last - first).max(1.0);
    let heads: Vec<(Sp, Sp)> = stems.iter().map(|stem| (stem.x, stem.head)).collect();
    let wanted = wanted_rise(&heads, run);
    let two = stems.iter().any(|stem| stem.beams > 1);
    let over_signs = rules::BEAM / 2.0 + if two { PERIOD } else { 0.0 } + rules::ACCIDENTAL_TO_HEAD;
    let least_at_first = |rise: Sp| {
        let under = stems.iter().map(|stem| (stem.x, stem.least()));
        let under = under.chain(signs.iter().map(|(x, top)| (*x, top + over_signs)));
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
            if too_steep
                || (wanted == 0.0 && rise != 0.0)
                || start < least_at_first(rise) - 1e-6
                || (two && !(holds_two(start) && holds_two(end)))
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
    (start, end)
}

/// Whether a second beam below a first whose middle is at `y` does not float in a space: the
/// first straddles a line or hangs from it, as long as the second is inside the staff (Ross, by
/// arithmetic from one beam).
fn holds_two(y: Sp) -> bool {
    y - PERIOD > 2.0 || y - y.round() < 1e-6
}

/// Where second beams run: along each run of sixteenths, or for a single one a stump that points
/// into its beat (common).
fn second_beams(stems: &[Stem]) -> Vec<(Sp, Sp)> {
    let half = rules::STEM / 2.0;
    let mut seconds = Vec::new();
    let mut start = 0;
    while start < stems.len() {
        let count = stems[start..].iter().take_while(|stem| stem.beams > 1).count();
        let from = stems[start].x;
        match count {
            0 => {}
            1 if start == 0 => seconds.push((from - half, from + rules::PARTIAL_BEAM)),
            1 => seconds.push((from - rules::PARTIAL_BEAM, from + half)),
            _ => seconds.push((from - half, stems[start + count - 1].x + half)),
        }
        start += count.max(1);
    }
    seconds
}

/// The rise that the outer notes ask for, level where an inner note is nearer the beam than
/// both of them (Gould, Ross). `stems` holds abscissas and heads, the beam above them.
pub(super) fn wanted_rise(stems: &[(Sp, Sp)], run: Sp) -> Sp {
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
    use crate::score::Note;
    use crate::theory::{Letter, NoteName, Pitch};

    #[test]
    fn no_beam_end_floats_in_a_space() {
        let quants = quants_between(-2.0, 2.0);
        assert!(quants.iter().all(|y| ((y - y.floor()) - 0.5).abs() > 0.2), "{quants:?}");
        assert_eq!(quants.len(), 13, "three to a line, but two half outside: {quants:?}");
    }

    /// The groups of a bar of one pitch, `values` in ticks; rests are negative.
    fn grouped(metre: Metre, values: &[Ticks]) -> Vec<Vec<usize>> {
        let mut at = 0;
        let events: Vec<Event> = values
            .iter()
            .map(|ticks| {
                let note = Note {
                    pitch: Pitch::new(NoteName::new(Letter::C, 0), 4),
                    tied_in: false,
                    tied_out: false,
                    finger: None,
                    shows_finger: false,
                };
                let event = Event {
                    at,
                    value: NoteValue::of(ticks.abs()).unwrap(),
                    notes: if *ticks > 0 { vec![note] } else { Vec::new() },
                    staccato: false,
                    fermata: false,
                    clef_change: None,
                };
                at = event.end();
                event
            })
            .collect();
        groups(metre, 0, &events)
    }

    #[test]
    fn eighths_share_beams_between_imaginary_barlines() {
        assert_eq!(grouped(Metre::FourFour, &[24; 8]), [vec![0, 1, 2, 3], vec![4, 5, 6, 7]]);
        assert_eq!(grouped(Metre::ThreeFour, &[24; 6]), [vec![0, 1, 2, 3, 4, 5]]);
        assert_eq!(grouped(Metre::SixEight, &[24; 6]), [vec![0, 1, 2], vec![3, 4, 5]]);
        let five = grouped(Metre::FiveFour, &[24; 10]);
        assert_eq!(five, [vec![0, 1, 2, 3, 4, 5], vec![6, 7, 8, 9]]);
    }

    #[test]
    fn among_other_values_each_beat_has_its_beam() {
        assert_eq!(grouped(Metre::ThreeFour, &[24, 24, 24, 24, 48]), [vec![0, 1], vec![2, 3]]);
        let sixteenths = grouped(Metre::FourFour, &[12, 12, 24, 24, 24, -96]);
        assert_eq!(sixteenths, [vec![0, 1, 2], vec![3, 4]]);
        let triplets = grouped(Metre::FourFour, &[16, 16, 16, 24, 24, 16, -16, 16, 32, 16]);
        assert_eq!(triplets, [vec![0, 1, 2], vec![3, 4]]);
        let resting = grouped(Metre::SixEight, &[-24, 24, 24, 24, -24, 24]);
        assert_eq!(resting, [vec![1, 2]]);
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
            second_beams(&stems(beams)).iter().map(|(a, b)| (whole(*a), whole(*b))).collect()
        };
        assert_eq!(ends(&[2, 2, 2, 2]), [(0, 9)]);
        assert_eq!(ends(&[1, 2]), [(2, 3)]);
        assert_eq!(ends(&[2, 1, 2]), [(0, 1), (5, 6)]);
        assert_eq!(ends(&[1, 2, 2]), [(3, 6)]);
        assert_eq!(ends(&[1, 1]), []);
    }
}
