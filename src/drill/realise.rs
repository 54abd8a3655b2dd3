//! From template and key to score.

use super::register::{self, Sound};
use super::{Comping, Entry, Passage, Template, Voicing};
use crate::fingering::one_position;
use crate::recipe::{Feel, FingeringMarks, Recipe};
use crate::score::{
    Bar, Clef, Event, Hand, Harmony, Note, QUARTER, Score, Staff, Ticks, count, spell_rests,
    spell_sound,
};
use crate::theory::{Interval, Key, Numeral, Pitch, Scale, SeventhChord};

/// What the teacher chose that changes the score itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Choices {
    /// How eighths are played; the template's own where `None`.
    pub feel: Option<Feel>,
    /// Which fingers are printed.
    pub fingering: FingeringMarks,
}

impl Choices {
    /// The choices of a recipe.
    pub fn of(recipe: &Recipe) -> Self {
        Self { feel: recipe.feel, fingering: recipe.fingering }
    }
}

/// A chord of the drill in time.
struct Played {
    chord: SeventhChord,
    degree: i32,
    /// Where the right hand's figure begins.
    start: Ticks,
    /// When the left hand strikes and lets go.
    strike: Ticks,
    release: Ticks,
    short: bool,
    fermata: bool,
}

/// Plays `template` in `key`.
pub fn realise(template: &Template, key: Key, choices: Choices) -> Score {
    let scale = Scale { tonic: key.tonic(), mode: template.mode };
    let chords = chords(template, scale);
    let right = right_hand(template, scale, &chords);
    let left = left_hand(template, scale, &chords);
    let metre = template.metre;
    let register = register::choose(key, metre, &right, &left);
    let length: Ticks = template.passages.iter().map(Passage::length).sum();

    let right = Line {
        hand: Hand::Right,
        clefs: register::clefs_of(metre, Clef::Treble, register.right, &right).clefs,
        tonic: register.right,
        groups: groups_by_chord(&right, &chords),
        sounds: right,
        chords: &chords,
    };
    let left = Line {
        hand: Hand::Left,
        clefs: register::clefs_of(metre, Clef::Bass, register.left, &left).clefs,
        tonic: register.left,
        groups: (0..left.len()).collect(),
        sounds: left,
        chords: &chords,
    };
    let mut bars: Vec<Bar> = (0..length / metre.bar())
        .map(|bar| Bar {
            start: bar * metre.bar(),
            right: Staff::default(),
            left: Staff::default(),
        })
        .collect();
    for line in [&right, &left] {
        for event in line.events(template, length, choices.fingering) {
            let bar = &mut bars[(event.at / metre.bar()) as usize];
            match line.hand {
                Hand::Right => bar.right.events.push(event),
                Hand::Left => bar.left.events.push(event),
            }
        }
    }
    let counts = count(metre, &bars);
    let mut low_chords: Vec<SeventhChord> = Vec::new();
    for (sound, played) in left.sounds.iter().zip(&chords) {
        if register::undercut(left.tonic, sound) > 0 && !low_chords.contains(&played.chord) {
            low_chords.push(played.chord);
        }
    }
    let harmonies = chords
        .iter()
        .map(|played| Harmony {
            at: played.strike,
            chord: played.chord,
            numeral: Numeral::new(played.degree, played.chord.quality),
        })
        .collect();
    Score {
        key,
        metre,
        feel: choices.feel.unwrap_or(template.feel),
        opening_clefs: [right.clefs[0], left.clefs[0]],
        bars,
        harmonies,
        counts,
        low_chords,
    }
}

/// The chords of all passages with their moments.
fn chords(template: &Template, scale: Scale) -> Vec<Played> {
    let mut chords: Vec<Played> = Vec::new();
    let mut start = 0;
    for passage in &template.passages {
        for (index, degree) in passage.degrees.iter().enumerate() {
            let chord = SeventhChord::diatonic(scale, *degree)
                .expect("every mode in use stacks its thirds into known sevenths");
            let entry = if index == 0 { Some(passage.entry) } else { None };
            let early = match (entry, passage.comping) {
                (Some(Entry::Push), _) | (None, Comping::Push) => QUARTER / 2,
                (Some(Entry::Held | Entry::Short), _) | (None, Comping::OnBeat) => 0,
            };
            let strike = start - early;
            let short = entry == Some(Entry::Short);
            if let Some(before) = chords.last_mut().filter(|before| !before.short) {
                before.release = strike;
            }
            let end = start + passage.chord_length;
            let release = if short { strike + QUARTER / 2 } else { end };
            let fermata = passage.fermata && index + 1 == passage.degrees.len();
            chords.push(Played { chord, degree: *degree, start, strike, release, short, fermata });
            start = end;
        }
    }
    chords
}

/// The interval of a chord tone above the tonic.
fn tone_above_tonic(scale: Scale, played: &Played, tone: i32) -> Interval {
    let root = scale.interval(played.degree);
    let tone = played.chord.tone_interval(tone);
    Interval { steps: root.steps + tone.steps, semitones: root.semitones + tone.semitones }
}

fn right_hand(template: &Template, scale: Scale, chords: &[Played]) -> Vec<Sound> {
    let mut chords = chords.iter();
    let mut sounds = Vec::new();
    for passage in &template.passages {
        for played in chords.by_ref().take(passage.degrees.len()) {
            for (index, tones) in (0..).zip(&passage.figure.steps) {
                let at = played.start + index * passage.step.ticks();
                let intervals =
                    tones.iter().map(|tone| tone_above_tonic(scale, played, *tone)).collect();
                sounds.push(Sound { at, end: at + passage.step.ticks(), intervals });
            }
        }
    }
    sounds
}

fn left_hand(template: &Template, scale: Scale, chords: &[Played]) -> Vec<Sound> {
    let voicings = template.passages.iter().flat_map(|p| p.degrees.iter().map(|_| p.voicing));
    chords
        .iter()
        .zip(voicings)
        .map(|(played, voicing)| {
            let tones = match voicing {
                Voicing::Close => [0, 1, 2, 3],
            };
            let intervals = tones.map(|tone| tone_above_tonic(scale, played, tone)).to_vec();
            Sound { at: played.strike, end: played.release, intervals }
        })
        .collect()
}

/// For each sound of the right hand, which chord it belongs to.
fn groups_by_chord(sounds: &[Sound], chords: &[Played]) -> Vec<usize> {
    sounds
        .iter()
        .map(|sound| chords.iter().rposition(|played| played.start <= sound.at).unwrap_or(0))
        .collect()
}

/// One hand's line, ready to be written out.
struct Line<'a> {
    hand: Hand,
    tonic: Pitch,
    sounds: Vec<Sound>,
    clefs: Vec<Clef>,
    /// The chord that each sound belongs to: the notes of one hand position.
    groups: Vec<usize>,
    chords: &'a [Played],
}

impl Line<'_> {
    fn pitches(&self, sound: &Sound) -> Vec<Pitch> {
        sound.intervals.iter().map(|interval| self.tonic.up(*interval)).collect()
    }

    /// The written events of the whole line, with rests in its silences.
    fn events(&self, template: &Template, length: Ticks, marks: FingeringMarks) -> Vec<Event> {
        let metre = template.metre;
        let fingers = self.fingers(marks);
        let mut events = Vec::new();
        let mut at = 0;
        for (index, sound) in self.sounds.iter().enumerate() {
            events.extend(spell_rests(metre, at, sound.at).into_iter().map(rest));
            let played = &self.chords[self.groups[index]];
            let pitches = self.pitches(sound);
            let spans = spell_sound(metre, sound.at, sound.end);
            let last = spans.len() - 1;
            for (part, span) in spans.into_iter().enumerate() {
                let notes = pitches.iter().zip(&fingers[index]).map(|(pitch, finger)| Note {
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
                    staccato: played.short && self.hand == Hand::Left,
                    fermata: played.fermata && sound.end == length && part == last,
                    clef_change: changes.then(|| self.clefs[index]),
                });
            }
            at = sound.end;
        }
        events.extend(spell_rests(metre, at, length).into_iter().map(rest));
        events
    }

    /// A finger for every note of every sound: one position for each chord; digits shown
    /// where the position's fingers differ from those of the one before.
    fn fingers(&self, marks: FingeringMarks) -> Vec<Vec<Finger>> {
        let mut all = Vec::with_capacity(self.sounds.len());
        let mut shown_before: Option<Vec<u8>> = None;
        // A drill comes back to its chords on the way down.
        let mut known: Vec<(Vec<Pitch>, Option<Vec<u8>>)> = Vec::new();
        let mut first = 0;
        while first < self.sounds.len() {
            let group = self.groups[first];
            let count = self.groups[first..].iter().take_while(|other| **other == group).count();
            let sounds = &self.sounds[first..first + count];
            let intervals = sounds.iter().flat_map(|sound| &sound.intervals);
            let mut under_hand: Vec<Pitch> =
                intervals.map(|interval| self.tonic.up(*interval)).collect();
            under_hand.sort_by_key(|pitch| pitch.midi());
            under_hand.dedup();
            let position = match known.iter().find(|(pitches, _)| *pitches == under_hand) {
                Some((_, position)) => position.clone(),
                None => {
                    let position = one_position(self.hand, &under_hand);
                    known.push((under_hand.clone(), position.clone()));
                    position
                }
            };
            let shown = match marks {
                FingeringMarks::None => false,
                FingeringMarks::All => true,
                FingeringMarks::Changes => position != shown_before,
            };
            for sound in sounds {
                let finger = |interval: &Interval| {
                    let pitch = self.tonic.up(*interval);
                    let place = under_hand.iter().position(|other| *other == pitch);
                    let number = position.as_ref().zip(place).map(|(fingers, at)| fingers[at]);
                    Finger { number, shown: shown && number.is_some() }
                };
                all.push(sound.intervals.iter().map(finger).collect());
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

fn rest(span: crate::score::Span) -> Event {
    Event {
        at: span.at,
        value: span.value,
        notes: Vec::new(),
        staccato: false,
        fermata: false,
        clef_change: None,
    }
}
