//! What a drill of a course has otherwise than the whole course.

use serde::{Deserialize, Serialize};

use super::lesson::Level;
use crate::drill::Hands;
use crate::source::RecipeField as Field;
use crate::theory::AskedKey;

/// What a drill of a course has otherwise than the whole course.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields, expecting = "what a drill of a course has")]
pub struct OwnSettings {
    /// Its keys; none where it has those of the course.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub keys: Vec<AskedKey>,
    /// Its level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// Its first tempo.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tempo: Option<u16>,
    /// The tempo to arrive at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goal: Option<u16>,
    /// Which hands play it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hands: Option<Hands>,
}

/// What a drill of a course can have of its own.
pub(super) const OWN: [Field; 5] =
    [Field::Keys, Field::Level, Field::Tempo, Field::Goal, Field::Hands];

impl OwnSettings {
    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}
