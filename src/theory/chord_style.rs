//! How chords are written: the trade's ways, and a choice among them.

use serde::{Deserialize, Serialize};

/// A look for all chord symbols at once.
///
/// There is no single standard (Brandt & Roemer, *Standardized Chord Symbol Notation*, 1976,
/// is one attempt, known here at second hand); the three looks are common practice, no source.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SymbolStyle {
    /// `Cmaj7 Dm7 G7 Bm7♭5`.
    Letters,
    /// `C△7 D-7 G7 Bø7`.
    Signs,
    /// `Cmaj7 Dm7 G7 Bø7`.
    #[default]
    Mixed,
}

/// How a minor chord is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum MinorStyle {
    /// `Dm7`.
    #[serde(rename = "m")]
    M,
    /// `Dmi7`.
    #[serde(rename = "mi")]
    Mi,
    /// `D-7`.
    #[serde(rename = "-")]
    Dash,
}

/// How a major seventh is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum MajorStyle {
    /// `Cmaj7`.
    Maj,
    /// `C△7`.
    Triangle,
}

/// What of a numeral is printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NumeralStyle {
    /// The degree and the kind of its seventh: `Imaj7`, `ii7`, `V7`.
    #[default]
    On,
    /// The degree alone: `I`, `ii`, `viiø`.
    Plain,
    /// Nothing.
    Off,
}

/// Each choice in the writing of a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChordStyle {
    /// How a minor chord is written.
    pub minor: MinorStyle,
    /// How a major seventh is written.
    pub major: MajorStyle,
    /// Whether rings stand for diminished chords: `ø7` and `°7`, not `m7♭5` and `dim7`.
    pub rings: bool,
}

impl From<SymbolStyle> for ChordStyle {
    fn from(style: SymbolStyle) -> Self {
        let (minor, major, rings) = match style {
            SymbolStyle::Letters => (MinorStyle::M, MajorStyle::Maj, false),
            SymbolStyle::Signs => (MinorStyle::Dash, MajorStyle::Triangle, true),
            SymbolStyle::Mixed => (MinorStyle::M, MajorStyle::Maj, true),
        };
        Self { minor, major, rings }
    }
}

impl Default for ChordStyle {
    fn default() -> Self {
        SymbolStyle::default().into()
    }
}

impl ChordStyle {
    /// A look, with the minor or the major chords of it written otherwise.
    pub fn with(style: SymbolStyle, minor: Option<MinorStyle>, major: Option<MajorStyle>) -> Self {
        let own = Self::from(style);
        Self { minor: minor.unwrap_or(own.minor), major: major.unwrap_or(own.major), ..own }
    }

    /// Every way to write chords.
    pub fn all() -> impl Iterator<Item = Self> {
        let minors = [MinorStyle::M, MinorStyle::Mi, MinorStyle::Dash];
        let majors = [MajorStyle::Maj, MajorStyle::Triangle];
        minors.into_iter().flat_map(move |minor| {
            majors.into_iter().flat_map(move |major| {
                [false, true].into_iter().map(move |rings| Self { minor, major, rings })
            })
        })
    }
}
