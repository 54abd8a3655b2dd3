//! Which chords a passage goes through: degrees, borrowed dominants, progressions.

use crate::theory::{
    Interval, Key, Letter, Mode, NoteName, Numeral, Quality, Scale, SeventhChord, Target,
};

/// A chord of a passage: a degree of the scale, or a chord that leads to one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Degree {
    /// The degree: 1 the tonic, 8 its octave, 0 and below under the tonic.
    pub number: i32,
    /// The chord that leads there, if it is that and not the degree itself that sounds.
    pub leading: Option<Leading>,
}

/// Chords that lead to a degree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Leading {
    /// Its dominant: the seventh chord a fifth above it.
    Dominant,
    /// Its leading-tone chord: the diminished seventh a semitone below it.
    LeadingTone,
}

/// A chord before any key is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChordPlan {
    /// Its root above the tonic.
    pub root: Interval,
    /// The degree of the scale on whose line or space its root stands.
    pub degree: i32,
    /// Its quality.
    pub quality: Quality,
    /// Its numeral, in root position.
    pub numeral: Numeral,
}

impl ChordPlan {
    /// The chord in a key.
    pub fn in_key(self, key: Key) -> SeventhChord {
        SeventhChord { root: key.tonic().up(self.root), quality: self.quality }
    }
}

/// A scale whose intervals alone count.
pub(crate) fn scale(mode: Mode) -> Scale {
    Scale { tonic: NoteName::new(Letter::C, 0), mode }
}

impl Degree {
    /// Reads `4`, `low5`, `5/2`, `7/5`; `None` for anything else.
    pub(crate) fn parse(word: &str) -> Option<Self> {
        let (leading, target) = match word.split_once('/') {
            None => (None, word),
            Some(("5", target)) => (Some(Leading::Dominant), target),
            Some(("7", target)) => (Some(Leading::LeadingTone), target),
            Some(_) => return None,
        };
        let (octave, digits) = match target.strip_prefix("low") {
            Some(digits) => (-1, digits),
            None => (0, target),
        };
        let number = digits.parse::<i32>().ok().filter(|number| (1..=8).contains(number))?;
        Some(Self { number: number + 7 * octave, leading })
    }

    /// The chord in a mode. `None` where a mode stacks thirds into no known seventh.
    pub fn chord(self, mode: Mode) -> Option<ChordPlan> {
        let scale = scale(mode);
        let own = Quality::on_degree(scale, self.number)?;
        let target = scale.interval(self.number);
        let Some(leading) = self.leading else {
            let alter = scale.alteration(self.number);
            let numeral = Numeral { alter, ..Numeral::new(self.number, own) };
            return Some(ChordPlan { root: target, degree: self.number, quality: own, numeral });
        };
        let (root, degree, number, quality) = match leading {
            Leading::Dominant => {
                // Below its target's octave: the root falls a fifth, or rises a fourth.
                let above = target.plus(Interval::FIFTH);
                (above, self.number + 4, 5, Quality::Dominant)
            }
            Leading::LeadingTone => {
                let below = target.plus(Interval::MINOR_SECOND.down());
                (below, self.number - 1, 7, Quality::DiminishedSeventh)
            }
        };
        let of = Some(Target {
            degree: (self.number - 1).rem_euclid(7) + 1,
            alter: scale.alteration(self.number),
            is_minor: own.has_minor_third(),
        });
        let numeral = Numeral { of, ..Numeral::new(number, quality) };
        Some(ChordPlan { root, degree, quality, numeral })
    }
}

/// Progressions by name, as degrees (common practice, no source).
pub(crate) const PROGRESSIONS: [(&str, &[&str]); 7] = [
    ("scale-up", &["1", "2", "3", "4", "5", "6", "7", "8"]),
    ("scale-down", &["8", "7", "6", "5", "4", "3", "2", "1"]),
    ("fourths", &["1", "4", "low7", "3", "low6", "2", "low5", "1"]),
    ("ii-V-I", &["2", "5", "1", "1"]),
    ("ii-V-i", &["2", "5", "1", "1"]),
    ("I-vi-ii-V", &["1", "low6", "2", "low5"]),
    (
        "secondary-dominants",
        &["5/low2", "2", "5/low3", "3", "5/low4", "4", "5/low5", "5", "5/low6", "6", "5", "1"],
    ),
];

/// The degrees of the progression in a row of the table, in a mode: without the chords that
/// lead to one whose fifth is not perfect, and without that one.
pub(crate) fn progression(row: usize, mode: Mode) -> Vec<Degree> {
    let words = PROGRESSIONS[row].1.iter();
    let all: Vec<Degree> = words.filter_map(|word| Degree::parse(word)).collect();
    let rests = |goal: Degree| {
        goal.chord(mode).is_some_and(|chord| chord.quality.upper_intervals()[1] == Interval::FIFTH)
    };
    let mut degrees = Vec::with_capacity(all.len());
    for (index, degree) in all.iter().enumerate() {
        let is_led = index > 0 && all[index - 1].leading.is_some();
        let goal = match (degree.leading, is_led) {
            (Some(_), _) => all.get(index + 1).copied(),
            (None, true) => Some(*degree),
            (None, false) => None,
        };
        if goal.is_none_or(rests) {
            degrees.push(*degree);
        }
    }
    degrees
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{NumeralStyle, SymbolStyle, plain_text};

    #[test]
    fn borrowed_dominants_stand_a_fifth_above_their_goal() {
        let chord = Degree::parse("5/2").unwrap().chord(Mode::Major).unwrap();
        assert_eq!((chord.root, chord.quality), (Interval::MAJOR_SIXTH, Quality::Dominant));
        assert_eq!(plain_text(&chord.numeral.parts(NumeralStyle::On, SymbolStyle::Mixed)), "V7/ii");
        let low = Degree::parse("5/low2").unwrap().chord(Mode::Major).unwrap();
        assert_eq!(low.root, chord.root.plus_octaves(-1));
        let chord = Degree::parse("7/5").unwrap().chord(Mode::Major).unwrap();
        assert_eq!(chord.root, Interval::AUGMENTED_FOURTH);
        assert_eq!(
            plain_text(&chord.numeral.parts(NumeralStyle::On, SymbolStyle::Mixed)),
            "vii°7/V"
        );
    }

    #[test]
    fn every_progression_is_made_of_degrees_with_chords_in_every_mode() {
        for (name, words) in PROGRESSIONS {
            for word in words {
                let degree = Degree::parse(word).unwrap_or_else(|| panic!("{name}: {word}"));
                assert!(Mode::ALL.iter().all(|mode| degree.chord(*mode).is_some()), "{word}");
            }
        }
        for word in ["0", "9", "low0", "2/5", "x", "", "low", "-1"] {
            assert_eq!(Degree::parse(word), None, "{word}");
        }
    }

    /// Dominants lead to chords with a perfect fifth alone: nothing rests on another.
    #[test]
    fn no_progression_leads_to_a_chord_without_a_perfect_fifth() {
        let mut led = 0;
        for (row, (name, _)) in PROGRESSIONS.iter().enumerate() {
            for mode in Mode::ALL {
                let degrees = progression(row, mode);
                assert!(degrees.len() > 3, "{name} in {}", mode.word());
                for pair in degrees.windows(2).filter(|pair| pair[0].leading.is_some()) {
                    assert_eq!((pair[1].number - pair[0].number).rem_euclid(7), 0);
                    let goal = pair[1].chord(mode).unwrap();
                    assert_eq!(goal.quality.upper_intervals()[1], Interval::FIFTH, "{pair:?}");
                    led += 1;
                }
            }
        }
        assert!(led > 10, "{led}");
    }
}
