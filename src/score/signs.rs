//! Signs of form and of reading: what stands round the notes of a score without being played.

use std::collections::BTreeMap;
use std::ops::Range;

use super::hand::ByHand;
use super::metre::Ticks;
use crate::theory::Key;

/// What a score says besides its notes; nothing where it is plain.
///
/// Bars are told by index, from 0. Barlines and keys are told by the bar before which they stand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Signs {
    /// Barlines that are not the usual ones, each by the bar before which it stands; by the number
    /// of bars for the one at the end. Usual are single ones, a double one before another key, and
    /// a final one at the end. Before the first bar a repeat can begin, and nothing else stands.
    pub barlines: BTreeMap<usize, Barline>,
    /// How often repeats without endings are played, each by the bar before which it ends; twice
    /// where nothing is said.
    pub times: BTreeMap<usize, u8>,
    /// The endings of repeats, in order; no bar has two.
    pub endings: Vec<Ending>,
    /// What stands over the beginnings of bars, by the bar.
    pub headings: BTreeMap<usize, Heading>,
    /// What is said at the ends of bars, of where the music goes on, by the bar: a few words.
    pub ways: BTreeMap<usize, String>,
    /// The stretches that each hand reads in another octave, in order and apart.
    pub octaves: ByHand<Vec<OctaveShift>>,
    /// The keys that follow the one of the score, each by its first bar, which is never 0.
    pub keys: BTreeMap<usize, Key>,
}

/// A barline, by what it says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Barline {
    /// A bar ends.
    #[default]
    Single,
    /// A section ends: two thin lines.
    Double,
    /// What follows is repeated: a thick line, a thin one, dots.
    RepeatBegin,
    /// What came is repeated: dots, a thin line, a thick one.
    RepeatEnd,
    /// What came is repeated, and what follows is too.
    RepeatBoth,
    /// The music ends: a thin line and a thick one.
    Final,
}

impl Barline {
    /// Every kind.
    pub const ALL: [Self; 6] = [
        Self::Single,
        Self::Double,
        Self::RepeatBegin,
        Self::RepeatEnd,
        Self::RepeatBoth,
        Self::Final,
    ];

    /// What of it stands where a system ends with it: a repeat begins on the next system.
    #[must_use]
    pub const fn at_system_end(self) -> Self {
        match self {
            Self::RepeatBegin => Self::Single,
            Self::RepeatBoth => Self::RepeatEnd,
            other => other,
        }
    }

    /// Whether a repeat begins with it.
    pub const fn begins_repeat(self) -> bool {
        matches!(self, Self::RepeatBegin | Self::RepeatBoth)
    }

    /// Whether a repeat ends with it.
    pub const fn ends_repeat(self) -> bool {
        matches!(self, Self::RepeatEnd | Self::RepeatBoth)
    }
}

/// An ending of a repeat: bars that are played in some of the rounds alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ending {
    /// Its bars; at least one.
    pub bars: Range<usize>,
    /// The rounds in which it is played, rising; at least one.
    pub rounds: Vec<u8>,
    /// Whether its bracket is open at the right: the music goes on from it. That of an ending
    /// from which one turns back, or stops, is closed.
    pub is_open: bool,
}

impl Ending {
    /// What stands in its bracket: `1.`, or `1. 2.`.
    pub fn words(&self) -> String {
        let rounds: Vec<String> = self.rounds.iter().map(|round| format!("{round}.")).collect();
        rounds.join(" ")
    }
}

/// What stands over the beginning of a bar.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Heading {
    /// The letter of a section, printed in a box: one to three letters or figures.
    pub letter: Option<String>,
    /// The title of a passage: a few words, which may hold `♭`, `♮` and `♯`.
    pub title: Option<String>,
}

/// A stretch that is read in another octave than it sounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OctaveShift {
    /// The stretch. What is struck in it is read so, with all that is tied to it.
    pub span: Range<Ticks>,
    /// How many octaves it sounds above what is written: 1 for 8va, -1 for 8vb.
    pub octaves: i32,
}

impl Signs {
    /// Whether it says nothing.
    pub fn is_plain(&self) -> bool {
        *self == Self::default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_system_ends_with_and_what_the_next_begins_with_say_the_whole_barline() {
        for barline in Barline::ALL {
            let end = barline.at_system_end();
            assert!(!end.begins_repeat(), "{barline:?}");
            assert_eq!(end.ends_repeat(), barline.ends_repeat(), "{barline:?}");
            assert_eq!(end.at_system_end(), end, "{barline:?}");
        }
    }

    #[test]
    fn an_ending_says_its_rounds() {
        let ending = Ending { bars: 2..3, rounds: vec![1, 2], is_open: false };
        assert_eq!(ending.words(), "1. 2.");
    }
}
