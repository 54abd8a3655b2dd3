//! Lines of type that mix words with signs of music.

use kurbo::{Point, Rect, Vec2};

use crate::glyphs::{MusicFace, Sign};
use crate::theory::{Key, NoteName};
use crate::typeset::face::TextFace;
use crate::typeset::measure;
use crate::typeset::trace::{Ink, Trace};

/// A cut of the text family at a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Style {
    pub(crate) face: TextFace,
    /// The em.
    pub(crate) size: f64,
    pub(crate) ink: Ink,
}

impl Style {
    pub(crate) const fn new(face: TextFace, size: f64) -> Self {
        Self { face, size, ink: Ink::Black }
    }

    pub(crate) const fn inked(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }
}

/// White on either side of a sign among words, in ems of the words.
const SIGN_SIDE: f64 = 0.03;

/// A line of type, in any unit of length; its origin is the left end of its baseline.
#[derive(Clone, Debug, Default)]
pub(crate) struct Phrase {
    traces: Vec<(Trace, Ink)>,
    width: f64,
}

impl Phrase {
    /// A line of words, in which `♭`, `♮` and `♯` are signs of the music face.
    pub(crate) fn of(words: &str, style: Style) -> Self {
        let mut phrase = Self::default();
        phrase.words(words, style);
        phrase
    }

    /// The name of a key: its tonic, and "major" or "minor".
    pub(crate) fn key(key: Key, tonic: Style, mode: Style) -> Self {
        let mut phrase = Self::default();
        phrase.note(key.tonic(), tonic);
        phrase.words(&format!(" {}", key.mode_word()), mode);
        phrase
    }

    /// Adds words, in which `♭`, `♮` and `♯` are signs of the music face.
    pub(crate) fn words(&mut self, words: &str, style: Style) {
        let mut rest = words;
        while !rest.is_ascii()
            && let Some((start, sign)) =
                rest.char_indices().find_map(|(start, c)| Some((start, accidental(c)?)))
        {
            self.plain_words(&rest[..start], style);
            let is_bold = matches!(style.face, TextFace::Semibold | TextFace::Bold);
            self.sign(if is_bold { heavy(sign) } else { sign }, 0.0, style);
            rest = &rest[start..];
            rest = &rest[rest.chars().next().map_or(0, char::len_utf8)..];
        }
        self.plain_words(rest, style);
    }

    fn plain_words(&mut self, words: &str, style: Style) {
        if words.is_empty() {
            return;
        }
        let Style { face, size, ink } = style;
        // A space at either end advances but is no mark.
        let lead = &words[..words.len() - words.trim_start().len()];
        let before = if lead.is_empty() { 0.0 } else { measure::width(face, lead, size) };
        let at = Point::new(self.width + before, 0.0);
        let core = words.trim();
        if !core.is_empty() {
            self.traces.push((Trace::Text { text: core.into(), face, at, size }, ink));
        }
        self.width += measure::width(face, words, size);
    }

    /// Adds words as they are, `rise` above the baseline.
    pub(super) fn run(&mut self, words: &str, rise: f64, style: Style) {
        self.width += self.set(words, rise, style);
    }

    /// Sets words as they are, `rise` above the baseline, and tells how far they would advance.
    pub(super) fn set(&mut self, words: &str, rise: f64, style: Style) -> f64 {
        let Style { face, size, ink } = style;
        let at = Point::new(self.width, rise);
        self.traces.push((Trace::Text { text: words.into(), face, at, size }, ink));
        measure::width(face, words, size)
    }

    /// Adds the name of a note.
    pub(crate) fn note(&mut self, note: NoteName, style: Style) {
        let double = match note.alter {
            2 => Sign::CsymAccidentalDoubleSharp,
            -2 => Sign::CsymAccidentalDoubleFlat,
            _ => return self.words(&note.to_string(), style),
        };
        self.words(&note.letter.to_string(), style);
        self.sign(double, 0.0, style);
    }

    /// Adds a sign whose face is set at the em of the words, `rise` above the baseline, with a
    /// little white on either side.
    pub(super) fn sign(&mut self, sign: Sign, rise: f64, style: Style) {
        let ink = MusicFace::get().bounds(sign);
        let scale = style.size / 4.0;
        let side = SIGN_SIDE * style.size;
        let at = Point::new(self.width + side - ink.x0 * scale, rise);
        self.traces.push((Trace::Sign { sign, at, size: style.size }, style.ink));
        self.width += ink.width() * scale + 2.0 * side;
    }

    /// Adds signs one after another at their own advance widths, at an em of `em`.
    pub(crate) fn signs(&mut self, signs: &[Sign], em: f64) {
        for sign in signs {
            let at = Point::new(self.width, 0.0);
            self.traces.push((Trace::Sign { sign: *sign, at, size: em }, Ink::Black));
            self.width += MusicFace::get().advance(*sign) * em / 4.0;
        }
    }

    /// Adds a black drawing about the end of the line so far, then moves on by `width`.
    pub(crate) fn drawing(&mut self, mut trace: Trace, width: f64) {
        trace.shift(Vec2::new(self.width, 0.0));
        self.traces.push((trace, Ink::Black));
        self.width += width;
    }

    /// Adds white.
    pub(crate) fn space(&mut self, width: f64) {
        self.width += width;
    }

    /// Adds another line at the end of this one.
    pub(crate) fn phrase(&mut self, other: Self) {
        let width = self.width + other.width;
        self.traces.extend(other.at(Point::new(self.width, 0.0)));
        self.width = width;
    }

    /// How far it advances.
    pub(crate) fn width(&self) -> f64 {
        self.width
    }

    /// The box round its ink.
    pub(crate) fn ink(&self) -> Rect {
        let boxes = self.traces.iter().map(|(trace, _)| trace.bounds());
        boxes.reduce(|all, ink| all.union(ink)).unwrap_or(Rect::ZERO)
    }

    /// What it leaves on paper, the left end of its baseline at a point.
    pub(crate) fn at(self, at: Point) -> Vec<(Trace, Ink)> {
        let mut traces = self.traces;
        for (trace, _) in &mut traces {
            trace.shift(at.to_vec2());
        }
        traces
    }
}

/// Items after a name in as few lines as hold them, each but the first as far in as the name
/// reaches; the name may be empty.
pub(crate) fn in_lines(name: Phrase, items: Vec<Phrase>, between: f64, width: f64) -> Vec<Phrase> {
    let mut white = Phrase::default();
    white.space(name.width());
    let mut lines: Vec<Phrase> = Vec::new();
    for item in items {
        match lines.last_mut() {
            Some(line) if line.width() + between + item.width() <= width => {
                line.space(between);
                line.phrase(item);
            }
            last => {
                let mut line = if last.is_none() { name.clone() } else { white.clone() };
                line.phrase(item);
                lines.push(line);
            }
        }
    }
    lines
}

/// The sign of the music face that stands for a character of running words.
pub(crate) fn accidental(character: char) -> Option<Sign> {
    match character {
        '♭' => Some(Sign::CsymAccidentalFlat),
        '♮' => Some(Sign::CsymAccidentalNatural),
        '♯' => Some(Sign::CsymAccidentalSharp),
        _ => None,
    }
}

/// The sign that is as heavy as bold letters in place of one that suits light ones.
fn heavy(sign: Sign) -> Sign {
    match sign {
        Sign::CsymAccidentalFlat => Sign::HeadingFlat,
        Sign::CsymAccidentalNatural => Sign::HeadingNatural,
        Sign::CsymAccidentalSharp => Sign::HeadingSharp,
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accidentals_among_words_are_signs_of_the_music_face() {
        let phrase = Phrase::of("in E♭, F♯ and", Style::new(TextFace::Regular, 10.0));
        let told: Vec<String> = phrase
            .at(Point::ZERO)
            .iter()
            .map(|(trace, _)| match trace {
                Trace::Text { text, .. } => text.to_string(),
                Trace::Sign { sign, .. } => sign.smufl_name().to_owned(),
                other => format!("{other:?}"),
            })
            .collect();
        let expected =
            ["in E", "csymAccidentalFlat", ", F", "csymAccidentalSharp", "and"].map(str::to_owned);
        assert_eq!(told, expected);
    }

    #[test]
    fn accidentals_among_bold_words_are_the_heavier_ones() {
        for (face, expected) in [
            (TextFace::Regular, Sign::CsymAccidentalFlat),
            (TextFace::Semibold, Sign::HeadingFlat),
            (TextFace::Bold, Sign::HeadingFlat),
        ] {
            let traces = Phrase::of("D♭", Style::new(face, 10.0)).at(Point::ZERO);
            let sign = |trace: &Trace| match trace {
                Trace::Sign { sign, .. } => Some(*sign),
                _ => None,
            };
            assert_eq!(sign(&traces[1].0), Some(expected), "{traces:?}");
        }
    }

    #[test]
    fn a_line_of_words_is_as_wide_as_its_words() {
        let style = Style::new(TextFace::Semibold, 12.0);
        let phrase = Phrase::of(" two words ", style);
        assert_eq!(phrase.width(), measure::width(style.face, " two words ", 12.0));
    }
}
