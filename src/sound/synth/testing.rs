//! What tests share: a small band, and how high a sound peaks between its samples.

use std::f64::consts::PI;

use crate::sound::{PULSES, Part, PartTrack, Performance, PlayedStroke, Tempo};

/// A band that plays some bars of four quarters: piano, bass, ride, hi-hat, brushes, click.
pub(super) fn band(quarters: f64, bars: u32) -> Performance {
    let bar = 4 * PULSES;
    let stroke = |at, length, pitch, strength| PlayedStroke { at, length, pitch, strength };
    let all = |part, make: &dyn Fn(u32) -> Vec<PlayedStroke>| PartTrack {
        part,
        strokes: (0..bars).flat_map(make).collect(),
    };
    let quarter = |n: u32| n * PULSES;
    let tracks = vec![
        all(Part::PianoRight, &|n| {
            let notes = [60, 64, 67, 71, 62, 65, 69, 72].into_iter().zip(0..);
            notes
                .map(|(pitch, k)| stroke(n * bar + k * 240, 220, pitch + (n % 5) as u8, 84))
                .collect()
        }),
        all(Part::PianoLeft, &|n| {
            [48, 52, 55, 59].map(|pitch| stroke(n * bar, bar - 60, pitch, 70)).to_vec()
        }),
        all(Part::Comping, &|n| {
            [52, 57, 60].map(|pitch| stroke(n * bar + 720, 200, pitch, 50)).to_vec()
        }),
        all(Part::Bass, &|n| {
            let notes = [36, 40, 43, 45].into_iter().zip(0..);
            notes.map(|(pitch, k)| stroke(n * bar + quarter(k), 440, pitch, 84)).collect()
        }),
        all(Part::Ride, &|n| {
            let hits = [(0, 70), (480, 88), (800, 56), (960, 70), (1440, 88), (1760, 56)];
            hits.map(|(at, strength)| stroke(n * bar + at, 100, 51, strength)).to_vec()
        }),
        all(Part::HiHat, &|n| [1, 3].map(|k| stroke(n * bar + quarter(k), 60, 44, 70)).to_vec()),
        all(Part::Brushes, &|n| {
            let swishes = [0, 2].map(|k| stroke(n * bar + quarter(k), 900, 40, 60));
            let taps = [1, 3].map(|k| stroke(n * bar + quarter(k), 60, 38, 70));
            [swishes[0], taps[0], swishes[1], taps[1]].to_vec()
        }),
        all(Part::Click, &|n| {
            (0..4)
                .map(|k| stroke(n * bar + quarter(k), 60, if k == 0 { 76 } else { 77 }, 80))
                .collect()
        }),
    ];
    Performance {
        title: "Études in the small hours".to_owned(),
        tracks,
        tempi: vec![Tempo { at: 0, quarters }],
        marks: Vec::new(),
        length: bars * bar,
    }
}

/// The performance with one of its parts.
pub(super) fn only(performance: &Performance, part: Part) -> Performance {
    let mut alone = performance.clone();
    alone.tracks.retain(|track| track.part == part);
    alone
}

/// The largest value at four times the rate, through a filter of 33 taps a phase.
pub(super) fn true_peak(sound: &[f32]) -> f64 {
    let side = 16i64;
    let mut top = 0.0f64;
    for at in 0..sound.len() as i64 {
        top = top.max(f64::from(sound[at as usize].abs()));
        for phase in 1..4 {
            let part = f64::from(phase) / 4.0;
            let value: f64 = (at - side..=at + side)
                .filter(|&n| (0..sound.len() as i64).contains(&n))
                .map(|n| {
                    let away = (n - at) as f64 - part;
                    let window = libm::cos(PI * away / (2.0 * side as f64 + 2.0));
                    let sinc = libm::sin(PI * away) / (PI * away);
                    f64::from(sound[n as usize]) * sinc * window
                })
                .sum();
            top = top.max(value.abs());
        }
    }
    top
}
