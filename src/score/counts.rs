//! Counting marks: what is spoken, and which hand strikes there.

use serde::{Deserialize, Serialize};

use super::hand::ByHand;
use super::metre::Ticks;

/// Where counts stand between the staves.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Counts {
    /// In every bar.
    #[default]
    All,
    /// In the first bar.
    FirstBar,
    /// Nowhere.
    None,
}

impl Counts {
    /// Whether they stand in the bar at an index.
    pub fn stand_in(self, bar: usize) -> bool {
        match self {
            Self::All => true,
            Self::FirstBar => bar == 0,
            Self::None => false,
        }
    }
}

/// How a hand meets a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CountStroke {
    /// It does not strike.
    None,
    /// It strikes.
    Struck,
    /// It strikes early and holds over the beat: a push.
    Pushed,
}

/// What is spoken at a count (common practice: "1 & 2 &", "1 e & a", "1 trip let").
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "syllables name themselves")]
pub enum Syllable {
    /// A number: of a quarter, or of an eighth in six eighths.
    Number(i32),
    /// Half way between two numbers.
    And,
    /// The first and the last of the sixteenths between a number and the next.
    E,
    A,
    /// The second and the last third of a beat.
    Trip,
    Let,
}

/// One count of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Count {
    /// Its moment.
    pub at: Ticks,
    /// What is spoken.
    pub syllable: Syllable,
    /// Whether a felt beat begins with it.
    pub on_beat: bool,
    /// Whether and how each hand strikes.
    pub strokes: ByHand<CountStroke>,
}

impl Count {
    /// The syllable in letters.
    pub fn spoken(&self) -> String {
        match self.syllable {
            Syllable::Number(number) => number.to_string(),
            Syllable::And => "&".to_owned(),
            Syllable::E => "e".to_owned(),
            Syllable::A => "a".to_owned(),
            Syllable::Trip => "trip".to_owned(),
            Syllable::Let => "let".to_owned(),
        }
    }

    /// Whether no hand strikes: the count is only held, or silent.
    pub fn is_only_held(&self) -> bool {
        self.strokes.iter().all(|stroke| *stroke == CountStroke::None)
    }
}
