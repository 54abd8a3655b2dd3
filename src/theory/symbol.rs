//! Chord symbols in three styles of the trade, as parts to be set in type.

use serde::{Deserialize, Serialize};

use super::{Quality, SeventhChord};

/// How chord symbols are written.
///
/// There is no single standard (Brandt & Roemer, *Standardized Chord Symbol Notation*, 1976,
/// is one attempt, known here at second hand); the three styles are common practice, no source.
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

/// A sign that stands for a quality.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum QualityMark {
    /// A triangle.
    Major,
    /// A dash.
    Minor,
    /// A slashed circle.
    HalfDiminished,
    /// A circle.
    Diminished,
    /// A plus.
    Augmented,
}

/// A piece of a chord symbol or numeral.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SymbolPart {
    /// The root letter or the numeral, full size on the baseline.
    Base(String),
    /// An accidental of the root, in semitones.
    Accidental(i32),
    /// Letters of the quality, on the baseline.
    Small(String),
    /// A sign of the quality.
    Mark(QualityMark),
    /// The seventh, raised.
    Raised(String),
    /// An accidental before a raised alteration, in semitones.
    RaisedAccidental(i32),
    /// The figures of an inversion, one above the other.
    Figures(char, char),
}

/// The symbol of a chord, as parts to be set in type.
pub fn chord_symbol(chord: SeventhChord, style: SymbolStyle) -> Vec<SymbolPart> {
    let mut parts = vec![SymbolPart::Base(chord.root.letter.to_string())];
    if chord.root.alter != 0 {
        parts.push(SymbolPart::Accidental(chord.root.alter));
    }
    parts.extend(quality_parts(chord.quality, style));
    parts
}

/// What follows the root or the numeral.
pub(super) fn quality_parts(quality: Quality, style: SymbolStyle) -> Vec<SymbolPart> {
    use QualityMark as M;
    use SymbolPart::{Mark, RaisedAccidental};
    let small = |text: &str| SymbolPart::Small(text.to_owned());
    let raised = |text: &str| SymbolPart::Raised(text.to_owned());
    let altered = |accidental| vec![RaisedAccidental(accidental), raised("5")];
    let mut parts = match (quality, style) {
        (Quality::Dominant, _) => vec![raised("7")],
        (Quality::MajorSeventh, SymbolStyle::Signs) => vec![Mark(M::Major), raised("7")],
        (Quality::MajorSeventh, _) => vec![small("maj"), raised("7")],
        (Quality::MinorSeventh, SymbolStyle::Signs) => vec![Mark(M::Minor), raised("7")],
        (Quality::MinorSeventh, _) => vec![small("m"), raised("7")],
        (Quality::HalfDiminished, SymbolStyle::Letters) => vec![small("m"), raised("7")],
        (Quality::HalfDiminished, _) => vec![Mark(M::HalfDiminished), raised("7")],
        (Quality::DiminishedSeventh, SymbolStyle::Letters) => vec![small("dim"), raised("7")],
        (Quality::DiminishedSeventh, _) => vec![Mark(M::Diminished), raised("7")],
        (Quality::MinorMajorSeventh, SymbolStyle::Signs) => {
            vec![Mark(M::Minor), Mark(M::Major), raised("7")]
        }
        (Quality::MinorMajorSeventh, _) => vec![small("m"), raised("(maj7)")],
        (Quality::AugmentedMajorSeventh, SymbolStyle::Signs) => vec![Mark(M::Major), raised("7")],
        (Quality::AugmentedMajorSeventh, _) => vec![small("maj"), raised("7")],
    };
    match (quality, style) {
        (Quality::HalfDiminished, SymbolStyle::Letters) => parts.extend(altered(-1)),
        (Quality::AugmentedMajorSeventh, _) => parts.extend(altered(1)),
        _ => {}
    }
    parts
}

/// The symbol in one line of plain text, with the printed accidentals.
pub fn plain_text(parts: &[SymbolPart]) -> String {
    let accidental =
        |alter: i32| if alter < 0 { "♭" } else { "♯" }.repeat(alter.unsigned_abs() as usize);
    let mut text = String::new();
    for part in parts {
        match part {
            SymbolPart::Base(words) | SymbolPart::Small(words) | SymbolPart::Raised(words) => {
                text.push_str(words);
            }
            SymbolPart::Accidental(alter) | SymbolPart::RaisedAccidental(alter) => {
                text.push_str(&accidental(*alter));
            }
            SymbolPart::Figures(upper, lower) => text.extend([upper, lower]),
            SymbolPart::Mark(mark) => text.push(match mark {
                QualityMark::Major => '△',
                QualityMark::Minor => '-',
                QualityMark::HalfDiminished => 'ø',
                QualityMark::Diminished => '°',
                QualityMark::Augmented => '+',
            }),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Key, Numeral};

    /// The symbols of the seven chords of C in each style.
    ///
    /// Source: the trade's spellings as collected from MusicXML 4.0 `kind` documentation.
    #[test]
    fn the_seven_chords_of_c_read_as_the_trade_writes_them() {
        let styles = [
            (SymbolStyle::Letters, ["Cmaj7", "Dm7", "Em7", "Fmaj7", "G7", "Am7", "Bm7♭5"]),
            (SymbolStyle::Signs, ["C△7", "D-7", "E-7", "F△7", "G7", "A-7", "Bø7"]),
            (SymbolStyle::Mixed, ["Cmaj7", "Dm7", "Em7", "Fmaj7", "G7", "Am7", "Bø7"]),
        ];
        let scale = "C".parse::<Key>().unwrap().scale();
        for (style, expected) in styles {
            for (degree, expected) in (1..).zip(expected) {
                let chord = SeventhChord::diatonic(scale, degree).unwrap();
                assert_eq!(plain_text(&chord_symbol(chord, style)), expected);
            }
        }
    }

    #[test]
    fn numerals_say_the_third_by_their_case() {
        let scale = "Eb".parse::<Key>().unwrap().scale();
        let numerals: Vec<String> = (1..=8)
            .map(|degree| {
                let chord = SeventhChord::diatonic(scale, degree).unwrap();
                plain_text(&Numeral::new(degree, chord.quality).parts(SymbolStyle::Letters))
            })
            .collect();
        let expected = ["Imaj7", "ii7", "iii7", "IVmaj7", "V7", "vi7", "viiø7", "Imaj7"];
        assert_eq!(numerals, expected);
    }
}
