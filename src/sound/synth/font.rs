//! Instruments that a teacher brings: a SoundFont (SoundFont Technical Specification 2.04), whose
//! strokes are mixed as ours are.
//!
//! Each voice is played once, by a synthesiser of its own, and cut, damped, placed and levelled as
//! one of ours: so the balance among parts and the loudness of a track are the same whatever the
//! file. The click is always ours: it is to be heard through anything.

use std::io::Read;
use std::sync::Arc;

use rustysynth::{SoundFont, Synthesizer, SynthesizerSettings};

use super::SoundError;
use super::dsp::{RATE, frames};
use super::mix::Players;
use super::voice::{Instrument, Voice};
use crate::sound::{Part, Performance};

/// Most bytes of a file of instruments: 256 MiB, which a piano in several strengths fits.
pub const MOST_FONT: u64 = 256 << 20;

/// Strokes of the hardest class and of the softest, as MIDI numbers them.
const SOFTEST: f64 = 30.0;
const HARDEST: f64 = 120.0;

/// Frames that the synthesiser makes at once.
const BLOCK: usize = 64;

/// The channel of melody and that of drums.
const MELODY: i32 = 0;
const DRUMS: i32 = 9;

/// The messages that choose a programme and a value of a controller, and the controller of the bank.
const PROGRAMME: i32 = 0xc0;

/// A file of instruments.
pub struct Font(Arc<SoundFont>);

/// What is chosen of a file of instruments for a part.
#[derive(Clone, Copy)]
struct Chosen {
    bank: i32,
    /// From 0, as files number it.
    programme: u8,
}

/// The bank of drums (SoundFont 2.04, 7.2).
const BANK_OF_DRUMS: i32 = 128;

impl Chosen {
    /// The instrument of a part (General MIDI Level 1 for piano, acoustic bass and the usual kit;
    /// the kit with brushes as the makers of General MIDI devices number it); none for the click.
    fn of(instrument: Instrument) -> Option<Self> {
        match instrument {
            Instrument::Piano | Instrument::Comping => Some(Self { bank: 0, programme: 0 }),
            Instrument::Bass => Some(Self { bank: 0, programme: 32 }),
            Instrument::Ride | Instrument::HiHat => {
                Some(Self { bank: BANK_OF_DRUMS, programme: 0 })
            }
            Instrument::Brushes => Some(Self { bank: BANK_OF_DRUMS, programme: 40 }),
            Instrument::Click => None,
        }
    }
}

impl Font {
    /// Reads a file of instruments, of so many bytes.
    ///
    /// Errors if it is none, or larger than [`MOST_FONT`]. No more than that is ever held.
    pub fn read(file: &mut impl Read, bytes: u64) -> Result<Self, SoundError> {
        if bytes > MOST_FONT {
            return Err(SoundError::LargeFont { bytes });
        }
        let mut all = Vec::new();
        file.take(MOST_FONT).read_to_end(&mut all)?;
        check_chunks(&all)?;
        let font = SoundFont::new(&mut all.as_slice())
            .map_err(|error| SoundError::NoFont(error.to_string()))?;
        Ok(Self(Arc::new(font)))
    }

    /// Errors if a part of a performance has no instrument here.
    pub(super) fn check(&self, performance: &Performance) -> Result<(), SoundError> {
        for track in &performance.tracks {
            let Some(chosen) = Chosen::of(Instrument::of(track.part)) else { continue };
            if !self.has(chosen) {
                let programme = chosen.programme + 1;
                return Err(SoundError::NoProgramme { part: track.part, programme });
            }
        }
        Ok(())
    }

    fn has(&self, chosen: Chosen) -> bool {
        self.0.get_presets().iter().any(|preset| {
            preset.get_bank_number() == chosen.bank
                && preset.get_patch_number() == i32::from(chosen.programme)
        })
    }

    /// The parts that it has instruments for.
    pub fn parts(&self) -> Vec<Part> {
        let has =
            |part: &Part| Chosen::of(Instrument::of(*part)).is_none_or(|chosen| self.has(chosen));
        Part::ALL.iter().copied().filter(has).collect()
    }

    /// What its instrument sounds like, for some frames.
    fn stroke(&self, voice: Voice, chosen: Chosen, length: usize) -> Option<Vec<f32>> {
        let mut settings = SynthesizerSettings::new(RATE as i32);
        settings.block_size = BLOCK;
        // Our room is the room of every instrument.
        settings.enable_reverb_and_chorus = false;
        let mut player = Synthesizer::new(&self.0, &settings).ok()?;
        let channel = if chosen.bank == BANK_OF_DRUMS { DRUMS } else { MELODY };
        player.process_midi_message(channel, PROGRAMME, i32::from(chosen.programme), 0);
        let velocity = SOFTEST + (HARDEST - SOFTEST) * voice.force();
        player.note_on(channel, i32::from(voice.pitch), velocity as i32);
        let mut sides = [vec![0.0; length], vec![0.0; length]];
        let [left, right] = &mut sides;
        player.render(left, right);
        Some(left.iter().zip(right).map(|(left, right)| 0.5 * (*left + *right)).collect())
    }
}

impl Players for Font {
    fn sound(&self, voice: Voice, length: usize) -> Vec<f32> {
        let Some(chosen) = Chosen::of(voice.instrument) else { return voice.sound(length) };
        let length = length.max(frames(0.3)).min(frames(voice.seconds()));
        match self.stroke(voice, chosen, length) {
            Some(direct) => voice.placed(direct),
            None => vec![0.0; length],
        }
    }
}

/// Errors unless every chunk ends where the file does or before: what reads it believes the sizes
/// that it is told, and would make room for them.
fn check_chunks(all: &[u8]) -> Result<(), SoundError> {
    let broken = |why: &str| Err(SoundError::NoFont(why.to_owned()));
    if all.len() < 12 || &all[..4] != b"RIFF" || &all[8..12] != b"sfbk" {
        return broken("it begins as something else");
    }
    // Lists have chunks in them; of the others the size alone is looked at.
    let mut at = 12;
    while let Some(head) = all.get(at..at + 8) {
        let size = u32::from_le_bytes([head[4], head[5], head[6], head[7]]) as usize;
        let end = at.saturating_add(8).saturating_add(size);
        if end > all.len() {
            return broken("it is cut off");
        }
        at = if &head[..4] == b"LIST" { at + 12 } else { end };
    }
    Ok(())
}
