//! Scales: the seven degrees of a mode on a tonic.

use super::{Interval, NoteName, Tonality};

/// A mode that drills are built on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mode {
    /// The major scale.
    #[default]
    Major,
    /// The natural minor scale: the notes of the signature.
    NaturalMinor,
    /// The minor scale with its seventh raised.
    HarmonicMinor,
    /// The minor scale with its sixth and seventh raised, up and down alike.
    MelodicMinor,
}

impl Mode {
    /// Every mode.
    pub const ALL: [Self; 4] =
        [Self::Major, Self::NaturalMinor, Self::HarmonicMinor, Self::MelodicMinor];

    /// Whether its key signature is that of a minor key.
    pub const fn is_minor(self) -> bool {
        !matches!(self, Self::Major)
    }

    /// Whether it is major or minor.
    pub const fn tonality(self) -> Tonality {
        if self.is_minor() { Tonality::Minor } else { Tonality::Major }
    }

    /// Its name, as lessons say it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::NaturalMinor => "natural minor",
            Self::HarmonicMinor => "harmonic minor",
            Self::MelodicMinor => "melodic minor",
        }
    }

    /// Its name, as templates write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::NaturalMinor => "natural-minor",
            Self::HarmonicMinor => "harmonic-minor",
            Self::MelodicMinor => "melodic-minor",
        }
    }

    /// Intervals of the seven degrees above the tonic (common practice, no source).
    const fn intervals(self) -> [Interval; 7] {
        use Interval as I;
        let third = if self.is_minor() { I::MINOR_THIRD } else { I::MAJOR_THIRD };
        let (sixth, seventh) = match self {
            Self::Major | Self::MelodicMinor => (I::MAJOR_SIXTH, I::MAJOR_SEVENTH),
            Self::NaturalMinor => (I::MINOR_SIXTH, I::MINOR_SEVENTH),
            Self::HarmonicMinor => (I::MINOR_SIXTH, I::MAJOR_SEVENTH),
        };
        [I::UNISON, I::MAJOR_SECOND, third, I::FOURTH, I::FIFTH, sixth, seventh]
    }
}

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
        self.mode.intervals()[steps.rem_euclid(7) as usize].plus_octaves(steps.div_euclid(7))
    }

    /// By how many semitones a degree differs from that of the major scale on the same tonic.
    pub fn alteration(self, degree: i32) -> i32 {
        let major = Self { mode: Mode::Major, ..self };
        self.interval(degree).semitones - major.interval(degree).semitones
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
