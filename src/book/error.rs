//! Why pages cannot be laid out.

use thiserror::Error;

use crate::canvas::paper::Paper;
use crate::canvas::picture::LogoError;
use crate::engrave::StaffSize;
use crate::source::{DrillField, Field, RecipeField};
use crate::theory::Key;
use crate::typeset::fit::Misfit;

/// Why pages cannot be laid out.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PageError {
    /// A bar is wider than a page, or a system higher.
    #[error(
        "{}: a bar of it is larger than a page of {}; {}",
        .key.words(),
        paper.word(),
        .nearest.map_or_else(
            || "print it on larger paper, or upright".to_owned(),
            |staff| format!("with staves of {staff} mm it has room: write staff = {staff}, or --staff {staff}"),
        )
    )]
    NoRoom {
        /// The key.
        key: Key,
        /// The sheet.
        paper: Paper,
        /// The largest staff that the drill would have room with, if one is known.
        nearest: Option<StaffSize>,
    },
    /// More keys than a page holds.
    #[error(
        "{asked} keys to a page do not fit on {}; write keys-a-page = {most}, or --keys-a-page {most}",
        paper.word(),
    )]
    TooManyKeys {
        /// How many keys were to share a page.
        asked: usize,
        /// How many can.
        most: usize,
        /// The sheet.
        paper: Paper,
    },
    /// More bars than stand on a line.
    #[error(
        "{asked} bars to a line do not fit on {}; write bars = {most}, or --bars {most}",
        paper.word(),
    )]
    TooManyBars {
        /// How many bars a line was to have.
        asked: usize,
        /// How many it can have.
        most: usize,
        /// The sheet.
        paper: Paper,
    },
    /// A character that the text face cannot show.
    #[error(
        "{field} has {found:?} (U+{:04X}), which the text face cannot show; leave it out",
        *.found as u32
    )]
    Unshowable {
        /// The field.
        field: &'static str,
        /// The character.
        found: char,
    },
    /// Words too wide for their place, even at the least size on the most lines.
    #[error("{field} is too long for its place on the page; shorten it")]
    TooLong {
        /// The field.
        field: &'static str,
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

impl From<Misfit> for PageError {
    fn from(misfit: Misfit) -> Self {
        match misfit {
            Misfit::Unshowable { field, found } => Self::Unshowable { field, found },
            Misfit::TooLong { field } => Self::TooLong { field },
        }
    }
}

impl PageError {
    /// The field whose words cannot stand on the page, if it is about one.
    pub fn field(&self) -> Option<Field> {
        let words = match self {
            Self::Unshowable { field, .. } | Self::TooLong { field } => *field,
            Self::InDrill { error, .. } => return error.field(),
            Self::NoRoom { .. }
            | Self::TooManyKeys { .. }
            | Self::TooManyBars { .. }
            | Self::Logo(_) => return None,
        };
        Some(match words {
            "title" => RecipeField::Title.into(),
            "student" => RecipeField::Student.into(),
            "studio" => RecipeField::Studio.into(),
            "the drill's `title`" => DrillField::Title.into(),
            "the drill's `about`" => DrillField::About.into(),
            "the drill's `listen`" => DrillField::Listen.into(),
            _ => return None,
        })
    }
}
