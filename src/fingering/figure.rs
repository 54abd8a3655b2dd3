//! The ways to finger a figure, and what it costs that two figures meet in their ways.

use std::rc::Rc;

use super::costs::{NEVER, own};
use super::grips::{GRIPS, Grip, GripWay, NO_GRIP, grips};
use super::hand::{HandSize, limits};
use super::known::known;
use super::line::{Moment, NONE};
use super::passage::{MAJOR_THIRD, write_runs};
use super::position::grips_by_cost;
use super::programme::{Joints, Programme};
use super::rules::{Cost, FINGERS, Lever, OCTAVE, PER_POINT, Rules};
use super::solo;
use super::stretch::{Position, in_place, run_end, slips};

/// Semitones of a major ninth.
const NINTH: i32 = 14;
/// The keys of the alternating row that a ninth between white keys spans: a hand that plays it
/// spreads over any ninth, since a broken chord is nowhere held.
const WHITE_NINTH: i32 = 16;
/// Ours: a figure that a position holds, with a thumb that passes in it.
const PASSES: Cost = 30 * PER_POINT;
/// Ours: a finger of a run that is not the handbook's, for each finger between the two.
const NOT_THE_HANDBOOKS: Cost = 3 * PER_POINT;
/// Ours: the thumb on a black key of a run, where it is not the handbook's.
const BLACK_THUMB: Cost = 200 * PER_POINT;

/// Ours: a figure with given fingers that crosses badly where it need not: its neighbour may leave it
/// no other way but one finger on two keys, which is worse.
const GIVEN_CROSSES: Cost = 3000 * PER_POINT;

/// What is played over one chord.
pub(super) struct HandFigure<'a> {
    pub(super) moments: &'a [Moment],
    /// Where it begins in the line.
    pub(super) from: usize,
    /// The place, among the figures of the line, of the first that is struck alike.
    pub(super) kind: usize,
    /// The ways to finger it, the best first; none where they depend on what stands beside it.
    pub(super) ways: Rc<[GripWay]>,
    /// Whether they include those in which the thumb passes, or the figure has none of these.
    thumb_passes: bool,
}

impl<'a> HandFigure<'a> {
    /// What is played from a place of the line on; `before` are the figures before it, whose ways
    /// serve again where they are alike. A line without figures is judged as a whole, unless it
    /// lies in one position.
    pub(super) fn new(
        rules: &Rules,
        moments: &'a [Moment],
        from: usize,
        before: &[Self],
        has_figures: bool,
    ) -> Self {
        if let Some(other) = before.iter().find(|other| other.is_alike(moments)) {
            let ways = Rc::clone(&other.ways);
            return Self { moments, from, ways, ..*other };
        }
        let find = || ways(rules, moments, has_figures);
        let (ways, thumb_passes) = if has_figures {
            known(rules, moments, false, find)
        } else {
            let (ways, thumb_passes) = find();
            (Rc::from(ways), thumb_passes)
        };
        Self { moments, from, kind: before.len(), ways, thumb_passes }
    }

    /// Whether moments are struck like those of this figure.
    fn is_alike(&self, moments: &[Moment]) -> bool {
        let pairs = || self.moments.iter().zip(moments);
        self.moments.len() == moments.len()
            && pairs().all(|(one, other)| one.is_struck_like(other))
            // A rest within a figure lets the hand move there.
            && pairs().skip(1).all(|(one, other)| one.rest == other.rest)
    }

    pub(super) fn last(&self) -> &Moment {
        &self.moments[self.moments.len() - 1]
    }

    /// Lets a figure that a position holds have ways too in which the thumb passes; whether it had
    /// none before.
    pub(super) fn let_thumb_pass(&mut self, rules: &Rules) -> bool {
        let is_single = self.moments.iter().all(|moment| moment.alone().is_some());
        if self.thumb_passes || !is_single || self.moments.len() == 1 {
            return false;
        }
        self.thumb_passes = true;
        let (own, moments) = (&self.ways, self.moments);
        let find = || {
            let passing = from_end_to_end(rules, moments, &vec![false; moments.len()]);
            let passing =
                passing.into_iter().filter(|(fingers, _)| !crosses_badly(moments, fingers));
            let dearer = passing.map(|(fingers, cost)| {
                let needless = needless_passes(rules.size, moments, &fingers);
                (fingers, cost + PASSES * (1 + needless))
            });
            (own.iter().cloned().chain(dearer).collect(), true)
        };
        (self.ways, _) = known(rules, moments, true, find);
        true
    }
}

/// Whether fingers cross among single notes other than over the thumb on a white key, or one
/// strikes two keys, or two strike one; the thumb may stand on a black one where all are black.
fn crosses_badly(moments: &[Moment], fingers: &[Grip]) -> bool {
    let has_white = moments.iter().any(|moment| !moment.levers[0].black);
    let passes = |(pair, fingers): (&[Moment], &[Grip])| {
        let [from, to] = [pair[0].levers[0], pair[1].levers[0]];
        let [one, other] = [fingers[0][0], fingers[1][0]];
        let thumb = if one == 0 { from } else { to };
        let is_against = (one < other) != (from.semitones < to.semitones);
        let is_torn = (from != to) == (one == other);
        is_torn || from != to && is_against && (one.min(other) > 0 || thumb.black && has_white)
    };
    moments.windows(2).zip(fingers.windows(2)).any(passes)
}

/// How often the thumb passes among notes that go one way within a position, but for where that is
/// easy: between a white key of its own and a black one.
fn needless_passes(size: HandSize, moments: &[Moment], fingers: &[Grip]) -> Cost {
    let moves = vec![false; moments.len()];
    let mut count = 0;
    let mut from = 0;
    while from + 1 < moments.len() {
        let to = run_end(moments, &moves, from).max(from + 1);
        let levers: Vec<Lever> = moments[from..=to].iter().map(|it| it.levers[0]).collect();
        let mut position = Position::new(size, levers[0]);
        if levers.iter().all(|lever| position.takes(*lever)) {
            let passes = |place: &usize| {
                let [here, there] = [levers[*place], levers[place + 1]];
                let [one, other] = [fingers[from + place][0], fingers[from + place + 1][0]];
                let (thumb, passed) = if one == 0 { (here, there) } else { (there, here) };
                // A thumb that begins is passed for nothing.
                let begins = from + place == 0 && one == 0;
                let is_easy = !thumb.black && passed.black && !begins;
                let is_against = (one < other) != (here.semitones < there.semitones);
                here != there && is_against && !is_easy
            };
            count += (0..levers.len() - 1).filter(passes).count() as Cost;
        }
        from = to;
    }
    count
}

/// The ways to finger a figure, the best first, and whether there are no others in which the thumb
/// passes.
fn ways(rules: &Rules, moments: &[Moment], has_figures: bool) -> (Vec<GripWay>, bool) {
    // Under the thumb that slips, the hand has two positions.
    let keys = moments.iter().filter_map(Moment::alone);
    if !(has_figures && slips(keys))
        && let Some(ways) = in_position(rules, moments)
    {
        return (ways, false);
    }
    if has_figures && let Some(way) = spread(rules, moments) {
        return (vec![way], false);
    }
    let is_free = |moment: &Moment| moment.held.iter().all(|held| *held == NONE);
    if !has_figures || !is_free(&moments[0]) {
        return (Vec::new(), true);
    }
    let is_one_chord = moments.iter().all(|moment| moment.is_struck_like(&moments[0]));
    if is_one_chord && moments[0].count > 1 {
        return (of_chord(rules, moments), true);
    }
    let moves = vec![false; moments.len()];
    let in_place = in_place(rules.size, moments, &moves);
    // Where a position holds a part of it, the thumb passes in that too if it must.
    let passes_anywhere = !in_place.iter().skip(1).any(|in_place| *in_place);
    (from_end_to_end(rules, moments, &in_place), passes_anywhere)
}

/// The best way from every finger of the first note to every one of the last; a chord at an end
/// takes what is best.
fn from_end_to_end(rules: &Rules, moments: &[Moment], in_place: &[bool]) -> Vec<GripWay> {
    let moves = vec![false; moments.len()];
    let mut runs = vec![NO_GRIP; moments.len()];
    write_runs(moments, &moves, &mut runs);
    let own = |at: usize| {
        let mut costs = own(rules, moments, at, &NO_GRIP);
        let finger = runs[at][0];
        for (other, cost) in costs.iter_mut().enumerate().take(FINGERS).filter(|_| finger != NONE) {
            let is_end = other == 0 && goes_on(moments, &runs, at);
            let apart = if is_end { 0 } else { other.abs_diff(usize::from(finger)) };
            *cost += apart as Cost * NOT_THE_HANDBOOKS;
        }
        if moments[at].alone().is_some_and(|lever| lever.black) && ![NONE, 0].contains(&runs[at][0])
        {
            costs[0] += BLACK_THUMB;
        }
        costs
    };
    let is_single = moments.len() > 1 && moments.iter().all(|moment| moment.alone().is_some());
    let mut ways = if is_single {
        solo::from_end_to_end(rules, moments, in_place, &runs, own)
    } else {
        with_chords(rules, moments, Joints { moves: &moves, in_place }, own)
    };
    let is_good = |(fingers, _): &GripWay| !crosses_badly(moments, fingers);
    if is_single && ways.iter().any(is_good) {
        let is_given = moments.iter().any(|moment| moment.fixed[0] != NONE);
        if is_given {
            let bad = ways.iter_mut().filter(|way| !is_good(way));
            bad.for_each(|(_, cost)| *cost = (*cost + GIVEN_CROSSES).min(NEVER));
        } else {
            ways.retain(is_good);
        }
    }
    ways.sort_by_key(|(_, cost)| *cost);
    ways
}

/// The same where there are chords, or one note alone.
fn with_chords(
    rules: &Rules,
    moments: &[Moment],
    joints: Joints<'_>,
    own: impl Fn(usize) -> [Cost; GRIPS],
) -> Vec<GripWay> {
    let [begins_single, ends_single] = [0, moments.len() - 1].map(|at| moments[at].count == 1);
    let mut ways: Vec<GripWay> = Vec::new();
    for first in 0..if begins_single { FINGERS } else { 1 } {
        let from_first = |at: usize| {
            let mut costs = own(at);
            if at == 0 && begins_single {
                (0..GRIPS).filter(|way| *way != first).for_each(|way| costs[way] = NEVER);
            }
            costs
        };
        let Ok(programme) = Programme::run(rules, moments, joints, from_first) else { continue };
        if ends_single {
            ways.extend(programme.best_of_each());
        } else {
            ways.push(programme.best());
        }
    }
    ways
}

/// Whether a run ends, or begins, on a key that is the thumb's an octave nearer to it: where the
/// line goes on from there, it is the thumb's too.
fn goes_on(moments: &[Moment], runs: &[Grip], at: usize) -> bool {
    let is_below = |(moment, finger): (&Moment, &Grip)| {
        moment.levers[0].semitones + OCTAVE == moments[at].levers[0].semitones && finger[0] == 0
    };
    (at == 0 || at + 1 == moments.len()) && moments.iter().zip(runs).any(is_below)
}

/// The ways to finger single notes that one position holds; `None` where it does not.
fn in_position(rules: &Rules, moments: &[Moment]) -> Option<Vec<GripWay>> {
    let mut notes = moments.iter().map(Moment::alone);
    let mut position = Position::new(rules.size, notes.next()??);
    if !notes.all(|lever| lever.is_some_and(|lever| position.takes(lever))) {
        return None;
    }
    let mut levers = [Lever::default(); FINGERS];
    let mut count = 0;
    for moment in moments {
        if !levers[..count].contains(&moment.levers[0]) {
            levers[count] = moment.levers[0];
            count += 1;
        }
    }
    let levers = &mut levers[..count];
    levers.sort_unstable_by_key(|lever| lever.semitones);
    let place = |moment: &Moment| levers.iter().position(|lever| *lever == moment.levers[0]);
    let given = moments.iter().filter(|moment| moment.fixed[0] != NONE);
    let given: Vec<(usize, u8)> =
        given.filter_map(|moment| Some((place(moment)?, moment.fixed[0]))).collect();
    let step = |pair: &[Moment]| {
        let [from, to] = [place(&pair[0])?, place(&pair[1])?];
        Some([from.min(to), from.max(to)])
    };
    let steps: Vec<[usize; 2]> = moments.windows(2).filter_map(step).collect();
    let ways: Vec<GripWay> = grips_by_cost(rules, levers, &given, &steps)
        .into_iter()
        .map(|(grip, cost)| {
            let finger = |moment: &Moment| {
                let mut fingers = NO_GRIP;
                fingers[0] = place(moment).map_or(NONE, |place| grip[place]);
                fingers
            };
            (moments.iter().map(finger).collect(), cost)
        })
        .collect();
    (!ways.is_empty()).then_some(ways)
}

/// Five chord tones over more than a position, such as a ninth chord one by one: the hand spreads
/// and each finger has its tone, up and down alike and in every key (ours). `None` where the tones
/// are no five in thirds, the hand does not stretch so far, or fingers are given.
fn spread(rules: &Rules, moments: &[Moment]) -> Option<GripWay> {
    let mut levers: Vec<Lever> = moments.iter().map(Moment::alone).collect::<Option<_>>()?;
    levers.sort_unstable_by_key(|lever| lever.semitones);
    levers.dedup();
    let [thumb, .., fifth] = *levers else { return None };
    let reaches_ninth = limits(rules.size, 1, FINGERS).max_practical >= WHITE_NINTH;
    let fits = reaches_ninth && fifth.semitones - thumb.semitones <= NINTH;
    let in_thirds = |pair: &[Lever]| pair[1].semitones - pair[0].semitones <= MAJOR_THIRD;
    let is_given = moments.iter().any(|moment| moment.fixed[0] != NONE);
    if levers.len() != FINGERS || !fits || is_given || !levers.windows(2).all(in_thirds) {
        return None;
    }
    let place = |moment: &Moment| levers.iter().position(|lever| *lever == moment.levers[0]);
    let reaches = |pair: &[Moment]| {
        let [one, other] = [place(&pair[0]), place(&pair[1])];
        let [Some(low), Some(high)] = [one.min(other), one.max(other)] else { return false };
        // What is no wider than a third every two fingers reach, one after the other; the hand
        // reaches from end to end.
        high - low < 2
            || high - low == FINGERS - 1
            || rules.is_within(levers[low], levers[high], (low, high))
    };
    let finger = |moment: &Moment| {
        let mut fingers = NO_GRIP;
        fingers[0] = place(moment).map_or(NONE, |place| place as u8);
        fingers
    };
    moments.windows(2).all(reaches).then(|| (moments.iter().map(finger).collect(), 0))
}

/// The best way to hold a chord, struck once or again and again.
fn of_chord(rules: &Rules, moments: &[Moment]) -> Vec<GripWay> {
    let costs = own(rules, moments, 0, &NO_GRIP);
    let ways = grips(moments[0].count).iter().zip(costs).filter(|(_, cost)| *cost < NEVER);
    let best = ways.min_by_key(|(_, cost)| *cost);
    best.map(|(grip, cost)| (vec![*grip; moments.len()], cost)).into_iter().collect()
}
