//! What it costs that one figure ends with a finger and the next begins with another.

use super::figure::HandFigure;
use super::grips::Grip;
use super::line::Moment;
use super::passage::MAJOR_THIRD;
use super::rules::{
    Cost, FINGERS, FOLDED, FOLDS, Lever, OCTAVE, PER_POINT, Rules, WHITE_NEIGHBOUR,
};
use crate::score::{QUARTER, Ticks};

/// Ours: fingers that meet in the wrong order over a step, a lower one beyond a higher: the hand
/// has to be lifted. The thumb may pass below the second to the fourth finger, and they over it.
const CROSSED: Cost = 200 * PER_POINT;
/// Ours: the same over anything wider within an octave: a figure on either side yields, even so that
/// the thumb passes within a position once or twice (`PASSES` in `figure`).
const CROSSED_LEAP: Cost = 150 * PER_POINT;
/// Ours: the same, where there is time for the hand to move.
const CROSSED_IN_TIME: Cost = 40 * PER_POINT;
/// Ours: two fingers on keys that lie beyond them, where there is time for it.
const STRAINED_IN_TIME: Cost = 20 * PER_POINT;
/// Ours: two fingers, none of them the thumb, on keys that lie beyond them, so that the hand has to be
/// torn from one to the other: nearly as bad.
const STRAINED: Cost = 110 * PER_POINT;
/// Ours: two fingers with two others between them over a third.
const GATHERED: Cost = 12 * PER_POINT;
/// Ours: the same over more than those four fingers hold: the hand leaps whatever it does.
const LEAPT: Cost = 7 * PER_POINT;
/// Ours: the thumb passes over more than a third.
const WIDE_PASS: Cost = 110 * PER_POINT;
/// Ours: what a figure may have other fingers than its like for, and what thumbs pass within a position
/// for: the least of what no hand should do where figures meet.
pub(super) const BAD: Cost = 8 * PER_POINT;
/// Ours: one finger on two different keys, one after the other, unless the hand leaps an octave or
/// more to the second.
pub(super) const SAME_FINGER: Cost = 9000 * PER_POINT;
/// Ours: the thumb is on a black key where a finger passes over it.
const OVER_BLACK: Cost = 8 * PER_POINT;
/// Ours: the thumb passes to a black key.
const UNDER_TO_BLACK: Cost = 14 * PER_POINT;
/// Ours: besides, the other finger is on a white key.
const UPHILL: Cost = 4 * PER_POINT;
/// Ours: a key that the next figure begins with again, with another finger: more than a thumb on a
/// black key.
const OTHER_FINGER: Cost = 2 * PER_POINT;
/// Ours: the thumb passes below the hand for one or two notes more, after which the line turns or
/// rests. The fifth finger would have done, or thumbs that fall elsewhere.
const LATE_PASS: Cost = 100 * PER_POINT;
/// Ours: a finger crosses over the thumb for one note by itself, with which the line ends or rests, or
/// turns: four fingers and the thumb would have lain over the last keys.
const LATE_CROSS: Cost = 20 * PER_POINT;
/// Ours: the most that the move to where a figure begins costs, where its fingers do not lie as the
/// keys do.
pub(super) const MOVES: Cost = 3 * PER_POINT;
/// Ours: the thumb begins a line that goes inward from it, so that another finger has to cross over it
/// at once: the fifth finger, or one near it, would have begun.
const EARLY_PASS: Cost = 25 * PER_POINT;
/// Ours: a note before the next figure that lasts so long lets the hand move to where that begins.
const LONG: Ticks = 2 * QUARTER;
/// Semitones of a step.
const STEP: i32 = 2;
/// Semitones up to which keys are near; over a wider leap the hand moves whatever it does.
const NEAR: i32 = 4;
/// Semitones of a sixth, which the fingers but the thumb hold in comfort by the table of 1997.
const WITHOUT_THUMB: i32 = 8;
/// Notes after a thumb that has passed, from which on the passing was worth its while.
const WORTH_PASSING: usize = 2;

/// Costs by the finger that one figure ends with and by the one that the next begins with.
pub(super) type Meeting = [[Cost; FINGERS]; FINGERS];

/// How one figure leads to the next: `None` where any fingers may meet, because a chord stands
/// there, or because one of the two takes its fingers from what stands beside it.
pub(super) fn meeting(
    rules: &Rules,
    before: &HandFigure<'_>,
    next: &HandFigure<'_>,
) -> Option<Meeting> {
    if before.ways.is_empty() || next.ways.is_empty() {
        return None;
    }
    let [from, to] = [before.last().alone()?, next.moments[0].alone()?];
    let rest = next.moments[0].rest;
    let has_time = next.moments[0].at - before.last().at >= LONG;
    Some(std::array::from_fn(|last| {
        std::array::from_fn(|first| match rest {
            true if from != to || last == first => 0,
            true => OTHER_FINGER,
            false => step(rules, [from, to], [last, first], has_time),
        })
    }))
}

/// From key to key without a rest, with a finger and then another: as easy as two fingers lie on two
/// keys, but for what no hand does. Where it has time, it moves over a third as over a leap.
fn step(rules: &Rules, [from, to]: [Lever; 2], [last, first]: [usize; 2], has_time: bool) -> Cost {
    let rise = to.semitones - from.semitones;
    if last == first {
        return if rise != 0 && rise.abs() < OCTAVE { SAME_FINGER } else { 0 };
    }
    if rise == 0 {
        return OTHER_FINGER;
    }
    let span = rise.abs();
    let is_crossed = (last < first) != (rise > 0);
    // The hand leaps less far, the fewer fingers it turns back by.
    let moved = MOVES + last.abs_diff(first) as Cost * PER_POINT;
    if span >= OCTAVE {
        return if is_crossed { moved } else { 0 };
    }
    let (low, high) = if last < first { (from, to) } else { (to, from) };
    let fingers = (last.min(first), last.max(first));
    let eased = rules.hold(low, high, fingers).min(MOVES);
    if has_time && span > STEP {
        let against = if fingers.0 > 0 { CROSSED_IN_TIME } else { 0 };
        let strained = if rules.strains(low, high, fingers) { STRAINED_IN_TIME } else { 0 };
        return if is_crossed { moved + against } else { strained };
    }
    if !is_crossed {
        let is_gathered = last.abs_diff(first) >= FOLDS;
        return match span {
            ..=STEP if is_gathered => eased + FOLDED,
            ..=NEAR if is_gathered => eased + GATHERED,
            ..=NEAR => eased,
            _ if !rules.strains(low, high, fingers) => 0,
            _ if span <= WITHOUT_THUMB => STRAINED,
            _ => LEAPT,
        };
    }
    let (thumb, other) = if last == 0 { (from, to) } else { (to, from) };
    match fingers {
        (0, passed) if passed < FINGERS - 1 => {
            let on_black = if last == 0 { OVER_BLACK } else { UNDER_TO_BLACK };
            let uphill = if other.black { 0 } else { UPHILL };
            match span {
                _ if span > NEAR => WIDE_PASS,
                _ if thumb.black => on_black + uphill,
                _ => eased,
            }
        }
        _ if span <= STEP => CROSSED,
        _ => CROSSED_LEAP,
    }
}

/// What the end of a way costs before what comes `next`: a run that ends, or turns round, needs no
/// thumb for its last note.
pub(super) fn ending(
    rules: &Rules,
    figure: &HandFigure<'_>,
    fingers: &[Grip],
    next: Option<&HandFigure<'_>>,
) -> Cost {
    let [.., before, last] = figure.moments else { return 0 };
    let [.., other, thumb] = fingers else { return 0 };
    let (Some(from), Some(to)) = (before.alone(), last.alone()) else { return 0 };
    let passes = thumb[0] == 0 && other[0] > 0 && from.semitones < to.semitones && !last.rest;
    if !passes {
        return 0;
    }
    let after = next.map_or(&[][..], |next| next.moments);
    let on = goes_on(to, after);
    if leaps_on(to, after) {
        return 0;
    }
    let reaches_fifth = rules.is_within(from, to, (usize::from(other[0]), FINGERS - 1));
    if on >= WORTH_PASSING || on == 0 && !reaches_fifth { 0 } else { LATE_PASS }
}

/// What it costs that the thumb ends a way where one note by itself follows further inward, over which
/// a finger has to cross.
pub(super) fn late_cross(
    figure: &HandFigure<'_>,
    fingers: &[Grip],
    next: &[HandFigure<'_>],
) -> Cost {
    let (Some(from), [_, .., thumb]) = (figure.last().alone(), fingers) else { return 0 };
    let is_by_itself = next.first().is_some_and(|next| next.moments.len() == 1);
    if thumb[0] != 0 || !is_by_itself {
        return 0;
    }
    let after = next.iter().flat_map(|figure| figure.moments).take(WORTH_PASSING);
    if goes_in(from, after) == 1 { LATE_CROSS } else { 0 }
}

/// Rules 10 and 11 for a note by itself, whose neighbours stand in other figures: the thumb or the fifth
/// finger on a black key, for each of them that is white.
pub(super) fn beside(
    figure: &HandFigure<'_>,
    fingers: &[Grip],
    [before, next]: [Option<&HandFigure<'_>>; 2],
) -> Cost {
    let ([own], [grip]) = (figure.moments, fingers) else { return 0 };
    let is_outer = [0, FINGERS - 1].contains(&usize::from(grip[0]));
    if !is_outer || !own.alone().is_some_and(|key| key.black) {
        return 0;
    }
    let before = before.map(HandFigure::last).filter(|_| !own.rest);
    let next = next.map(|next| &next.moments[0]).filter(|next| !next.rest);
    let keys = [before, next].into_iter().flatten().filter_map(Moment::alone);
    keys.filter(|key| !key.black).count() as Cost * WHITE_NEIGHBOUR
}

/// What the beginning of a way costs after what comes `before`: a line that turns inward, or begins to,
/// needs no thumb for its first note.
pub(super) fn beginning(
    figure: &HandFigure<'_>,
    fingers: &[Grip],
    before: Option<&HandFigure<'_>>,
) -> Cost {
    let ([first, second, ..], [thumb, other, ..]) = (figure.moments, fingers) else { return 0 };
    let (Some(from), Some(to)) = (first.alone(), second.alone()) else { return 0 };
    let crosses = thumb[0] == 0 && other[0] > 0 && to.semitones < from.semitones && !second.rest;
    let came = before.and_then(|before| before.last().alone()).filter(|_| !first.rest);
    let goes_on =
        came.is_some_and(|came| (1..=MAJOR_THIRD).contains(&(came.semitones - from.semitones)));
    if crosses && !goes_on { EARLY_PASS } else { 0 }
}

/// Whether a line leaps on outward from a key, without a rest, to where the fifth finger on it would not
/// lead.
fn leaps_on(from: Lever, moments: &[Moment]) -> bool {
    let next = moments.first().filter(|next| !next.rest).and_then(Moment::alone);
    next.is_some_and(|to| (MAJOR_THIRD + 1..OCTAVE).contains(&(to.semitones - from.semitones)))
}

/// Notes that rise on from a key by steps or thirds, without a rest.
fn goes_on(from: Lever, moments: &[Moment]) -> usize {
    goes(from, 1, moments.iter())
}

/// Notes that fall on from a key in the same way.
fn goes_in<'a>(from: Lever, moments: impl Iterator<Item = &'a Moment>) -> usize {
    goes(from, -1, moments)
}

fn goes<'a>(mut from: Lever, way: i32, moments: impl Iterator<Item = &'a Moment>) -> usize {
    let goes = |moment: &&Moment| {
        let Some(to) = moment.alone().filter(|_| !moment.rest) else { return false };
        let step = way * (to.semitones - from.semitones);
        from = to;
        (1..=MAJOR_THIRD).contains(&step)
    };
    moments.take_while(goes).count()
}
