//! Laws of whole files that need the house's own meter.

use std::io::Cursor;

use super::level::{LOUDNESS, Meter};
use super::testing::{band, only, true_peak};
use super::{SoundOptions, render};
use crate::sound::{Part, Performance};

fn sound(performance: &Performance) -> Vec<f32> {
    let mut out = Cursor::new(Vec::new());
    render(performance, &SoundOptions::default(), &mut out).unwrap();
    let bytes = &out.get_ref()[44..];
    bytes.chunks(2).map(|two| f32::from(i16::from_le_bytes([two[0], two[1]])) / 32_768.0).collect()
}

#[test]
fn every_track_is_as_loud_as_the_next_and_peaks_below_the_ceiling() {
    let full = band(132.0, 6);
    let bands = [
        full.clone(),
        band(60.0, 4),
        band(208.0, 8),
        only(&full, Part::PianoRight),
        only(&full, Part::PianoLeft),
        only(&full, Part::Bass),
        only(&full, Part::Ride),
        only(&full, Part::Brushes),
    ];
    for performance in bands {
        let told: Vec<Part> = performance.tracks.iter().map(|track| track.part).collect();
        let sound = sound(&performance);
        let mut meter = Meter::new();
        meter.listen(&sound);
        let loudness = meter.loudness().unwrap();
        assert!((loudness - LOUDNESS).abs() < 1.0, "{told:?}: {loudness} LUFS");
        // Where it is loud, four times as closely.
        let loud = |n: &usize| sound[*n].abs() > 0.7;
        let places: Vec<usize> = (0..sound.len()).filter(loud).collect();
        for place in places.chunk_by(|a, b| b - a < 64) {
            let from = place[0].saturating_sub(24);
            let to = (place[place.len() - 1] + 24).min(sound.len());
            let peak = 20.0 * libm::log10(true_peak(&sound[from..to]));
            assert!(peak < -1.0, "{told:?}: {peak} dBTP");
        }
    }
}

/// The loudest that all else can be: the piano is what is practised.
#[test]
fn the_piano_stands_in_front() {
    let full = band(132.0, 6);
    let loudness = |part| {
        let plan = super::Plan::new(&only(&full, part)).unwrap();
        let mut mixer = super::Mixer::new(&plan, &super::Own, super::Store::default());
        let mut meter = Meter::new();
        loop {
            let window = mixer.window();
            if window.is_empty() {
                return meter.loudness().unwrap();
            }
            meter.listen(&window);
        }
    };
    let piano = loudness(Part::PianoRight);
    for (part, below) in [
        (Part::Comping, 6.0),
        (Part::Bass, 1.0),
        (Part::Ride, 4.0),
        (Part::HiHat, 8.0),
        (Part::Brushes, 4.0),
        (Part::Click, 5.0),
    ] {
        let found = piano - loudness(part);
        assert!(found >= below, "{part:?} is {found} below the piano");
    }
}
