//! From a performance to what is to be mixed: which voice from which frame on, how loud, how long.

use std::collections::BTreeMap;

use super::clock::PulseClock;
use super::dsp::{LN_1000, RATE_F, frames};
use super::voice::{Instrument, Voice, level};
use super::{LONGEST, SoundError};
use crate::sound::Performance;

/// Decibels below its level at which a damped note is let go, as a part of its T60.
const LET_GO: f64 = 100.0 / 60.0;

/// A stroke in frames.
#[derive(Clone, Copy, Debug)]
pub(super) struct MixEvent {
    /// The frame at which it begins.
    pub(super) start: u64,
    /// Frames until it is damped; `u32::MAX` if never.
    pub(super) held: u32,
    /// Frames that it lasts at most.
    pub(super) lasts: u32,
    /// By what each sample shrinks from then on.
    pub(super) damping: f64,
    /// The event that next plays its voice, in a round: after the last comes the first.
    pub(super) again: usize,
    /// What its samples are multiplied by.
    pub(super) level: f32,
    pub(super) voice: Voice,
}

/// All that is to be mixed.
#[derive(Debug, Default)]
pub(super) struct MixPlan {
    /// In the order in which they begin.
    pub(super) events: Vec<MixEvent>,
    /// How much of each voice is needed, in frames.
    pub(super) needed: BTreeMap<Voice, u32>,
    /// Frames of the whole track, with what rings on at its end.
    pub(super) frames: u64,
}

impl MixPlan {
    /// Errors if it would be too long, if a tempo cannot be played, or if an instrument has not
    /// the pitch.
    pub(super) fn new(performance: &Performance) -> Result<Self, SoundError> {
        let clock = PulseClock::new(&performance.tempi)?;
        let mut plan = Self::default();
        let frame = |second: f64| -> Result<u64, SoundError> {
            if second > LONGEST as f64 {
                return Err(SoundError::TooLong { seconds: second });
            }
            Ok((second * RATE_F + 0.5) as u64)
        };
        // The end first: a message tells how long the whole would be.
        plan.frames = frame(clock.seconds(performance.length))?;
        for track in &performance.tracks {
            let instrument = Instrument::of(track.part);
            let mut turns: BTreeMap<Voice, usize> = BTreeMap::new();
            for &stroke in &track.strokes {
                if !instrument.has(stroke.pitch) {
                    return Err(SoundError::Pitch { part: track.part, pitch: stroke.pitch });
                }
                let begun = clock.seconds(stroke.at);
                let held = clock.seconds(stroke.at.saturating_add(stroke.length)) - begun;
                let voice = Voice::of(instrument, stroke, held);
                let turn = turns.entry(voice).or_default();
                let take = voice.in_turn(*turn);
                *turn += 1;
                plan.add(take, frame(begun)?, held, level(instrument, stroke.strength));
            }
        }
        // By time, and for one time by part and order, so that sums come out alike.
        plan.events.sort_by_key(|event| event.start);
        plan.look_ahead();
        frame(plan.frames as f64 / RATE_F)?;
        Ok(plan)
    }

    /// Tells each event when its voice comes again; a track is mixed twice, one time to measure it.
    fn look_ahead(&mut self) {
        let count = self.events.len();
        let mut next: BTreeMap<Voice, usize> = BTreeMap::new();
        for round in [count, 0] {
            for (at, event) in self.events.iter_mut().enumerate().rev() {
                // What the next round begins with waits until then.
                let again = next.insert(event.voice, at + round);
                event.again = again.unwrap_or(usize::MAX);
            }
        }
    }

    fn add(&mut self, voice: Voice, start: u64, seconds: f64, level: f32) {
        let longest = voice.longest();
        let held = frames(seconds).min(longest);
        let (held, damping, lasts) = match voice.damping() {
            Some(damping) => {
                let tail = LET_GO * LN_1000 / -libm::log(damping);
                (held as u32, damping, (held + tail as usize).min(longest) as u32)
            }
            None => (u32::MAX, 1.0, longest as u32),
        };
        let needed = self.needed.entry(voice).or_default();
        *needed = (*needed).max(lasts);
        self.frames = self.frames.max(start + u64::from(lasts));
        self.events.push(MixEvent { start, held, lasts, damping, again: 0, level, voice });
    }
}
