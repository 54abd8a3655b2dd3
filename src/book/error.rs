//! Why pages cannot be laid out.

use std::fmt;

use thiserror::Error;

use crate::canvas::paper::Paper;
use crate::canvas::picture::LogoError;
use crate::engrave::StaffSize;
use crate::source::{ChartField, DrillField, Field, RecipeField};
use crate::theory::Key;
use crate::typeset::fit::Unfit;

/// Why pages cannot be laid out.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PageError {
    /// A bar is wider than a page, or a system higher.
    #[error("{}: a bar of it is larger than a page of {}", .key.words(), paper.word())]
    NoRoom {
        /// The key.
        key: Key,
        /// The sheet.
        paper: Paper,
        /// The largest staff that the drill would have room with, if one is known.
        nearest: Option<StaffSize>,
    },
    /// More keys than a page holds.
    #[error("{asked} keys to a page do not fit on {}", paper.word())]
    TooManyKeys {
        /// How many keys were to share a page.
        asked: usize,
        /// How many can.
        most: usize,
        /// The sheet.
        paper: Paper,
    },
    /// More bars than stand on a line.
    #[error("{asked} bars to a line do not fit on {}", paper.word())]
    TooManyBars {
        /// How many bars a line was to have.
        asked: usize,
        /// How many it can have.
        most: usize,
        /// The sheet.
        paper: Paper,
    },
    /// A character that the text face cannot show.
    #[error("{whose} has {found:?} (U+{:04X}), which the text face cannot show", *.found as u32)]
    Unshowable {
        /// Whose words they are.
        whose: Whose,
        /// The character.
        found: char,
    },
    /// Words too wide for their place, even at the least size on the most lines.
    #[error("{whose} is too long for its place on the page")]
    TooLong {
        /// Whose words they are.
        whose: Whose,
    },
    /// A note of the teacher's that has no room.
    #[error(
        "note is too long for its place on the page, which has room for about {room} of its \
         {length} characters"
    )]
    LongNote {
        /// How many characters it has.
        length: usize,
        /// How many of them have room, from the first.
        room: usize,
    },
    /// Something about one drill of a course.
    #[error("drill `{drill}`: {error}")]
    InDrill {
        /// The name of the drill.
        drill: String,
        /// What about it.
        error: Box<PageError>,
    },
    /// The picture cannot be used.
    #[error("logo: {0}")]
    Logo(#[from] LogoError),
}

/// Whose words stand on a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Whose {
    /// A field of the recipe.
    Recipe(RecipeField),
    /// A field of the drill.
    Drill(DrillField),
    /// A field of the chart.
    Chart(ChartField),
    /// Ours: what the table before a drill is for.
    Legend,
    /// Ours: what is to be written in.
    Task,
    /// Ours: the page on practising.
    Practice,
}

impl Whose {
    /// The field, where it is one that a teacher wrote.
    pub fn field(self) -> Option<Field> {
        match self {
            Self::Recipe(field) => Some(field.into()),
            Self::Drill(field) => Some(field.into()),
            Self::Chart(field) => Some(field.into()),
            Self::Legend | Self::Task | Self::Practice => None,
        }
    }
}

impl fmt::Display for Whose {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Recipe(field) => f.write_str(field.name()),
            Self::Drill(field) => write!(f, "the drill's `{}`", field.name()),
            Self::Chart(field) => write!(f, "the chart's `{}`", field.name()),
            Self::Legend => f.write_str("the legend"),
            Self::Task => f.write_str("what is to be written in"),
            Self::Practice => f.write_str("how to practise"),
        }
    }
}

impl From<Unfit<Whose>> for PageError {
    fn from(unfit: Unfit<Whose>) -> Self {
        match unfit {
            Unfit::Unshowable { whose, found } => Self::Unshowable { whose, found },
            Unfit::TooLong { whose } => Self::TooLong { whose },
        }
    }
}
