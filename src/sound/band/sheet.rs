//! What a rhythm section plays from, and what it plays.

use crate::score::{Metre, Stay, Ticks};
use crate::sound::options::{Clicks, Groove};

/// What a rhythm section plays from: a piece in one key, as often as it is played.
#[derive(Clone, Debug)]
pub(in crate::sound) struct BandSheet {
    pub(in crate::sound) metre: Metre,
    /// When its choruses begin, and what comes after the last of them.
    pub(in crate::sound) tops: Vec<Ticks>,
    /// How many bars are played in all, with one to end in where there is one.
    pub(in crate::sound) bars: usize,
    /// The harmony of all of them, and at moments below 0 that of a pick-up.
    pub(in crate::sound) stays: Vec<Stay>,
    /// From when on the end is held at will.
    pub(in crate::sound) held: Option<Ticks>,
    pub(in crate::sound) groove: Groove,
    pub(in crate::sound) clicks: Clicks,
    pub(in crate::sound) seed: u64,
}

/// A stroke before it swings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::sound) struct BandHit {
    pub(in crate::sound) at: Ticks,
    pub(in crate::sound) end: Ticks,
    pub(in crate::sound) pitch: u8,
    pub(in crate::sound) strength: u8,
}

impl BandSheet {
    /// The length of all bars.
    pub(in crate::sound) fn length(&self) -> Ticks {
        self.metre.bar() * self.bars as Ticks
    }

    /// The strokes up to the end that is held, where what is struck last is held too.
    pub(in crate::sound) fn with_its_end(&self, mut hits: Vec<BandHit>) -> Vec<BandHit> {
        let Some(held) = self.held else { return hits };
        // What is not struck there is not struck any more.
        hits.retain(|hit| hit.at <= held);
        let length = self.length();
        for hit in hits.iter_mut().rev().take_while(|hit| hit.end >= held) {
            if hit.at == held || hit.end > held {
                hit.end = length;
            }
        }
        hits
    }
}
