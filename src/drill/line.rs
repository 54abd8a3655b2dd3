//! One hand's line, written out: values, ties, clefs, fingers.

use super::Choices;
use super::plan::Sound;
use super::register;
use crate::fingering::{self, FingeringError, HandSize, Reach, Settings, Struck};
use crate::recipe::FingeringMarks;
use crate::score::{Clef, Event, Hand, Metre, Note, Span, Ticks, spell_rests, spell_sound};
use crate::theory::Pitch;

/// One hand's line, ready to be written out.
pub(super) struct Line<'a> {
    hand: Hand,
    metre: Metre,
    sounds: &'a [Sound],
    /// The pitches of each sound, low to high.
    pitches: Vec<Vec<Pitch>>,
    /// The clef that each sound is read in.
    clefs: Vec<Clef>,
}

impl<'a> Line<'a> {
    /// The line of a hand that counts its intervals from a tonic.
    pub(super) fn new(hand: Hand, metre: Metre, tonic: Pitch, sounds: &'a [Sound]) -> Self {
        let usual = match hand {
            Hand::Right => Clef::Treble,
            Hand::Left => Clef::Bass,
        };
        let clefs = register::clefs_of(metre, usual, tonic, sounds).clefs;
        let pitches = sounds.iter().map(|sound| {
            sound.intervals.iter().map(|interval| tonic.up(*interval).readable()).collect()
        });
        Self { hand, metre, pitches: pitches.collect(), sounds, clefs }
    }

    pub(super) fn hand(&self) -> Hand {
        self.hand
    }

    /// The clef that the line begins in; `usual` for a hand that never plays.
    pub(super) fn opening_clef(&self, usual: Clef) -> Clef {
        self.clefs.first().copied().unwrap_or(usual)
    }

    /// The chords, by index, of which the hand holds more than is comfortable for it.
    pub(super) fn wide_chords(&self, size: HandSize) -> impl Iterator<Item = usize> {
        let sounds = self.sounds.iter().zip(&self.pitches);
        let wide = sounds.filter(move |(_, pitches)| {
            pitches.len() > 1 && fingering::reach(self.hand, pitches, size) > Reach::Comfortable
        });
        wide.map(|(sound, _)| sound.chord)
    }

    /// The written events of the whole line, with rests in its silences.
    pub(super) fn events(&self, length: Ticks, choices: Choices) -> Vec<Event> {
        let fingers = self.fingers(choices);
        let mut events = Vec::new();
        let mut at = 0;
        for (index, sound) in self.sounds.iter().enumerate() {
            events.extend(spell_rests(self.metre, at, sound.at).into_iter().map(rest));
            let spans = spell_sound(self.metre, sound.at, sound.end);
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
                let changes = part == 0 && index > 0 && self.clefs[index] != self.clefs[index - 1];
                events.push(Event {
                    at: span.at,
                    value: span.value,
                    notes: notes.collect(),
                    staccato: sound.staccato,
                    fermata: sound.fermata && part == last,
                    clef_change: changes.then(|| self.clefs[index]),
                });
            }
            at = sound.end;
        }
        events.extend(spell_rests(self.metre, at, length).into_iter().map(rest));
        events
    }

    /// A finger for every note of every sound, or why there is none.
    pub(super) fn solve(&self, size: HandSize) -> Result<Vec<Vec<u8>>, FingeringError> {
        let struck = self.sounds.iter().zip(&self.pitches);
        let line: Vec<Struck<'_>> = struck
            .map(|(sound, pitches)| Struck {
                at: sound.at,
                end: sound.end,
                pitches,
                fixed: &sound.fixed,
            })
            .collect();
        let settings = Settings { size, ..Settings::default() };
        fingering::fingers(self.hand, &line, settings).map(|solved| solved.fingers)
    }

    /// A finger for every note of every sound; digits shown where those of a chord differ from
    /// those of the chord before.
    fn fingers(&self, choices: Choices) -> Vec<Vec<Finger>> {
        // The judge of templates refuses given fingers that cannot be kept.
        let solved = self.solve(choices.hand).unwrap_or_default();
        let mut all = Vec::with_capacity(self.sounds.len());
        let mut before: &[Vec<u8>] = &[];
        let mut first = 0;
        while first < self.sounds.len() {
            let chord = self.sounds[first].chord;
            let count =
                self.sounds[first..].iter().take_while(|other| other.chord == chord).count();
            let own = solved.get(first..first + count).unwrap_or_default();
            let shown = match choices.fingering {
                FingeringMarks::None => false,
                FingeringMarks::All | FingeringMarks::FirstBars => true,
                FingeringMarks::Changes => own != before,
            };
            for place in 0..count {
                let notes = self.pitches[first + place].len();
                let finger = |note: usize| {
                    let number = own.get(place).and_then(|fingers| fingers.get(note)).copied();
                    Finger { number, shown: shown && number.is_some() }
                };
                all.push((0..notes).map(finger).collect());
            }
            before = own;
            first += count;
        }
        all
    }
}

/// A finger and whether its digit is printed.
#[derive(Clone, Copy)]
struct Finger {
    number: Option<u8>,
    shown: bool,
}

fn rest(span: Span) -> Event {
    Event::rest(span.at, span.value)
}
