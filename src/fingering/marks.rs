//! Which fingers are printed.

use serde::{Deserialize, Serialize};

/// Which notes show their finger.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FingeringMarks {
    /// Every note.
    All,
    /// Every note of the first bar of each passage.
    FirstBars,
    /// The notes where the hand starts or moves.
    #[default]
    Changes,
    /// None.
    None,
}
