//! What a choice of fingers costs.
//!
//! The rules are those of Parncutt et al. 1997 (see the tables of spans for the source and how
//! it is known), by its numbers: 1 stretch, 2 small span, 3 large span, 4 and 5 change of
//! position, 6 weak finger, 7 three-four-five, 10 thumb on black, 11 fifth on black, 12 thumb
//! passing. 12 is from memory; the texts of 8 and 9 were not at hand, and the published choices
//! come out without them.
//!
//! By themselves they choose for single spans, and let the hand wander to spare it a weak finger.
//! Pianists keep to a position, five fingers over five neighbouring keys, and leave it for a
//! reason: so leaving it costs, a thumb that passes costs once more, and weak fingers cost less
//! than in 1997 (Jacobs left the fifth out of rule 6 and dropped rule 7).
//!
//! Everything here sees a right hand: a left hand is looked at in a mirror, in which its thumb
//! too lies on the side of the lower keys. The mirror stands in the middle of a D, where black
//! and white keys lie alike on both sides, so one set of rules serves both hands.

use super::hand::{HandSize, Measure, ease, limits};
use crate::score::Hand;
use crate::theory::Pitch;

/// A cost. Unit: half a point of the model of 1997, whose rules all cost whole points, so that
/// rules which later authors count half stay whole.
pub(super) type Cost = i32;

/// Fingers of a hand.
pub(crate) const FINGERS: usize = 5;

/// Intervals wider than this, in the units of any measure, are judged as this one.
const WIDEST: i32 = 28;
/// Semitones of an octave.
pub(super) const OCTAVE: i32 = 12;
/// Semitones of a major third.
const MAJOR_THIRD: i32 = 4;
const INTERVALS: usize = 2 * WIDEST as usize + 1;

// The model's own weights, but where said.
pub(super) const PER_POINT: Cost = 2;
/// Ours: two fingers with two others between them on neighbouring keys, so that the hand folds up.
pub(super) const FOLDED: Cost = 15 * PER_POINT;
/// Fingers by which those are apart.
pub(super) const FOLDS: usize = 3;
/// Rule 6, for the fourth finger alone as in Jacobs, and half of what it costs there (ours).
pub(super) const WEAK_FINGER: Cost = PER_POINT / 2;
/// Rule 7, half (ours).
pub(super) const THREE_FOUR_FIVE: Cost = PER_POINT / 2;
/// Rule 10, without neighbours.
pub(super) const THUMB_ON_BLACK: Cost = PER_POINT;
/// Rules 10 and 11, for each neighbour that is white.
pub(super) const WHITE_NEIGHBOUR: Cost = 2 * PER_POINT;
/// Rule 12: the thumb passes between keys of one colour.
const PASSING_LEVEL: Cost = PER_POINT;
/// Rule 12: the thumb is on a black key while the other finger is on a white one.
const PASSING_UPHILL: Cost = 3 * PER_POINT;
/// Ours: the thumb passes at all, and the hand takes another position.
const PASSING: Cost = 3 * PER_POINT;
/// Ours, after the rule of Balliauw et al. against one finger on the first and the third of
/// three different keys, which costs one point there: the first and the third key, within reach
/// of each other, have fingers that do not lie as the keys do. The hand has moved; where the thumb
/// has passed, that has its own cost.
const OUT_OF_ORDER: Cost = 2 * PER_POINT;
/// Ours: the thumb is on a black key where it passes, which handbooks have it do only where all
/// keys are black.
const PASSING_ONTO_BLACK: Cost = 60 * PER_POINT;
/// Ours: another finger on the key of two notes before, so that the hand has moved.
const OTHER_FINGER: Cost = 3 * PER_POINT;
/// Ours: the thumb passes the fifth finger, which no handbook has it do: as bad as passing onto a black
/// key.
const PASSING_FIFTH: Cost = 60 * PER_POINT;
/// Ours: the most that rule 2 counts where the thumb has passed: handbooks let it pass the third
/// and the fourth finger as readily as the second.
const MOST_PASSING: i32 = 3;
/// Ours: two fingers that do not lie as in a position of five neighbouring keys. It settles what
/// the rules leave open, since the relaxed spans of the thumb are wide.
const LEAVES_POSITION: Cost = PER_POINT;
/// Balliauw et al.: each unit outside what the hand can do.
const PER_UNIT_IMPOSSIBLE: Cost = 10 * PER_POINT;

// Ours: what should happen only where the notes or given fingers leave nothing better, from
// worst to least. They dwarf what the rules say of a whole figure.
/// A finger that hops to another key.
const HOP: Cost = 3000 * PER_POINT;
/// The thumb passing inside one position.
const NEEDLESS_PASSING: Cost = 400 * PER_POINT;
/// A span that the hand cannot make, whatever its width.
const IMPOSSIBLE: Cost = 300 * PER_POINT;
/// A key repeated with another finger, or a chord.
pub(super) const REPEATED: Cost = 100 * PER_POINT;

// Ours: the hand moves freely.
/// A leap wider than the hand, and the most that moving to where a figure begins costs. To it
/// comes [`travel`].
const LEAP: Cost = 3 * PER_POINT;
/// The most that any move costs when a rest leaves time for it.
const REST_MOVE: Cost = PER_POINT;
/// A key struck again after a rest with another finger.
const REST_REPEATED: Cost = 3 * PER_POINT;
/// The most that two fingers out of order cost from chord to chord.
pub(super) const CHORD_MOVE: Cost = PER_POINT;
/// The same between a chord and a single note.
pub(super) const NOTE_AND_CHORD_MOVE: Cost = 2 * PER_POINT;

/// The costs of every pair of fingers at every interval, for one hand and one measure.
#[derive(Debug)]
pub(super) struct Rules {
    pub(super) size: HandSize,
    pub(super) measure: Measure,
    /// Rules 1 to 3 and the leaving of a position, by interval of the measure, and the two fingers
    /// in order of playing.
    ease: [[[i16; FINGERS]; FINGERS]; INTERVALS],
    /// What lies beyond the hand, by interval in semitones and on the row of keys; the lesser
    /// counts.
    limits: [[[[i16; FINGERS]; FINGERS]; INTERVALS]; 2],
    /// Rules 4 and 5 and ours, by interval from the first of three notes to the third, and by the
    /// fingers of the third and the first; the second table is for a thumb that plays between.
    third: [[[[i16; FINGERS]; FINGERS]; INTERVALS]; 2],
}

impl Rules {
    const fn new(size: HandSize, measure: Measure) -> Self {
        let mut rules = Self {
            size,
            measure,
            ease: [[[0; FINGERS]; FINGERS]; INTERVALS],
            limits: [[[[0; FINGERS]; FINGERS]; INTERVALS]; 2],
            third: [[[[0; FINGERS]; FINGERS]; INTERVALS]; 2],
        };
        let mut at = 0;
        while at < INTERVALS {
            let interval = at as i32 - WIDEST;
            let mut from = 0;
            while from < FINGERS {
                let mut to = 0;
                while to < FINGERS {
                    if from != to {
                        let ease = ease_cost(size, measure, from, to, interval);
                        rules.ease[at][from][to] = narrow(ease);
                    }
                    let [semitones, on_row] = limit_costs(size, from, to, interval);
                    rules.limits[0][at][from][to] = narrow(semitones);
                    rules.limits[1][at][from][to] = narrow(on_row);
                    let [third, under] = third_cost(size, measure, from, to, interval);
                    rules.third[0][at][to][from] = narrow(third);
                    rules.third[1][at][to][from] = narrow(under);
                    to += 1;
                }
                from += 1;
            }
            at += 1;
        }
        rules
    }

    /// The rules for a hand and a measure.
    pub(super) fn of(size: HandSize, measure: Measure) -> &'static Self {
        static ALL: [[Rules; 3]; 3] = {
            const fn of_size(size: HandSize) -> [Rules; 3] {
                [
                    Rules::new(size, Measure::Semitones),
                    Rules::new(size, Measure::Millimetres),
                    Rules::new(size, Measure::Lattice),
                ]
            }
            [of_size(HandSize::Small), of_size(HandSize::Medium), of_size(HandSize::Large)]
        };
        &ALL[size as usize][measure as usize]
    }

    /// Whether rule 7 holds; Jacobs dropped it.
    pub(super) const fn counts_three_four_five(&self) -> bool {
        !matches!(self.measure, Measure::Millimetres)
    }

    /// Rules 1 to 3 for two keys played together by two different fingers.
    pub(super) fn ease(&self, low: Lever, high: Lever, (finger, other): (usize, usize)) -> Cost {
        let interval = self.measure.distance(low.semitones, high.semitones);
        Cost::from(self.ease[index(interval)][finger][other])
    }

    /// Whether two keys lie within two fingers of the hand.
    pub(super) fn is_within(&self, low: Lever, high: Lever, fingers: (usize, usize)) -> bool {
        self.beyond(low, high, fingers) == 0
    }

    /// The keys of the row by which two keys lie beyond two fingers of the hand.
    pub(super) fn beyond(&self, low: Lever, high: Lever, fingers: (usize, usize)) -> i32 {
        let on_row = Measure::Lattice.distance(low.semitones, high.semitones);
        limits(self.size, fingers.0 + 1, fingers.1 + 1).beyond_practical(on_row)
    }

    /// The same by the table of 1997, in semitones.
    pub(super) fn is_within_semitones(
        &self,
        low: Lever,
        high: Lever,
        fingers: (usize, usize),
    ) -> bool {
        let spans = ease(self.size, Measure::Semitones, fingers.0 + 1, fingers.1 + 1);
        spans.beyond_practical(high.semitones - low.semitones) == 0
    }

    /// Whether two rising keys lie beyond two fingers, none of them the thumb, by the table of 1997;
    /// the fourth finger and the fifth, the weakest, hold no more than the third and the fourth do
    /// (ours).
    pub(super) fn strains(&self, low: Lever, high: Lever, fingers: (usize, usize)) -> bool {
        const WEAKEST: (usize, usize) = (3, 4);
        let span = high.semitones - low.semitones;
        let is_beyond = !self.is_within_semitones(low, high, fingers);
        fingers.0 > 0 && (is_beyond || fingers == WEAKEST && span > MAJOR_THIRD)
    }

    /// Rules 1 to 3, with what lies beyond the hand.
    pub(super) fn hold(&self, low: Lever, high: Lever, fingers: (usize, usize)) -> Cost {
        self.ease(low, high, fingers) + Self::impossible(self.beyond(low, high, fingers))
    }

    /// What `units` on the row of keys beyond the hand cost.
    pub(super) const fn impossible(units: i32) -> Cost {
        if units == 0 { 0 } else { IMPOSSIBLE + PER_UNIT_IMPOSSIBLE * units }
    }

    /// Rules 4 and 5 from the first of three notes to the third, by the fingers of the third
    /// and the first; `full` where a thumb that plays between can make the change a full one.
    pub(super) fn third(
        &self,
        full: bool,
        first: Lever,
        third: Lever,
    ) -> &[[i16; FINGERS]; FINGERS] {
        let interval = self.measure.distance(first.semitones, third.semitones);
        &self.third[usize::from(full)][index(interval)]
    }
}

/// A key of the piano as the rules see it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Lever {
    /// Semitones from some C, rising away from the thumb.
    pub(super) semitones: i32,
    pub(super) black: bool,
}

impl Lever {
    /// The key under a pitch: as it lies for the right hand, in the mirror for the left.
    pub(super) fn of(hand: Hand, pitch: Pitch) -> Self {
        /// Twice the D that the mirror stands on.
        const MIRROR: i32 = 2 * 62;
        let semitones = match hand {
            Hand::Right => pitch.midi(),
            Hand::Left => MIRROR - pitch.midi(),
        };
        Self { semitones, black: matches!(semitones.rem_euclid(12), 1 | 3 | 6 | 8 | 10) }
    }
}

/// The index of an interval in the tables.
fn index(interval: i32) -> usize {
    (interval.clamp(-WIDEST, WIDEST) + WIDEST) as usize
}

/// What lies between two notes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Joint {
    /// Silence.
    pub(super) rest: bool,
    /// The end of a figure that the second note begins again elsewhere.
    pub(super) new_figure: bool,
    /// Nothing that takes the hand from its position.
    pub(super) in_place: bool,
}

/// What moving from one key to another costs, ready for every pair of fingers.
pub(super) struct Move<'a> {
    ease: &'a [[i16; FINGERS]; FINGERS],
    limits: [&'a [[i16; FINGERS]; FINGERS]; 2],
    /// Semitones upward.
    rise: i32,
    /// What the thumb's passing costs, by whether it is the thumb that moves.
    passing: [Cost; 2],
    new_figure: bool,
    rest: bool,
    leap: bool,
    /// A figure begins an octave or more away, where any finger may strike again.
    far_figure: bool,
}

impl<'a> Move<'a> {
    /// From `from` to `to`.
    pub(super) fn new(rules: &'a Rules, from: Lever, to: Lever, joint: Joint) -> Self {
        let interval = rules.measure.distance(from.semitones, to.semitones);
        let on_row = Measure::Lattice.distance(from.semitones, to.semitones);
        let rise = to.semitones - from.semitones;
        let needless = if joint.in_place { NEEDLESS_PASSING } else { 0 };
        Self {
            ease: &rules.ease[index(interval)],
            limits: [&rules.limits[0][index(rise)], &rules.limits[1][index(on_row)]],
            rise,
            passing: [(from, to), (to, from)]
                .map(|(thumb, other)| needless + PASSING + pass(thumb, other)),
            new_figure: joint.new_figure,
            rest: joint.rest,
            leap: on_row.abs() > limits(rules.size, 1, 5).max_practical,
            far_figure: joint.new_figure && rise.abs() >= OCTAVE,
        }
    }

    /// With finger `from` and then `to`, both counted from 0.
    pub(super) fn cost(&self, from: usize, to: usize) -> Cost {
        if self.rise == 0 {
            return match (from == to, self.rest || self.new_figure) {
                (true, _) => 0,
                (false, true) => REST_REPEATED,
                (false, false) => REPEATED,
            };
        }
        if self.leap {
            return match (self.rest, from == to) {
                (true, _) => REST_MOVE,
                (false, true) if !self.far_figure => HOP,
                (false, _) => LEAP + travel(from, to, self.rise) / 2,
            };
        }
        let mut cost = if from == to {
            HOP
        } else {
            let beyond = self.limits[0][from][to].min(self.limits[1][from][to]);
            Cost::from(self.ease[from][to]) + Cost::from(beyond)
        };
        let against_the_hand = from != to && (from < to) != (self.rise > 0);
        if against_the_hand {
            cost += self.passing[usize::from(to == 0)];
            if from.max(to) == FINGERS - 1 {
                cost += PASSING_FIFTH;
            }
        }
        match (self.rest, self.new_figure) {
            (true, _) => cost.min(REST_MOVE),
            (false, true) if from != to || self.far_figure => cost.min(LEAP),
            _ => cost,
        }
    }
}

/// Ours: how much farther than it need a hand travels in a leap, in fingers: nothing from the thumb up
/// to the fifth finger, most from the fifth up to the thumb.
pub(super) const fn travel(from: usize, to: usize, rise: i32) -> Cost {
    let reach = to as Cost - from as Cost;
    let saved = if rise > 0 { reach } else { -reach };
    FINGERS as Cost - 1 - saved
}

/// Rule 12.
fn pass(thumb: Lever, other: Lever) -> Cost {
    match (thumb.black, other.black) {
        (true, false) => PASSING_ONTO_BLACK + PASSING_UPHILL,
        (true, true) => PASSING_ONTO_BLACK + PASSING_LEVEL,
        (false, true) => 0,
        _ => PASSING_LEVEL,
    }
}

/// The span between two fingers seen from the lower-numbered one, those two, counted from 1.
const fn seen_from_lower(from: usize, to: usize, interval: i32) -> (i32, usize, usize) {
    if from < to { (interval, from + 1, to + 1) } else { (-interval, to + 1, from + 1) }
}

/// Rules 1 to 3, and the leaving of a position. Jacobs lets a large span cost the same with every
/// finger, Balliauw et al. a small one too.
const fn ease_cost(size: HandSize, measure: Measure, from: usize, to: usize, at: i32) -> Cost {
    let (span, low, high) = seen_from_lower(from, to, at);
    let spans = ease(size, measure, low, high);
    let without_thumb = if low == 1 { 1 } else { 2 };
    let small = match measure {
        Measure::Lattice => 1,
        _ => without_thumb,
    };
    let large = match measure {
        Measure::Semitones => without_thumb,
        _ => 1,
    };
    let mut points = 2 * spans.beyond_comfort(span);
    if span < spans.min_relaxed {
        let narrow = spans.min_relaxed - span;
        let is_level = span < 0 && narrow > MOST_PASSING;
        points += small * if is_level { MOST_PASSING } else { narrow };
    } else if span > spans.max_relaxed {
        points += large * (span - spans.max_relaxed);
    }
    let leaves = if is_natural(low, high, span) { 0 } else { LEAVES_POSITION };
    PER_POINT * points + leaves
}

/// Whether two fingers lie on two keys as in a position of five neighbouring white keys: a
/// semitone or two for each finger between, as the relaxed spans of 1997 have it without the
/// thumb.
const fn is_natural(low: usize, high: usize, span: i32) -> bool {
    let apart = (high - low) as i32;
    // Four fingers on, a diminished fifth is one of five neighbouring keys.
    let least = if apart == 4 { 6 } else { 2 * apart - 1 };
    least <= span && span <= 2 * apart
}

/// What an interval costs that is beyond the hand, counted in semitones and on the row of keys.
///
/// The limits on the row hold but for one: handbooks stretch a major third between the third and
/// the fourth finger wherever it lies (D7, A7), as the table of 1997 allows; that of 2017 allows
/// it between two white keys only.
const fn limit_costs(size: HandSize, from: usize, to: usize, interval: i32) -> [Cost; 2] {
    if from == to {
        return [0, 0];
    }
    let (span, low, high) = seen_from_lower(from, to, interval);
    let on_row = limits(size, low, high).beyond_practical(span);
    let semitones = if low == 3 && high == 4 {
        Rules::impossible(ease(size, Measure::Semitones, low, high).beyond_practical(span))
    } else {
        i16::MAX as Cost
    };
    [semitones, Rules::impossible(on_row)]
}

/// What the fingers of the first and the third of three notes cost: within comfort half of rules 1
/// to 3, since the hand lies over both (ours), beyond it rules 4 and 5. The second is for a thumb
/// that plays between, which has passed where they are out of order, and can make the change of
/// position a full one.
const fn third_cost(
    size: HandSize,
    measure: Measure,
    from: usize,
    to: usize,
    interval: i32,
) -> [Cost; 2] {
    if from == to {
        let cost = if interval == 0 { 0 } else { OUT_OF_ORDER };
        return [cost, cost];
    }
    if interval == 0 {
        return [OTHER_FINGER, OTHER_FINGER];
    }
    let (span, low, high) = seen_from_lower(from, to, interval);
    let spans = ease(size, measure, low, high);
    match spans.beyond_comfort(span) {
        0 if span > 0 => [ease_cost(size, measure, from, to, interval) / 2; 2],
        beyond => {
            let outside = if beyond > 0 { PER_POINT * (1 + beyond) } else { 0 };
            let full = if spans.beyond_practical(span) > 0 { PER_POINT } else { 0 };
            // Where the thumb passes, the pass has its own cost.
            let in_order = if span > 0 || low == 1 { 0 } else { OUT_OF_ORDER };
            [in_order + outside, outside + full]
        }
    }
}

/// A cost as the tables hold it.
const fn narrow(cost: Cost) -> i16 {
    assert!(cost <= i16::MAX as Cost, "the tables hold small costs");
    cost as i16
}
