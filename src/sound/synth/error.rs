//! Why a performance cannot be made into sound.

use std::io;

use thiserror::Error;

use crate::sound::{Part, Pulses};

/// What is wrong with a performance, or with the place it is written to.
#[derive(Debug, Error)]
pub enum SoundError {
    /// No tempo is given at all.
    #[error("no tempo is given")]
    NoTempo,
    /// A tempo at which nothing can be played; quarter notes a minute.
    #[error("{quarters} quarter notes a minute cannot be played: it must be from {slowest} to {fastest}",
        slowest = super::SLOWEST, fastest = super::FASTEST)]
    Tempo {
        /// Quarter notes a minute.
        quarters: f64,
        /// From when on it was to hold.
        at: Pulses,
    },
    /// A pitch that the instrument does not have.
    #[error("{} has no pitch {pitch}", called(*part))]
    Pitch {
        /// Who was to play it.
        part: Part,
        /// As MIDI numbers it.
        pitch: u8,
    },
    /// A track longer than [`super::LONGEST`].
    #[error("the track would last {}, and the longest is {}", lasting(*seconds), lasting(super::LONGEST as f64))]
    TooLong {
        /// How long it would be.
        seconds: f64,
    },
    /// The file of instruments lacks one.
    #[error("the sound font has no programme {programme} for {}", called(*part))]
    NoProgramme {
        /// For whom.
        part: Part,
        /// As General MIDI numbers it, from 1.
        programme: u8,
    },
    /// It cannot be written.
    #[error(transparent)]
    Write(#[from] io::Error),
}

/// A part in the words of a message.
fn called(part: Part) -> &'static str {
    match part {
        Part::PianoRight | Part::PianoLeft | Part::Comping => "the piano",
        Part::Bass => "the bass",
        Part::Ride => "the ride cymbal",
        Part::HiHat => "the hi-hat",
        Part::Brushes => "the snare drum",
        Part::Click => "the click",
    }
}

/// A time in hours, minutes and seconds, the largest two of them.
fn lasting(seconds: f64) -> String {
    let whole = seconds.min(1e9).ceil() as u64;
    match (whole / 3600, whole / 60 % 60, whole % 60) {
        (0, 0, seconds) => format!("{seconds} s"),
        (0, minutes, seconds) => format!("{minutes} min {seconds} s"),
        (hours, 0, _) => format!("{hours} h"),
        (hours, minutes, _) => format!("{hours} h {minutes} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_in_their_largest_words() {
        for (seconds, told) in [
            (59.2, "1 min 0 s"),
            (12.0, "12 s"),
            (7200.0, "2 h"),
            (36_000.0, "10 h"),
            (5430.0, "1 h 30 min"),
        ] {
            assert_eq!(lasting(seconds), told);
        }
        let told = SoundError::TooLong { seconds: 36_000.0 }.to_string();
        assert_eq!(told, "the track would last 10 h, and the longest is 2 h");
        let told = SoundError::Pitch { part: Part::Bass, pitch: 12 }.to_string();
        assert_eq!(told, "the bass has no pitch 12");
    }
}
