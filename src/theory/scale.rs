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
    /// The white keys from D.
    Dorian,
    /// The white keys from E.
    Phrygian,
    /// The white keys from F.
    Lydian,
    /// The white keys from G.
    Mixolydian,
    /// The white keys from B.
    Locrian,
}

impl Mode {
    /// Every mode.
    pub const ALL: [Self; 9] = [
        Self::Major,
        Self::NaturalMinor,
        Self::HarmonicMinor,
        Self::MelodicMinor,
        Self::Dorian,
        Self::Phrygian,
        Self::Lydian,
        Self::Mixolydian,
        Self::Locrian,
    ];

    /// Whether its third is minor.
    pub const fn is_minor(self) -> bool {
        !matches!(self, Self::Major | Self::Lydian | Self::Mixolydian)
    }

    /// What MusicXML 4.0 calls it (the type `mode`): the three minor scales have one word.
    pub const fn standard_word(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::NaturalMinor | Self::HarmonicMinor | Self::MelodicMinor => "minor",
            Self::Dorian => "dorian",
            Self::Phrygian => "phrygian",
            Self::Lydian => "lydian",
            Self::Mixolydian => "mixolydian",
            Self::Locrian => "locrian",
        }
    }

    /// The mode whose notes its key signature has: its own, but for the minor scales that raise
    /// some of them.
    #[must_use]
    pub const fn signature(self) -> Self {
        match self {
            Self::HarmonicMinor | Self::MelodicMinor => Self::NaturalMinor,
            own => own,
        }
    }

    /// How many signs its signature has less than that of the major key on its tonic, sharps
    /// counted up.
    pub(super) const fn fifths_below_major(self) -> i32 {
        match self.signature() {
            Self::Lydian => -1,
            Self::Mixolydian => 1,
            Self::Dorian => 2,
            Self::Phrygian => 4,
            Self::Locrian => 5,
            Self::NaturalMinor | Self::HarmonicMinor | Self::MelodicMinor => 3,
            Self::Major => 0,
        }
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
            church => church.word(),
        }
    }

    /// Its name, as templates write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Major => "major",
            Self::NaturalMinor => "natural-minor",
            Self::HarmonicMinor => "harmonic-minor",
            Self::MelodicMinor => "melodic-minor",
            Self::Dorian => "dorian",
            Self::Phrygian => "phrygian",
            Self::Lydian => "lydian",
            Self::Mixolydian => "mixolydian",
            Self::Locrian => "locrian",
        }
    }

    /// Intervals of the seven degrees above the tonic (common practice, no source).
    const fn intervals(self) -> [Interval; 7] {
        use Interval as I;
        let second = match self {
            Self::Phrygian | Self::Locrian => I::MINOR_SECOND,
            _ => I::MAJOR_SECOND,
        };
        let third = if self.is_minor() { I::MINOR_THIRD } else { I::MAJOR_THIRD };
        let fourth = if matches!(self, Self::Lydian) { I::AUGMENTED_FOURTH } else { I::FOURTH };
        let fifth = if matches!(self, Self::Locrian) { I::DIMINISHED_FIFTH } else { I::FIFTH };
        let (sixth, seventh) = match self {
            Self::Major | Self::MelodicMinor | Self::Lydian => (I::MAJOR_SIXTH, I::MAJOR_SEVENTH),
            Self::NaturalMinor | Self::Phrygian | Self::Locrian => {
                (I::MINOR_SIXTH, I::MINOR_SEVENTH)
            }
            Self::HarmonicMinor => (I::MINOR_SIXTH, I::MAJOR_SEVENTH),
            Self::Dorian | Self::Mixolydian => (I::MAJOR_SIXTH, I::MINOR_SEVENTH),
        };
        [I::UNISON, second, third, fourth, fifth, sixth, seventh]
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
