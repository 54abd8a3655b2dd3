//! The analysis of a tune: what each chord does, in which key, and where the keys change.
//!
//! Two layers. First, for each harmony and each key, the cheapest reading, from a table (`table`,
//! `readings`) with one look ahead (`resolve`). Second, the cheapest path of keys (`path`), with
//! each key tried as home over the whole form (`home`). A chord is read by what it does, not only
//! by what it contains; a borrowed chord is no change of key. All arithmetic is on pitch classes
//! above a tonic, so a tune in another key has the same answer; names come last (`label`,
//! `spelling`, `reason`). Every label has its reason at hand: the row, and whether its goal comes.

mod agree;
mod areas;
mod cadence;
mod costs;
mod family;
mod harmonies;
mod home;
mod label;
mod modes;
mod path;
mod readings;
mod reason;
mod resolve;
mod spelling;
mod table;

use std::collections::BTreeMap;

use self::harmonies::Harmonies;
use self::home::{HomeTrial, Paths, TriedHome};
use self::path::{KeyState, TuneGround};
use self::readings::{CandidateReading, ReadingMaker};
use self::reason::Telling;
use self::spelling::Names;
use self::table::{ChordRole, KeyMode};
use crate::chart::{Analysis, ChordReading, Function, NearKey, OtherReading, Unfolded};
use crate::theory::Key;

/// Reads a tune. Nothing where it has no chord.
pub fn analyse(tune: &Unfolded) -> Option<Analysis> {
    analyse_in(tune, None)
}

/// Reads a tune whose chart names a key, if it names one: a mode that it names is that of the areas
/// on its tonic. Nothing where it has no chord.
pub fn analyse_in(tune: &Unfolded, named: Option<Key>) -> Option<Analysis> {
    let harmonies = Harmonies::of(tune);
    if harmonies.list.is_empty() {
        return None;
    }
    let reader = ReadingMaker::new(&harmonies);
    let ground = TuneGround::new(tune, &reader);
    let homes = home::homes(&ground, &harmonies);
    let mut view = SettledTune::new(tune, &reader, &ground, homes[0].key);
    let is_modal = !view.has_cadence();
    // Equal ones are told apart by their last arrival, whatever the last digit of their costs says.
    let mut margin = (homes[1].cost - homes[0].cost).max(0.0);
    let mut second = homes[1];
    if is_modal {
        let home = modal_home(tune, &harmonies);
        if home != homes[0].key {
            second = homes[0];
            view = SettledTune::new(tune, &reader, &ground, home);
        }
        view.keep_home();
        margin = margin.min(costs::MODAL_MARGIN);
    }
    Some(view.analysis(second, margin, is_modal, named))
}

/// The tonic of a tune without cadence: the root that is heard longest from strong bars on, of
/// equal ones the first.
fn modal_home(tune: &Unfolded, harmonies: &Harmonies) -> KeyState {
    let bar = tune.metre.bar();
    let mut lengths: Vec<(KeyState, f64)> = Vec::new();
    for harmony in &harmonies.list {
        let mode = match harmony.family {
            family::ChordFamily::Minor | family::ChordFamily::HalfDiminished => KeyMode::Minor,
            family::ChordFamily::Diminished => KeyMode::Minor,
            _ => KeyMode::Major,
        };
        let state = KeyState::of(harmony.root, mode);
        // The first bar of two is strong; a chord that begins in a weak one counts half.
        let is_strong = harmony.at.rem_euclid(2 * bar) == 0;
        let length = harmony.bars * if is_strong { 1.0 } else { 0.5 };
        match lengths.iter_mut().find(|(known, _)| *known == state) {
            Some((_, sum)) => *sum += length,
            None => lengths.push((state, length)),
        }
    }
    let mut best = lengths[0];
    for one in &lengths[1..] {
        if one.1 > best.1 {
            best = *one;
        }
    }
    best.0
}

/// A tune with its home settled.
struct SettledTune<'a> {
    tune: &'a Unfolded,
    reader: &'a ReadingMaker<'a>,
    ground: &'a TuneGround,
    home: KeyState,
    paths: Paths,
    path: Vec<KeyState>,
    read: Vec<CandidateReading>,
}

impl<'a> SettledTune<'a> {
    fn new(
        tune: &'a Unfolded,
        reader: &'a ReadingMaker<'a>,
        ground: &'a TuneGround,
        home: KeyState,
    ) -> Self {
        let harmonies = reader.harmonies;
        let trial = HomeTrial::new(ground, harmonies, home);
        let paths = trial.paths();
        let path = modes::with_vamps(reader, &ground.best, trial.path(&paths));
        let path = agree::agreed(tune, harmonies, path);
        let read = path.iter().zip(&ground.best);
        let read = read.map(|(state, best)| best[state.index()]).collect();
        Self { tune, reader, ground, home, paths, path, read }
    }

    /// Without a cadence there is no key but home and those whose tonic sounds, or that a ii-V points
    /// to: II over the tonic of a lydian vamp is no V of another key.
    fn keep_home(&mut self) {
        let harmonies = self.reader.harmonies;
        let places: Vec<usize> = (0..self.path.len()).collect();
        let is_one =
            |one: &usize, next: &usize| self.path[*one].printed() == self.path[*next].printed();
        let is_heard = |place: &usize| {
            self.read[*place].role == ChordRole::Home || harmonies.is_two_of_next(*place)
        };
        let lost = places.chunk_by(is_one).filter(|run| !run.iter().any(is_heard));
        let lost: Vec<usize> = lost.flatten().copied().collect();
        let homes = [self.home, KeyState::of(self.home.tonic(), KeyMode::Blues)];
        let homes = &homes[..if self.home.is_minor() { 1 } else { 2 }];
        for place in lost {
            let cost = |state: &KeyState| self.ground.costs[place][state.index()];
            let cheapest =
                homes.iter().copied().min_by(|one, other| cost(one).total_cmp(&cost(other)));
            self.path[place] = cheapest.unwrap_or(self.home);
            self.read[place] = self.ground.best[place][self.path[place].index()];
        }
    }

    /// Whether any dominant resolves.
    fn has_cadence(&self) -> bool {
        self.read.iter().enumerate().any(|(place, it)| {
            let goes_up = matches!(it.role, ChordRole::Leading | ChordRole::AppliedLeading)
                && self.reader.harmonies.rise(place) == 1;
            it.function == Function::Dominant
                && (goes_up || label::comes_at_last(self.reader, place, *it).is_some())
                || it.role == ChordRole::Five && self.is_plain_cadence(place)
        })
    }

    /// Whether V goes to I, of whatever kinds.
    fn is_plain_cadence(&self, place: usize) -> bool {
        let after = self.reader.harmonies.after(place);
        self.reader.harmonies.rise(place) == resolve::FIFTH_DOWN
            && self.read[after].role == ChordRole::Home
    }

    fn analysis(
        &self,
        second: TriedHome,
        margin: f64,
        is_modal: bool,
        named: Option<Key>,
    ) -> Analysis {
        let harmonies = self.reader.harmonies;
        let blues = KeyState::of(self.home.tonic(), KeyMode::Blues);
        let count = |state: KeyState| self.path.iter().filter(|it| **it == state).count();
        let is_blues = !is_modal && !self.home.is_minor() && count(blues) > count(self.home);
        let mut modes = modes::modes(self.tune, self.reader, &self.path, &self.read);
        if is_blues {
            // Its lowered seventh is that of the blues.
            modes.remove(&self.home);
        }
        let names = Names::new(self.tune, &harmonies.heard, self.home, named, modes);
        let second = NearKey { key: names.key(second.key), by: margin };
        Analysis {
            home: names.key(self.home),
            margin,
            second: Some(second),
            is_blues,
            is_modal,
            readings: self.readings(&names, is_modal),
            areas: areas::areas(
                self.tune,
                harmonies,
                self.ground,
                (self.home, &self.path),
                &self.read,
                &names,
            ),
            cadences: cadence::cadences(self.tune, self.reader, &self.path, &self.read, &names),
        }
    }

    /// One reading a written change: the one that it has most often.
    fn readings(&self, names: &Names, is_modal: bool) -> Vec<ChordReading> {
        let mut all: BTreeMap<usize, Vec<ChordReading>> = BTreeMap::new();
        for place in 0..self.path.len() {
            for heard in self.reader.harmonies.list[place].chords.clone() {
                let reading = self.reading(place, heard, names, is_modal);
                all.entry(reading.written).or_default().push(reading);
            }
        }
        let label = |it: &ChordReading| (it.key, it.numeral, it.function, it.target);
        let commonest = |heard: Vec<ChordReading>| {
            let often =
                |it: &ChordReading| heard.iter().filter(|one| label(one) == label(it)).count();
            let most = heard.iter().map(often).max()?;
            let mut best = heard.iter().find(|it| often(it) == most)?.clone();
            best.at = heard[0].at;
            best.heard = heard.len();
            Some(best)
        };
        all.into_values().filter_map(commonest).collect()
    }

    /// The reading of a chord that is heard.
    fn reading(&self, place: usize, heard: usize, names: &Names, is_modal: bool) -> ChordReading {
        let harmonies = self.reader.harmonies;
        let (state, it) = (self.path[place], self.read[place]);
        let key = names.key(state);
        let one = harmonies.heard[heard];
        let change = self.tune.changes[one.change];
        let numeral = self.numeral(place, heard, state, it);
        let target = label::target(self.reader, place, it, key).filter(|_| !self.rests(place));
        let telling = Telling {
            tune: self.tune,
            reader: self.reader,
            place,
            it,
            after: self.read[harmonies.after(place)],
            state,
            key,
            target,
            is_home: state.printed() == self.home,
            is_modal,
        };
        let (margin, other) = self.other(place, heard, names);
        ChordReading {
            written: change.written,
            at: change.at,
            heard: 1,
            chord: change.chord.expect("a chord that is heard"),
            key,
            numeral,
            function: it.function,
            target,
            goal: numeral.of,
            reason: telling.reason(heard, numeral),
            margin,
            other: other.filter(|other| other.by <= costs::NEAR),
        }
    }

    /// Whether a minor tonic leads nowhere, though a seventh a fourth above comes next: that is IV7 of
    /// its own mode, and the two go round.
    fn rests(&self, place: usize) -> bool {
        let harmonies = self.reader.harmonies;
        let is_tonic = self.read[place].role == ChordRole::Home;
        let next = self.read[harmonies.after(place)].function;
        is_tonic && harmonies.is_two_of_next(place) && next != Function::Dominant
    }

    fn numeral(
        &self,
        place: usize,
        heard: usize,
        state: KeyState,
        it: CandidateReading,
    ) -> crate::theory::Numeral {
        let harmonies = self.reader.harmonies;
        let family = harmonies.list[place].family;
        let sound = harmonies.heard[heard].sound;
        label::numeral(state.mode(), it, sound, family, harmonies.rise(place))
    }

    /// The next best reading of a chord, in its key or in another, and by how much it costs more.
    fn other(&self, place: usize, heard: usize, names: &Names) -> (f64, Option<OtherReading>) {
        let harmonies = self.reader.harmonies;
        let (own, it) = (self.path[place], self.read[place]);
        let is = self.paths.through(place, own);
        let weight = harmonies.list[place].weight;
        let called =
            |other: CandidateReading| (self.numeral(place, heard, own, other), other.function);
        let is_other = |other: CandidateReading| called(other) != called(it);
        let inside = self.reader.second(place, own.mode(), it.step, is_other);
        let inside = inside.map(|other| (own, other, weight * (other.cost - it.cost)));
        let elsewhere = self.home.all_from().filter(|state| state.printed() != own.printed());
        let elsewhere = elsewhere.map(|state| {
            let by = self.paths.through(place, state) - is;
            (state, self.ground.best[place][state.index()], by)
        });
        let best = inside.into_iter().chain(elsewhere);
        let best = best.min_by(|one, other| one.2.total_cmp(&other.2));
        let Some((state, other, by)) = best else { return (costs::UNEXPLAINED, None) };
        let by = by.max(0.0);
        let numeral = self.numeral(place, heard, state, other);
        let key = names.key(state);
        (by, Some(OtherReading { key, numeral, function: other.function, by }))
    }
}
