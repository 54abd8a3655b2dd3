//! Kinds of document.

use serde::{Deserialize, Serialize};

/// What kind of document is made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DocumentForm {
    /// Cover, contents, a page for each key, and a practice log.
    #[default]
    Workbook,
    /// The pages of the keys alone.
    Handout,
    /// Boxes that ask for drills in keys, with the answers overleaf.
    Review,
}

impl DocumentForm {
    /// Every form.
    pub const ALL: [Self; 3] = [Self::Workbook, Self::Handout, Self::Review];

    /// The word for it, as recipes write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Workbook => "workbook",
            Self::Handout => "handout",
            Self::Review => "review",
        }
    }
}
