//! Chord symbols as the trade writes them, as parts to be set in type.

use super::chord_style::{ChordStyle, MajorStyle, MinorStyle};
use super::{Quality, SeventhChord};

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
    /// An accidental of the root or the bass, in semitones.
    Accidental(i32),
    /// Letters of the quality, on the baseline.
    Small(String),
    /// A sign of the quality: the ring of a diminished chord is raised like the seven, the others
    /// stand on the baseline.
    Mark(QualityMark),
    /// The seventh, raised.
    Raised(String),
    /// An accidental before a raised alteration, in semitones.
    RaisedAccidental(i32),
    /// The figures of an inversion, one above the other.
    Figures(char, char),
}

/// The symbol of a chord, as parts to be set in type.
pub fn chord_symbol(chord: SeventhChord, style: impl Into<ChordStyle>) -> Vec<SymbolPart> {
    let mut parts = vec![SymbolPart::Base(chord.root.letter.to_string())];
    if chord.root.alter != 0 {
        parts.push(SymbolPart::Accidental(chord.root.alter));
    }
    parts.extend(quality_parts(chord.quality, style.into()));
    parts
}

/// The symbol of a chord over one of its tones: 0 the root, which goes without saying, to 3 the
/// seventh; the bass stands after a slash (common practice, no source).
pub fn chord_symbol_over(
    chord: SeventhChord,
    inversion: u8,
    style: impl Into<ChordStyle>,
) -> Vec<SymbolPart> {
    let mut parts = chord_symbol(chord, style);
    if let Some(bass) = chord.notes().get(usize::from(inversion)).filter(|_| inversion > 0) {
        parts.push(SymbolPart::Base(format!("/{}", bass.letter)));
        if bass.alter != 0 {
            parts.push(SymbolPart::Accidental(bass.alter));
        }
    }
    parts
}

/// What follows the root or the numeral: letters and signs first, then what is raised.
pub(super) fn quality_parts(quality: Quality, style: ChordStyle) -> Vec<SymbolPart> {
    use SymbolPart::{Mark, RaisedAccidental};
    let small = |text: &str| SymbolPart::Small(text.to_owned());
    let seven = || SymbolPart::Raised("7".to_owned());
    let five = |accidental| [RaisedAccidental(accidental), SymbolPart::Raised("5".to_owned())];
    let minor = match style.minor {
        MinorStyle::M => small("m"),
        MinorStyle::Mi => small("mi"),
        MinorStyle::Dash => Mark(QualityMark::Minor),
    };
    let major = match style.major {
        MajorStyle::Maj => small("maj"),
        MajorStyle::Triangle => Mark(QualityMark::Major),
    };
    match quality {
        Quality::Dominant => vec![seven()],
        Quality::MajorSeventh => vec![major, seven()],
        Quality::MinorSeventh => vec![minor, seven()],
        Quality::HalfDiminished if style.rings => vec![Mark(QualityMark::HalfDiminished), seven()],
        Quality::HalfDiminished => [minor, seven()].into_iter().chain(five(-1)).collect(),
        Quality::DiminishedSeventh if style.rings => vec![Mark(QualityMark::Diminished), seven()],
        Quality::DiminishedSeventh => vec![small("dim"), seven()],
        Quality::MinorMajorSeventh => {
            let mut parts = vec![minor];
            parts.extend(bracketed_major(style));
            parts
        }
        Quality::AugmentedMajorSeventh => [major, seven()].into_iter().chain(five(1)).collect(),
    }
}

/// The major seventh of a minor chord: letters in brackets, so that they are not read in one word
/// with those before them; a triangle needs none.
pub(super) fn bracketed_major(style: ChordStyle) -> Vec<SymbolPart> {
    let seven = SymbolPart::Raised("7".to_owned());
    match style.major {
        MajorStyle::Maj => {
            vec![SymbolPart::Small("(maj".to_owned()), seven, SymbolPart::Small(")".to_owned())]
        }
        MajorStyle::Triangle => vec![SymbolPart::Mark(QualityMark::Major), seven],
    }
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
    use crate::theory::{Key, Numeral, NumeralStyle, SymbolStyle};

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
                let numeral = Numeral::new(degree, chord.quality);
                plain_text(&numeral.parts(NumeralStyle::On, SymbolStyle::Letters))
            })
            .collect();
        let expected = ["Imaj7", "ii7", "iii7", "IVmaj7", "V7", "vi7", "viiø7", "Imaj7"];
        assert_eq!(numerals, expected);
    }
    fn written(quality: Quality, style: ChordStyle) -> String {
        plain_text(&quality_parts(quality, style))
    }

    #[test]
    fn minor_and_major_are_chosen_apart() {
        let kinds = [
            Quality::MajorSeventh,
            Quality::MinorSeventh,
            Quality::HalfDiminished,
            Quality::MinorMajorSeventh,
            Quality::AugmentedMajorSeventh,
        ];
        for (minor, major, expected) in [
            (MinorStyle::M, MajorStyle::Maj, ["maj7", "m7", "m7♭5", "m(maj7)", "maj7♯5"]),
            (MinorStyle::Mi, MajorStyle::Triangle, ["△7", "mi7", "mi7♭5", "mi△7", "△7♯5"]),
            (MinorStyle::Dash, MajorStyle::Maj, ["maj7", "-7", "-7♭5", "-(maj7)", "maj7♯5"]),
        ] {
            let style = ChordStyle { minor, major, rings: false };
            assert_eq!(kinds.map(|kind| written(kind, style)), expected);
        }
    }

    #[test]
    fn an_inversion_names_its_bass_after_a_slash() {
        let scale = "Db".parse::<Key>().unwrap().scale();
        let chord = SeventhChord::diatonic(scale, 5).unwrap();
        let over = |tone| plain_text(&chord_symbol_over(chord, tone, SymbolStyle::Mixed));
        assert_eq!([0, 1, 2, 3].map(over), ["A♭7", "A♭7/C", "A♭7/E♭", "A♭7/G♭"]);
    }

    /// Letters stand on the baseline, figures and what alters them are raised, in every kind.
    #[test]
    fn no_letters_are_raised() {
        for kind in Quality::all() {
            for style in ChordStyle::all() {
                for part in quality_parts(kind, style) {
                    let SymbolPart::Raised(words) = &part else { continue };
                    assert!(words.chars().all(|c| c.is_ascii_digit()), "{kind:?}: {part:?}");
                }
            }
        }
    }
}
