//! The mode of a key by the notes that sound in it. Where a dominant with the leading tone says so a
//! key is major or minor; without one it is of the mode whose notes are heard.

use std::collections::BTreeMap;

use super::family::ChordFamily;
use super::harmonies::Harmonies;
use super::label;
use super::path::KeyState;
use super::readings::{CandidateReading, ReadingMaker};
use super::table::{ChordRole, KeyMode};
use crate::chart::{Function, Unfolded};
use crate::score::Ticks;
use crate::theory::{Letter, Mode, NoteName, Scale};

/// Semitones from a tonic up to its leading tone.
const LEADING_TONE: i32 = 11;

/// How long a key is heard before its notes say a mode: a phrase, in bars (ours).
const PHRASE: Ticks = 4;

/// How long a chord, or a minor chord and the seventh a fourth above it, goes round before it is at
/// rest, in bars, and how many chords that takes of a pair (ours).
const AT_REST: f64 = 8.0;
const ROUNDS: usize = 4;

/// The chords of a major key that are at rest where its tonic is never heard: ii and IV.
const RESTING: [(i32, ChordFamily, KeyMode); 2] =
    [(2, ChordFamily::Minor, KeyMode::Minor), (5, ChordFamily::Major, KeyMode::Major)];

/// A path on which a vamp is a place of its own: chords of a key that go round for long and never
/// arrive are at home on the one that rests, so that ii and V are i and IV7 of a minor key; and a
/// borrowed minor chord that stays as long is at home there.
pub(super) fn with_vamps(
    reader: &ReadingMaker<'_>,
    best: &[Vec<CandidateReading>],
    mut path: Vec<KeyState>,
) -> Vec<KeyState> {
    let list = &reader.harmonies.list;
    let mut from = 0;
    while from < path.len() {
        let state = path[from].printed();
        let is_own = |place: &usize| path[*place].printed() == state;
        let until = (from..path.len()).take_while(is_own).last().unwrap_or(from) + 1;
        let bars: f64 = list[from..until].iter().map(|harmony| harmony.bars).sum();
        let is_of_key = !state.is_minor()
            && (from..until).all(|place| {
                let role = best[place][path[place].index()].role;
                matches!(role, ChordRole::Scale | ChordRole::Five | ChordRole::Leading)
            });
        // What is at rest is heard no less long than what comes between.
        let is_rest = |(step, family, _): &(i32, ChordFamily, KeyMode)| {
            let own = |place: &usize| {
                state.step(list[*place].root) == *step && list[*place].family == *family
            };
            let rest: f64 = (from..until).filter(own).map(|place| list[place].bars).sum();
            2.0 * rest >= bars
        };
        let is_vamp = is_of_key && bars >= AT_REST && until - from >= ROUNDS;
        if let Some((step, _, mode)) = RESTING.iter().find(|it| is_vamp && is_rest(it)) {
            path[from..until].fill(KeyState::of(state.tonic() + step, *mode));
        }
        for place in from..until {
            let read = best[place][path[place].index()];
            let is_borrowed = read.role == ChordRole::Borrowed && list[place].family.is_two();
            if is_borrowed && list[place].bars >= AT_REST {
                path[place] = KeyState::of(list[place].root, KeyMode::Minor);
            }
        }
        from = until;
    }
    path
}

/// What each key is in where the plain major or minor does not hold: by the state that is printed.
pub(super) fn modes(
    tune: &Unfolded,
    reader: &ReadingMaker<'_>,
    path: &[KeyState],
    read: &[CandidateReading],
) -> BTreeMap<KeyState, Mode> {
    let mut heard: BTreeMap<KeyState, KeyNotes> = BTreeMap::new();
    for (place, (state, it)) in path.iter().zip(read).enumerate() {
        let own = heard.entry(state.printed()).or_default();
        own.add(tune, reader, place, *state, *it);
    }
    let enough = PHRASE * tune.metre.bar();
    let spoken = heard
        .into_iter()
        .filter(|(_, own)| !own.is_functional && own.at_rest > 0 && own.length >= enough);
    spoken.map(|(state, own)| (state, own.mode(state.is_minor()))).collect()
}

/// The notes that sound in a key.
#[derive(Default)]
struct KeyNotes {
    /// Its chords: the steps of their notes above the tonic, and how long they sound.
    chords: Vec<(Vec<i32>, Ticks)>,
    /// How long the key is heard, and its tonic chord.
    length: Ticks,
    at_rest: Ticks,
    /// Whether a dominant has its leading tone.
    is_functional: bool,
}

impl KeyNotes {
    fn add(
        &mut self,
        tune: &Unfolded,
        reader: &ReadingMaker<'_>,
        place: usize,
        state: KeyState,
        it: CandidateReading,
    ) {
        let harmonies: &Harmonies = reader.harmonies;
        // What leads elsewhere and gets there has its notes from there.
        let is_elsewhere = it.goal.is_some() && label::comes_at_last(reader, place, it).is_some();
        for heard in harmonies.list[place].chords.clone() {
            let one = harmonies.heard[heard];
            let length = tune.changes[one.change].length;
            self.length += length;
            if it.step == 0 && it.goal.is_none() {
                self.at_rest += length;
            }
            let Some(chord) = tune.changes[one.change].chord else { continue };
            let notes = chord.notes().chain(chord.bass);
            let steps: Vec<i32> = notes.map(|note| state.step(note.pitch_class())).collect();
            let leads = it.function == Function::Dominant && it.goal.is_none();
            self.is_functional |= leads && steps.contains(&LEADING_TONE);
            if !is_elsewhere {
                self.chords.push((steps, length));
            }
        }
    }

    /// The mode that has most of its chords, whole; of those that have as many the plain one, which no
    /// note gainsays.
    fn mode(&self, is_minor: bool) -> Mode {
        const MAJOR: [Mode; 3] = [Mode::Major, Mode::Mixolydian, Mode::Lydian];
        const MINOR: [Mode; 4] = [Mode::NaturalMinor, Mode::Dorian, Mode::Phrygian, Mode::Locrian];
        let modes: &[Mode] = if is_minor { &MINOR } else { &MAJOR };
        let strange = |mode: &Mode| -> Ticks {
            let scale = Scale { tonic: NoteName::new(Letter::C, 0), mode: *mode };
            let own: Vec<i32> = (1..=7).map(|degree| scale.interval(degree).semitones).collect();
            let is_strange = |steps: &[i32]| steps.iter().any(|step| !own.contains(step));
            let chords = self.chords.iter().filter(|(steps, _)| is_strange(steps));
            chords.map(|(_, length)| length).sum()
        };
        modes.iter().copied().min_by_key(strange).unwrap_or_default()
    }
}
