//! Which of the three minor scales a key of a tune has most of its chords in.

use super::shares::is_same;
use super::{Analysis, Unfolded};
use crate::score::Ticks;
use crate::theory::{Key, Mode, Scale};

/// The scale that most of the chords of a minor key are of, by how long they sound; of those that have
/// as many the plainest.
pub(super) fn minor_scale(tune: &Unfolded, analysis: &Analysis, key: Key) -> Mode {
    let chords: Vec<(Vec<i32>, Ticks)> = tune
        .changes
        .iter()
        .filter_map(|change| {
            let reading = analysis.reading(change.written)?;
            // What leads elsewhere has its notes from there.
            let is_own = is_same(reading.key, key) && reading.goal.is_none();
            let tones = reading.chord.kind.frame().into_iter().flatten();
            let above = tones.map(|tone| {
                let class = reading.chord.root.up(tone).pitch_class();
                (class - key.tonic().pitch_class()).rem_euclid(12)
            });
            is_own.then(|| (above.collect(), change.length))
        })
        .collect();
    let strange = |mode: &Mode| -> Ticks {
        let scale = Scale { tonic: key.tonic(), mode: *mode };
        let own: Vec<i32> = (1..=7).map(|number| scale.interval(number).semitones).collect();
        let is_strange = |tones: &[i32]| tones.iter().any(|tone| !own.contains(tone));
        chords.iter().filter(|(tones, _)| is_strange(tones)).map(|(_, length)| length).sum()
    };
    let modes = [Mode::NaturalMinor, Mode::HarmonicMinor, Mode::MelodicMinor];
    modes.into_iter().min_by_key(strange).unwrap_or(Mode::NaturalMinor)
}
