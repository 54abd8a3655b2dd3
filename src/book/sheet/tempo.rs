//! The tempo mark.

use crate::drill::Template;
use crate::glyphs::Sign;
use crate::score::Feel;
use crate::score::QUARTER;
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
    let bold = Style::new(TextFace::Bold, size);
    let em = NOTE_EM * size;
    let mut phrase = Phrase::default();
    let in_threes = drill.metre.felt_beat() > QUARTER;
    let feel = drill.spoken_feel(feel);
    if let Some(feel) = feel {
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
