//! The parts of chord symbols and numerals, to be set in type.

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
    /// Raised: the figure, those of alterations, and the brackets and commas round them.
    Raised(String),
    /// An accidental before a raised alteration, in semitones.
    RaisedAccidental(i32),
    /// The figures of an inversion, one above the other.
    Figures(char, char),
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
