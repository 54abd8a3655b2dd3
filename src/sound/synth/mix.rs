//! The mix: strokes added where they are played, a window of a few seconds at a time.
//!
//! However long the track, only the plan, the voices there is room for and two windows are held.
//! Each block of a window is the sum of its strokes in one order, whichever thread adds them.

use std::collections::BTreeMap;

use super::dsp::RATE;
use super::plan::{MixEvent, MixPlan};
use super::store::{VoiceSamples, VoiceStore};
use super::voice::Voice;
use crate::parallel;

/// Frames that one thread mixes at once.
const BLOCK: usize = 8192;

/// Frames of a window, three seconds.
pub(super) const WINDOW: usize = 16 * BLOCK;

/// A stroke that sounds, with its samples.
#[derive(Debug)]
struct SoundingStroke<'a> {
    event: &'a MixEvent,
    sound: VoiceSamples,
}

/// What makes the sound of a voice, of at least some frames.
pub(super) trait Players: Sync {
    /// The samples, from the moment of the stroke on.
    fn sound(&self, voice: Voice, length: usize) -> Vec<f32>;
}

/// Mixes a plan from its first frame to its last.
pub(super) struct Mixer<'a, P> {
    plan: &'a MixPlan,
    players: &'a P,
    pub(super) store: VoiceStore,
    sounding: Vec<SoundingStroke<'a>>,
    /// The next event to begin.
    next: usize,
    /// The next frame to mix.
    at: u64,
}

impl<'a, P: Players> Mixer<'a, P> {
    /// With the store of an earlier round, or a new one.
    pub(super) fn new(plan: &'a MixPlan, players: &'a P, mut store: VoiceStore) -> Self {
        store.start_again(plan.events.len());
        Self { plan, players, store, sounding: Vec::new(), next: 0, at: 0 }
    }

    /// The next window; shorter at the end, and then empty.
    pub(super) fn window(&mut self) -> Vec<f32> {
        let length = (self.plan.frames - self.at).min(WINDOW as u64) as usize;
        let end = self.at + length as u64;
        self.begin(end);
        let starts = (0..length).step_by(BLOCK);
        let blocks = parallel::map(starts, |start| {
            let mut block = vec![0.0; BLOCK.min(length - start)];
            for sounding in &self.sounding {
                sounding.add(self.at + start as u64, &mut block);
            }
            block
        });
        self.at = end;
        self.sounding.retain(|sounding| sounding.event.end() > end);
        blocks.concat()
    }

    /// Takes up the events that begin before a frame, and makes the voices that are missing.
    fn begin(&mut self, before: u64) {
        let first = self.next;
        let events = &self.plan.events;
        self.next += events[first..].partition_point(|event| event.start < before);
        let begun = &events[first..self.next];
        let mut missing: Vec<Voice> = begun.iter().map(|event| event.voice).collect();
        missing.sort_unstable();
        missing.dedup();
        missing.retain(|&voice| self.store.get(voice).is_none());
        let made: Vec<VoiceSamples> = parallel::map(missing.iter(), |&voice| {
            let needed = self.plan.needed.get(&voice).copied().unwrap_or_default();
            self.players.sound(voice, needed as usize).into()
        });
        for event in begun {
            let made = missing.binary_search(&event.voice).ok().map(|at| &made[at]);
            let sound = made.or_else(|| self.store.get(event.voice)).map(VoiceSamples::clone);
            self.sounding.extend(sound.map(|sound| SoundingStroke { event, sound }));
        }
        // The last event of a voice in this window says when it comes again.
        for event in begun {
            self.store.put_off(event.voice, event.again);
        }
        let mut again: BTreeMap<Voice, usize> = BTreeMap::new();
        again.extend(begun.iter().map(|event| (event.voice, event.again)));
        for (voice, sound) in missing.iter().zip(&made) {
            self.store.keep(*voice, sound, again.get(voice).copied().unwrap_or(usize::MAX));
        }
    }
}

impl MixEvent {
    /// The frame after its last.
    fn end(&self) -> u64 {
        self.start + u64::from(self.lasts)
    }
}

impl SoundingStroke<'_> {
    /// Adds what falls into a block that begins at a frame.
    fn add(&self, at: u64, block: &mut [f32]) {
        let MixEvent { start, held, lasts, damping, level, .. } = *self.event;
        let lasts = self.sound.len().min(lasts as usize);
        let skipped = start.saturating_sub(at) as usize;
        let from = at.saturating_sub(start) as usize;
        if skipped >= block.len() || from >= lasts {
            return;
        }
        let block = &mut block[skipped..];
        let to = lasts.min(from + block.len());
        let held = (held as usize).clamp(from, to);
        let (ringing, damped) = self.sound[from..to].split_at(held - from);
        for (out, &sample) in block.iter_mut().zip(ringing) {
            *out += level * sample;
        }
        // How far it was damped before this block.
        let before = (from + ringing.len()) as f64 - f64::from(self.event.held);
        let mut left = level * libm::pow(damping, before.max(0.0)) as f32;
        let damping = damping as f32;
        for (out, &sample) in block[ringing.len()..].iter_mut().zip(damped) {
            *out += left * sample;
            left *= damping;
        }
    }
}

/// Seconds of a number of frames.
pub(super) fn seconds(frames: u64) -> f64 {
    frames as f64 / f64::from(RATE)
}

#[cfg(test)]
mod tests {
    use super::super::OwnInstruments;
    use super::super::testing::{band, only};
    use super::*;
    use crate::sound::Performance;

    fn mixed(performance: &Performance) -> (Vec<f32>, usize) {
        let plan = MixPlan::new(performance).unwrap();
        let mut mixer = Mixer::new(&plan, &OwnInstruments, VoiceStore::default());
        let mut all = Vec::new();
        loop {
            let window = mixer.window();
            if window.is_empty() {
                return (all, mixer.store.most);
            }
            all.extend(window);
        }
    }

    #[test]
    fn the_mix_is_the_sum_of_its_parts() {
        let band = band(140.0, 4);
        let (all, _) = mixed(&band);
        let mut sum = vec![0.0f32; all.len()];
        for track in &band.tracks {
            let (part, _) = mixed(&only(&band, track.part));
            assert!(part.iter().any(|&x| x.abs() > 0.01), "{:?} is silent", track.part);
            sum.iter_mut().zip(part).for_each(|(sum, x)| *sum += x);
        }
        let apart = all.iter().zip(&sum).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
        assert!(apart < 1e-5, "{apart}");
    }

    #[test]
    fn every_stroke_stops_where_the_plan_says() {
        let band = band(100.0, 2);
        let plan = MixPlan::new(&band).unwrap();
        for event in &plan.events {
            let sound: VoiceSamples = event.voice.sound(event.lasts as usize).into();
            let mut alone = vec![0.0; event.lasts as usize + 10];
            SoundingStroke { event, sound }.add(event.start, &mut alone);
            let end = alone[event.lasts as usize - 40..].iter().fold(0.0f32, |m, x| m.max(x.abs()));
            assert!(end < 1e-4, "{event:?} ends at {end}");
        }
    }

    /// An hour: what is kept stays within its room, what sounds at once is a handful, and voices
    /// are seldom made twice.
    #[test]
    fn memory_is_flat_for_an_hour() {
        struct Counted(std::sync::atomic::AtomicUsize);
        impl Players for Counted {
            fn sound(&self, _: Voice, length: usize) -> Vec<f32> {
                self.0.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
                vec![0.1; length]
            }
        }
        let hour = band(60.0, 900);
        let plan = MixPlan::new(&hour).unwrap();
        assert!(plan.frames > 3600 * 44_100);
        let players = Counted(0.into());
        let mut mixer = Mixer::new(&plan, &players, VoiceStore::default());
        let mut most = 0;
        while !mixer.window().is_empty() {
            most = most.max(mixer.sounding.len());
        }
        assert!(mixer.store.most <= super::super::store::ROOM);
        assert!(most < 60, "{most} strokes sound at once");
        let made = players.0.load(std::sync::atomic::Ordering::Relaxed);
        let wanted = plan.needed.len();
        assert!(
            made <= 2 * wanted,
            "{made} voices made for {wanted}, {} strokes",
            plan.events.len()
        );
    }

    #[test]
    fn two_threads_mix_what_one_does() {
        let band = band(120.0, 4);
        let pool = |threads| rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let [one, two] = [1, 2].map(|threads| pool(threads).install(|| mixed(&band).0));
        assert!(one == two);
    }
}
