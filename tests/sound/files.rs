//! Whole files.

use std::io::Cursor;
use std::path::PathBuf;

use quintfall::sound::synth::{SoundForm, SoundOptions, TrackTags, bytes, render, seconds};
use quintfall::sound::{PULSES, Part, Performance};

use crate::pieces::{bands, piece};

fn rendered(performance: &Performance, form: SoundForm) -> Vec<u8> {
    let tags = TrackTags {
        title: Some("Lantern Walk, goal".to_owned()),
        artist: Some("Zoë Łuczak".to_owned()),
        album: None,
        tempo: Some(performance.tempi[0].quarters),
    };
    let mut out = Cursor::new(Vec::new());
    render(performance, &SoundOptions { form, tags }, &mut out).unwrap();
    out.into_inner()
}

/// The samples of a WAV, its head checked field by field.
fn samples(wav: &[u8]) -> Vec<i16> {
    let long = |at: usize| u32::from_le_bytes(wav[at..at + 4].try_into().unwrap());
    let word = |at: usize| u16::from_le_bytes(wav[at..at + 2].try_into().unwrap());
    assert_eq!(
        (&wav[..4], &wav[8..16], &wav[36..40]),
        (&b"RIFF"[..], &b"WAVEfmt "[..], &b"data"[..])
    );
    assert_eq!(long(4) as usize, wav.len() - 8);
    assert_eq!((long(16), word(20), word(22), long(24)), (16, 1, 1, 44_100));
    assert_eq!((long(28), word(32), word(34)), (88_200, 2, 16));
    assert_eq!(long(40) as usize, wav.len() - 44);
    wav[44..].chunks(2).map(|pair| i16::from_le_bytes([pair[0], pair[1]])).collect()
}

/// The second of each stroke, once for those struck together.
fn struck(performance: &Performance) -> Vec<f64> {
    let a_pulse = 60.0 / performance.tempi[0].quarters / f64::from(PULSES);
    let strokes = performance.tracks.iter().flat_map(|track| &track.strokes);
    let mut pulses: Vec<u32> = strokes.map(|stroke| stroke.at).collect();
    pulses.sort_unstable();
    pulses.dedup();
    pulses.into_iter().map(|at| f64::from(at) * a_pulse).collect()
}

#[test]
fn files_are_the_same_every_time_on_one_thread_and_on_two() {
    let band = &bands()[1].1;
    for form in [SoundForm::Wav, SoundForm::Flac] {
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| rendered(band, form))
        };
        let first = on(1);
        assert!(first == on(1), "{form:?} differs from run to run");
        assert!(first == on(2), "{form:?} differs on two threads");
    }
}

/// And they last as long as is said beforehand.
#[test]
fn every_file_is_whole_has_no_mean_and_does_not_clip() {
    for (name, performance) in bands() {
        let wav = rendered(&performance, SoundForm::Wav);
        assert_eq!(wav.len() as u64, bytes(&performance).unwrap(), "{name}");
        let samples = samples(&wav);
        let lasts = samples.len() as f64 / 44_100.0;
        assert!((lasts - seconds(&performance).unwrap()).abs() < 1e-3, "{name}");
        let mean = samples.iter().map(|&x| f64::from(x)).sum::<f64>() / samples.len() as f64;
        assert!(mean.abs() / 32_768.0 < 1e-5, "{name}: a mean of {mean}");
        let top = samples.iter().map(|x| x.unsigned_abs()).max().unwrap();
        assert!((3000..29_250).contains(&top), "{name}: top {top}");
        assert!(samples[samples.len() - 40..].iter().all(|x| x.abs() <= 4), "{name}: no end");
    }
}

/// A direct rise: where the sound first reaches a fifth of its next 30 ms, against what was there
/// before.
#[test]
fn every_stroke_of_a_part_alone_rises_within_10_ms() {
    for part in [Part::Ride, Part::HiHat, Part::Click, Part::Bass, Part::PianoRight, Part::Brushes]
    {
        let alone = piece(&[part], 100.0, 4);
        let samples = samples(&rendered(&alone, SoundForm::Wav));
        // What changes fast shows a stroke over what still rings; the bass's own waves are slow.
        let fast: Vec<f64> = samples
            .windows(3)
            .map(|w| (f64::from(w[2]) - 2.0 * f64::from(w[1]) + f64::from(w[0])).abs())
            .collect();
        for second in struck(&alone) {
            let at = (second * 44_100.0).round() as usize;
            let level = |from: usize, to: usize| {
                fast[from.min(fast.len())..to.min(fast.len())].iter().copied().fold(0.0, f64::max)
            };
            let (before, after) = (level(at.saturating_sub(441), at), level(at, at + 1323));
            assert!(after > 1.5 * before, "{part:?} at {second}: {after} over {before}");
            let threshold = before + 0.2 * (after - before);
            let risen = fast[at..].iter().position(|&x| x >= threshold).unwrap();
            assert!(risen < 441, "{part:?} at {second}: {risen} frames late");
        }
    }
}

#[test]
fn flac_says_for_whom_it_is_and_is_smaller() {
    let band = &bands()[1].1;
    let (wav, flac) = (rendered(band, SoundForm::Wav), rendered(band, SoundForm::Flac));
    assert_eq!(&flac[..4], b"fLaC");
    assert!(flac.len() * 4 < wav.len() * 3, "{} of {}", flac.len(), wav.len());
    let has = |text: &str| flac.windows(text.len()).any(|window| window == text.as_bytes());
    for tag in ["TITLE=Lantern Walk, goal", "ARTIST=Zoë Łuczak", "BPM=132"] {
        assert!(has(tag), "{tag}");
    }
    assert!(!has("ALBUM"));
}

/// Left where `QUINTFALL_SOUNDS` says, for judges from outside.
#[test]
fn files_are_left_for_judges_from_outside() {
    let Some(folder) = std::env::var_os("QUINTFALL_SOUNDS").map(PathBuf::from) else { return };
    for (name, performance) in bands() {
        let path = |ending: &str| folder.join(format!("{name}.{ending}"));
        std::fs::write(path("wav"), rendered(&performance, SoundForm::Wav)).unwrap();
        std::fs::write(path("flac"), rendered(&performance, SoundForm::Flac)).unwrap();
        let a_pulse = 60.0 / performance.tempi[0].quarters / f64::from(PULSES);
        let mut rows = String::from("part\tsecond\tlength\tpitch\tstrength\n");
        for track in &performance.tracks {
            for stroke in &track.strokes {
                let [at, length] =
                    [stroke.at, stroke.length].map(|pulses| f64::from(pulses) * a_pulse);
                let (pitch, strength) = (stroke.pitch, stroke.strength);
                rows += &format!("{:?}\t{at:.6}\t{length:.6}\t{pitch}\t{strength}\n", track.part);
            }
        }
        std::fs::write(path("tsv"), rows).unwrap();
    }
}
