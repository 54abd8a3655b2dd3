//! One hand's line, written out: values, ties, clefs, fingers.

use smallvec::{SmallVec, smallvec};

use super::choices::Choices;
use super::language::spelling::spell_as_triad;
use super::struck::StruckSound;
use super::template::Template;
use crate::fingering::{
    self, FingeringError, FingeringMarks, HandSize, HandSpans, HandStruck, Reach,
};
use crate::score::{Clef, Event, Hand, Metre, Note, OctaveShift, QUARTER, Rhythm, Span, Ticks};
use crate::theory::{Interval, Letter, NoteName, Pitch};

/// The alteration of a double flat.
const DOUBLE_FLAT: i32 = -2;

/// The pitches of one sound: seldom more than a hand has fingers.
type SoundPitches = SmallVec<[Pitch; 5]>;

/// One hand's line, ready to be written out.
pub(super) struct HandLine<'a> {
    hand: Hand,
    metre: Metre,
    sounds: &'a [StruckSound],
    /// The pitches of each sound, low to high.
    pitches: Vec<SoundPitches>,
    /// The clef that each sound is read in.
    clefs: &'a [Clef],
}

impl<'a> HandLine<'a> {
    /// The line of a hand that counts its intervals from a tonic and reads each sound in a clef;
    /// what is played over the chord at an index is spelled otherwise by an interval, where there is
    /// one for it.
    pub(super) fn new(
        hand: Hand,
        metre: Metre,
        tonic: Pitch,
        sounds: &'a [StruckSound],
        clefs: &'a [Clef],
        respelled: &[Interval],
    ) -> Self {
        let pitches = sounds.iter().map(|sound| {
            let by = respelled.get(sound.chord).copied().unwrap_or(Interval::UNISON);
            let pitch = |interval: &Interval| {
                let pitch = tonic.up(interval.plus(by));
                if sound.is_passing { pitch.plain() } else { pitch.readable() }
            };
            sound.intervals.iter().map(pitch).collect()
        });
        Self { hand, metre, pitches: pitches.collect(), sounds, clefs }
    }

    /// The line with its triads spelled as such, beside what the other hand plays.
    pub(super) fn with_triads(&self, other: &Self) -> Self {
        let pitches = self.sounds.iter().zip(&self.pitches).map(|(sound, pitches)| {
            let mut pitches = pitches.clone();
            if sound.is_triad {
                let near = other.sounds.iter().zip(&other.pitches);
                let near = near.filter(|(it, _)| it.at < sound.end && sound.at < it.end);
                let beside = near.flat_map(|(_, pitches)| pitches).map(|pitch| pitch.name);
                spell_as_triad(&mut pitches, &beside.collect::<Vec<NoteName>>());
            }
            pitches
        });
        Self { pitches: pitches.collect(), ..*self }
    }

    /// The line without double flats, F♭ and C♭ on notes that only colour it or lead on: such a note has
    /// its plain name where it still moves by a step, or by a semitone on one letter, wherever it
    /// stands over its chord: G♭, G, A♭ in D♭; A, B, B♭ in F. A double sharp leads up to a sharp by the
    /// letter before it, and is read so: F𝄪 to G♯ (common practice, no source).
    pub(super) fn with_plain_colours(mut self) -> Self {
        let plain = |index: usize| self.pitches[index][0].up(LETTER_BELOW);
        let is_veiled =
            |index: usize| self.sounds[index].is_foreign && is_veiled(self.pitches[index][0].name);
        let veiled: Vec<usize> = (0..self.sounds.len()).filter(|it| is_veiled(*it)).collect();
        let alone = |index: usize| match self.pitches.get(index)?.as_slice() {
            [own] => Some(if is_veiled(index) { own.up(LETTER_BELOW) } else { *own }),
            _ => None,
        };
        let reads = |index: usize| {
            let near = [index.checked_sub(1), Some(index + 1)].into_iter().flatten();
            let moves = near.filter_map(alone).map(|near| moves(plain(index), near));
            let moves: Vec<LineMove> = moves.collect();
            moves.contains(&LineMove::Step) && !moves.contains(&LineMove::Misread)
        };
        let is_same = |one: usize, other: usize| {
            let [a, b] = [one, other].map(|it| self.pitches[it][0].name);
            self.sounds[one].chord == self.sounds[other].chord && a == b
        };
        let all_read = |one: &usize| veiled.iter().all(|it| !is_same(*one, *it) || reads(*it));
        let changed: Vec<usize> = veiled.iter().copied().filter(all_read).collect();
        for index in changed {
            self.pitches[index][0] = self.pitches[index][0].up(LETTER_BELOW);
        }
        self
    }

    /// The line with what is read in another octave as it sounds.
    pub(super) fn sounding(mut self, shifts: &[OctaveShift]) -> Self {
        for (sound, pitches) in self.sounds.iter().zip(&mut self.pitches) {
            let shift = shifts.iter().find(|shift| shift.span.contains(&sound.at));
            for pitch in pitches {
                pitch.octave += shift.map_or(0, |shift| shift.octaves);
            }
        }
        self
    }

    /// The clef that the line begins in; the usual one for a hand that never plays.
    pub(super) fn opening_clef(&self) -> Clef {
        self.clefs.first().copied().unwrap_or(self.hand.usual_clef())
    }

    /// The chords that the hand holds, by index, when, and whether that is more than is comfortable
    /// for it.
    pub(super) fn held_chords(&self, size: HandSize) -> impl Iterator<Item = (usize, Ticks, bool)> {
        let sounds = self.sounds.iter().zip(&self.pitches);
        sounds.filter(|(_, pitches)| pitches.len() > 1).map(move |(sound, pitches)| {
            let is_wide = fingering::reach(self.hand, pitches, size) > Reach::Comfortable;
            (sound.chord, sound.at, is_wide)
        })
    }

    /// The written events of the whole line, with rests in its silences.
    pub(super) fn events(&self, template: &Template, choices: Choices) -> Vec<Event> {
        let length = template.length();
        let fingers = self.fingers(template, choices);
        let moments: Vec<Ticks> =
            self.sounds.iter().flat_map(|sound| [sound.at, sound.end]).collect();
        let rhythm = Rhythm::of(self.metre, &moments);
        let mut events = Vec::new();
        let mut at = 0;
        for (index, sound) in self.sounds.iter().enumerate() {
            let changes = index > 0 && self.clefs[index] != self.clefs[index - 1];
            let mut change = changes.then(|| self.clefs[index]);
            // The rests that lead a bar stand in the clef of what follows them.
            let bar = sound.at - sound.at.rem_euclid(self.metre.bar());
            for span in rhythm.rests(at, sound.at) {
                let clef_change = change.take_if(|_| span.at == bar);
                events.push(Event { clef_change, ..rest(span) });
            }
            let spans = rhythm.sound(sound.at, sound.end);
            let last = spans.len() - 1;
            for (part, span) in spans.into_iter().enumerate() {
                let notes = self.pitches[index].iter().zip(&fingers[index]);
                let notes = notes.map(|(pitch, finger)| Note {
                    pitch: *pitch,
                    tied_in: part > 0,
                    tied_out: part < last,
                    finger: finger.number.filter(|_| part == 0),
                    shows_finger: finger.shown && part == 0,
                });
                events.push(Event {
                    at: span.at,
                    value: span.value,
                    notes: notes.collect(),
                    staccato: sound.staccato,
                    fermata: sound.fermata && part == last,
                    clef_change: change.take(),
                });
            }
            at = sound.end;
        }
        events.extend(rhythm.rests(at, length).into_iter().map(rest));
        events
    }

    /// What the hand strikes, as the choice of fingers sees it.
    fn struck(&self) -> Vec<HandStruck<'_>> {
        let sounds = self.sounds.iter().zip(&self.pitches);
        sounds
            .map(|(sound, pitches)| HandStruck {
                at: sound.at,
                end: sound.end,
                pitches,
                fixed: &sound.fixed,
            })
            .collect()
    }

    /// A finger for every note of every sound, or why there is none. What is played over one
    /// chord is a figure.
    pub(super) fn solve(&self, settings: HandSpans) -> Result<Vec<Vec<u8>>, FingeringError> {
        let starts: Vec<bool> = (0..self.sounds.len())
            .map(|index| {
                // A bass that walks is one figure from end to end.
                let [own, before] = [index, index.max(1) - 1].map(|index| &self.sounds[index]);
                let flows = own.is_walking && before.is_walking;
                index == 0 || own.chord != before.chord && !flows
            })
            .collect();
        let struck = self.struck();
        fingering::fingers(self.hand, &struck, &starts, settings).map(|solved| solved.fingers)
    }

    /// Whether a sound begins in the first bar of a passage; a left-hand chord that is pushed into
    /// a passage belongs to it.
    fn is_in_first_bar(&self, template: &Template, index: usize) -> bool {
        let at = self.sounds[index].at;
        let early = if self.hand == Hand::Left { QUARTER / 2 } else { 0 };
        let mut start = 0;
        template.passages.iter().any(|passage| {
            let first_bar = start - early..start + self.metre.bar();
            start += passage.length();
            first_bar.contains(&at)
        })
    }

    /// Whether a chord that is grabbed at once was struck with the same fingers in this bar or the
    /// one before: the hand remembers it (ours).
    fn stood_a_bar_ago(&self, index: usize, solved: &[Vec<u8>]) -> bool {
        let bar_of = |index: usize| self.sounds[index].at / self.metre.bar();
        let lately = (0..index).rev().take_while(|other| bar_of(index) - bar_of(*other) <= 1);
        let is_same = |other: usize| {
            self.pitches[other] == self.pitches[index] && solved[other] == solved[index]
        };
        self.pitches[index].len() > 1 && lately.into_iter().any(is_same)
    }

    /// A finger for every note of every sound, and whether its digit is printed.
    fn fingers(&self, template: &Template, choices: Choices) -> Vec<SmallVec<[Finger; 5]>> {
        let solved = match choices.fingering {
            FingeringMarks::None => None,
            // The judge of templates refuses given fingers that cannot be kept.
            _ => self.solve(HandSpans { size: choices.hand, measure: choices.spans }).ok(),
        };
        let Some(solved) = solved else {
            let none = |pitches: &SoundPitches| smallvec![Finger::default(); pitches.len()];
            return self.pitches.iter().map(none).collect();
        };
        let shows_all = choices.fingering != FingeringMarks::Changes;
        let mut all = Vec::with_capacity(self.sounds.len());
        let mut before: &[Vec<u8>] = &[];
        let mut first = 0;
        for own in self.sounds.chunk_by(|a, b| a.chord == b.chord) {
            let range = first..first + own.len();
            let numbers = &solved[range.clone()];
            let given = own.iter().any(|sound| sound.fixed.iter().any(Option::is_some));
            let is_same = is_same_group(numbers, before);
            let is_new = shows_all || given || !is_same;
            for index in range.clone() {
                // A chord struck again over its own harmony needs its digits once.
                let again = index > first && self.pitches[index] == self.pitches[index - 1];
                let in_place = choices.fingering != FingeringMarks::FirstBars
                    || self.is_in_first_bar(template, index);
                let is_fresh = shows_all || !self.stood_a_bar_ago(index, &solved);
                let is_held_out = self.sounds[index].fermata;
                let is_wanted = choices.fingering == FingeringMarks::All || !is_held_out;
                let shown = in_place && is_new && is_wanted && is_fresh && (shows_all || !again);
                let fixed = self.sounds[index].fixed.iter();
                // A finger that the teacher gave is meant to be read.
                let finger = |(number, fixed): (&u8, &Option<u8>)| Finger {
                    number: Some(*number),
                    shown: shown || fixed.is_some() && !again,
                };
                all.push(solved[index].iter().zip(fixed).map(finger).collect());
            }
            before = numbers;
            first = range.end;
        }
        all
    }
}

/// Whether a flat name stands for a key that has a plainer one on the letter below.
pub(super) fn is_veiled(name: NoteName) -> bool {
    let is_white = matches!(name.letter, Letter::F | Letter::C);
    name.alter == DOUBLE_FLAT || name.alter == -1 && is_white
}

/// From a note to the same key on the letter below.
const LETTER_BELOW: Interval = Interval { steps: -1, semitones: 0 };

/// How a note of a line is read beside another.
#[derive(Clone, Copy, PartialEq, Eq)]
enum LineMove {
    /// A step, or a semitone on one letter.
    Step,
    /// A step that looks like a leap, or none, or a key with two names.
    Misread,
    /// Anything else.
    Apart,
}

fn moves(one: Pitch, other: Pitch) -> LineMove {
    let semitones = (one.midi() - other.midi()).abs();
    let steps = (one.staff_step() - other.staff_step()).abs();
    match (semitones, steps) {
        (0, 0) => LineMove::Apart,
        (1, 0 | 1) | (2, 1) => LineMove::Step,
        (..=2, _) => LineMove::Misread,
        _ => LineMove::Apart,
    }
}

/// Whether a group has the fingers of the one before it. A chord whose notes are grabbed at once
/// has those of the same notes one by one, up or down.
fn is_same_group(own: &[Vec<u8>], before: &[Vec<u8>]) -> bool {
    match own {
        [chord] if chord.len() > 1 => {
            let [mut own, mut before] = [own, before].map(<[Vec<u8>]>::concat);
            own.sort_unstable();
            before.sort_unstable();
            own == before
        }
        _ => own.iter().flatten().eq(before.iter().flatten()),
    }
}

/// A finger and whether its digit is printed.
#[derive(Clone, Copy, Default)]
struct Finger {
    number: Option<u8>,
    shown: bool,
}

fn rest(span: Span) -> Event {
    Event::rest(span.at, span.value)
}
