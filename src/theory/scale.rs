//! Scales: the seven degrees of a mode on a tonic.

use super::{Interval, NoteName};

/// A mode that drills are built on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mode {
    /// The major scale.
    #[default]
    Major,
}

/// Intervals of the seven degrees above the tonic.
const MAJOR: [Interval; 7] = [
    Interval::UNISON,
    Interval::MAJOR_SECOND,
    Interval::MAJOR_THIRD,
    Interval::FOURTH,
    Interval::FIFTH,
    Interval::MAJOR_SIXTH,
    Interval::MAJOR_SEVENTH,
];

/// A mode on a tonic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Scale {
    /// The first degree.
    pub tonic: NoteName,
    /// Which mode.
    pub mode: Mode,
}

impl Scale {
    /// The interval of a degree above the tonic. Degree 1 is the tonic, 8 its octave; any whole
    /// number is a degree of the endless scale.
    pub fn interval(self, degree: i32) -> Interval {
        let steps = degree - 1;
        let table = match self.mode {
            Mode::Major => MAJOR,
        };
        table[steps.rem_euclid(7) as usize].plus_octaves(steps.div_euclid(7))
    }

    /// The note of a degree.
    pub fn note(self, degree: i32) -> NoteName {
        self.tonic.up(self.interval(degree))
    }
}

#[cfg(test)]
mod tests {
    use crate::theory::{Key, Letter};

    #[test]
    fn every_major_scale_uses_each_letter_once_and_no_double_sign() {
        for key in Key::majors() {
            let scale = key.scale();
            let mut letters: Vec<Letter> = (1..=7).map(|d| scale.note(d).letter).collect();
            letters.sort();
            assert_eq!(letters, Letter::ALL, "{key}");
            assert!((1..=7).all(|d| scale.note(d).alter.abs() <= 1), "{key}");
            let altered: i32 = (1..=7).map(|d| scale.note(d).alter).sum();
            assert_eq!(altered, key.fifths(), "{key}: as many signs as its key signature");
        }
    }
}
