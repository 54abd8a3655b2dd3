//! Spelled notes: a letter and its alteration, with an octave where one is meant.

use std::fmt;

use super::Interval;

/// The seven letters of the staff, from C as octaves are numbered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the letters name themselves")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// The letters in staff order.
    pub const ALL: [Self; 7] = [Self::C, Self::D, Self::E, Self::F, Self::G, Self::A, Self::B];

    /// Steps above C, 0 to 6.
    pub const fn steps(self) -> i32 {
        self as i32
    }

    /// The letter that lies `steps` above C, counted round the octave.
    pub fn from_steps(steps: i32) -> Self {
        Self::ALL[steps.rem_euclid(7) as usize]
    }

    /// Semitones of the white key above C.
    pub const fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }
}

impl fmt::Display for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self:?}")
    }
}

/// A spelled note without an octave: a letter raised or lowered by semitones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteName {
    /// The letter on the staff.
    pub letter: Letter,
    /// Semitones of alteration: -1 flat, +1 sharp, doubled for double signs.
    pub alter: i32,
}

impl NoteName {
    /// A letter with its alteration in semitones.
    pub const fn new(letter: Letter, alter: i32) -> Self {
        Self { letter, alter }
    }

    /// The pitch class, 0 (C) to 11.
    pub fn pitch_class(self) -> i32 {
        (self.letter.semitones() + self.alter).rem_euclid(12)
    }

    /// The note an interval above.
    pub fn up(self, interval: Interval) -> Self {
        Pitch::new(self, 4).up(interval).name
    }

    /// Whether the key under this note is a black one.
    pub fn is_black(self) -> bool {
        matches!(self.pitch_class(), 1 | 3 | 6 | 8 | 10)
    }

    /// Reads a letter with `b`, `bb`, `#`, `##` or the printed signs; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        let mut chars = text.chars();
        let letter = match chars.next()?.to_ascii_uppercase() {
            'C' => Letter::C,
            'D' => Letter::D,
            'E' => Letter::E,
            'F' => Letter::F,
            'G' => Letter::G,
            'A' => Letter::A,
            'B' => Letter::B,
            _ => return None,
        };
        let alter = match chars.as_str() {
            "" => 0,
            "b" | "♭" => -1,
            "bb" | "♭♭" | "𝄫" => -2,
            "#" | "♯" => 1,
            "##" | "♯♯" | "𝄪" => 2,
            _ => return None,
        };
        Some(Self { letter, alter })
    }

    /// The name in plain letters: `Bb`, `F#`.
    pub fn plain(self) -> String {
        let sign = if self.alter < 0 { "b" } else { "#" };
        format!("{}{}", self.letter, sign.repeat(self.alter.unsigned_abs() as usize))
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alter < 0 { "♭" } else { "♯" };
        write!(f, "{}{}", self.letter, sign.repeat(self.alter.unsigned_abs() as usize))
    }
}

/// A spelled note in its octave; middle C is C4. The octave belongs to the letter: C♭4 sounds
/// a semitone below C4.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Pitch {
    /// The spelled name.
    pub name: NoteName,
    /// The octave number of its letter.
    pub octave: i32,
}

impl Pitch {
    /// A name in an octave.
    pub const fn new(name: NoteName, octave: i32) -> Self {
        Self { name, octave }
    }

    /// Staff steps above C0: what decides its line or space.
    pub fn staff_step(self) -> i32 {
        7 * self.octave + self.name.letter.steps()
    }

    /// The MIDI key number; middle C is 60.
    pub fn midi(self) -> i32 {
        12 * (self.octave + 1) + self.name.letter.semitones() + self.name.alter
    }

    /// The pitch an interval above; the interval may be negative.
    pub fn up(self, interval: Interval) -> Self {
        let step = self.staff_step() + interval.steps;
        let letter = Letter::from_steps(step);
        let octave = step.div_euclid(7);
        let white = 12 * (octave + 1) + letter.semitones();
        let alter = self.midi() + interval.semitones - white;
        Self::new(NoteName::new(letter, alter), octave)
    }

    /// The same pitch in a spelling that can be printed: where it would need a triple sign, on
    /// the next letter.
    #[must_use]
    pub fn readable(self) -> Self {
        self.with_signs(2)
    }

    /// The same pitch without a double sign.
    #[must_use]
    pub fn plain(self) -> Self {
        self.with_signs(1)
    }

    /// The same pitch on the next letter where it needs more signs than so many.
    fn with_signs(self, most: i32) -> Self {
        let second = Interval { steps: self.name.alter.signum(), semitones: 0 };
        if self.name.alter.abs() <= most { self } else { self.up(second) }
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name, self.octave)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn up_then_down_returns_for_every_name_and_interval() {
        for letter in Letter::ALL {
            for alter in -2..=2 {
                for interval in Interval::ALL {
                    let start = Pitch::new(NoteName::new(letter, alter), 4);
                    let there = start.up(*interval);
                    assert_eq!(there.up(interval.down()), start, "{start} by {interval:?}");
                    assert_eq!(there.midi() - start.midi(), interval.semitones);
                }
            }
        }
    }

    #[test]
    fn c_flat_sounds_below_the_c_of_its_own_octave() {
        let pitch = Pitch::new(NoteName::new(Letter::C, -1), 4);
        assert_eq!((pitch.midi(), pitch.staff_step()), (59, 28));
    }

    #[test]
    fn printed_and_plain_names_read_back() {
        for letter in Letter::ALL {
            for alter in -2..=2 {
                let name = NoteName::new(letter, alter);
                assert_eq!(NoteName::parse(&name.plain()), Some(name));
                assert_eq!(NoteName::parse(&name.to_string()), Some(name));
            }
        }
        assert_eq!(NoteName::parse("H"), None);
        assert_eq!(NoteName::parse("Cx"), None);
    }
}
