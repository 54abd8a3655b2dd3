//! The voices that were made, as many as there is room for.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::voice::Voice;

/// Bytes of samples that are kept; what was used longest ago goes first.
pub(super) const ROOM: usize = 24 << 20;

/// The samples of a voice.
pub(super) type Sound = Arc<[f32]>;

/// Voices that were made.
#[derive(Debug, Default)]
pub(super) struct Store {
    kept: BTreeMap<Voice, (Sound, u64)>,
    bytes: usize,
    turn: u64,
    /// The most bytes that were ever kept.
    #[cfg(test)]
    pub(super) most: usize,
}

impl Store {
    /// The sound of a voice, if it is kept; it then counts as just used.
    pub(super) fn get(&mut self, voice: Voice) -> Option<Sound> {
        self.turn += 1;
        let (sound, used) = self.kept.get_mut(&voice)?;
        *used = self.turn;
        Some(Arc::clone(sound))
    }

    /// Keeps a sound, and lets others go until there is room for it.
    pub(super) fn keep(&mut self, voice: Voice, sound: &Sound) {
        let bytes = size_of_val::<[f32]>(sound);
        while self.bytes + bytes > ROOM {
            let Some((&oldest, _)) = self.kept.iter().min_by_key(|(_, (_, used))| *used) else {
                // Larger than all the room: it is not kept.
                return;
            };
            if let Some((gone, _)) = self.kept.remove(&oldest) {
                self.bytes -= size_of_val::<[f32]>(&gone);
            }
        }
        self.turn += 1;
        if let Some((before, _)) = self.kept.insert(voice, (Arc::clone(sound), self.turn)) {
            self.bytes -= size_of_val::<[f32]>(&before);
        }
        self.bytes += bytes;
        #[cfg(test)]
        {
            self.most = self.most.max(self.bytes);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::voice::Instrument;
    use super::*;

    #[test]
    fn what_was_used_longest_ago_goes_first_and_the_room_holds() {
        let voice =
            |pitch| Voice { instrument: Instrument::Bass, pitch, class: 0, take: 0, drawn: 0 };
        let sound: Sound = vec![0.0f32; ROOM / 4 / 3].into();
        let mut store = Store::default();
        for pitch in 0..3 {
            store.keep(voice(pitch), &sound);
        }
        assert!(store.get(voice(0)).is_some());
        store.keep(voice(3), &sound);
        let kept: Vec<bool> = (0..4).map(|pitch| store.get(voice(pitch)).is_some()).collect();
        assert_eq!(kept, [true, false, true, true]);
        assert!(store.most <= ROOM);
        let huge: Sound = vec![0.0f32; ROOM / 4 + 1].into();
        store.keep(voice(9), &huge);
        assert!(store.get(voice(9)).is_none());
    }
}
