//! A piece at its place of a track.

use super::ending::LastEnding;
use super::performance::{PULSES, Pulses};
use super::piece::SoundPiece;
use crate::score::{Metre, QUARTER, Ticks};

/// A piece at its place of the track.
pub(super) struct TrackStretch<'a> {
    pub(super) piece: &'a SoundPiece,
    /// Which it is in the track.
    pub(super) index: usize,
    pub(super) at: Pulses,
    pub(super) tempo: u16,
    /// The chorus that it begins with, from 0, and how many it has.
    pub(super) first_chorus: usize,
    pub(super) choruses: usize,
    /// How long its end sounds beyond its choruses: what is held, and a chord to end on.
    pub(super) rest: Pulses,
    /// The bar to breathe after it, where there is one.
    pub(super) breath: Pulses,
    /// Whether nothing but a breath or the end follows it.
    pub(super) is_last: bool,
    /// Whether a bar comes before it that is counted.
    pub(super) has_lead: bool,
}

impl TrackStretch<'_> {
    /// How long its choruses last.
    pub(super) fn length(&self) -> Pulses {
        pulses(self.ticks())
    }

    /// The same, in ticks of its pieces.
    pub(super) fn ticks(&self) -> Ticks {
        self.heard().map(|(_, piece)| piece.length()).sum()
    }

    /// Its choruses, each with the moment at which it begins: only the last may be a last time.
    pub(super) fn heard(&self) -> impl Iterator<Item = (Ticks, &SoundPiece)> {
        let mut from = 0;
        (1..=self.choruses).map(move |count| {
            let piece = self.piece.heard(self.is_last && count == self.choruses);
            let at = from;
            from += piece.length();
            (at, piece)
        })
    }

    /// The ending, where this is a last time and it sounds.
    pub(super) fn ending(&self) -> Option<LastEnding> {
        self.piece.ending.filter(|_| self.rest > 0)
    }

    /// Whether what stands before the first bar is heard: there is a bar for it.
    pub(super) fn has_pick_up(&self) -> bool {
        self.has_lead && !self.piece.pick_up.is_empty()
    }

    /// When what comes after it begins.
    pub(super) fn end(&self) -> Pulses {
        self.at + self.length() + self.breath.max(self.rest)
    }
}

/// A length of a score in pulses.
pub(super) fn pulses(ticks: Ticks) -> Pulses {
    Pulses::try_from(ticks).unwrap_or(0) * (PULSES / QUARTER as Pulses)
}

/// Quarters a minute at so many felt beats.
pub(super) fn quarters(metre: Metre, tempo: u16) -> f64 {
    f64::from(tempo) * f64::from(metre.felt_beat()) / f64::from(QUARTER)
}
