//! Time: ticks, and the metres that bars are counted in.

use std::fmt;

use serde::Deserialize;

/// A length of time or a moment, in ticks; [`QUARTER`] of them make a quarter note.
pub type Ticks = i32;

/// Ticks in a quarter note: divides evenly into eighths, triplets and sixteenths.
pub const QUARTER: Ticks = 48;

/// A metre counted in quarters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub enum Metre {
    /// Three quarters.
    #[serde(rename = "3/4")]
    ThreeFour,
    /// Four quarters.
    #[serde(rename = "4/4")]
    FourFour,
}

impl Metre {
    /// Every metre, as recipes and templates write it.
    pub const WORDS: [(&'static str, Self); 2] =
        [("3/4", Self::ThreeFour), ("4/4", Self::FourFour)];

    /// Beats in a bar.
    pub const fn beats(self) -> i32 {
        match self {
            Self::ThreeFour => 3,
            Self::FourFour => 4,
        }
    }

    /// The lower figure of the time signature.
    pub const fn unit(self) -> i32 {
        4
    }

    /// The length of a bar.
    pub const fn bar(self) -> Ticks {
        self.beats() * QUARTER
    }

    /// The imaginary barlines inside a bar that rhythm must show: beat 3 of four, and no other.
    /// (Imaginary barlines as taught at Berklee; read in summary.)
    pub const fn divisions(self) -> &'static [Ticks] {
        match self {
            Self::ThreeFour => &[],
            Self::FourFour => &[2 * QUARTER],
        }
    }

    /// Where the stretch of the bar that holds `moment` (counted from the barline) begins and
    /// ends, between imaginary barlines.
    pub fn group_of(self, moment: Ticks) -> (Ticks, Ticks) {
        let start = self.divisions().iter().rfind(|division| **division <= moment);
        let end = self.divisions().iter().find(|division| **division > moment);
        (start.copied().unwrap_or(0), end.copied().unwrap_or(self.bar()))
    }
}

impl fmt::Display for Metre {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.beats(), self.unit())
    }
}
