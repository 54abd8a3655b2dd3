//! Laws of whole files that need the house's own meter.

use std::io::Cursor;

use super::level::{LOUDNESS, Meter};
use super::limiter::CEILING;
use super::testing::{band, only, true_peak};
use super::{SoundOptions, render};
use crate::drill::{Choices, Exercise, Tempi, Template, library};
use crate::sound::{Part, Performance, TrackOptions, play_drill};

fn sound(performance: &Performance) -> Vec<f32> {
    let mut out = Cursor::new(Vec::new());
    render(performance, &SoundOptions::default(), &mut out).unwrap();
    let bytes = &out.get_ref()[44..];
    bytes.chunks(2).map(|two| f32::from(i16::from_le_bytes([two[0], two[1]])) / 32_768.0).collect()
}

/// How far a track may be from the loudness of every track, in units of loudness (ours: half of what
/// is just heard as another loudness).
const APART: f64 = 0.3;

/// How far below it one may be that its peaks hold there, so that no gain is left: about the least that
/// is heard as another loudness.
const HELD_APART: f64 = 1.0;

/// The combinations of a band's parts: those of one and two and the whole band, or all there are.
fn combinations(parts: &[Part]) -> Vec<Vec<Part>> {
    let is_whole = std::env::var_os("QUINTFALL_LAWS").is_some_and(|it| it == "whole");
    let of = |mask: u32| -> Vec<Part> {
        let has = |place: &usize| mask >> place & 1 == 1;
        (0..parts.len()).filter(has).map(|place| parts[place]).collect()
    };
    let all = (1..1_u32 << parts.len()).map(of);
    all.filter(|own| is_whole || own.len() <= 2 || own.len() == parts.len()).collect()
}

/// Whoever plays, however fast, and in what is left of a band when the others are silent. A twentieth
/// of a second of noise twice a bar, a pedalled hi-hat alone, is no louder than its peaks allow, and
/// those are where they may be.
#[test]
fn every_track_is_as_loud_as_the_next_and_peaks_below_the_ceiling() {
    for (quarters, bars) in [(60.0, 2), (132.0, 4), (208.0, 6)] {
        let full = band(quarters, bars);
        let parts: Vec<Part> = full.tracks.iter().map(|track| track.part).collect();
        crate::parallel::map(combinations(&parts), |told| {
            let mut performance = full.clone();
            performance.tracks.retain(|track| told.contains(&track.part));
            let sound = sound(&performance);
            let mut meter = Meter::new();
            meter.listen(&sound);
            let loudness = meter.loudness().unwrap();
            let top = sound.iter().fold(0.0f32, |top, x| top.max(x.abs()));
            let is_at_ceiling = 20.0 * libm::log10(f64::from(top)) > CEILING - 1.0;
            if told == [Part::HiHat] {
                assert!(is_at_ceiling, "{told:?}: top {top}");
                assert!(
                    (LOUDNESS - 7.0..LOUDNESS).contains(&loudness),
                    "{told:?}: {loudness} LUFS"
                );
            } else {
                let apart = (loudness - LOUDNESS).abs();
                let is_held = apart < HELD_APART && loudness < LOUDNESS && is_at_ceiling;
                assert!(
                    apart < APART || is_held,
                    "{told:?} at {quarters}: {loudness} LUFS, top {top}"
                );
            }
            // Where it is loud, four times as closely.
            let loud = |n: &usize| sound[*n].abs() > 0.7;
            let places: Vec<usize> = (0..sound.len()).filter(loud).collect();
            for place in places.chunk_by(|a, b| b - a < 64) {
                let from = place[0].saturating_sub(24);
                let to = (place[place.len() - 1] + 24).min(sound.len());
                let peak = 20.0 * libm::log10(true_peak(&sound[from..to]));
                assert!(peak < -1.0, "{told:?} at {quarters}: {peak} dBTP");
            }
        });
    }
}

/// How loud a performance is before it is brought to the loudness of every track.
fn loudness(performance: &Performance) -> f64 {
    let plan = super::MixPlan::new(performance).unwrap();
    let mut mixer = super::Mixer::new(&plan, &super::OwnInstruments, super::VoiceStore::default());
    let mut meter = Meter::new();
    loop {
        let window = mixer.window();
        if window.is_empty() {
            return meter.loudness().unwrap();
        }
        meter.listen(&window);
    }
}

/// The loudest that all else can be: the piano is what is practised.
#[test]
fn the_piano_stands_in_front() {
    let full = band(132.0, 6);
    let piano = loudness(&only(&full, Part::PianoRight));
    for (part, below) in [
        (Part::Comping, 6.0),
        (Part::Bass, 1.0),
        (Part::Ride, 4.0),
        (Part::HiHat, 8.0),
        (Part::Brushes, 4.0),
        (Part::Click, 5.0),
    ] {
        let found = piano - loudness(&only(&full, part));
        assert!(found >= below, "{part:?} is {found} below the piano");
    }
}

/// The hands of a real drill together are louder by two units than all who accompany them, which is
/// heard as in front (ours; one unit is about the least that is heard as louder).
#[test]
fn the_hands_of_a_drill_are_louder_than_their_whole_band() {
    for (drill, key, tempo, drums) in [
        ("pushed", "F", 100, Part::Ride),
        ("pushed", "B", 200, Part::Ride),
        ("two-five-one", "Eb", 60, Part::Brushes),
        ("jazz-waltz", "A", 140, Part::Ride),
        ("bossa", "G", 120, Part::Ride),
    ] {
        let text = library::find(drill).unwrap_or_else(|| panic!("{drill}"));
        let template = Template::parse(text, drill).unwrap();
        let tempi = Tempi { tempo, goal: None };
        let keys = [key.parse().unwrap()];
        let exercise = Exercise::new(template, &keys, tempi, Choices::default());
        let all =
            [Part::PianoRight, Part::PianoLeft, Part::Comping, Part::Bass, drums, Part::HiHat];
        let options =
            TrackOptions { with: Some(all.into()), count_in: 0, ..TrackOptions::default() };
        let played = play_drill(&exercise, tempo, &options).unwrap();
        let is_hand = |part| matches!(part, Part::PianoRight | Part::PianoLeft);
        let some = |hands: bool| {
            let mut own = played.clone();
            own.tracks.retain(|track| is_hand(track.part) == hands);
            loudness(&own)
        };
        let ahead = some(true) - some(false);
        assert!(ahead >= 2.0, "{drill} in {key} at {tempo}: {ahead}");
    }
}
