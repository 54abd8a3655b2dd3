//! The tempo mark.

use crate::drill::Template;
use crate::glyphs::Sign;
use crate::score::{Feel, Metre, QUARTER};
use crate::typeset::TextFace;
use crate::typeset::line::{Phrase, Style};

/// Em of the notes in a tempo mark, in ems of its words.
const NOTE_EM: f64 = 1.12;

/// Two beamed eighths, to be printed one after another.
const EVEN_PAIR: [Sign; 3] = [
    Sign::TextBlackNoteLongStem,
    Sign::TextCont8thBeamLongStem,
    Sign::TextBlackNoteFrac8thLongStem,
];

/// A quarter and an eighth under a bracketed 3, to be printed one after another.
const SWUNG_PAIR: [Sign; 5] = [
    Sign::TextTupletBracketStartLongStem,
    Sign::MetNoteQuarterUp,
    Sign::TextTuplet3LongStem,
    Sign::MetNote8thUp,
    Sign::TextTupletBracketEndLongStem,
];

/// The tempo mark of a drill: feel, where there are eighths to play so, beats a minute and, for
/// swing, how a pair of eighths is played.
pub(crate) fn mark(drill: &Template, feel: Feel, tempo: u16, size: f64) -> Phrase {
    mark_of(drill.metre, drill.spoken_feel(feel), tempo, size)
}

/// The same of anything in a metre; with no feel it has no eighths.
fn mark_of(metre: Metre, feel: Option<Feel>, tempo: u16, size: f64) -> Phrase {
    mark_after("", metre, feel, tempo, size)
}

/// The same behind words of a teacher's own, which may say the feel already: `Medium swing`.
pub(crate) fn mark_after(
    said: &str,
    metre: Metre,
    feel: Option<Feel>,
    tempo: u16,
    size: f64,
) -> Phrase {
    let bold = Style::new(TextFace::Bold, size);
    let em = NOTE_EM * size;
    let mut phrase = Phrase::default();
    let in_threes = metre.felt_beat() > QUARTER;
    // Beats of three eighths know no swing.
    let feel = feel.filter(|_| !in_threes);
    if let Some(feel) = feel.filter(|feel| !says(said, *feel)) {
        let words = match feel {
            Feel::Swing => "Swing",
            Feel::Even => "Even eighths",
        };
        phrase.words(words, bold);
        phrase.space(size);
    }
    let beat = [Sign::MetNoteQuarterUp, Sign::MetAugmentationDot];
    phrase.signs(if in_threes { &beat } else { &beat[..1] }, em);
    phrase.words(&format!(" = {tempo}"), bold);
    if feel == Some(Feel::Swing) {
        phrase.space(1.6 * size);
        phrase.signs(&EVEN_PAIR, em);
        phrase.words(" = ", bold);
        phrase.signs(&SWUNG_PAIR, em);
    }
    phrase
}

/// Whether words say how eighths are played.
fn says(words: &str, feel: Feel) -> bool {
    let said: &[&str] = match feel {
        Feel::Swing => &["swing", "swung", "shuffle"],
        Feel::Even => &["even", "straight"],
    };
    let words = words.to_lowercase();
    let mut each = words.split(|c: char| !c.is_alphabetic());
    each.any(|word| said.contains(&word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_feel_is_said_once() {
        for (words, swing, even) in [
            ("Medium swing", true, false),
            ("Swung, not fast", true, false),
            ("SHUFFLE", true, false),
            ("Straight eighths", false, true),
            ("Ballad", false, false),
            ("Evening song", false, false),
            ("", false, false),
        ] {
            assert_eq!([says(words, Feel::Swing), says(words, Feel::Even)], [swing, even]);
        }
        let marks = |words| mark_after(words, Metre::FourFour, Some(Feel::Swing), 120, 10.0);
        assert!(marks("Medium swing").width() < marks("Ballad").width() - 20.0);
    }
}
