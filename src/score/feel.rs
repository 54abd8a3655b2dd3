//! How eighths are played.

use serde::{Deserialize, Serialize};

/// How pairs of eighths are played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Feel {
    /// Long and short.
    Swing,
    /// Alike.
    Even,
}
