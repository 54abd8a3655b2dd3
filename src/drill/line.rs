//! One hand's line, written out: values, ties, clefs, fingers.

use super::plan::Sound;
use super::register;
use crate::fingering::one_position;
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

    /// The written events of the whole line, with rests in its silences.
    pub(super) fn events(&self, length: Ticks, marks: FingeringMarks) -> Vec<Event> {
        let fingers = self.fingers(marks);
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

    /// A finger for every note of every sound: one position for each chord; digits shown
    /// where the position's fingers differ from those of the one before.
    fn fingers(&self, marks: FingeringMarks) -> Vec<Vec<Finger>> {
        let mut all = Vec::with_capacity(self.sounds.len());
        let mut shown_before: Option<Vec<u8>> = None;
        let mut first = 0;
        while first < self.sounds.len() {
            let group = self.sounds[first].chord;
            let count =
                self.sounds[first..].iter().take_while(|other| other.chord == group).count();
            let pitches = &self.pitches[first..first + count];
            let mut under_hand: Vec<Pitch> = pitches.iter().flatten().copied().collect();
            under_hand.sort_by_key(|pitch| pitch.midi());
            under_hand.dedup();
            let position = one_position(self.hand, &under_hand);
            let shown = match marks {
                FingeringMarks::None => false,
                FingeringMarks::All | FingeringMarks::FirstBars => true,
                FingeringMarks::Changes => position != shown_before,
            };
            for pitches in pitches {
                let finger = |pitch: &Pitch| {
                    let place = under_hand.iter().position(|other| other == pitch);
                    let number = position.as_ref().zip(place).map(|(fingers, at)| fingers[at]);
                    Finger { number, shown: shown && number.is_some() }
                };
                all.push(pitches.iter().map(finger).collect());
            }
            shown_before = position;
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
