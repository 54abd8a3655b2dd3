//! Why something cannot be played.

use thiserror::Error;

use super::options::Groove;
use super::performance::Part;
use crate::score::{Metre, TEMPI};

/// Most minutes of a track: longer than anybody practises at a stretch (ours).
pub const MOST_MINUTES: u32 = 60;

/// The fastest that a track may rise to, in beats a minute: the fastest tempo of a sheet.
pub(super) const FASTEST: u16 = *TEMPI.end();

/// Why something cannot be played as it was asked for.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum CannotPlay {
    /// It would last too long.
    #[error("the track would last {}, and the longest is {MOST_MINUTES} minutes", lasting(*.seconds))]
    TooLong {
        /// How long it would last.
        seconds: u64,
        /// How many choruses do not last too long; none where one does.
        choruses: usize,
    },
    /// A part would have to strike faster than anybody hears apart.
    #[error("at {tempo} beats a minute {} has {milliseconds} ms from stroke to stroke, which nobody hears apart", .part.word())]
    TooFast {
        /// The part.
        part: Part,
        /// The tempo.
        tempo: u16,
        /// The time from one stroke to the next.
        milliseconds: u32,
        /// The fastest tempo at which it can be played so.
        fastest: u16,
        /// Whether only the rise of the tempo leads there.
        rises: bool,
    },
    /// The tempo would rise too far.
    #[error(
        "the last chorus would go at {fastest} beats a minute, and the fastest tempo is {FASTEST}"
    )]
    RisesTooFar {
        /// The tempo of the last chorus.
        fastest: u32,
        /// How many choruses do not go too fast.
        choruses: usize,
    },
    /// A bass beside a left hand that is one.
    #[error("the left hand is a bass line itself, and two basses at once are none")]
    TwoBasses,
    /// A groove of another metre.
    #[error("{} cannot be played in {metre}", .groove.word())]
    Groove {
        /// The groove.
        groove: Groove,
        /// The metre.
        metre: Metre,
        /// One that can.
        usual: Groove,
    },
    /// Nothing to play.
    #[error("there is no bar to play")]
    NoBars,
    /// Nobody to play.
    #[error("no part is left that plays anything here")]
    NoParts,
}

/// A time in words.
fn lasting(seconds: u64) -> String {
    let (hours, minutes) = (seconds / 3600, seconds.div_ceil(60) % 60);
    match (hours, seconds < 60 * 60) {
        (_, true) => format!("{} minutes", seconds.div_ceil(60)),
        (hours, false) => format!("{hours} h {minutes:02} min"),
    }
}
