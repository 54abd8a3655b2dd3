//! Pieces to render: every part alone, and bands.

use quintfall::sound::{PULSES, Part, PartTrack, Performance, PlayedStroke, Tempo};

/// Every part there is.
pub(crate) const PARTS: [Part; 8] = [
    Part::PianoRight,
    Part::PianoLeft,
    Part::Comping,
    Part::Bass,
    Part::Ride,
    Part::HiHat,
    Part::Brushes,
    Part::Click,
];

/// What a part plays in a bar of four quarters: when, for how long (pulses), pitch, strength.
fn bar(part: Part, n: u32) -> Vec<(u32, u32, u8, u8)> {
    // Round the keys by falling fifths, a bar each.
    let tonic = (n * 5 % 12) as u8;
    match part {
        Part::PianoRight => {
            let figure = [0, 4, 7, 11, 2, 5, 9, 12].into_iter().zip(0..);
            let swung = |k: u32| k / 2 * PULSES + if k % 2 == 1 { 320 } else { 0 };
            figure
                .map(|(step, k)| (swung(k), 150, 60 + tonic + step, 70 + 14 * (k % 2) as u8))
                .collect()
        }
        Part::PianoLeft => {
            [0, 4, 7, 11].map(|step| (0, 4 * PULSES - 90, 46 + tonic + step, 72)).to_vec()
        }
        Part::Comping => [4, 9, 11]
            .into_iter()
            .flat_map(|step| {
                [(0, 100), (PULSES + 320, 300)].map(|(at, long)| (at, long, 48 + tonic + step, 52))
            })
            .collect(),
        Part::Bass => {
            let walk = [0, 4, 7, 10].into_iter().zip(0..);
            walk.map(|(step, k)| (k * PULSES, 450, 30 + tonic + step, 84)).collect()
        }
        Part::Ride => {
            let spots = [(0, 72), (480, 90), (800, 58), (960, 72), (1440, 90), (1760, 58)];
            spots.map(|(at, strength)| (at, 100, 51, strength)).to_vec()
        }
        Part::HiHat => [1, 3].map(|k| (k * PULSES, 60, 44, 74)).to_vec(),
        Part::Brushes => {
            let quarters = [(0, 450, 40, 64), (1, 60, 38, 76), (2, 450, 40, 64), (3, 60, 38, 76)];
            quarters.map(|(k, long, pitch, strength)| (k * PULSES, long, pitch, strength)).to_vec()
        }
        Part::Click => (0..4).map(|k| (k * PULSES, 60, if k == 0 { 76 } else { 77 }, 84)).collect(),
    }
}

/// Some parts over some bars.
pub(crate) fn piece(parts: &[Part], quarters: f64, bars: u32) -> Performance {
    let tracks = parts.iter().map(|&part| {
        let mut strokes: Vec<PlayedStroke> =
            (0..bars)
                .flat_map(|n| {
                    let start = n * 4 * PULSES;
                    bar(part, n).into_iter().map(move |(at, length, pitch, strength)| {
                        PlayedStroke { at: start + at, length, pitch, strength }
                    })
                })
                .collect();
        strokes.sort_by_key(|stroke| stroke.at);
        PartTrack { part, strokes }
    });
    Performance {
        title: "Lantern Walk".to_owned(),
        tracks: tracks.collect(),
        tempi: vec![Tempo { at: 0, quarters }],
        marks: Vec::new(),
        length: bars * 4 * PULSES,
    }
}

/// The bands that are heard: their names, their parts, their tempi.
pub(crate) fn bands() -> Vec<(String, Performance)> {
    use Part::{Bass, Brushes, Click, Comping, HiHat, PianoLeft, PianoRight, Ride};
    let mut bands = Vec::new();
    for (name, parts) in [
        ("trio", &[PianoRight, PianoLeft, Bass, Ride, HiHat][..]),
        ("rhythm", &[Comping, Bass, Ride, HiHat]),
        ("ballad", &[PianoLeft, Bass, Brushes]),
        ("all", &[PianoRight, PianoLeft, Comping, Bass, Ride, HiHat, Brushes, Click]),
    ] {
        for tempo in [60, 132, 208] {
            bands.push((format!("{name}-{tempo}"), piece(parts, f64::from(tempo), 8)));
        }
    }
    for part in PARTS {
        let name = format!("{part:?}").to_lowercase();
        bands.push((format!("alone-{name}-100"), piece(&[part], 100.0, 8)));
    }
    for (part, pitch) in
        [(Part::Ride, 51), (Part::HiHat, 44), (Part::Bass, 33), (Part::PianoRight, 60)]
    {
        let name = format!("{part:?}").to_lowercase();
        bands.push((format!("one-{name}-{pitch}"), one(part, pitch)));
    }
    bands
}

/// A single stroke that is held for four seconds.
fn one(part: Part, pitch: u8) -> Performance {
    let mut one = piece(&[part], 60.0, 1);
    one.tracks[0].strokes = vec![PlayedStroke { at: 0, length: 4 * PULSES, pitch, strength: 80 }];
    one
}
