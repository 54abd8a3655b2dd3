//! Roman numerals of the degrees, as lessons write them.

use super::chord_kind::ChordKind;
use super::chord_parts::{Fifth, Seventh, Third};
use super::chord_write::Suffix;
use super::{ChordStyle, NumeralStyle, QualityMark, SymbolPart};

/// A degree with the kind of its chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Numeral {
    /// The degree in its octave, 1 to 7.
    pub degree: i32,
    /// By how many semitones it differs from that degree of the major scale: -1 in ♭III.
    pub alter: i32,
    /// The kind of the chord built on it.
    pub kind: ChordKind,
    /// Which tone of the chord is lowest: 0 the root, 1 the third, 2 the fifth, 3 the seventh.
    pub inversion: u8,
    /// What it leads to, as in V7/ii.
    pub of: Option<BorrowedTarget>,
}

/// The degree that a borrowed chord leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct BorrowedTarget {
    /// The degree in its octave, 1 to 7.
    pub degree: i32,
    /// By how many semitones it differs from that degree of the major scale: -1 in V7/♭III.
    pub alter: i32,
    /// Whether its third is minor.
    pub is_minor: bool,
}

impl Numeral {
    /// The numeral of an endless-scale degree.
    pub fn new(degree: i32, kind: impl Into<ChordKind>) -> Self {
        let degree = (degree - 1).rem_euclid(7) + 1;
        Self { degree, alter: 0, kind: kind.into(), inversion: 0, of: None }
    }

    /// The letters alone: upper case for a major third, lower case for a minor one.
    pub fn letters(self) -> &'static str {
        letters(self.degree, self.kind.has_minor_third())
    }

    /// The whole numeral as type: the letters, then what the style asks for of the quality, as far
    /// as their case does not already say it (`ii7`, not `iim7`). An inversion has its figures in
    /// place of the seven, and with them the letters say no more than in figured bass (`I 6/5`,
    /// common practice, no source). Nothing where numerals are off.
    pub fn parts(self, numerals: NumeralStyle, style: impl Into<ChordStyle>) -> Vec<SymbolPart> {
        if numerals == NumeralStyle::Off {
            return Vec::new();
        }
        let mut parts = Vec::new();
        if self.alter != 0 {
            parts.push(SymbolPart::Accidental(self.alter));
        }
        parts.push(SymbolPart::Base(self.letters().to_owned()));
        match self.figures() {
            Some(figures) => {
                parts.extend(self.fifth());
                parts.push(figures);
            }
            None if numerals == NumeralStyle::Plain => parts.extend(self.fifth()),
            None => parts.extend(self.suffix(style.into())),
        }
        if let Some(BorrowedTarget { degree, alter, is_minor }) = self.of {
            let letters = letters(degree, is_minor);
            if alter == 0 {
                parts.push(SymbolPart::Base(format!("/{letters}")));
            } else {
                parts.push(SymbolPart::Base("/".to_owned()));
                parts.push(SymbolPart::Accidental(alter));
                parts.push(SymbolPart::Base(letters.to_owned()));
            }
        }
        parts
    }

    /// What the symbol says of the chord on the degree, but for the minor third, which the case
    /// of the letters says; rings are short and so always stand.
    fn suffix(self, style: ChordStyle) -> Vec<SymbolPart> {
        let style = ChordStyle { rings: true, ..style };
        Suffix::new(self.kind, style).after_numeral().parts()
    }

    /// The sign of a fifth that is not perfect, which the case of the letters does not say.
    fn fifth(self) -> Option<SymbolPart> {
        let mark = match (self.kind.third(), self.kind.fifth(), self.kind.seventh()) {
            (Third::Minor, Fifth::Diminished, Seventh::Minor) => QualityMark::HalfDiminished,
            (Third::Minor, Fifth::Diminished, _) => QualityMark::Diminished,
            (Third::Major, Fifth::Augmented, _) => QualityMark::Augmented,
            _ => return None,
        };
        Some(SymbolPart::Mark(mark))
    }

    /// The figures of the inversion, where figured bass has them: of triads and sevenths in thirds
    /// without tensions. A triad on its third has both figures, since `I6` is a sixth chord. That has
    /// none, whatever lies lowest: a six means its sixth, and the symbol above it says the bass
    /// (`C6/E` over `I6`).
    fn figures(self) -> Option<SymbolPart> {
        let [_, third, fifth, seventh] = self.kind.frame();
        let is_stacked = !self.kind.third().is_suspended()
            && third.and(fifth).is_some()
            && (self.kind.fifth() == Fifth::Perfect || self.fifth().is_some())
            && self.kind.tensions().is_empty();
        if !is_stacked || self.kind.seventh() == Seventh::Sixth {
            return None;
        }
        let [upper, lower] = match (self.inversion, seventh.is_some()) {
            (1, true) => ['6', '5'],
            (2, true) => ['4', '3'],
            (3, true) => ['4', '2'],
            (1, false) => ['6', '3'],
            (2, false) => ['6', '4'],
            _ => return None,
        };
        Some(SymbolPart::Figures(upper, lower))
    }
}

/// The letters of a degree: upper case for a major third, lower case for a minor one.
fn letters(degree: i32, is_minor: bool) -> &'static str {
    const UPPER: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
    const LOWER: [&str; 7] = ["i", "ii", "iii", "iv", "v", "vi", "vii"];
    let place = (degree - 1).rem_euclid(7) as usize;
    if is_minor { LOWER[place] } else { UPPER[place] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Key, Mode, Quality, Scale, SeventhChord, SymbolStyle, plain_text};

    const ON: NumeralStyle = NumeralStyle::On;

    fn numerals(mode: Mode, style: SymbolStyle) -> Vec<String> {
        let tonic = "A".parse::<Key>().unwrap().tonic();
        let scale = Scale { tonic, mode };
        let numeral = |degree| {
            let quality = SeventhChord::diatonic(scale, degree).unwrap().quality;
            let alter = scale.alteration(degree);
            plain_text(&Numeral { alter, ..Numeral::new(degree, quality) }.parts(ON, style))
        };
        (1..=7).map(numeral).collect()
    }

    /// The seven chords of each minor mode, counted against the parallel major scale.
    ///
    /// Source: qualities by music21 (harmonic and melodic minor), numerals common practice.
    #[test]
    fn minor_degrees_are_counted_against_the_parallel_major() {
        let letters = SymbolStyle::Letters;
        let natural = ["i7", "iiø7", "♭IIImaj7", "iv7", "v7", "♭VImaj7", "♭VII7"];
        assert_eq!(numerals(Mode::NaturalMinor, letters), natural);
        let harmonic = ["i(maj7)", "iiø7", "♭IIImaj7♯5", "iv7", "V7", "♭VImaj7", "vii°7"];
        assert_eq!(numerals(Mode::HarmonicMinor, letters), harmonic);
        let melodic = ["i(maj7)", "ii7", "♭IIImaj7♯5", "IV7", "V7", "viø7", "viiø7"];
        assert_eq!(numerals(Mode::MelodicMinor, letters), melodic);
    }

    #[test]
    fn inversions_have_their_figures_in_place_of_the_seven() {
        let figured = |inversion| {
            let numeral = Numeral { inversion, ..Numeral::new(5, Quality::Dominant) };
            plain_text(&numeral.parts(ON, SymbolStyle::Mixed))
        };
        assert_eq!([0, 1, 2, 3].map(figured), ["V7", "V65", "V43", "V42"]);
        let half = Numeral { inversion: 1, ..Numeral::new(7, Quality::HalfDiminished) };
        assert_eq!(plain_text(&half.parts(ON, SymbolStyle::Mixed)), "viiø65");
    }

    #[test]
    fn a_borrowed_dominant_says_whose_it_is() {
        let of = |degree, alter, is_minor| {
            let of = Some(BorrowedTarget { degree, alter, is_minor });
            let numeral = Numeral { of, ..Numeral::new(5, Quality::Dominant) };
            plain_text(&numeral.parts(ON, SymbolStyle::Mixed))
        };
        assert_eq!(of(2, 0, true), "V7/ii");
        assert_eq!(of(3, -1, false), "V7/♭III");
    }

    #[test]
    fn an_inversion_says_no_seventh_beside_its_figures() {
        let figured = |quality, inversion| {
            let numeral = Numeral { inversion, ..Numeral::new(1, quality) };
            plain_text(&numeral.parts(ON, SymbolStyle::Mixed))
        };
        assert_eq!(figured(Quality::MajorSeventh, 1), "I65");
        assert_eq!(figured(Quality::MinorMajorSeventh, 2), "i43");
        assert_eq!(figured(Quality::AugmentedMajorSeventh, 3), "I+42");
    }

    #[test]
    fn plain_numerals_are_degrees_and_off_is_none() {
        let written = |style, degree, quality| {
            plain_text(&Numeral::new(degree, quality).parts(style, SymbolStyle::Mixed))
        };
        let plain = |degree, quality| written(NumeralStyle::Plain, degree, quality);
        assert_eq!(plain(1, Quality::MajorSeventh), "I");
        assert_eq!(plain(2, Quality::MinorSeventh), "ii");
        assert_eq!(plain(5, Quality::Dominant), "V");
        assert_eq!(plain(7, Quality::HalfDiminished), "viiø");
        assert_eq!(written(NumeralStyle::Off, 7, Quality::HalfDiminished), "");
    }
    #[test]
    fn numerals_of_every_kind_say_what_their_case_does_not() {
        for (degree, alter, suffix, expected) in [
            (1, 0, "6/9", "I6/9"),
            (1, 0, "m6", "i6"),
            (2, 0, "m9", "ii9"),
            (5, 0, "13b9", "V13♭9"),
            (5, 0, "7b9b13", "V7(♭9,♭13)"),
            (5, 0, "alt", "V7alt"),
            (5, 0, "9sus", "V9sus4"),
            (2, -1, "7", "♭II7"),
            (7, -1, "9", "♭VII9"),
            (4, 1, "dim7", "♯iv°7"),
            (4, 0, "m6", "iv6"),
            (1, 0, "m(maj9)", "i(maj9)"),
            (1, 0, "", "I"),
            (1, 0, "aug", "I+"),
            (7, 0, "dim", "vii°"),
            (2, 0, "m11b5", "iiø11"),
        ] {
            let kind = suffix.parse::<ChordKind>().unwrap();
            let numeral = Numeral { alter, ..Numeral::new(degree, kind) };
            assert_eq!(plain_text(&numeral.parts(ON, SymbolStyle::Mixed)), expected);
        }
    }

    /// A triad on its third is `6/3`: `I6` is a sixth chord. What figured bass has no figures for
    /// keeps its own.
    #[test]
    fn triads_have_their_figures_and_sixth_chords_none() {
        let figured = |suffix: &str, inversion| {
            let kind = suffix.parse::<ChordKind>().unwrap();
            let numeral = Numeral { inversion, ..Numeral::new(1, kind) };
            plain_text(&numeral.parts(ON, SymbolStyle::Mixed))
        };
        assert_eq!([0, 1, 2].map(|inversion| figured("", inversion)), ["I", "I63", "I64"]);
        assert_eq!(figured("dim", 1), "i°63");
        assert_eq!([0, 1, 2].map(|inversion| figured("6", inversion)), ["I6"; 3]);
        assert_eq!(figured("9", 1), "I9");
        assert_eq!(figured("7sus4", 2), "I7sus4");
    }
}
