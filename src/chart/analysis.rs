//! What the changes of a tune say of keys: the answer of an analysis.

use crate::score::Ticks;
use crate::theory::{BorrowedTarget, Chord, Key, NoteName, Numeral};

/// The reading of a tune.
///
/// Costs are in one unit, about the price of one secondary dominant; a margin is by how much the
/// next best reading costs more.
#[derive(Clone, Debug, PartialEq)]
pub struct Analysis {
    /// The main key. A blues is a major key.
    pub home: Key,
    /// How far the main key is ahead of the second, in the unit of costs.
    pub margin: f64,
    /// The key that would be home if this one were not.
    pub second: Option<NearKey>,
    /// Whether home is the home of a blues, where I7 is at rest.
    pub is_blues: bool,
    /// Whether no cadence says where home is, so that the longest rest does: "modal, no cadence".
    pub is_modal: bool,
    /// One reading a written change that has a chord, in the order in which they are written; one
    /// that is heard several times has the reading that it has most often, of equal ones the first.
    pub readings: Vec<ChordReading>,
    /// The key areas in the order in which they are heard, without gaps. The first and the last
    /// are not home where a tune begins or ends elsewhere.
    pub areas: Vec<Area>,
    /// The cadences in the order in which they are heard, each time they are.
    pub cadences: Vec<Cadence>,
}

/// A key that was nearly taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NearKey {
    /// The key.
    pub key: Key,
    /// By how much it costs more.
    pub by: f64,
}

/// What a chord does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Function {
    /// At rest, or in place of what is.
    Tonic,
    /// Away from rest, often on the way to a dominant.
    Subdominant,
    /// Wants to resolve.
    Dominant,
    /// Joins its neighbours.
    Passing,
}

/// The reading of a chord.
#[derive(Clone, Debug, PartialEq)]
pub struct ChordReading {
    /// The place of the change among all that are written, as in [`super::HeldChord::written`].
    pub written: usize,
    /// When it is heard for the first time, from the first beat of the first bar.
    pub at: Ticks,
    /// How often it is heard.
    pub heard: usize,
    /// The chord as it is written.
    pub chord: Chord,
    /// The key that it is read in.
    pub key: Key,
    /// Its numeral in that key.
    pub numeral: Numeral,
    /// What it does there.
    pub function: Function,
    /// The root that it leads to, if it leads anywhere.
    pub target: Option<NoteName>,
    /// What an applied chord is applied to: ii in V7/ii.
    pub goal: Option<BorrowedTarget>,
    /// Why, in a line for a student.
    pub reason: String,
    /// By how much the next best reading costs more.
    pub margin: f64,
    /// The next best reading where it is near.
    pub other: Option<OtherReading>,
}

/// A second reading that is nearly as good as the first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherReading {
    /// The key that it is read in.
    pub key: Key,
    /// Its numeral in that key.
    pub numeral: Numeral,
    /// What it does there.
    pub function: Function,
    /// By how much it costs more.
    pub by: f64,
}

/// A stretch of a tune in one key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    /// When it begins, from the first beat of the first bar; before 0 in a pick-up.
    pub from: Ticks,
    /// When it ends.
    pub until: Ticks,
    /// The bar in which it begins, as heard, counted from 0; a pick-up counts to bar 0.
    pub first_bar: usize,
    /// The bar in which it ends.
    pub last_bar: usize,
    /// The key.
    pub key: Key,
    /// Whether its tonic sounds at rest: stayed in, not only touched.
    pub is_stayed: bool,
    /// The key around it, where the chords could nearly be read in that.
    pub near: Option<NearKey>,
}

/// What closes, or tries to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CadenceKind {
    /// A ii-V that arrives on a major chord.
    TwoFiveOneMajor,
    /// A ii-V that arrives on a minor chord.
    TwoFiveOneMinor,
    /// A ii-V that arrives at no chord of rest.
    TwoFive,
    /// A dominant without ii that arrives on a major chord.
    FiveOneMajor,
    /// A dominant without ii that arrives on a minor chord.
    FiveOneMinor,
}

/// Which dominant a cadence has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CadenceForm {
    /// The fifth above the goal.
    Fifth,
    /// Its tritone substitute, a semitone above the goal.
    Tritone,
    /// The backdoor: a whole tone below the goal.
    Backdoor,
}

/// A ii-V, a ii-V-I or a V-I.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cadence {
    /// When its first chord begins.
    pub at: Ticks,
    /// When its dominant begins.
    pub dominant_at: Ticks,
    /// The places of its first chord and of its dominant among the written changes.
    pub written: [usize; 2],
    /// What it is.
    pub kind: CadenceKind,
    /// Which dominant it has.
    pub form: CadenceForm,
    /// Whether the goal comes, as a chord of rest or as a further link of a chain.
    pub is_resolved: bool,
    /// The root that it leads to.
    pub target: NoteName,
    /// The key area in which its dominant is read.
    pub key: Key,
}

impl Analysis {
    /// The reading of a written change; none where it has no chord.
    pub fn reading(&self, written: usize) -> Option<&ChordReading> {
        let found = self.readings.binary_search_by_key(&written, |reading| reading.written);
        found.ok().map(|place| &self.readings[place])
    }

    /// The cadences as a reader of the page has them: of those that one pair of written chords makes
    /// from one round to the next, the ones that lead where its dominant is read to lead, if any do.
    pub fn written_cadences(&self) -> impl Iterator<Item = &Cadence> {
        let fits = |it: &Cadence| {
            let target = self.reading(it.written[1]).and_then(|reading| reading.target);
            target.is_some_and(|target| target.pitch_class() == it.target.pitch_class())
        };
        self.cadences.iter().filter(move |it| {
            let mut same = self.cadences.iter().filter(|other| other.written == it.written);
            fits(it) || !same.any(fits)
        })
    }

    /// In how many of a hundred charts with such a margin the main key was right.
    ///
    /// Source: counts over charts analysed by people, rounded; a chart without cadence stands
    /// with those whose margin is smallest.
    pub fn sureness(&self) -> u32 {
        match self.margin {
            _ if self.is_modal => 65,
            ..1.0 => 65,
            1.0..2.0 => 76,
            2.0..3.0 => 87,
            _ => 95,
        }
    }
}

impl Function {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tonic => "tonic",
            Self::Subdominant => "subdominant",
            Self::Dominant => "dominant",
            Self::Passing => "passing",
        }
    }
}

impl CadenceKind {
    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::TwoFiveOneMajor => "ii-V-I",
            Self::TwoFiveOneMinor => "ii-V-i",
            Self::TwoFive => "ii-V",
            Self::FiveOneMajor => "V-I",
            Self::FiveOneMinor => "V-i",
        }
    }

    /// Whether it arrives on a minor chord of rest; none where it arrives on none at all.
    pub const fn arrival(self) -> Option<bool> {
        match self {
            Self::TwoFiveOneMajor | Self::FiveOneMajor => Some(false),
            Self::TwoFiveOneMinor | Self::FiveOneMinor => Some(true),
            Self::TwoFive => None,
        }
    }

    /// Whether it begins with a ii.
    pub const fn has_two(self) -> bool {
        matches!(self, Self::TwoFiveOneMajor | Self::TwoFiveOneMinor | Self::TwoFive)
    }
}

impl CadenceForm {
    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Fifth => "fifth",
            Self::Tritone => "tritone",
            Self::Backdoor => "backdoor",
        }
    }
}
