//! What is wrong with a chord symbol.

use std::fmt;
use std::ops::Range;

use super::chord_kind::KindError;

/// Why a chord symbol cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChordError {
    /// Where the piece stands in the symbol, in bytes.
    pub at: Range<usize>,
    /// The piece that cannot be read; empty at the end of the symbol.
    pub piece: String,
    /// What is wrong with it.
    pub problem: ChordProblem,
}

/// What is wrong with a piece of a chord symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ChordProblem {
    /// Something else was expected here, named in words that follow "expected".
    Expected(&'static str),
    /// An H, which German charts write for B.
    GermanH,
    /// It is read in two ways, each given as the symbol that says it plainly.
    TwoReadings(String, String),
    /// It was said before, or goes without saying in what was.
    SaidTwice,
    /// The parts contradict one another.
    Kind(KindError),
}

impl fmt::Display for ChordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let piece = &self.piece;
        match &self.problem {
            ChordProblem::Expected(what) if piece.is_empty() => {
                write!(f, "the chord ends where {what} is expected")
            }
            ChordProblem::Expected(what) => write!(f, "`{piece}` stands where {what} is expected"),
            ChordProblem::GermanH => {
                write!(f, "`{piece}` is B in German charts alone: write B")
            }
            ChordProblem::TwoReadings(one, other) => {
                write!(f, "`{piece}` may be read in two ways: write {one} or {other}")
            }
            ChordProblem::SaidTwice => write!(f, "the chord has its `{piece}` already"),
            ChordProblem::Kind(error) => write!(f, "`{piece}` is no chord: {error}"),
        }
    }
}

impl std::error::Error for ChordError {}
