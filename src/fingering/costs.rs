//! What each way of a moment costs, by itself and after others.

use super::grips::{GRIPS, Grip, beyond, grips};
use super::line::{Moment, NONE};
use super::rules::{
    CHORD_MOVE, Cost, FINGERS, Joint, Lever, Move, NOTE_AND_CHORD_MOVE, OCTAVE, REPEATED, Rules,
    THREE_FOUR_FIVE, THUMB_ON_BLACK, WEAK_FINGER, WHITE_NEIGHBOUR,
};

/// No way at all.
pub(super) const NEVER: Cost = 1 << 24;
/// Ours: a chord that leaves the fingers of the chord before it.
const NEW_SHAPE: Cost = 1;

/// What each way of the moment costs, whatever comes before and after. Where `wanted` has fingers,
/// no others are looked at, unless the teacher gave them, whose own are stronger.
pub(super) fn own(rules: &Rules, moments: &[Moment], at: usize, wanted: &Grip) -> [Cost; GRIPS] {
    let moment = &moments[at];
    let mut costs = [NEVER; GRIPS];
    let white = white_neighbours(moments, at);
    let keeps = |grip: &Grip, fingers: &Grip| {
        grip.iter().zip(fingers).take(moment.count).all(|(own, f)| *f == NONE || own == f)
    };
    let is_wanted = grips(moment.count).iter().any(|g| keeps(g, wanted) && keeps(g, &moment.fixed));
    for (cost, grip) in costs.iter_mut().zip(grips(moment.count)) {
        if !keeps(grip, &moment.fixed) || is_wanted && !keeps(grip, wanted) {
            continue;
        }
        *cost = fingers_cost(moment, grip, white);
        if moment.count > 1 {
            *cost += chord_cost(rules, moment, grip);
        }
    }
    costs
}

/// Lets every other finger of a single note cost more than the handbook's, if there is one.
pub(super) fn prefer(costs: &mut [Cost; GRIPS], handbooks: &Grip, more: Cost) {
    if handbooks[0] != NONE {
        let others = (0..FINGERS).filter(|finger| *finger != usize::from(handbooks[0]));
        others.for_each(|finger| costs[finger] += more);
    }
}

/// How many of the single notes before and after are white; a rest between leaves none.
fn white_neighbours(moments: &[Moment], at: usize) -> Cost {
    let white = |moment: &Moment| moment.alone().is_some_and(|lever| !lever.black);
    let before = at.checked_sub(1).is_some_and(|b| !moments[at].rest && white(&moments[b]));
    let after = moments.get(at + 1).is_some_and(|after| !after.rest && white(after));
    Cost::from(before) + Cost::from(after)
}

/// Rules 6, 10 and 11 for the keys that are struck.
fn fingers_cost(moment: &Moment, grip: &Grip, white: Cost) -> Cost {
    let mut cost = 0;
    for place in (0..moment.count).filter(|place| moment.is_fresh(*place)) {
        let neighbours = if moment.count == 1 { white * WHITE_NEIGHBOUR } else { 0 };
        let black = moment.levers[place].black;
        cost += match grip[place] {
            0 if black => THUMB_ON_BLACK + neighbours,
            3 => WEAK_FINGER,
            4 if black => neighbours,
            _ => 0,
        };
    }
    cost
}

/// Rules 1 to 3 for neighbouring keys of a chord and its outer pair, and what lies beyond the
/// hand; only what has a struck key in it is judged.
fn chord_cost(rules: &Rules, moment: &Moment, grip: &Grip) -> Cost {
    let pair = |low: usize, high: usize| {
        if !moment.is_fresh(low) && !moment.is_fresh(high) {
            return 0;
        }
        let fingers = (usize::from(grip[low]), usize::from(grip[high]));
        rules.ease(moment.levers[low], moment.levers[high], fingers)
    };
    let last = moment.count - 1;
    let mut cost: Cost = (0..last).map(|low| pair(low, low + 1)).sum();
    if last > 1 {
        cost += pair(0, last);
    }
    cost + Rules::impossible(beyond(rules.size, moment.levers(), grip))
}

/// What a way of a moment costs after a way of the moment before it.
pub(super) struct Moves<'a> {
    now: &'a Moment,
    /// Between single notes, the places of their keys; between others, a move of chords.
    kind: MoveKind<'a>,
}

enum MoveKind<'a> {
    Note(usize, usize, Move<'a>),
    Chord(Box<ChordMove<'a>>),
}

impl<'a> Moves<'a> {
    /// `new_figure` where the moment begins to repeat a figure on another degree, `in_place`
    /// where the figure lies in one position.
    pub(super) fn new(
        rules: &'a Rules,
        [before, now]: [&'a Moment; 2],
        new_figure: bool,
        in_place: bool,
    ) -> Self {
        let kind = match before.single().zip(now.single()) {
            Some((from, to)) => {
                let joint = Joint { rest: now.rest, new_figure, in_place };
                let step = Move::new(rules, before.levers[from], now.levers[to], joint);
                MoveKind::Note(from, to, step)
            }
            None => MoveKind::Chord(Box::new(ChordMove::new(rules, before, now))),
        };
        Self { now, kind }
    }

    pub(super) fn cost(&self, here: &Grip, there: &Grip) -> Cost {
        if self.now.count > 1 && !keeps_held(self.now, here, there) {
            return NEVER;
        }
        match &self.kind {
            MoveKind::Note(from, to, step) => {
                step.cost(usize::from(here[*from]), usize::from(there[*to]))
            }
            MoveKind::Chord(chord) => chord.cost(here, there),
        }
    }
}

/// Whether every held key keeps its finger.
fn keeps_held(now: &Moment, here: &Grip, there: &Grip) -> bool {
    (0..now.count).all(|place| match now.held[place] {
        NONE => true,
        before => here[usize::from(before)] == there[place],
    })
}

/// A move to or from a chord: the rules for single notes, gently, for every two fingers.
struct ChordMove<'a> {
    same: bool,
    rest: bool,
    same_count: bool,
    /// What the costs of two fingers are looked up in, for every struck key after every key
    /// before: the places of the two keys, and the costs by the fingers of the later and earlier.
    pairs: [(usize, usize, &'a [[i16; FINGERS]; FINGERS]); FINGERS * FINGERS],
    count: usize,
    most: Cost,
    /// A single note that lies outside the chord beside it.
    outside: Option<OutsideNote>,
}

impl<'a> ChordMove<'a> {
    fn new(rules: &'a Rules, before: &Moment, now: &Moment) -> Self {
        let nowhere = rules.third(false, Lever::default(), Lever::default());
        let mut pairs = [(0, 0, nowhere); FINGERS * FINGERS];
        let mut count = 0;
        for to in (0..now.count).filter(|place| now.is_fresh(*place)) {
            for from in 0..before.count {
                pairs[count] = (from, to, rules.third(false, before.levers[from], now.levers[to]));
                count += 1;
            }
        }
        let both = before.count > 1 && now.count > 1;
        Self {
            same: before.levers() == now.levers(),
            rest: now.rest,
            same_count: before.count == now.count,
            pairs,
            count,
            most: if both { CHORD_MOVE } else { NOTE_AND_CHORD_MOVE },
            outside: OutsideNote::of(before, now),
        }
    }

    fn cost(&self, here: &Grip, there: &Grip) -> Cost {
        match (self.same, self.rest) {
            (true, _) if here == there => return 0,
            (true, _) => return REPEATED,
            (false, true) => return 0,
            (false, false) => {}
        }
        let mut cost = if self.same_count && here != there { NEW_SHAPE } else { 0 };
        for (from, to, costs) in &self.pairs[..self.count] {
            let pair = costs[usize::from(there[*to])][usize::from(here[*from])];
            cost += Cost::from(pair).min(self.most);
        }
        let travel = self.outside.as_ref().map_or(0, |note| note.travel(here, there));
        cost.min(self.most) + travel
    }
}

/// A single note above or below all keys of the chord after or before it.
struct OutsideNote {
    /// Whether it comes before the chord.
    is_first: bool,
    place: usize,
    is_above: bool,
    /// Whether it lies so far from the chord that no hand holds both.
    is_far: bool,
    /// The outermost key of the chord on its side.
    outermost: usize,
}

impl OutsideNote {
    fn of(before: &Moment, now: &Moment) -> Option<Self> {
        let (is_first, place, chord) = match (before.single(), now.single()) {
            (Some(place), None) => (true, place, now),
            (None, Some(place)) => (false, place, before),
            _ => return None,
        };
        let note = if is_first { before } else { now }.levers[place].semitones;
        let levers = chord.levers();
        let (low, high) = (levers.first()?.semitones, levers.last()?.semitones);
        let is_above = note > high;
        let is_far = if is_above { note - low } else { high - note } > OCTAVE;
        let outermost = if is_above { levers.len() - 1 } else { 0 };
        let is_outside = is_above || note < low;
        is_outside.then_some(Self { is_first, place, is_above, is_far, outermost })
    }

    /// What it costs that the note is not played by the finger on its side, where it is far, so that the
    /// hand travels farther than it need; or else by one beyond the finger of the chord that it lies
    /// beyond, so that fingers cross.
    fn travel(&self, here: &Grip, there: &Grip) -> Cost {
        let (note, chord) = if self.is_first { (here, there) } else { (there, here) };
        let from_side = |finger: u8| match self.is_above {
            true => FINGERS as Cost - 1 - Cost::from(finger),
            false => Cost::from(finger),
        };
        let finger = from_side(note[self.place]);
        if self.is_far {
            return finger;
        }
        (finger + 1 - from_side(chord[self.outermost])).max(0)
    }
}

/// Three single notes without a rest: rules 4, 5 and 7.
pub(super) struct Triple<'a> {
    /// By whether the thumb between makes a full change of position of it.
    third: [&'a [[i16; FINGERS]; FINGERS]; 2],
    three_four_five: bool,
}

impl<'a> Triple<'a> {
    /// The moment and the two before it, where they are three such notes on different keys.
    pub(super) fn new(rules: &'a Rules, moments: &[Moment], at: usize) -> Option<Self> {
        let [first, second, third] = moments.get(at.checked_sub(2)?..=at)? else { return None };
        if second.rest || third.rest {
            return None;
        }
        let levers = [first.alone()?, second.alone()?, third.alone()?];
        let [from, between, to] = levers.map(|lever| lever.semitones);
        if from == between || between == to {
            return None;
        }
        let inside = (from.min(to)..from.max(to)).contains(&between);
        Some(Self {
            third: [
                rules.third(false, levers[0], levers[2]),
                rules.third(inside, levers[0], levers[2]),
            ],
            three_four_five: rules.counts_three_four_five(),
        })
    }

    /// What the third note costs by finger `there`, after the second by `here` and the first by
    /// `first`.
    pub(super) fn cost(&self, first: usize, here: usize, there: usize) -> Cost {
        let in_a_row = self.three_four_five
            && here >= 2
            && there >= 2
            && here != there
            && first == 9 - here - there;
        let third = self.third[usize::from(here == 0)][there][first];
        Cost::from(third) + if in_a_row { THREE_FOUR_FIVE } else { 0 }
    }

    /// The least cost of reaching the third note by finger `there` from the second by `here`,
    /// and the finger of the first.
    pub(super) fn least(&self, so_far: &[Cost; GRIPS], here: usize, there: usize) -> (Cost, u8) {
        least((0..FINGERS).map(|first| so_far[first] + self.cost(first, here, there)))
    }
}

/// The least of some costs, and its place; the first of equals.
pub(super) fn least(costs: impl Iterator<Item = Cost>) -> (Cost, u8) {
    // Cost and place in one number, of which the least is taken without a branch.
    const PLACES: Cost = 16;
    let both = costs.zip(0..PLACES).map(|(cost, place)| PLACES * cost + place);
    let least = both.fold(Cost::MAX, Cost::min);
    (least / PLACES, (least % PLACES) as u8)
}
