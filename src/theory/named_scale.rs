//! Scales that lines are made of, by the names of the trade, and the one that goes with a chord.

use super::{ChordKind, Interval, Seventh, Third};

/// A scale by its name: its notes above its first one, within an octave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NamedScale {
    /// Its name, as templates write it.
    pub word: &'static str,
    notes: &'static [(i32, i32)],
}

/// The scales. Church modes, pentatonic, blues, whole tone and diminished scales: common practice,
/// no source; the bebop scales, which add a passing note so that chord tones fall on the beat:
/// Baker, *How to Play Bebop*, 1985, from memory.
const SCALES: [NamedScale; 22] = {
    const fn scale(word: &'static str, notes: &'static [(i32, i32)]) -> NamedScale {
        NamedScale { word, notes }
    }
    [
        scale("ionian", &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 11)]),
        scale("dorian", &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 10)]),
        scale("phrygian", &[(0, 0), (1, 1), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)]),
        scale("lydian", &[(0, 0), (1, 2), (2, 4), (3, 6), (4, 7), (5, 9), (6, 11)]),
        scale("mixolydian", &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 10)]),
        scale("aeolian", &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 10)]),
        scale("locrian", &[(0, 0), (1, 1), (2, 3), (3, 5), (4, 6), (5, 8), (6, 10)]),
        scale("melodic-minor", &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 9), (6, 11)]),
        scale("harmonic-minor", &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 7), (5, 8), (6, 11)]),
        scale("lydian-dominant", &[(0, 0), (1, 2), (2, 4), (3, 6), (4, 7), (5, 9), (6, 10)]),
        scale("phrygian-dominant", &[(0, 0), (1, 1), (2, 4), (3, 5), (4, 7), (5, 8), (6, 10)]),
        scale("altered", &[(0, 0), (1, 1), (1, 3), (2, 4), (4, 6), (5, 8), (6, 10)]),
        scale("whole-tone", &[(0, 0), (1, 2), (2, 4), (3, 6), (4, 8), (6, 10)]),
        scale("half-whole", &[(0, 0), (1, 1), (1, 3), (2, 4), (3, 6), (4, 7), (5, 9), (6, 10)]),
        scale("whole-half", &[(0, 0), (1, 2), (2, 3), (3, 5), (4, 6), (5, 8), (6, 9), (6, 11)]),
        scale("major-pentatonic", &[(0, 0), (1, 2), (2, 4), (4, 7), (5, 9)]),
        scale("minor-pentatonic", &[(0, 0), (2, 3), (3, 5), (4, 7), (6, 10)]),
        scale("blues", &[(0, 0), (2, 3), (3, 5), (4, 6), (4, 7), (6, 10)]),
        scale("major-blues", &[(0, 0), (1, 2), (2, 3), (2, 4), (4, 7), (5, 9)]),
        scale(
            "bebop-dominant",
            &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (5, 9), (6, 10), (6, 11)],
        ),
        scale("bebop-major", &[(0, 0), (1, 2), (2, 4), (3, 5), (4, 7), (4, 8), (5, 9), (6, 11)]),
        scale("bebop-minor", &[(0, 0), (1, 2), (2, 3), (2, 4), (3, 5), (4, 7), (5, 9), (6, 10)]),
    ]
};

impl NamedScale {
    /// Every scale.
    pub fn all() -> impl Iterator<Item = Self> {
        SCALES.into_iter()
    }

    /// How many notes it has in an octave.
    pub fn len(self) -> usize {
        self.notes.len()
    }

    /// Never.
    pub fn is_empty(self) -> bool {
        self.notes.is_empty()
    }

    /// Its notes above the first one, within an octave.
    pub fn notes(self) -> impl Iterator<Item = Interval> {
        self.notes
            .iter()
            .map(|(steps, semitones)| Interval { steps: *steps, semitones: *semitones })
    }

    /// The interval of a note above the first, which is number 1; any whole number is a note of the
    /// endless scale.
    pub fn interval(self, number: i32) -> Interval {
        let count = self.notes.len() as i32;
        let (steps, semitones) = self.notes[(number - 1).rem_euclid(count) as usize];
        Interval { steps, semitones }.plus_octaves((number - 1).div_euclid(count))
    }
}

impl ChordKind {
    /// The scale of seven notes that goes with a chord that no key explains, above its root: the
    /// mixolydian, dorian, locrian, melodic minor or major scale by its third and seventh, with
    /// every tone of the chord in place of the note of its number (common practice, no source).
    pub fn scale(self) -> [Interval; 7] {
        let base = match (self.third(), self.seventh()) {
            (Third::Minor, Seventh::Diminished) => "locrian",
            (Third::Minor, _) if self.fifth().is_altered() => "locrian",
            (Third::Minor, Seventh::Major | Seventh::Sixth) => "melodic-minor",
            (Third::Minor, _) => "dorian",
            (_, Seventh::Minor) => "mixolydian",
            _ => "ionian",
        };
        let base = SCALES.into_iter().find(|scale| scale.word == base);
        let base = base.expect("every base is a scale of the table");
        std::array::from_fn(|place| {
            let number = place as i32 + 1;
            let own = self.number(number).filter(|own| own.steps == place as i32);
            own.unwrap_or_else(|| base.interval(number))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_rise_within_an_octave_and_differ() {
        for (index, scale) in NamedScale::all().enumerate() {
            let notes: Vec<Interval> = scale.notes().collect();
            assert_eq!(notes[0], Interval::UNISON, "{}", scale.word);
            let rises = |pair: &[Interval]| {
                pair[0].semitones < pair[1].semitones && pair[0].steps <= pair[1].steps
            };
            assert!(notes.windows(2).all(rises), "{}: {notes:?}", scale.word);
            assert!(notes.iter().all(|note| note.semitones < 12), "{}", scale.word);
            assert_eq!(scale.interval(scale.len() as i32 + 1), Interval::OCTAVE);
            for other in NamedScale::all().skip(index + 1) {
                assert_ne!(scale.word, other.word);
                assert_ne!(scale.notes, other.notes, "{} and {}", scale.word, other.word);
            }
        }
    }

    /// Source: the church modes are the major scale from each of its notes (common practice).
    #[test]
    fn church_modes_are_the_major_scale_from_its_notes() {
        let modes = ["ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"];
        let major = SCALES[0];
        for (place, word) in (1..).zip(modes) {
            let mode = NamedScale::all().find(|scale| scale.word == word).unwrap();
            for number in 1..=7 {
                let expected =
                    major.interval(place + number - 1).plus(major.interval(place).down());
                assert_eq!(mode.interval(number), expected, "{word} {number}");
            }
        }
    }

    /// Over every kind of chord: one note on each number, the chord's own among them.
    #[test]
    fn the_scale_of_a_chord_has_its_tones() {
        for kind in ChordKind::all() {
            let scale = kind.scale();
            for (place, note) in (0..).zip(scale) {
                assert_eq!(note.steps, place, "{kind:?}");
            }
            let missing = kind.tones().find(|tone| {
                let is_upper_ninth = kind.number(2).is_some_and(|ninth| ninth != tone.simple())
                    && tone.simple().steps == 1;
                !is_upper_ninth && !scale.contains(&tone.simple())
            });
            assert_eq!(missing, None, "{kind:?}");
        }
    }
}
