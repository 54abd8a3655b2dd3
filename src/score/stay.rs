//! The harmony under a piece, whoever plays it and whether anybody does.

use super::metre::Ticks;
use crate::theory::{Chord, Interval};

/// A chord for as long as the harmony stays with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stay {
    /// When the harmony comes to it, whether or not a hand is early.
    pub at: Ticks,
    /// When the harmony leaves it.
    pub end: Ticks,
    /// The chord.
    pub chord: Chord,
    /// The scale that goes with it, above its root.
    pub scale: [Interval; 7],
}
