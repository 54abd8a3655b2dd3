//! A sketch as it is written where beats are divided in three.

use std::collections::BTreeSet;

use super::sketch::DrillSketch;
use super::struck::StruckSound;
use crate::score::{QUARTER, Ticks};

impl DrillSketch {
    /// The sketch with every off-beat of a beat that either hand divides in three on the last third
    /// of it, where swing has it in any case, so that both hands are written as they sound; `None`
    /// where nothing changes.
    pub(super) fn swung(&self) -> Option<Self> {
        const OFF_BEAT: Ticks = QUARTER / 2;
        const LATE: Ticks = 2 * QUARTER / 3;
        const THIRDS: [Ticks; 2] = [QUARTER / 3, LATE];
        const SIXTEENTHS: [Ticks; 2] = [QUARTER / 4, 3 * QUARTER / 4];
        let beats = |line: &[StruckSound], parts: [Ticks; 2]| -> BTreeSet<Ticks> {
            let moments = line.iter().flat_map(|sound| [sound.at, sound.end]);
            let within = moments.filter(|moment| parts.contains(&moment.rem_euclid(QUARTER)));
            within.map(|moment| moment.div_euclid(QUARTER)).collect()
        };
        let in_thirds: BTreeSet<Ticks> =
            self.lines.iter().flat_map(|line| beats(line, THIRDS)).collect();
        if in_thirds.is_empty() {
            return None;
        }
        let mut sketch = self.clone();
        for line in sketch.lines.iter_mut() {
            // A hand cannot divide one beat in three and in four.
            let in_fours = beats(line, SIXTEENTHS);
            let swing = |moment: &mut Ticks| {
                let beat = moment.div_euclid(QUARTER);
                let is_off = moment.rem_euclid(QUARTER) == OFF_BEAT;
                if is_off && in_thirds.contains(&beat) && !in_fours.contains(&beat) {
                    *moment += LATE - OFF_BEAT;
                }
            };
            for sound in line.iter_mut() {
                swing(&mut sound.at);
                swing(&mut sound.end);
            }
        }
        for (index, chord) in sketch.chords.iter_mut().enumerate() {
            // Its symbol stands where it is first struck.
            let struck = sketch.lines.iter().flatten().filter(|sound| sound.chord == index);
            let early = struck.map(|sound| sound.at).min().unwrap_or(chord.at);
            if early == chord.at - OFF_BEAT + LATE {
                chord.at = early;
            }
            // So does the figure that a hand plays alone.
            let figure = sketch.lines[chord.held_by.other()].iter();
            let first = figure.filter(|sound| sound.chord == index).map(|sound| sound.at).min();
            if first == Some(chord.start - OFF_BEAT + LATE) {
                chord.start = chord.start - OFF_BEAT + LATE;
            }
        }
        (sketch != *self).then_some(sketch)
    }
}
