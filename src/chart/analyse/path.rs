//! The cheapest path of keys: a dynamic programme over twelve tonics and three modes.

use super::costs;
use super::family::ChordFamily;
use super::harmonies::{Harmonies, HeardHarmony};
use super::readings::{CandidateReading, ReadingMaker};
use super::table::KeyMode;
use crate::chart::Unfolded;

/// How many states there are.
pub(super) const STATES: usize = 36;

/// A tonic and a mode, by number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct KeyState(u8);

impl KeyState {
    /// Every state: major keys from C, minor keys, blues.
    pub(super) fn all() -> impl Iterator<Item = Self> {
        (0..STATES as u8).map(Self)
    }

    /// Every state, seen from one: by its mode first and rising from its tonic. Of equal states the
    /// first is taken, so what is equal stays equal in every key.
    pub(super) fn all_from(self) -> impl Iterator<Item = Self> {
        let modes = match self.mode() {
            KeyMode::Minor => [KeyMode::Minor, KeyMode::Major, KeyMode::Blues],
            KeyMode::Major | KeyMode::Blues => [KeyMode::Major, KeyMode::Blues, KeyMode::Minor],
        };
        let tonics = move |mode| (0..12).map(move |rise| Self::of(self.tonic() + rise, mode));
        modes.into_iter().flat_map(tonics)
    }

    /// The state of a tonic and a mode.
    pub(super) fn of(tonic: i32, mode: KeyMode) -> Self {
        Self(mode as u8 * 12 + tonic.rem_euclid(12) as u8)
    }

    /// Its place in a row of all states.
    pub(super) const fn index(self) -> usize {
        self.0 as usize
    }

    /// The pitch class of its tonic.
    pub(super) const fn tonic(self) -> i32 {
        (self.0 % 12) as i32
    }

    /// Its mode.
    pub(super) const fn mode(self) -> KeyMode {
        match self.0 / 12 {
            0 => KeyMode::Major,
            1 => KeyMode::Minor,
            _ => KeyMode::Blues,
        }
    }

    /// Whether it is a minor key.
    pub(super) fn is_minor(self) -> bool {
        self.mode() == KeyMode::Minor
    }

    /// The same as a key that is printed: a blues is major.
    pub(super) fn printed(self) -> Self {
        if self.mode() == KeyMode::Blues { Self::of(self.tonic(), KeyMode::Major) } else { self }
    }

    /// How far above its tonic a root lies.
    pub(super) fn step(self, root: i32) -> i32 {
        (root - self.tonic()).rem_euclid(12)
    }

    /// The pitch class of the major key with its signature.
    fn signature(self) -> i32 {
        (self.tonic() + if self.is_minor() { 3 } else { 0 }) % 12
    }
}

/// What a change from one state to another costs, wherever it is.
pub(super) fn change(from: KeyState, to: KeyState) -> f64 {
    if from == to {
        return 0.0;
    }
    if from.printed() == to.printed() {
        return costs::TO_BLUES;
    }
    // Seven semitones are a fifth, so seven times the distance is the distance in fifths.
    let fifths = (7 * (to.signature() - from.signature())).rem_euclid(12);
    let signs = f64::from(fifths.min(12 - fifths));
    let is_relative = from.is_minor() != to.is_minor() && signs == 0.0;
    let is_kindred = is_relative || from.tonic() == to.tonic();
    let kindred = if is_kindred { costs::KINDRED } else { 0.0 };
    costs::CHANGE + costs::CHANGE_PER_SIGN * signs - kindred
}

/// A row of numbers, one a state.
pub(super) type StateRow = [f64; STATES];

/// What is known of a tune before a home is tried.
pub(super) struct TuneGround {
    /// What each harmony costs in each state, weighed.
    pub(super) costs: Vec<StateRow>,
    /// The cheapest reading of each harmony in each state.
    pub(super) best: Vec<Vec<CandidateReading>>,
    /// What is off a change into each state at each harmony.
    pub(super) off: Vec<StateRow>,
    /// How long each harmony lasts, in bars.
    pub(super) bars: Vec<f64>,
    /// What changes cost.
    pub(super) changes: [StateRow; STATES],
}

impl TuneGround {
    /// Reads every harmony in every state.
    pub(super) fn new(tune: &Unfolded, reader: &ReadingMaker<'_>) -> Self {
        let list = &reader.harmonies.list;
        let best = |place: usize| -> Vec<CandidateReading> {
            let root = list[place].root;
            KeyState::all()
                .map(|state| reader.best(place, state.mode(), state.step(root)))
                .collect()
        };
        let best: Vec<Vec<CandidateReading>> = (0..list.len()).map(best).collect();
        let weighed = |(harmony, best): (&HeardHarmony, &Vec<CandidateReading>)| {
            filled(best.iter().map(|it| harmony.weight * it.cost))
        };
        let costs = list.iter().zip(&best).map(weighed).collect();
        let off = (0..list.len()).map(|place| {
            let position = off_position(tune, list[place].at);
            let row =
                KeyState::all().map(|state| position + off_cadence(reader.harmonies, place, state));
            filled(row)
        });
        let mut changes = [[0.0; STATES]; STATES];
        for from in KeyState::all() {
            changes[from.index()] = filled(KeyState::all().map(|to| change(from, to)));
        }
        let bars = list.iter().map(|harmony| harmony.bars).collect();
        Self { costs, best, off: off.collect(), bars, changes }
    }

    /// What it costs to be in each state at a harmony, without the harmony itself.
    ///
    /// Two changes into one state differ by no more than the dearest and the cheapest change do, so
    /// states that are further behind the best need not be looked at.
    pub(super) fn entered(&self, place: usize, before: &StateRow) -> StateRow {
        let least = before.iter().copied().fold(f64::INFINITY, f64::min);
        let dearest = costs::CHANGE + 6.0 * costs::CHANGE_PER_SIGN;
        let most = least + dearest - costs::TO_BLUES;
        let mut row = *before;
        for from in KeyState::all().filter(|from| before[from.index()] <= most) {
            let cost = before[from.index()];
            let changes = &self.changes[from.index()];
            for (to, best) in row.iter_mut().enumerate() {
                let entering = (changes[to] - self.off[place][to]).max(costs::LEAST_CHANGE);
                *best = best.min(cost + entering);
            }
        }
        row
    }

    /// What it costs to go on from each state before a harmony, where it is known what going on from
    /// each state at the harmony costs.
    pub(super) fn left(&self, place: usize, after: &StateRow) -> StateRow {
        let mut row = *after;
        for (to, cost) in after.iter().enumerate() {
            let off = self.off[place][to];
            // A change costs the same there and back.
            for (best, change) in row.iter_mut().zip(&self.changes[to]) {
                *best = best.min(cost + (change - off).max(costs::LEAST_CHANGE));
            }
        }
        row
    }

    /// What the cheapest path costs, wherever home is.
    pub(super) fn free(&self) -> f64 {
        let mut row = self.costs[0];
        for place in 1..self.costs.len() {
            row = self.entered(place, &row);
            for (best, own) in row.iter_mut().zip(&self.costs[place]) {
                *best += own;
            }
        }
        row.into_iter().fold(f64::INFINITY, f64::min)
    }

    /// What it costs to be in another state at a harmony than before it.
    pub(super) fn entering(&self, place: usize, from: KeyState, to: KeyState) -> f64 {
        if from == to {
            return 0.0;
        }
        let off = self.off[place][to.index()];
        (self.changes[from.index()][to.index()] - off).max(costs::LEAST_CHANGE)
    }
}

fn filled(row: impl Iterator<Item = f64>) -> StateRow {
    let mut filled = [0.0; STATES];
    for (place, cost) in row.enumerate() {
        filled[place] = cost;
    }
    filled
}

/// What is off a change for where it is in the form: counted from the section it is in.
fn off_position(tune: &Unfolded, at: i32) -> f64 {
    let length = tune.metre.bar();
    if at.rem_euclid(length) != 0 || at < 0 {
        return 0.0;
    }
    let bar = (at / length) as usize;
    let section = tune.sections.iter().rev().find(|start| **start <= bar).copied();
    let place = bar - section.unwrap_or(0);
    let group = match place % 8 {
        0 => costs::AT_EIGHT,
        4 => costs::AT_FOUR,
        _ => 0.0,
    };
    // A section that begins with a group of eight is not counted twice.
    if section == Some(bar) { costs::AT_SECTION.max(group) } else { group }
}

/// What is off a change into a state for the cadence that begins or ends there.
fn off_cadence(harmonies: &Harmonies, place: usize, state: KeyState) -> f64 {
    let step = |at: usize| state.step(harmonies.list[at].root);
    let is_tonic = |at: usize| {
        let family = if state.is_minor() { ChordFamily::Minor } else { ChordFamily::Major };
        step(at) == 0 && harmonies.list[at].family == family
    };
    let is_restful_tonic = |at: usize| is_tonic(at) && harmonies.list[at].is_restful;
    let is_five = |at: usize| match harmonies.list[at].family {
        ChordFamily::Dominant => matches!(step(at), 7 | 1),
        ChordFamily::Suspended => step(at) == 7,
        _ => false,
    };
    let next = harmonies.after(place);
    // What leads into the ii belongs to it: its dominant, or a diminished chord a semitone away.
    let leads = match (harmonies.list[place].family, harmonies.rise(place)) {
        (ChordFamily::Dominant, 5) | (ChordFamily::Diminished, 1 | 11) => next > place,
        _ => false,
    };
    if leads && step(next) == 2 && harmonies.is_two_of_next(next) {
        let arrives = is_tonic(harmonies.after(harmonies.after(next)));
        return costs::AT_CADENCE * if arrives { 1.0 } else { 0.5 };
    }
    if step(place) == 2 && harmonies.is_two_of_next(place) {
        let arrives = is_tonic(harmonies.after(next));
        return costs::AT_CADENCE * if arrives { 1.0 } else { 0.5 };
    }
    // A dominant whose ii came before it is no place to begin: the two are one gesture.
    let has_two = place > 0 && harmonies.is_two_of_next(place - 1);
    let begins = is_five(place) && is_restful_tonic(next) && !has_two;
    let ends = place > 0 && is_five(place - 1) && is_restful_tonic(place);
    match (begins, ends) {
        (true, _) => 2.0 * costs::AT_DOMINANT,
        (_, true) => costs::AT_DOMINANT,
        _ => 0.0,
    }
}
