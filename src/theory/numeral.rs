//! Roman numerals of the degrees, as lessons write them.

use super::symbol::quality_parts;
use super::{Quality, SymbolPart, SymbolStyle};

/// A degree with the quality of its chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Numeral {
    /// The degree in its octave, 1 to 7.
    pub degree: i32,
    /// The quality of the chord built on it.
    pub quality: Quality,
}

impl Numeral {
    /// The numeral of an endless-scale degree.
    pub fn new(degree: i32, quality: Quality) -> Self {
        Self { degree: (degree - 1).rem_euclid(7) + 1, quality }
    }

    /// The letters alone: upper case for a major third, lower case for a minor one.
    pub fn letters(self) -> &'static str {
        const UPPER: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
        const LOWER: [&str; 7] = ["i", "ii", "iii", "iv", "v", "vi", "vii"];
        let place = (self.degree - 1).rem_euclid(7) as usize;
        if self.quality.has_minor_third() { LOWER[place] } else { UPPER[place] }
    }

    /// The whole numeral as type: the letters, then the quality as far as their case does not
    /// already say it (`ii7`, not `iim7`).
    pub fn parts(self, style: SymbolStyle) -> Vec<SymbolPart> {
        let mut parts = vec![SymbolPart::Base(self.letters().to_owned())];
        match self.quality {
            Quality::MinorSeventh => parts.push(SymbolPart::Raised("7".to_owned())),
            Quality::HalfDiminished | Quality::DiminishedSeventh => {
                parts.extend(quality_parts(self.quality, SymbolStyle::Signs));
            }
            quality => parts.extend(quality_parts(quality, style)),
        }
        parts
    }
}
