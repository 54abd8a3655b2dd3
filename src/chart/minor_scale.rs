//! Which of the three minor scales a minor key of a tune is in, by the sixths and sevenths of its
//! chords.

use super::shares::is_same;
use super::{Analysis, Unfolded};
use crate::score::Ticks;
use crate::theory::{Key, Mode};

/// The lowered and the raised sixth, and the two sevenths, in semitones above the tonic.
const SIXTHS: [i32; 2] = [8, 9];
const SEVENTHS: [i32; 2] = [10, 11];

/// The scale of a minor key: its seventh is raised where the chords that have the leading tone last
/// longer than those that have the lowered seventh, and its sixth likewise. A sixth on the tonic is the
/// colour of a chord at rest, and decides only where the others do not. Nobody raises the sixth alone.
pub(super) fn minor_scale(tune: &Unfolded, analysis: &Analysis, key: Key) -> Mode {
    let [mut sixth, mut at_rest, mut seventh]: [Ticks; 3] = [0; 3];
    for change in &tune.changes {
        let Some(reading) = analysis.reading(change.written) else { continue };
        // What leads elsewhere has its notes from there.
        if !is_same(reading.key, key) || reading.goal.is_some() {
            continue;
        }
        let tonic = key.tonic().pitch_class();
        let root = reading.chord.root;
        let tones = reading.chord.kind.frame().into_iter().flatten();
        let tones: Vec<i32> =
            tones.map(|tone| (root.up(tone).pitch_class() - tonic).rem_euclid(12)).collect();
        let raised = |[low, high]: [i32; 2]| {
            let has = |degree: i32| Ticks::from(tones.contains(&degree));
            (has(high) - has(low)) * change.length
        };
        seventh += raised(SEVENTHS);
        let own = if root.pitch_class() == tonic { &mut at_rest } else { &mut sixth };
        *own += raised(SIXTHS);
    }
    let is_sixth_raised = sixth > 0 || sixth == 0 && at_rest > 0;
    match (is_sixth_raised, seventh > 0) {
        (_, false) => Mode::NaturalMinor,
        (false, true) => Mode::HarmonicMinor,
        (true, true) => Mode::MelodicMinor,
    }
}
