//! Instruments that a teacher brings: a SoundFont (SoundFont Technical Specification 2.04), whose
//! strokes are mixed as ours are.
//!
//! Each voice is played once, by a synthesiser of its own, and cut, damped, placed and levelled as
//! one of ours: so the balance among parts and the loudness of a track are the same whatever the
//! file. The click is always ours: it is to be heard through anything.

use std::sync::Arc;

use rustysynth::{SoundFont, Synthesizer, SynthesizerSettings};

use super::SoundError;
use super::dsp::{RATE, frames};
use super::mix::Players;
use super::voice::{Instrument, Voice};
use crate::sound::Performance;

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

/// The message that chooses a programme.
const PROGRAMME: i32 = 0xc0;

/// A file of instruments.
pub struct Font(Arc<SoundFont>);

/// What is chosen of a file of instruments for a part.
#[derive(Clone, Copy)]
struct ChosenPreset {
    bank: i32,
    /// From 0, as files number it.
    programme: u8,
}

/// The bank of drums (SoundFont 2.04, 7.2).
const BANK_OF_DRUMS: i32 = 128;

impl ChosenPreset {
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
    /// Reads a file of instruments. Errors if it is none.
    pub fn read(all: &[u8]) -> Result<Self, SoundError> {
        check_chunks(all)?;
        let font =
            SoundFont::new(&mut &*all).map_err(|error| SoundError::NoFont(error.to_string()))?;
        Ok(Self(Arc::new(font)))
    }

    /// Errors if a part of a performance has no instrument here.
    pub(super) fn check(&self, performance: &Performance) -> Result<(), SoundError> {
        for track in &performance.tracks {
            let Some(chosen) = ChosenPreset::of(Instrument::of(track.part)) else { continue };
            if !self.has(chosen) {
                let programme = chosen.programme + 1;
                return Err(SoundError::NoProgramme { part: track.part, programme });
            }
        }
        Ok(())
    }

    fn has(&self, chosen: ChosenPreset) -> bool {
        self.0.get_presets().iter().any(|preset| {
            preset.get_bank_number() == chosen.bank
                && preset.get_patch_number() == i32::from(chosen.programme)
        })
    }

    /// What its instrument sounds like, for some frames.
    fn stroke(&self, voice: Voice, chosen: ChosenPreset, length: usize) -> Option<Vec<f32>> {
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
        let Some(chosen) = ChosenPreset::of(voice.instrument) else { return voice.sound(length) };
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

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::super::testing::band;
    use super::super::{SoundOptions, render_with};
    use super::*;
    use crate::sound::{Part, PlayedStroke};

    fn chunk(name: &str, body: &[u8]) -> Vec<u8> {
        [name.as_bytes(), &(body.len() as u32).to_le_bytes(), body].concat()
    }

    fn list(name: &str, chunks: &[Vec<u8>]) -> Vec<u8> {
        chunk("LIST", &[name.as_bytes(), &chunks.concat()].concat())
    }

    fn words(all: &[u16]) -> Vec<u8> {
        all.iter().flat_map(|word| word.to_le_bytes()).collect()
    }

    fn named(name: &str, rest: Vec<u8>) -> Vec<u8> {
        let mut all = name.as_bytes().to_vec();
        all.resize(20, 0);
        [all, rest].concat()
    }

    /// A file whose instruments, each in a bank, all play one sample: a tone of 441 Hz, as A.
    fn file(instruments: &[(u16, u16)]) -> Vec<u8> {
        let sample: Vec<u16> = (0..44_100)
            .map(|n| (9000.0 * libm::sin(f64::from(n) * std::f64::consts::TAU / 100.0)) as i16)
            .chain([0; 46])
            .map(|sample| sample as u16)
            .collect();
        let info = list("INFO", &[chunk("ifil", &words(&[2, 4])), chunk("INAM", b"tone")]);
        let data = list("sdta", &[chunk("smpl", &words(&sample))]);
        let count = instruments.len() as u16;
        let head = |(nth, (bank, programme)): (u16, (u16, u16))| {
            named("tone", [words(&[programme, bank, nth]), vec![0; 12]].concat())
        };
        let all = instruments.iter().copied().chain([(0, 0)]);
        let heads: Vec<u8> = (0..).zip(all).flat_map(head).collect();
        let bags: Vec<u8> = (0..=count).flat_map(|nth| words(&[nth, 0])).collect();
        let uses = [words(&[41, 0]).repeat(instruments.len()), vec![0; 4]].concat();
        let ends: Vec<u8> = [0u32, 44_100, 100, 44_000, 44_100]
            .iter()
            .flat_map(|number| number.to_le_bytes())
            .collect();
        let sample_head = named("tone", [ends, vec![69, 0, 0, 0, 1, 0]].concat());
        let tables = list(
            "pdta",
            &[
                chunk("phdr", &heads),
                chunk("pbag", &bags),
                chunk("pmod", &[0; 10]),
                chunk("pgen", &uses),
                chunk("inst", &[named("tone", words(&[0])), named("", words(&[1]))].concat()),
                chunk("ibag", &words(&[0, 0, 1, 0])),
                chunk("imod", &[0; 10]),
                chunk("igen", &words(&[53, 0, 0, 0])),
                chunk("shdr", &[sample_head, vec![0; 46]].concat()),
            ],
        );
        chunk("RIFF", &[b"sfbk".to_vec(), info, data, tables].concat())
    }

    const ALL: [(u16, u16); 4] = [(0, 0), (0, 32), (128, 0), (128, 40)];

    #[test]
    fn its_instruments_play_the_pitches_that_are_written() {
        let font = Font::read(&file(&ALL)).unwrap();
        for (pitch, hertz) in [(57, 220.5), (69, 441.0), (81, 882.0)] {
            let stroke = PlayedStroke { at: 0, length: 1, pitch, strength: 80 };
            let voice = Voice::of(Instrument::Piano, stroke, 1.0);
            let sound = font.stroke(voice, ChosenPreset { bank: 0, programme: 0 }, 22_050).unwrap();
            let rises = sound.windows(2).filter(|pair| pair[0] < 0.0 && pair[1] >= 0.0).count();
            assert!((rises as f64 * 2.0 / hertz - 1.0).abs() < 0.02, "{pitch}: {rises}");
        }
    }

    #[test]
    fn a_track_is_as_loud_and_as_long_as_with_ours() {
        let font = Font::read(&file(&ALL)).unwrap();
        let band = band(140.0, 2);
        let options = SoundOptions::default();
        let made = || {
            let mut out = Cursor::new(Vec::new());
            render_with(&font, &band, &options, &mut out).unwrap();
            out.into_inner()
        };
        let wav = made();
        assert_eq!(wav, made(), "the same bytes twice");
        assert_eq!(wav.len() as u64, super::super::bytes(&band).unwrap());
        assert!(wav[44..].iter().any(|byte| *byte != 0));
    }

    #[test]
    fn what_is_no_font_or_lacks_an_instrument_is_refused() {
        let band = band(140.0, 1);
        let lacking = |left_out: (u16, u16)| {
            let rest: Vec<(u16, u16)> = ALL.into_iter().filter(|own| *own != left_out).collect();
            Font::read(&file(&rest)).unwrap().check(&band)
        };
        for (left_out, wanted) in [((0, 32), Part::Bass), ((128, 0), Part::Ride)] {
            let Err(SoundError::NoProgramme { part, programme }) = lacking(left_out) else {
                panic!("{left_out:?}");
            };
            assert_eq!((part, u16::from(programme)), (wanted, left_out.1 + 1));
        }
        let whole = file(&ALL);
        let mut other = whole.clone();
        other[8..12].copy_from_slice(b"WAVE");
        let mut greedy = whole.clone();
        // The size of the samples: two gigabytes in a file of a hundred kilobytes.
        let at = whole.windows(4).position(|four| four == b"smpl").unwrap() + 4;
        greedy[at..at + 4].copy_from_slice(&0x7fff_fff0_u32.to_le_bytes());
        for bad in [&b""[..], b"RIFF", &whole[..whole.len() / 2], &other, &greedy] {
            assert!(matches!(Font::read(bad), Err(SoundError::NoFont(_))), "{}", bad.len());
        }
        for end in (0..whole.len()).step_by(997) {
            assert!(Font::read(&whole[..end]).is_err(), "{end}");
        }
    }
}
