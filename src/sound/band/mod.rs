//! The rhythm section: bass, drums, soft chords and a click, made from the harmony.

mod bass;
mod click;
mod comping;
mod drums;
#[cfg(test)]
mod tests;

use super::options::{Clicks, Groove};
use super::performance::Part;
use crate::score::{Metre, Stay, Ticks};

pub(super) use click::{count_in, counted_in};

/// What a rhythm section plays from: a piece in one key, as often as it is played.
#[derive(Clone, Debug)]
pub(super) struct Sheet {
    pub(super) metre: Metre,
    /// How many bars are played in all.
    pub(super) bars: usize,
    /// The harmony of all of them.
    pub(super) stays: Vec<Stay>,
    /// From when on the end is held at will.
    pub(super) held: Option<Ticks>,
    pub(super) groove: Groove,
    pub(super) clicks: Clicks,
    pub(super) seed: u64,
}

/// A stroke before it swings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Hit {
    pub(super) at: Ticks,
    pub(super) end: Ticks,
    pub(super) pitch: u8,
    pub(super) strength: u8,
}

impl Sheet {
    /// What a part plays, in order; nothing where it is a hand of the drill.
    pub(super) fn played_by(&self, part: Part) -> Vec<Hit> {
        let hits = match part {
            Part::PianoRight | Part::PianoLeft => Vec::new(),
            Part::Comping => comping::chords(self),
            Part::Bass => bass::line(self),
            Part::Ride => drums::ride(self),
            Part::HiHat => drums::hi_hat(self),
            Part::Brushes => drums::brushes(self),
            Part::Click => click::click(self),
        };
        self.with_its_end(hits)
    }

    /// The length of all bars.
    pub(super) fn length(&self) -> Ticks {
        self.metre.bar() * self.bars as Ticks
    }

    /// The strokes up to the end that is held, where what is struck last is held too.
    fn with_its_end(&self, mut hits: Vec<Hit>) -> Vec<Hit> {
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
