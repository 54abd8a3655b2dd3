//! The mode of a key by the notes that sound in it. Where a dominant with the leading tone says so a
//! key is major or minor; without one it is of the mode whose notes are heard.

use std::collections::BTreeMap;

use super::harmonies::Harmonies;
use super::label;
use super::path::KeyState;
use super::readings::{CandidateReading, ReadingMaker};
use crate::chart::{Function, Unfolded};
use crate::score::Ticks;
use crate::theory::{Letter, Mode, NoteName, Scale};

/// Semitones from a tonic up to its leading tone.
const LEADING_TONE: i32 = 11;

/// How long a key is heard before its notes say a mode: a phrase, in bars (ours).
const PHRASE: Ticks = 4;

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
    /// How long each step above the tonic sounds.
    steps: [Ticks; 12],
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
        let is_elsewhere = it.goal.is_some() && label::comes(reader, place, it).is_some();
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
                for step in steps {
                    self.steps[step as usize] += length;
                }
            }
        }
    }

    /// The mode that misses least of what sounds; of those that miss as little the plain one, which
    /// no note gainsays.
    fn mode(&self, is_minor: bool) -> Mode {
        const MAJOR: [Mode; 3] = [Mode::Major, Mode::Mixolydian, Mode::Lydian];
        const MINOR: [Mode; 4] = [Mode::NaturalMinor, Mode::Dorian, Mode::Phrygian, Mode::Locrian];
        let modes: &[Mode] = if is_minor { &MINOR } else { &MAJOR };
        let missed = |mode: &Mode| -> Ticks {
            let scale = Scale { tonic: NoteName::new(Letter::C, 0), mode: *mode };
            let own: Vec<i32> = (1..=7).map(|degree| scale.interval(degree).semitones).collect();
            let strange = (0..12).filter(|step| !own.contains(step));
            strange.map(|step| self.steps[step as usize]).sum()
        };
        modes.iter().copied().min_by_key(missed).unwrap_or_default()
    }
}
