//! What a teacher chose that changes the score itself.

use serde::{Deserialize, Serialize};

use crate::fingering::{FingeringMarks, HandSize, Measure};
use crate::score::{Event, Feel, Hand, Score, count, spell_rests};

/// Which hands play.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hands {
    /// Both.
    #[default]
    Together,
    /// The right hand alone; the left hand's staff rests.
    Right,
    /// The left hand alone; the right hand's staff rests.
    Left,
}

impl Hands {
    /// What is said behind the title of a drill that one hand plays.
    pub const fn alone(self) -> &'static str {
        match self {
            Self::Together => "",
            Self::Right => ", right hand alone",
            Self::Left => ", left hand alone",
        }
    }
}

/// What the teacher chose that changes the score itself.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Choices {
    /// How eighths are played; the template's own where `None`.
    pub feel: Option<Feel>,
    /// Which fingers are printed.
    pub fingering: FingeringMarks,
    /// The hand that fingers are chosen for.
    pub hand: HandSize,
    /// How distances are measured when fingers are chosen.
    pub spans: Measure,
    /// Which hands play.
    pub hands: Hands,
}

impl Choices {
    /// The score as far as these choices print it: one hand or both.
    pub(super) fn applied_to(self, mut score: Score) -> Score {
        for hand in Hand::BOTH.into_iter().filter(|hand| !self.plays(*hand)) {
            silence(&mut score, hand);
        }
        if !self.plays(Hand::Left) {
            score.low_chords.clear();
            score.thick_chords.clear();
        }
        // One hand alone never tells all of a chord.
        if self.hands != Hands::Together {
            score.untold_chords.clear();
        }
        score
    }

    /// Whether a hand plays.
    pub(super) fn plays(self, hand: Hand) -> bool {
        match self.hands {
            Hands::Together => true,
            Hands::Right => hand == Hand::Right,
            Hands::Left => hand == Hand::Left,
        }
    }
}

/// Lets a hand rest throughout; the other's counts stay.
fn silence(score: &mut Score, hand: Hand) {
    let metre = score.metre;
    for bar in &mut score.bars {
        let rests = spell_rests(metre, bar.start, bar.start + metre.bar());
        bar.staves[hand].events =
            rests.into_iter().map(|span| Event::rest(span.at, span.value)).collect();
    }
    score.signs.octaves[hand].clear();
    // No note asks for another clef than the staff's own.
    score.opening_clefs[hand] = hand.usual_clef();
    score.counts = count(metre, &score.bars);
}
