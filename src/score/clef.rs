//! The clefs, and where they put a pitch.

use crate::theory::Pitch;

/// The clefs in use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clef {
    /// G clef: G4 on the second line.
    Treble,
    /// F clef: F3 on the fourth line.
    Bass,
}

impl Clef {
    /// The staff step (see [`Pitch::staff_step`]) of the middle line: B4, or D3.
    pub const fn middle_line(self) -> i32 {
        match self {
            Self::Treble => 34,
            Self::Bass => 22,
        }
    }

    /// The staff position of a pitch: half-spaces above the middle line.
    pub fn position(self, pitch: Pitch) -> i32 {
        pitch.staff_step() - self.middle_line()
    }

    /// Ledger lines that a pitch needs.
    pub fn ledger_lines(self, pitch: Pitch) -> i32 {
        (self.position(pitch).abs() - 4).max(0) / 2
    }
}
