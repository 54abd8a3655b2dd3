//! Performances made audible: every stroke is computed, none was recorded.
//!
//! `plan` puts a performance into frames of sound and names the voices that it needs; `voice` has
//! each made by its instrument, in its place in the room. `mix` adds them a window at a time,
//! first for `level`, which measures how loud the whole is, by itself and behind the limiter, and
//! then for `master`, which brings it to the loudness of every track and makes samples of 16 bits; `wav` and `flac` are their files.
//!
//! One channel: what a phone plays on a piano's desk has one loudspeaker, and half the bytes are
//! sent to the student.

mod bass;
mod brushes;
mod click;
mod clock;
mod dsp;
mod error;
mod flac;
mod font;
mod hi_hat;
#[cfg(test)]
mod laws;
mod level;
mod limiter;
mod master;
mod mix;
mod modes;
mod piano;
mod plan;
mod ride;
mod room;
mod store;
#[cfg(test)]
mod testing;
mod voice;
mod wav;

use std::io::{Seek, SeekFrom, Write};

use crate::parallel;
use crate::sound::Performance;
pub use error::SoundError;
pub use font::{Font, MOST_FONT};
use level::Meter;
use master::{Master, against_rumble};
use mix::{Mixer, Players};
use plan::MixPlan;
use store::VoiceStore;
use voice::Voice;

/// The longest track, in seconds: two hours.
pub const LONGEST: u32 = 2 * 60 * 60;

/// The slowest tempo that can be played, in quarter notes a minute.
pub const SLOWEST: f64 = 10.0;

/// The fastest.
pub const FASTEST: f64 = 600.0;

/// How often a track is heard behind the limiter, at the most, to find its loudness.
const MOST_TRIALS: usize = 4;

/// The kind of a file of sound.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SoundForm {
    /// WAV, 44.1 kHz, 16 bits, one channel: what everything plays.
    #[default]
    Wav,
    /// FLAC: the same samples in fewer bytes, with tags.
    Flac,
}

/// What a player shows of a track; only FLAC carries it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TrackTags {
    /// What it is called; the performance's title if none is given.
    pub title: Option<String>,
    /// For whom it is.
    pub artist: Option<String>,
    /// What it belongs to.
    pub album: Option<String>,
    /// Quarter notes a minute, as it is written on the sheet.
    pub tempo: Option<f64>,
}

/// How a performance is made into sound.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SoundOptions {
    /// The kind of the file.
    pub form: SoundForm,
    /// What a player shows.
    pub tags: TrackTags,
}

/// How many seconds a track will last, with what rings on at its end. Errors as [`render`] does,
/// before anything is made.
pub fn seconds(performance: &Performance) -> Result<f64, SoundError> {
    Ok(mix::seconds(MixPlan::new(performance)?.frames))
}

/// How many bytes a track will take as WAV, at most as many as FLAC.
pub fn bytes(performance: &Performance) -> Result<u64, SoundError> {
    Ok(44 + 2 * MixPlan::new(performance)?.frames)
}

/// Writes a performance as a file of sound.
///
/// The same bytes every time, on however many threads. Memory does not grow with the length of
/// the track. The place must let its start be written last, as a file does: the head of a FLAC
/// file tells what only its end knows.
///
/// Errors if the track would be longer than [`LONGEST`], if a tempo or a pitch cannot be played,
/// and if the place cannot be written to.
pub fn render(
    performance: &Performance,
    options: &SoundOptions,
    out: &mut (impl Write + Seek),
) -> Result<(), SoundError> {
    let plan = MixPlan::new(performance)?;
    played(&plan, &OwnInstruments, performance, options, out)
}

/// The same with instruments that were brought: with their sounds, in the places, the balance and
/// the loudness of ours. Memory is that of the file more, and does not grow with the track either.
///
/// Errors as [`render`] does, and if one of the parts has no instrument there.
pub fn render_with(
    font: &Font,
    performance: &Performance,
    options: &SoundOptions,
    out: &mut (impl Write + Seek),
) -> Result<(), SoundError> {
    font.check(performance)?;
    let plan = MixPlan::new(performance)?;
    played(&plan, font, performance, options, out)
}

/// Our own instruments.
struct OwnInstruments;

impl Players for OwnInstruments {
    fn sound(&self, voice: Voice, length: usize) -> Vec<f32> {
        voice.sound(length)
    }
}

/// Writes a plan that some players play.
fn played(
    plan: &MixPlan,
    players: &impl Players,
    performance: &Performance,
    options: &SoundOptions,
    out: &mut (impl Write + Seek),
) -> Result<(), SoundError> {
    let (gain, store) = measured(plan, players);
    let title = options.tags.title.clone().or_else(|| Some(performance.title.clone()));
    let mut file = match options.form {
        SoundForm::Wav => Packing::Wav(plan.frames),
        SoundForm::Flac => {
            let tags = TrackTags { title, ..options.tags.clone() };
            Packing::Flac(Box::new(flac::Packer::new(tags)))
        }
    };
    let start = out.stream_position()?;
    out.write_all(&file.head())?;
    let mut mixer = Mixer::new(plan, players, store);
    let mut master = Master::new(gain);
    let mut window = mixer.window();
    while !window.is_empty() {
        // One window is finished while the next is mixed.
        let finish = || file.take(&master.take(&window));
        let (bytes, next) = parallel::both(finish, || mixer.window());
        out.write_all(&bytes)?;
        window = next;
    }
    out.write_all(&file.take(&master.rest()))?;
    out.write_all(&file.rest())?;
    if options.form == SoundForm::Flac {
        out.seek(SeekFrom::Start(start))?;
        out.write_all(&file.head())?;
        out.seek(SeekFrom::End(0))?;
    }
    out.flush()?;
    Ok(())
}

/// What the mix is to be multiplied by, and the voices that were made to find it. What a limiter
/// takes depends on every peak, so where it has anything to do it is measured and not guessed.
fn measured(plan: &MixPlan, players: &impl Players) -> (f32, VoiceStore) {
    let mut meter = Meter::new();
    let mut rumble = against_rumble();
    let mut store = heard(plan, players, VoiceStore::default(), |window| {
        let clean = |sample: &f32| rumble.step(f64::from(*sample)) as f32;
        meter.listen(&window.iter().map(clean).collect::<Vec<f32>>());
    });
    let Some(mut search) = meter.search(dsp::amplitude(limiter::CEILING)) else {
        return (1.0, store);
    };
    if search.is_known() {
        return (search.factor(), store);
    }
    for _ in 0..MOST_TRIALS {
        let mut meter = Meter::new();
        let mut master = Master::new(search.factor());
        store = heard(plan, players, store, |window| meter.listen(&master.shaped(window)));
        let another = meter.loudness().is_some_and(|loudness| search.heard(loudness));
        if !another {
            return (search.factor(), store);
        }
    }
    search.settle();
    (search.factor(), store)
}

/// Mixes a plan from its first frame to its last for someone who listens: one window is heard while
/// the next is mixed.
fn heard(
    plan: &MixPlan,
    players: &impl Players,
    store: VoiceStore,
    mut listen: impl FnMut(&[f32]) + Send,
) -> VoiceStore {
    let mut mixer = Mixer::new(plan, players, store);
    let mut window = mixer.window();
    while !window.is_empty() {
        let ((), next) = parallel::both(|| listen(&window), || mixer.window());
        window = next;
    }
    mixer.store
}

/// A file in the making.
enum Packing {
    Wav(u64),
    Flac(Box<flac::Packer>),
}

impl Packing {
    fn head(&self) -> Vec<u8> {
        match self {
            Self::Wav(frames) => wav::head(*frames),
            Self::Flac(packer) => packer.head(),
        }
    }

    fn take(&mut self, samples: &[i16]) -> Vec<u8> {
        match self {
            Self::Wav(_) => wav::body(samples),
            Self::Flac(packer) => packer.take(samples),
        }
    }

    fn rest(&mut self) -> Vec<u8> {
        match self {
            Self::Wav(_) => Vec::new(),
            Self::Flac(packer) => packer.rest(),
        }
    }
}
