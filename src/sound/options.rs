//! What can be chosen of a track.

use std::collections::BTreeSet;
use std::fmt;

use super::performance::Part;
use super::swing::Swing;
use crate::score::{Feel, Metre};
use crate::source;

/// What is chosen of a track.
#[derive(Clone, Debug, PartialEq)]
pub struct TrackOptions {
    /// Who plays; without it those who are usual for the groove.
    pub with: Option<BTreeSet<Part>>,
    /// What the rhythm section plays; without it what is usual for metre, feel and tempo.
    pub groove: Option<Groove>,
    /// How eighths swing; without it as usual where the feel is swing, and evenly elsewhere.
    pub swing: Option<Swing>,
    /// Which beats click.
    pub clicks: Clicks,
    /// How many bars are counted in.
    pub count_in: usize,
    /// How often the whole is played, in each key.
    pub choruses: usize,
    /// By how many beats a minute each time is faster than the one before.
    pub rise: u16,
    /// What tells this bass and this comping from others.
    pub seed: u64,
}

impl Default for TrackOptions {
    fn default() -> Self {
        Self {
            with: None,
            groove: None,
            swing: None,
            clicks: Clicks::default(),
            count_in: 1,
            choruses: 1,
            rise: 0,
            seed: 0,
        }
    }
}

/// Something that is chosen by a word.
pub trait ChoiceWord: Copy + 'static {
    /// What it is called as a whole.
    const KIND: &'static str;

    /// Every one with its word.
    fn all() -> Vec<(&'static str, Self)>;

    /// The one of a word.
    ///
    /// # Errors
    ///
    /// A word that nobody knows, with what was probably meant.
    fn of(word: &str) -> Result<Self, UnknownWord> {
        let all = Self::all();
        let word = word.trim();
        let found = all.iter().find(|(name, _)| name.eq_ignore_ascii_case(word));
        found.map(|(_, own)| *own).ok_or_else(|| {
            let names: Vec<&str> = all.iter().map(|(name, _)| *name).collect();
            let mend = source::advice(word, &names);
            UnknownWord(format!("unknown {} `{word}`; {mend}", Self::KIND))
        })
    }
}

/// A word that names nothing, in a message with its mend.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownWord(String);

impl fmt::Display for UnknownWord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for UnknownWord {}

impl ChoiceWord for Part {
    const KIND: &'static str = "part";

    fn all() -> Vec<(&'static str, Self)> {
        Self::ALL.iter().map(|part| (part.word(), *part)).collect()
    }
}

/// What the rhythm section plays.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Groove {
    /// Four to the bar, or as many as it has.
    Walking,
    /// A bass of two notes a bar.
    TwoFeel,
    /// Even eighths over a bass of root and fifth.
    Bossa,
    /// Three in a bar, felt as one.
    Waltz,
    /// Slow, with brushes.
    Ballad,
}

/// Below this many quarters a minute swing is a ballad (common practice, no source).
const BALLAD_BELOW: f64 = 76.0;

impl Groove {
    /// What is usual for a metre, a feel and so many quarters a minute.
    pub fn usual(metre: Metre, feel: Feel, quarters: f64) -> Self {
        match (metre, feel) {
            (Metre::ThreeFour, _) => Self::Waltz,
            (Metre::FourFour, Feel::Even) => Self::Bossa,
            (Metre::FourFour, Feel::Swing) if quarters < BALLAD_BELOW => Self::Ballad,
            _ => Self::Walking,
        }
    }

    /// Whether it can be played in a metre.
    pub const fn fits(self, metre: Metre) -> bool {
        match self {
            Self::Walking | Self::TwoFeel | Self::Ballad => true,
            Self::Bossa => matches!(metre, Metre::FourFour),
            Self::Waltz => matches!(metre, Metre::ThreeFour),
        }
    }

    /// Who plays it where nobody says so.
    pub fn usual_parts(self) -> BTreeSet<Part> {
        let drums = if self == Self::Ballad { Part::Brushes } else { Part::Ride };
        BTreeSet::from([Part::Bass, drums, Part::HiHat])
    }

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Walking => "walking",
            Self::TwoFeel => "two-feel",
            Self::Bossa => "bossa",
            Self::Waltz => "waltz",
            Self::Ballad => "ballad",
        }
    }
}

impl ChoiceWord for Groove {
    const KIND: &'static str = "groove";

    fn all() -> Vec<(&'static str, Self)> {
        let all = [Self::Walking, Self::TwoFeel, Self::Bossa, Self::Waltz, Self::Ballad];
        all.map(|groove| (groove.word(), groove)).to_vec()
    }
}

/// Which beats click.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Clicks {
    /// All.
    #[default]
    All,
    /// Two and four: the second beat of each half of the bar.
    TwoAndFour,
    /// All, in every other bar.
    EveryOtherBar,
}

impl ChoiceWord for Clicks {
    const KIND: &'static str = "way to click";

    fn all() -> Vec<(&'static str, Self)> {
        vec![
            ("all", Self::All),
            ("two-and-four", Self::TwoAndFour),
            ("every-other-bar", Self::EveryOtherBar),
        ]
    }
}
