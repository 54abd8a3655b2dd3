//! The size of a hand.

use serde::{Deserialize, Serialize};

/// How large the hand is that fingers are chosen for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum HandSize {
    /// Spans less than an octave with ease.
    Small,
    /// Spans an octave with ease.
    #[default]
    Medium,
    /// Spans a tenth.
    Large,
}
