//! The voices that were made, as many as there is room for.
//!
//! The plan knows when each will be played again, so the one that waits longest goes first, which
//! no other rule beats (Belady 1966).

use std::collections::BTreeMap;
use std::sync::Arc;

use super::voice::Voice;

/// Bytes of samples that are kept.
pub(super) const ROOM: usize = 24 << 20;

/// The samples of a voice.
pub(super) type VoiceSamples = Arc<[f32]>;

/// Voices that were made, each with the event that will next play it.
#[derive(Debug, Default)]
pub(super) struct VoiceStore {
    kept: BTreeMap<Voice, (VoiceSamples, usize)>,
    bytes: usize,
    /// The most bytes that were ever kept.
    #[cfg(test)]
    pub(super) most: usize,
}

impl VoiceStore {
    /// The sound of a voice, if it is kept.
    pub(super) fn get(&self, voice: Voice) -> Option<&VoiceSamples> {
        self.kept.get(&voice).map(|(sound, _)| sound)
    }

    /// Says by which event a voice will be played next, if it is kept.
    pub(super) fn put_off(&mut self, voice: Voice, next: usize) {
        if let Some((_, until)) = self.kept.get_mut(&voice) {
            *until = next;
        }
    }

    /// A round of so many events is over, and they are counted from 0 again.
    pub(super) fn start_again(&mut self, events: usize) {
        for (_, until) in self.kept.values_mut() {
            *until = until.saturating_sub(events);
        }
    }

    /// Keeps a sound until an event, if there is room or if others wait longer.
    pub(super) fn keep(&mut self, voice: Voice, sound: &VoiceSamples, next: usize) {
        let bytes = size_of_val::<[f32]>(sound);
        self.forget(voice);
        while self.bytes + bytes > ROOM {
            let last = self.kept.iter().max_by_key(|(_, (_, until))| *until);
            let Some((&last, _)) = last.filter(|(_, (_, until))| *until > next) else { return };
            self.forget(last);
        }
        self.kept.insert(voice, (Arc::clone(sound), next));
        self.bytes += bytes;
        #[cfg(test)]
        {
            self.most = self.most.max(self.bytes);
        }
    }

    fn forget(&mut self, voice: Voice) {
        if let Some((gone, _)) = self.kept.remove(&voice) {
            self.bytes -= size_of_val::<[f32]>(&gone);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::voice::Instrument;
    use super::*;

    #[test]
    fn what_waits_longest_goes_first_and_the_room_holds() {
        let voice =
            |pitch| Voice { instrument: Instrument::Bass, pitch, class: 0, take: 0, drawn: 0 };
        let sound: VoiceSamples = vec![0.0f32; ROOM / 4 / 3].into();
        let mut store = VoiceStore::default();
        for (pitch, next) in [(0, 30), (1, 10), (2, 20)] {
            store.keep(voice(pitch), &sound, next);
        }
        store.put_off(voice(1), 40);
        store.keep(voice(3), &sound, 15);
        let kept = |store: &VoiceStore| [0, 1, 2, 3].map(|pitch| store.get(voice(pitch)).is_some());
        assert_eq!(kept(&store), [true, false, true, true]);
        // One that waits longer than all is not kept itself.
        store.keep(voice(1), &sound, 50);
        assert_eq!(kept(&store), [true, false, true, true]);
        assert!(store.most <= ROOM && store.bytes <= ROOM);
        let huge: VoiceSamples = vec![0.0f32; ROOM / 4 + 1].into();
        store.keep(voice(9), &huge, 0);
        assert!(store.get(voice(9)).is_none());
    }
}
