//! The home key: each key is tried as home over the whole form, and the cheapest is taken.

use super::costs;
use super::family::ChordFamily;
use super::harmonies::{Harmonies, HeardHarmony};
use super::path::{KeyState, STATES, StateRow, TuneGround, change};
use super::table::KeyMode;

/// A home and what the tune costs with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct TriedHome {
    pub(super) key: KeyState,
    pub(super) cost: f64,
}

/// A tune with one key tried as home.
pub(super) struct HomeTrial<'a> {
    ground: &'a TuneGround,
    harmonies: &'a Harmonies,
    home: KeyState,
    /// What the end of the form costs, where home is no blues at the end and where it is.
    ends: [f64; 2],
}

/// The best paths through every state at every harmony.
pub(super) struct Paths {
    /// What the best path from the start to each state costs.
    forward: Vec<StateRow>,
    /// What the best path from each state to the end costs, without the harmony itself.
    backward: Vec<StateRow>,
}

impl Paths {
    /// What the best path through a state costs.
    pub(super) fn through(&self, place: usize, state: KeyState) -> f64 {
        self.forward[place][state.index()] + self.backward[place][state.index()]
    }
}

/// The keys in the order in which they are likely as home.
pub(super) fn homes(ground: &TuneGround, harmonies: &Harmonies) -> Vec<TriedHome> {
    let keys = KeyState::all().filter(|state| state.mode() != KeyMode::Blues);
    let mut trials: Vec<(f64, HomeTrial<'_>)> = keys
        .map(|key| HomeTrial::new(ground, harmonies, key))
        .map(|trial| (trial.at_least(), trial))
        .collect();
    trials.sort_by(|one, other| one.0.total_cmp(&other.0));
    // Homes that cannot come second any more need not be tried.
    let free = ground.free();
    let mut homes: Vec<TriedHome> = Vec::new();
    let mut best = [f64::INFINITY; 2];
    for (least, trial) in &trials {
        if free + least > best[1] + 1e-6 {
            break;
        }
        let cost = trial.cost();
        homes.push(TriedHome { key: trial.home, cost });
        best = if cost < best[0] { [cost, best[0]] } else { [best[0], best[1].min(cost)] };
    }
    // Of equal ones the last arrival decides, then the first.
    let last = harmonies.list.iter().rev().find(|harmony| harmony.family.is_rest());
    let root = last.or(harmonies.list.first()).map_or(0, |harmony| harmony.root);
    homes.sort_by(|one, other| {
        let near = (one.cost - other.cost).abs() < 1e-9;
        let place = |home: &TriedHome| (home.key.step(root), home.key.mode());
        if near { place(one).cmp(&place(other)) } else { one.cost.total_cmp(&other.cost) }
    });
    homes
}

impl<'a> HomeTrial<'a> {
    pub(super) fn new(ground: &'a TuneGround, harmonies: &'a Harmonies, home: KeyState) -> Self {
        let trial = Self { ground, harmonies, home, ends: [0.0; 2] };
        let ends = [false, true].map(|is_blues| trial.end_of_form(is_blues));
        Self { ends, ..trial }
    }

    /// What this home adds to the cheapest path at least.
    fn at_least(&self) -> f64 {
        let first = &self.harmonies.list[self.first()];
        let is_tonic = self.is_tonic(first, false) || self.is_tonic(first, true);
        let strange = if is_tonic { 0.0 } else { costs::FIRST_ELSEWHERE };
        strange + self.ends[0].min(self.ends[1])
    }

    /// What the tune costs with this home.
    fn cost(&self) -> f64 {
        let count = self.harmonies.list.len();
        let mut row = self.start();
        for place in 1..count {
            row = self.step(place, &row);
        }
        let ends = KeyState::all().map(|state| row[state.index()] + self.end(state));
        ends.fold(f64::INFINITY, f64::min)
    }

    /// The states that home has: the key, and the blues on its tonic.
    fn is_home(&self, state: KeyState) -> bool {
        state.printed() == self.home
    }

    /// What a harmony costs in a state, with what being away costs.
    fn own(&self, place: usize, state: KeyState) -> f64 {
        let away = if self.is_home(state) { 0.0 } else { costs::AWAY * self.ground.bars[place] };
        self.ground.costs[place][state.index()] + away
    }

    /// What the first harmony costs in each state.
    fn start(&self) -> StateRow {
        let first = &self.harmonies.list[self.first()];
        let mut row = [0.0; STATES];
        for state in KeyState::all() {
            let elsewhere = costs::START_ELSEWHERE * self.elsewhere(state);
            let is_tonic = self.is_tonic(first, self.is_blues(state));
            let strange = if is_tonic { 0.0 } else { costs::FIRST_ELSEWHERE };
            row[state.index()] = self.own(0, state) + elsewhere + strange;
        }
        row
    }

    /// The place of the first harmony that is heard in the first bar, behind a pick-up.
    fn first(&self) -> usize {
        let in_bar = |harmony: &HeardHarmony| harmony.at + harmony.length > 0;
        self.harmonies.list.iter().position(in_bar).unwrap_or(0)
    }

    /// What a change between home and a state costs; nothing for the blues on its tonic.
    fn elsewhere(&self, state: KeyState) -> f64 {
        if self.is_home(state) { 0.0 } else { change(self.home, state) }
    }

    /// One harmony further.
    fn step(&self, place: usize, before: &StateRow) -> StateRow {
        let mut row = self.ground.entered(place, before);
        for state in KeyState::all() {
            row[state.index()] += self.own(place, state);
        }
        row
    }

    /// What the end in a state costs.
    fn end(&self, state: KeyState) -> f64 {
        costs::END_ELSEWHERE * self.elsewhere(state) + self.ends[usize::from(self.is_blues(state))]
    }

    /// Whether a state is the blues of home.
    fn is_blues(&self, state: KeyState) -> bool {
        self.is_home(state) && state.mode() == KeyMode::Blues
    }

    /// Whether a harmony is the tonic chord of home; a seventh is in a blues alone.
    fn is_tonic(&self, harmony: &HeardHarmony, is_blues: bool) -> bool {
        let family = match harmony.family {
            ChordFamily::Dominant | ChordFamily::Suspended if is_blues => ChordFamily::Major,
            ChordFamily::Augmented => ChordFamily::Major,
            family => family,
        };
        let wanted = if self.home.is_minor() { ChordFamily::Minor } else { ChordFamily::Major };
        harmony.root == self.home.tonic() && family == wanted
    }

    /// Whether a harmony is a dominant of home: V7, its substitute, ♭VII7 or vii°.
    fn is_dominant(&self, harmony: &HeardHarmony) -> bool {
        let step = self.home.step(harmony.root);
        match harmony.family {
            ChordFamily::Dominant | ChordFamily::Suspended => matches!(step, 7 | 1 | 10),
            ChordFamily::Major | ChordFamily::Augmented => step == 7 && !harmony.has_major_seventh,
            ChordFamily::Diminished => step == 11,
            _ => false,
        }
    }

    /// The end of the form, the cheapest that applies.
    fn end_of_form(&self, is_blues: bool) -> f64 {
        let list = &self.harmonies.list;
        let count = list.len();
        let last = &list[count - 1];
        let is_tonic = |place: usize| self.is_tonic(&list[place], is_blues);
        // A minor chord that is the ii of what follows is no rest.
        let is_rest = |place: usize| is_tonic(place) && !self.harmonies.is_two_of_next(place);
        if is_tonic(count - 1) {
            return 0.0;
        }
        let is_major_end = self.home.is_minor()
            && last.root == self.home.tonic()
            && last.family == ChordFamily::Major;
        if is_major_end {
            return costs::END_MAJOR_IN_MINOR;
        }
        let bars: f64 = self.ground.bars.iter().sum();
        let mut heard = 0.0;
        for place in 0..count {
            let is_late = heard + self.ground.bars[place] > bars - costs::TURNAROUND_BARS;
            if is_late && place > 0 && is_rest(place) && self.is_dominant(&list[place - 1]) {
                return costs::END_TURNAROUND;
            }
            heard += self.ground.bars[place];
        }
        let [late, early] = costs::END_DOMINANT;
        let begins = is_tonic(self.first());
        let is_near = (count.saturating_sub(costs::NEAR_HARMONIES)..count).any(is_rest);
        match (self.is_dominant(last), begins, is_near) {
            (true, true, _) => early,
            (true, false, _) => late,
            (false, _, true) => costs::END_NEAR,
            (false, _, false) => costs::END_ELSE,
        }
    }

    /// The best paths through every state.
    pub(super) fn paths(&self) -> Paths {
        let count = self.harmonies.list.len();
        let mut forward = vec![self.start()];
        for place in 1..count {
            let next = self.step(place, &forward[place - 1]);
            forward.push(next);
        }
        let mut last = [0.0; STATES];
        for state in KeyState::all() {
            last[state.index()] = self.end(state);
        }
        let mut backward = vec![last; count];
        for place in (1..count).rev() {
            let mut row = backward[place];
            for state in KeyState::all() {
                row[state.index()] += self.own(place, state);
            }
            let row = self.ground.left(place, &row);
            backward[place - 1] = row;
        }
        Paths { forward, backward }
    }

    /// The cheapest path.
    pub(super) fn path(&self, paths: &Paths) -> Vec<KeyState> {
        let count = self.harmonies.list.len();
        let best = |row: &dyn Fn(KeyState) -> f64| {
            let states = self.home.all_from();
            states.min_by(|one, other| row(*one).total_cmp(&row(*other))).expect("36 states")
        };
        let mut state = best(&|state| paths.through(count - 1, state));
        let mut path = vec![state];
        for place in (1..count).rev() {
            let to = state;
            let before = &paths.forward[place - 1];
            let cost =
                |from: KeyState| before[from.index()] + self.ground.entering(place, from, to);
            // Staying where nothing is gained by a change.
            let from = best(&cost);
            state = if cost(from) + 1e-9 < cost(to) { from } else { to };
            path.push(state);
        }
        path.reverse();
        path
    }
}
