//! Chord symbols as the trade writes them, for chords of every kind.

use super::chord_kind::ChordKind;
use super::chord_parts::{Fifth, Seventh, Tension, Tensions, Third};
use super::chord_style::{ChordStyle, MajorStyle, MinorStyle};
use super::symbol::{QualityMark, SymbolPart};
use super::{Chord, NoteName};

/// The symbol of a chord, as parts to be set in type.
///
/// Letters of the quality stand on the baseline, figures and what alters them are raised. One
/// alteration follows its figure (`7♭9`); several stand in one bracket (`7(♭9,♭13)`), and so does
/// one that follows no figure (`C(♭5)`, which is no C flat). Tones beside a triad are added
/// (`(add9)`). [`read_chord`](super::read_chord) reads each symbol back.
pub fn chord_symbol(chord: impl Into<Chord>, style: impl Into<ChordStyle>) -> Vec<SymbolPart> {
    let Chord { root, kind, bass } = chord.into();
    let mut parts = vec![SymbolPart::Base(root.letter.to_string())];
    if root.alter != 0 {
        parts.push(SymbolPart::Accidental(root.alter));
    }
    parts.extend(chord_suffix(Chord { root, kind, bass }, style));
    if let Some(bass) = bass {
        parts.push(SymbolPart::Base(format!("/{}", bass.letter)));
        if bass.alter != 0 {
            parts.push(SymbolPart::Accidental(bass.alter));
        }
    }
    parts
}

/// What the symbol of a chord has between its root and the slash before its bass.
pub fn chord_suffix(chord: impl Into<Chord>, style: impl Into<ChordStyle>) -> Vec<SymbolPart> {
    let Chord { root, kind, .. } = chord.into();
    let says_five = root.alter == 0 || is_customary(root);
    Suffix { says_five, ..Suffix::new(kind, style.into()) }.parts()
}

/// The symbol of a chord over one of its tones: 0 the root, which goes without saying, to 3 the
/// seventh; the bass stands after a slash (common practice, no source). A chord that has a bass
/// keeps it.
pub fn chord_symbol_over(
    chord: impl Into<Chord>,
    inversion: u8,
    style: impl Into<ChordStyle>,
) -> Vec<SymbolPart> {
    chord_symbol(chord.into().inverted(inversion), style)
}

/// Whether a root with an accidental is one that players meet: of others, `G♯5` may be a triad
/// with a raised fifth as well as the bare fifth on G sharp.
pub(super) fn is_customary(root: NoteName) -> bool {
    use super::Letter as L;
    let flats = [L::B, L::E, L::A, L::D, L::G];
    match root.alter {
        -1 => flats.contains(&root.letter),
        1 => matches!(root.letter, L::F | L::C),
        alter => alter == 0,
    }
}

/// What follows the root or the numeral.
#[derive(Clone, Copy)]
pub(super) struct Suffix {
    kind: ChordKind,
    style: ChordStyle,
    /// Whether the minor third is yet to be said: the case of a numeral says it before.
    says_minor: bool,
    /// Whether a bare fifth is written with a five.
    says_five: bool,
}

fn small(text: &str) -> SymbolPart {
    SymbolPart::Small(text.to_owned())
}

fn raised(text: impl ToString) -> SymbolPart {
    SymbolPart::Raised(text.to_string())
}

/// An accidental and a number, raised.
fn altered(alter: i32, number: i32) -> impl Iterator<Item = SymbolPart> {
    let accidental = Some(SymbolPart::RaisedAccidental(alter)).filter(|_| alter != 0);
    accidental.into_iter().chain([raised(number)])
}

/// Numbers with their accidentals, raised, with commas between.
fn listed(tones: &[(i32, i32)]) -> Vec<SymbolPart> {
    let mut parts = Vec::new();
    for (place, (alter, number)) in tones.iter().enumerate() {
        parts.extend((place > 0).then(|| raised(",")));
        parts.extend(altered(*alter, *number));
    }
    parts
}

impl Suffix {
    pub(super) fn new(kind: ChordKind, style: ChordStyle) -> Self {
        Self { kind, style, says_minor: true, says_five: true }
    }

    /// The suffix of a numeral, whose case has said the minor third.
    pub(super) fn after_numeral(self) -> Self {
        Self { says_minor: false, ..self }
    }

    /// The suffix with a bare fifth told by its third: beside signs `5` may be an alteration.
    pub(super) fn without_five(self) -> Self {
        Self { says_five: false, ..self }
    }

    /// The parts: letters and signs of the quality, the figure, the suspension, alterations,
    /// tones added and left out.
    pub(super) fn parts(self) -> Vec<SymbolPart> {
        if self.kind == ChordKind::ALTERED {
            return vec![raised(7), small("alt")];
        }
        let mut parts = self.quality();
        parts.extend(self.figure());
        let follows_figure = matches!(parts.last(), Some(SymbolPart::Raised(figure)) if figure.parse::<u8>().is_ok());
        match self.kind.third() {
            Third::Sus2 => parts.extend([small("sus"), raised(2)]),
            Third::Sus4 => parts.extend([small("sus"), raised(4)]),
            _ => {}
        }
        parts.extend(self.alterations(follows_figure && !self.kind.third().is_suspended()));
        parts.extend(self.added());
        parts.extend(self.left_out());
        parts
    }

    /// Whether the letters or signs of the quality say the fifth that is not perfect.
    fn says_fifth(self) -> bool {
        let Self { kind, style, .. } = self;
        match (kind.third(), kind.fifth(), kind.seventh()) {
            (Third::Minor, Fifth::Diminished, Seventh::Minor) => style.rings,
            (Third::Minor, Fifth::Diminished, seventh) => seventh != Seventh::Sixth,
            (Third::Major, Fifth::Augmented, Seventh::Absent) => true,
            _ => false,
        }
    }

    fn quality(self) -> Vec<SymbolPart> {
        let Self { kind, style, .. } = self;
        let ring =
            |mark, letters| if style.rings { SymbolPart::Mark(mark) } else { small(letters) };
        match (kind.third(), kind.seventh(), self.says_fifth()) {
            (Third::Minor, Seventh::Minor, true) => {
                vec![SymbolPart::Mark(QualityMark::HalfDiminished)]
            }
            (Third::Minor, _, true) => vec![ring(QualityMark::Diminished, "dim")],
            (Third::Major, _, true) => vec![ring(QualityMark::Augmented, "aug")],
            (Third::Minor, ..) if self.says_minor => vec![match style.minor {
                MinorStyle::M => small("m"),
                MinorStyle::Mi => small("mi"),
                MinorStyle::Dash => SymbolPart::Mark(QualityMark::Minor),
            }],
            _ => Vec::new(),
        }
    }

    /// The figure with the letters or the sign of a major seventh. Over a minor third the letters
    /// stand in brackets, so that they are not read in one word with those before them; a triangle
    /// needs none.
    fn figure(self) -> Vec<SymbolPart> {
        let top = self.kind.top();
        match (self.kind.seventh(), self.style.major) {
            (Seventh::Absent, _) if self.is_power() => vec![raised(5)],
            (Seventh::Absent, _) => Vec::new(),
            (Seventh::Sixth, _) if self.kind.tensions().has(Tension::Ninth) => vec![raised("6/9")],
            (Seventh::Sixth | Seventh::Diminished | Seventh::Minor, _) => vec![raised(top)],
            (Seventh::Major, MajorStyle::Triangle) => {
                vec![SymbolPart::Mark(QualityMark::Major), raised(top)]
            }
            (Seventh::Major, MajorStyle::Maj) if self.kind.has_minor_third() => {
                vec![small("(maj"), raised(top), small(")")]
            }
            (Seventh::Major, MajorStyle::Maj) => vec![small("maj"), raised(top)],
        }
    }

    /// Whether a five says that there is no third.
    fn is_power(self) -> bool {
        let Self { kind, says_five, .. } = self;
        let is_bare = kind.third() == Third::Absent && kind.seventh() == Seventh::Absent;
        is_bare && kind.fifth() == Fifth::Perfect && says_five
    }

    /// Tensions that the figure does not say.
    fn named(self) -> impl Iterator<Item = (i32, i32)> {
        let said = match self.kind.seventh() {
            Seventh::Sixth => Tensions::NONE.with(Tension::Ninth),
            _ => self.kind.stack(self.kind.top()),
        };
        let tensions = self.kind.tensions().iter().filter(move |it| !said.has(*it));
        tensions.map(|tension| (tension.alter(), tension.number()))
    }

    /// Beside a seventh or a sixth.
    fn alterations(self, follows_figure: bool) -> Vec<SymbolPart> {
        let fifth = match self.kind.fifth() {
            Fifth::Diminished => Some((-1, 5)),
            Fifth::Augmented => Some((1, 5)),
            Fifth::Absent | Fifth::Perfect => None,
        };
        let is_triad = self.kind.seventh() == Seventh::Absent;
        let mut tones: Vec<(i32, i32)> = fifth.into_iter().filter(|_| !self.says_fifth()).collect();
        tones.extend(self.named().filter(|_| !is_triad));
        match tones[..] {
            [] => Vec::new(),
            [(alter @ (-1 | 1), number)] if follows_figure => altered(alter, number).collect(),
            _ => [vec![raised("(")], listed(&tones), vec![raised(")")]].concat(),
        }
    }

    /// Beside a triad; the flat thirteenth is a sixth there.
    fn added(self) -> Vec<SymbolPart> {
        if self.kind.seventh() != Seventh::Absent || self.kind.tensions().is_empty() {
            return Vec::new();
        }
        let sixth = |(alter, number)| (alter, if number == 13 { 6 } else { number });
        let tones: Vec<(i32, i32)> = self.named().map(sixth).collect();
        [vec![small("(add")], listed(&tones), vec![small(")")]].concat()
    }

    fn left_out(self) -> Vec<SymbolPart> {
        let mut parts = Vec::new();
        let no_third = self.kind.third() == Third::Absent && !self.is_power();
        for (is_out, number) in [(no_third, 3), (self.kind.fifth() == Fifth::Absent, 5)] {
            if is_out {
                parts.extend([small("(no"), raised(number), small(")")]);
            }
        }
        parts
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{
        Key, Numeral, NumeralStyle, Quality, SeventhChord, SymbolStyle, plain_text,
    };

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
        plain_text(&Suffix::new(quality.into(), style).parts())
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

    /// One chord of each family in three looks.
    #[test]
    fn chords_of_every_family_are_written_as_players_write_them() {
        for (symbol, letters, signs) in [
            ("C", "C", "C"),
            ("Cm", "Cm", "C-"),
            ("Cdim", "Cdim", "C°"),
            ("Caug", "Caug", "C+"),
            ("C5", "C5", "C5"),
            ("C69", "C6/9", "C6/9"),
            ("Cm69", "Cm6/9", "C-6/9"),
            ("Cm(maj9)", "Cm(maj9)", "C-△9"),
            ("C9sus", "C9sus4", "C9sus4"),
            ("C7susb9", "C7sus4(♭9)", "C7sus4(♭9)"),
            ("C13b9", "C13♭9", "C13♭9"),
            ("C7b9b13", "C7(♭9,♭13)", "C7(♭9,♭13)"),
            ("C7#5#9", "C7(♯5,♯9)", "C7(♯5,♯9)"),
            ("Cm11b5", "Cm11♭5", "Cø11"),
            ("Cmaj9#11", "Cmaj9♯11", "C△9♯11"),
            ("Cmadd9", "Cm(add9)", "C-(add9)"),
            ("C7(13)", "C7(13)", "C7(13)"),
            ("Calt", "C7alt", "C7alt"),
            ("C(b5)", "C(♭5)", "C(♭5)"),
            ("Cdimmaj7", "Cdim(maj7)", "C°△7"),
            ("C7no5", "C7(no5)", "C7(no5)"),
            ("Cm7/Bb", "Cm7/B♭", "C-7/B♭"),
            ("G#no3", "G♯(no3)", "G♯(no3)"),
        ] {
            let chord = symbol.parse::<Chord>().unwrap();
            let written = |style: SymbolStyle| plain_text(&chord_symbol(chord, style));
            assert_eq!(written(SymbolStyle::Letters), letters);
            assert_eq!(written(SymbolStyle::Signs), signs);
        }
    }

    /// Alterations are raised with their brackets, letters are not.
    #[test]
    fn alterations_are_raised_with_their_brackets() {
        let parts = chord_symbol("C7b9b13".parse::<Chord>().unwrap(), SymbolStyle::Letters);
        let raised = |text: &str| SymbolPart::Raised(text.to_owned());
        let flat = || SymbolPart::RaisedAccidental(-1);
        let [open, close] = ["(", ")"].map(raised);
        let list = [open, flat(), raised("9"), raised(","), flat(), raised("13"), close];
        assert_eq!(parts[2..], list);
    }

    /// Letters stand on the baseline, figures and what alters them are raised, in every kind.
    #[test]
    fn no_letters_are_raised() {
        for kind in ChordKind::all() {
            for style in ChordStyle::all() {
                for part in Suffix::new(kind, style).parts() {
                    let SymbolPart::Raised(words) = &part else { continue };
                    assert!(!words.chars().any(char::is_alphabetic), "{kind:?}: {part:?}");
                }
            }
        }
    }
}
