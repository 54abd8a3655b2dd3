//! A performance: who plays what and when. Files of notes and of sound are both made from this, so
//! that they cannot differ.

use crate::score::Metre;
use crate::theory::Key;

/// A moment or a length, in pulses; [`PULSES`] of them make a quarter note.
pub type Pulses = u32;

/// Pulses in a quarter note: divides evenly into triplets, sixteenths and fifths.
pub const PULSES: Pulses = 480;

/// A performance from its first pulse to its last.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Performance {
    /// What it is called.
    pub title: String,
    /// The parts, each once.
    pub tracks: Vec<PartTrack>,
    /// The tempi, in order; the first at pulse 0.
    pub tempi: Vec<Tempo>,
    /// What stands at certain moments, in order.
    pub marks: Vec<PlayerMark>,
    /// When it ends; notes may ring on.
    pub length: Pulses,
}

impl Performance {
    /// How long it lasts, in seconds.
    pub fn seconds(&self) -> f64 {
        let ends = self.tempi.iter().skip(1).map(|tempo| tempo.at).chain([self.length]);
        let each = self.tempi.iter().zip(ends).map(|(tempo, end)| {
            f64::from(end.saturating_sub(tempo.at)) / f64::from(PULSES) * 60.0 / tempo.quarters
        });
        each.sum()
    }
}

/// All that one part plays.
#[derive(Clone, Debug, PartialEq)]
pub struct PartTrack {
    /// The part.
    pub part: Part,
    /// Its strokes, in order.
    pub strokes: Vec<PlayedStroke>,
}

/// A part of a performance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// The right hand of the drill, on a piano.
    PianoRight,
    /// The left hand of the drill, on a piano.
    PianoLeft,
    /// Soft chords on a piano, beside what the student plays.
    Comping,
    /// A double bass.
    Bass,
    /// A ride cymbal; with `Stroke::pitch` as General MIDI names its strokes.
    Ride,
    /// A hi-hat, by the pedal.
    HiHat,
    /// A snare drum played with brushes.
    Brushes,
    /// A click to practise with; the first of a bar has another pitch.
    Click,
}

impl Part {
    /// Every part, in the order in which they stand in a file.
    pub const ALL: [Self; 8] = [
        Self::PianoRight,
        Self::PianoLeft,
        Self::Comping,
        Self::Bass,
        Self::Ride,
        Self::HiHat,
        Self::Brushes,
        Self::Click,
    ];

    /// Its name, as it is chosen by.
    pub const fn word(self) -> &'static str {
        match self {
            Self::PianoRight => "right",
            Self::PianoLeft => "left",
            Self::Comping => "comping",
            Self::Bass => "bass",
            Self::Ride => "ride",
            Self::HiHat => "hi-hat",
            Self::Brushes => "brushes",
            Self::Click => "click",
        }
    }

    /// Whether it is struck and not tuned.
    pub const fn is_struck(self) -> bool {
        matches!(self, Self::Ride | Self::HiHat | Self::Brushes | Self::Click)
    }
}

/// A note or a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlayedStroke {
    /// When it is struck.
    pub at: Pulses,
    /// How long it is held.
    pub length: Pulses,
    /// Its pitch as MIDI numbers it, 60 being middle C; for drums the number that General MIDI
    /// gives the instrument.
    pub pitch: u8,
    /// How hard it is struck, 1 to 127.
    pub strength: u8,
}

/// A tempo from a moment on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tempo {
    /// From when on.
    pub at: Pulses,
    /// Quarter notes a minute.
    pub quarters: f64,
}

/// Something that a player is told at a moment.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayerMark {
    /// When.
    pub at: Pulses,
    /// What.
    pub kind: MarkKind,
}

/// What a mark tells.
#[derive(Clone, Debug, PartialEq)]
pub enum MarkKind {
    /// A metre from here on.
    Metre(Metre),
    /// A key from here on.
    Key(Key),
    /// A place to find again: a key, a section, a chorus.
    Place(String),
    /// A syllable of the count.
    Count(String),
}
