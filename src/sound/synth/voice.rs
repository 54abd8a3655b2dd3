//! Voices: the sounds that are made once and played as often as they are written.

use super::dsp::{amplitude, bring_to_level, fade_out, frames};
use super::room::{RoomPlace, around};
use super::{bass, brushes, click, hi_hat, piano, ride, room};
use crate::sound::{Part, PlayedStroke};

/// An instrument, in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Instrument {
    Piano,
    Comping,
    Bass,
    Ride,
    HiHat,
    Brushes,
    Click,
}

impl Instrument {
    pub(super) fn of(part: Part) -> Self {
        match part {
            Part::PianoRight | Part::PianoLeft => Self::Piano,
            Part::Comping => Self::Comping,
            Part::Bass => Self::Bass,
            Part::Ride => Self::Ride,
            Part::HiHat => Self::HiHat,
            Part::Brushes => Self::Brushes,
            Part::Click => Self::Click,
        }
    }

    /// Whether it can sound a pitch; drums sound for any number.
    pub(super) fn has(self, pitch: u8) -> bool {
        match self {
            Self::Piano | Self::Comping => (21..=108).contains(&pitch),
            Self::Bass => (24..=72).contains(&pitch),
            Self::Ride | Self::HiHat | Self::Brushes | Self::Click => true,
        }
    }

    /// How loud it is among the others, in decibels. The piano stands in front: it is what is
    /// practised. Ours, by the loudness of each part alone.
    fn balance(self) -> f64 {
        match self {
            Self::Piano => 0.0,
            Self::Comping => -5.0,
            Self::Bass => 1.5,
            Self::Ride => -9.5,
            Self::HiHat => -8.0,
            Self::Brushes => -5.5,
            Self::Click => -1.5,
        }
    }

    fn place(self) -> RoomPlace {
        match self {
            // From further off, walls would choose among the partials of a bass.
            Self::Piano | Self::Bass | Self::Click => RoomPlace::Near,
            Self::Comping => RoomPlace::Middle,
            Self::Ride | Self::HiHat | Self::Brushes => RoomPlace::Far,
        }
    }
}

/// A sound that is made once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Voice {
    pub(super) instrument: Instrument,
    pub(super) pitch: u8,
    /// The class of its strength, from 0: how bright it is, not how loud.
    pub(super) class: u8,
    /// Which of several that differ by chance, played in turn.
    pub(super) take: u8,
    /// Hundredths of a second, where the sound is drawn out as long as it is held; else 0.
    pub(super) drawn: u16,
}

/// Strokes of one class sound alike but for their level.
const CLASSES_OF_NOTES: u8 = 5;
const CLASSES_OF_STROKES: u8 = 3;

/// The longest that a brush is drawn, in hundredths of a second.
const LONGEST_DRAWN: f64 = 400.0;

impl Voice {
    /// The first take of the voice of a stroke that is held for some seconds.
    pub(super) fn of(instrument: Instrument, stroke: PlayedStroke, seconds: f64) -> Self {
        let strength = stroke.strength.clamp(1, 127);
        let class = |classes: u8| (u16::from(strength) * u16::from(classes) / 128) as u8;
        let is_drawn = instrument == Instrument::Brushes && brushes::is_drawn(stroke.pitch);
        let class = match instrument {
            Instrument::Piano | Instrument::Comping => class(CLASSES_OF_NOTES),
            Instrument::Brushes if is_drawn => 0,
            Instrument::Bass | Instrument::Ride | Instrument::Brushes => class(CLASSES_OF_STROKES),
            Instrument::HiHat | Instrument::Click => 0,
        };
        let hundredths = (seconds * 100.0 + 0.5).clamp(5.0, LONGEST_DRAWN) as u16;
        let drawn = if is_drawn { hundredths } else { 0 };
        Self { instrument, pitch: stroke.pitch, class, take: 0, drawn }
    }

    /// The take that is played when a voice comes for the `turn`th time, from 0.
    pub(super) fn in_turn(self, turn: usize) -> Self {
        let takes = match self.instrument {
            Instrument::Piano | Instrument::Comping | Instrument::Click => 1,
            Instrument::Bass => bass::TAKES,
            Instrument::Ride => ride::TAKES,
            Instrument::HiHat => hi_hat::TAKES,
            Instrument::Brushes => brushes::TAKES,
        };
        Self { take: (turn % usize::from(takes)) as u8, ..self }
    }

    /// The middle of its class of strength, from 0 to 1.
    pub(super) fn force(self) -> f64 {
        let classes = match self.instrument {
            Instrument::Piano | Instrument::Comping => CLASSES_OF_NOTES,
            _ => CLASSES_OF_STROKES,
        };
        (f64::from(self.class) + 0.5) / f64::from(classes)
    }

    /// By what each sample shrinks once it is let go; none for what rings on.
    pub(super) fn damping(self) -> Option<f64> {
        match self.instrument {
            Instrument::Piano | Instrument::Comping => piano::damping(self.pitch),
            Instrument::Bass => Some(bass::damping()),
            _ => None,
        }
    }

    /// The seconds that the instrument itself sounds at most.
    pub(super) fn seconds(self) -> f64 {
        match self.instrument {
            Instrument::Piano | Instrument::Comping => piano::LONGEST,
            Instrument::Bass => bass::LONGEST,
            Instrument::Ride => ride::LENGTH,
            Instrument::HiHat => hi_hat::length(self.pitch),
            Instrument::Brushes if self.drawn > 0 => f64::from(self.drawn) / 100.0,
            Instrument::Brushes => brushes::TAP,
            Instrument::Click => click::LENGTH,
        }
    }

    /// The frames that it is heard at most, in its room.
    pub(super) fn longest(self) -> usize {
        frames(self.seconds()) + room::longest()
    }

    /// The seconds over which its level is judged.
    fn judged(self) -> f64 {
        match self.instrument {
            Instrument::Piano | Instrument::Comping => 0.2,
            Instrument::Bass => 0.25,
            Instrument::Ride => 0.3,
            Instrument::HiHat => 0.05,
            Instrument::Brushes if self.drawn > 0 => self.seconds(),
            Instrument::Brushes => 0.06,
            Instrument::Click => 0.03,
        }
    }

    /// Makes it: some `length` frames or more where it can be damped and so is needed in part; all
    /// of it where it rings on.
    pub(super) fn sound(self, length: usize) -> Vec<f32> {
        let Self { instrument, pitch, take, drawn, .. } = self;
        let force = self.force();
        // What levels are measured over must be there however short the note.
        let notes = length.max(frames(0.3)).min(frames(self.seconds()));
        let direct = match instrument {
            Instrument::Piano | Instrument::Comping => piano::note(pitch, force, notes),
            Instrument::Bass => bass::note(pitch, force, take, notes),
            Instrument::Ride => ride::stroke(pitch, force, take),
            Instrument::HiHat => hi_hat::stroke(pitch, take),
            Instrument::Brushes if drawn > 0 => brushes::swish(take, self.seconds()),
            Instrument::Brushes => brushes::tap(force, take),
            Instrument::Click => click::stroke(pitch),
        };
        self.placed(direct)
    }

    /// What an instrument gave, in its room, as loud as each of its kind.
    pub(super) fn placed(self, direct: Vec<f32>) -> Vec<f32> {
        let Self { instrument, pitch, .. } = self;
        let mut sound = around(instrument.place(), direct);
        // The walls give some pitches back louder than others; players and ears make up for it.
        bring_to_level(&mut sound, self.judged());
        if instrument == Instrument::Bass {
            let tilt = bass::tilt(pitch);
            sound.iter_mut().for_each(|sample| *sample *= tilt);
        }
        fade_out(&mut sound, room::longest());
        sound
    }
}

/// How loud a stroke is: its strength, and its instrument's place in the mix.
pub(super) fn level(instrument: Instrument, strength: u8) -> f32 {
    let against_usual = f64::from(strength.clamp(1, 127)) / 80.0;
    // Between the square root that velocity curves of quiet instruments have and the square of
    // loud ones; ours.
    let dynamic = libm::pow(against_usual, 1.5);
    (dynamic * amplitude(instrument.balance())) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every kind of voice there is, at some of its pitches.
    pub(in crate::sound::synth) fn all_voices() -> Vec<Voice> {
        let parts = [
            (Part::PianoLeft, &[21, 45, 60, 84, 108][..]),
            (Part::Comping, &[57][..]),
            (Part::Bass, &[28, 33, 43, 55][..]),
            (Part::Ride, &[51, 53, 59][..]),
            (Part::HiHat, &[42, 44, 46][..]),
            (Part::Brushes, &[38, 40][..]),
            (Part::Click, &[76, 77][..]),
        ];
        let mut voices = Vec::new();
        for (part, pitches) in parts {
            for &pitch in pitches {
                for (turn, strength) in [20, 50, 80, 100, 127, 127].into_iter().enumerate() {
                    let stroke = PlayedStroke { at: 0, length: 1, pitch, strength };
                    voices.push(Voice::of(Instrument::of(part), stroke, 0.7).in_turn(turn));
                }
            }
        }
        voices.sort();
        voices.dedup();
        voices
    }

    #[test]
    fn every_stroke_begins_at_once_and_ends_in_nothing() {
        for voice in all_voices() {
            let sound = voice.sound(frames(1.5));
            assert!(sound.iter().all(|x| x.is_finite()), "{voice:?}");
            let top = sound.iter().fold(0.0f32, |top, x| top.max(x.abs()));
            assert!((0.15..6.0).contains(&top), "{voice:?}: top {top}");
            for edge in [sound[0], sound[sound.len() - 1]] {
                assert!(edge.abs() < 1e-4, "{voice:?}: edge {edge}");
            }
            // A fifth of the top of the first 50 ms is reached within 10 ms.
            let first = &sound[..frames(0.05)];
            let near = first.iter().fold(0.0f32, |top, x| top.max(x.abs()));
            let risen = first.iter().position(|x| x.abs() >= 0.2 * near).unwrap();
            assert!(risen < frames(0.010), "{voice:?}: rises after {risen} frames");
            // And that is where it is loud: no stroke creeps in.
            assert!(near > 0.25 * top, "{voice:?}: {near} of {top}");
            let steps = sound.windows(2).rev().take(frames(0.005)).map(|w| (w[1] - w[0]).abs());
            let step = steps.fold(0.0f32, f32::max);
            assert!(step < 2e-3, "{voice:?}: a step of {step} at the end");
        }
    }

    #[test]
    fn a_longer_note_begins_as_the_shorter() {
        for voice in all_voices().into_iter().filter(|voice| voice.damping().is_some()) {
            let (short, long) = (voice.sound(frames(0.5)), voice.sound(frames(1.0)));
            assert_eq!(short[..frames(0.4)], long[..frames(0.4)], "{voice:?}");
        }
    }

    #[test]
    fn no_two_strokes_of_a_cymbal_that_follow_are_alike() {
        let stroke = |strength| PlayedStroke { at: 0, length: 1, pitch: 51, strength };
        let voice =
            |turn, strength| Voice::of(Instrument::Ride, stroke(strength), 0.1).in_turn(turn);
        for turn in 0..12 {
            for strength in [30, 64, 100] {
                assert_ne!(voice(turn, strength), voice(turn + 1, strength));
            }
        }
        let mut six: Vec<Voice> =
            (0..2).flat_map(|turn| [30, 64, 100].map(|strength| voice(turn, strength))).collect();
        six.sort();
        six.dedup();
        assert_eq!(six.len(), 6);
        let sounds: Vec<Vec<f32>> = six.iter().map(|voice| voice.sound(0)).collect();
        for (n, sound) in sounds.iter().enumerate() {
            assert!(sounds[..n].iter().all(|other| other != sound));
        }
    }
}
