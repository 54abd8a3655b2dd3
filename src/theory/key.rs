//! Keys: the fifteen major and fifteen minor ones, and their round in falling fifths.

use std::fmt;

use thiserror::Error;

use super::{Interval, Letter, Mode, NoteName, Scale};

/// A key by its tonic, major, minor or of a church mode; at most seven signs in its signature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    tonic: NoteName,
    /// One that has a signature of its own.
    mode: Mode,
}

/// How the keys with two customary spellings are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Spelling {
    /// G♭, D♭ and B: the usual round.
    #[default]
    Customary,
    /// F♯, C♯ and B.
    Sharps,
    /// G♭, D♭ and C♭.
    Flats,
}

/// Why a word is no key.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum KeyError {
    /// Not a note name at all.
    #[error("unknown key `{found}`; {hint}")]
    Unknown {
        /// What was written.
        found: String,
        /// How to mend it.
        hint: String,
    },
    /// A note name whose key would need double signs.
    #[error("{found} {mode} needs {signs} signs in its signature; write {instead} instead")]
    TooManySigns {
        /// What was written.
        found: NoteName,
        /// Signs its signature would need.
        signs: i32,
        /// Major or minor.
        mode: &'static str,
        /// How the key that sounds the same is written.
        instead: String,
    },
}

impl Key {
    /// Semitones of each key of the round in falling fifths, by signature: C, one flat, two ...
    const ROUND: [i32; 12] = [0, -1, -2, -3, -4, -5, -6, 5, 4, 3, 2, 1];

    /// The fifteen major keys, from seven flats to seven sharps.
    pub fn majors() -> impl Iterator<Item = Self> {
        (-7..=7).map(Self::from_fifths)
    }

    /// The fifteen keys that a mode can be in, from seven flats to seven sharps.
    pub fn all(mode: Mode) -> impl Iterator<Item = Self> {
        let (mode, above) = (mode.signature(), mode.fifths_below_major());
        (-7..=7).map(move |fifths| Self { mode, ..Self::from_fifths(fifths + above) })
    }

    /// The key whose signature has `fifths` sharps (or flats, where negative).
    fn from_fifths(fifths: i32) -> Self {
        let letter = Letter::from_steps(4 * fifths);
        let alter = (fifths - Self::natural_fifths(letter)) / 7;
        Self { tonic: NoteName::new(letter, alter), mode: Mode::Major }
    }

    /// Sharps in the signature of the key on a white letter; F has -1.
    fn natural_fifths(letter: Letter) -> i32 {
        [0, 2, 4, -1, 1, 3, 5][letter as usize]
    }

    /// The key on a tonic. Errors if its signature would need more than seven signs.
    pub fn major(tonic: NoteName) -> Result<Self, KeyError> {
        let signs = Self::natural_fifths(tonic.letter) + 7 * tonic.alter;
        if signs.abs() <= 7 {
            return Ok(Self { tonic, mode: Mode::Major });
        }
        let instead = Self::ROUND
            .map(Self::from_fifths)
            .into_iter()
            .find(|key| key.tonic.pitch_class() == tonic.pitch_class())
            .expect("the round meets every pitch class");
        let instead = instead.plain();
        Err(KeyError::TooManySigns { found: tonic, signs: signs.abs(), mode: "major", instead })
    }

    /// The minor key on a tonic. Errors if its signature would need more than seven signs.
    pub fn minor(tonic: NoteName) -> Result<Self, KeyError> {
        let key = Self { tonic, mode: Mode::NaturalMinor };
        let signs = key.fifths();
        if signs.abs() <= 7 {
            return Ok(key);
        }
        let instead = Self { tonic: Self::twin(tonic, signs), ..key }.plain();
        Err(KeyError::TooManySigns { found: tonic, signs: signs.abs(), mode: "minor", instead })
    }

    /// The note that sounds like a tonic and lies on the other side of the circle of fifths.
    fn twin(tonic: NoteName, signs: i32) -> NoteName {
        // A diminished second up turns five sharps into seven flats, and so on: twelve fifths.
        let second = Interval { steps: 1, semitones: 0 };
        tonic.up(if signs > 0 { second } else { second.down() })
    }

    /// The key on this tonic whose signature a mode takes. Where that would need more than
    /// seven signs (D♭, G♭ and C♭ minor), the key that sounds the same.
    #[must_use]
    pub fn in_mode(self, mode: Mode) -> Self {
        Self::on(self.tonic, mode)
    }

    /// The same on any tonic.
    pub fn on(tonic: NoteName, mode: Mode) -> Self {
        let key = Self { tonic, mode: mode.signature() };
        let signs = key.fifths();
        if signs.abs() <= 7 { key } else { Self { tonic: Self::twin(tonic, signs), ..key } }
    }

    /// The mode whose notes its signature has; natural minor for a minor key.
    pub fn mode(self) -> Mode {
        self.mode
    }

    /// Whether its third is minor.
    pub fn is_minor(self) -> bool {
        self.mode.is_minor()
    }

    /// Whether it is of a church mode, neither major nor minor.
    pub fn is_of_church_mode(self) -> bool {
        !matches!(self.mode, Mode::Major | Mode::NaturalMinor)
    }

    /// The word for its kind: major, minor, or the church mode.
    pub fn mode_word(self) -> &'static str {
        if self.is_of_church_mode() { self.mode.word() } else { self.mode.tonality().word() }
    }

    /// Its name in words: `E♭ major`.
    pub fn words(self) -> String {
        format!("{} {}", self.tonic, self.mode_word())
    }

    /// The same in letters that can be typed: `Eb major`.
    pub fn plain(self) -> String {
        format!("{} {}", self.tonic.plain(), self.mode_word())
    }

    /// The other customary spelling of this key, if there is one.
    pub fn other_spelling(self) -> Option<Self> {
        let other = Self { tonic: Self::twin(self.tonic, self.fifths()), ..self };
        (self.fifths() != 0 && other.fifths().abs() <= 7).then_some(other)
    }

    /// The spelling of fewer signs, which is what is taken where nobody asked for the other: G♯
    /// minor with its five sharps for A♭ minor with its seven flats (common practice, no source).
    #[must_use]
    pub fn customary(self) -> Self {
        let other = self.other_spelling();
        other.filter(|other| other.fifths().abs() < self.fifths().abs()).unwrap_or(self)
    }

    /// The twelve keys in falling fifths from C, counter-clockwise round the circle.
    pub fn round(spelling: Spelling) -> [Self; 12] {
        Self::ROUND.map(|fifths| {
            Self::from_fifths(match (spelling, fifths) {
                (Spelling::Sharps, -6) => 6,
                (Spelling::Sharps, -5) => 7,
                (Spelling::Flats, 5) => -7,
                (_, fifths) => fifths,
            })
        })
    }

    /// The twelve keys of a mode in falling fifths, each in the spelling with the fewest signs.
    pub fn ring(mode: Mode) -> [Self; 12] {
        Self::round(Spelling::Customary).map(|key| {
            let key = key.in_mode(mode);
            let other = key.other_spelling();
            other.filter(|other| other.fifths().abs() < key.fifths().abs()).unwrap_or(key)
        })
    }

    /// Where this key stands in the round, 0 (C) to 11 (G), by its tonic; both spellings share
    /// a place, and so do the major and the minor key on one tonic.
    pub fn place_in_round(self) -> usize {
        (-self.tonic_fifths()).rem_euclid(12) as usize
    }

    /// The next key of the round, spelled as `spelling` says.
    pub fn next_in_round(self, spelling: Spelling) -> Self {
        let next = Self::round(spelling)[(self.place_in_round() + 1) % 12];
        let next = next.in_mode(self.mode);
        if spelling == Spelling::Customary { next.customary() } else { next }
    }

    /// The tonic.
    pub fn tonic(self) -> NoteName {
        self.tonic
    }

    /// Sharps in the signature, or flats where negative.
    pub fn fifths(self) -> i32 {
        self.tonic_fifths() - self.mode.fifths_below_major()
    }

    /// How many fifths the tonic lies above C.
    fn tonic_fifths(self) -> i32 {
        Self::natural_fifths(self.tonic.letter) + 7 * self.tonic.alter
    }

    /// The scale of its signature.
    pub fn scale(self) -> Scale {
        Scale { tonic: self.tonic, mode: self.mode }
    }

    /// The notes that the signature alters, in the order in which it prints them.
    pub fn signature(self) -> Vec<NoteName> {
        const SHARPS: [Letter; 7] =
            [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];
        let count = self.fifths().unsigned_abs() as usize;
        if self.fifths() >= 0 {
            SHARPS[..count].iter().map(|letter| NoteName::new(*letter, 1)).collect()
        } else {
            let flats = SHARPS.iter().rev().take(count);
            flats.map(|letter| NoteName::new(*letter, -1)).collect()
        }
    }

    /// The alteration that the signature gives a letter.
    pub fn signature_alter(self, letter: Letter) -> i32 {
        // Where the letter stands in the order of sharps, and backwards in that of flats.
        let sharps_before = Self::natural_fifths(letter) + 1;
        let fifths = self.fifths();
        i32::from(fifths > sharps_before) - i32::from(-fifths > 6 - sharps_before)
    }

    /// Whether a note is not as the signature has it, so that it needs a sign of its own.
    pub fn is_altered(self, name: NoteName) -> bool {
        name.alter != self.signature_alter(name.letter)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.tonic.fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_run_from_seven_flats_to_seven_sharps() {
        let keys: Vec<String> = Key::majors().map(|key| key.tonic().plain()).collect();
        let expected =
            ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"];
        assert_eq!(keys, expected);
        for (key, fifths) in Key::majors().zip(-7..) {
            assert_eq!(key.fifths(), fifths, "{key}");
            assert_eq!(key.signature().len() as i32, fifths.abs(), "{key}");
            for letter in Letter::ALL {
                let sign = key.signature().into_iter().find(|note| note.letter == letter);
                let alter = sign.map_or(0, |note| note.alter);
                assert_eq!(key.signature_alter(letter), alter, "{letter} in {key}");
            }
        }
    }

    /// Source: the circle of fifths of the relative keys, common practice, no source.
    #[test]
    fn a_minor_key_has_the_signature_of_the_major_key_a_minor_third_up() {
        for major in Key::majors() {
            let tonic = major.tonic().up(Interval::MINOR_THIRD.down());
            let minor = Key::minor(tonic).unwrap();
            assert_eq!(minor.signature(), major.signature(), "{tonic} minor");
            assert_eq!(minor.in_mode(Mode::HarmonicMinor), minor);
        }
    }

    #[test]
    fn every_major_key_has_a_minor_key_on_its_tonic_or_on_that_tonics_twin() {
        let names = |spelling| {
            Key::round(spelling).map(|key| key.in_mode(Mode::NaturalMinor).tonic().plain())
        };
        let expected = ["C", "F", "Bb", "Eb", "Ab", "C#", "F#", "B", "E", "A", "D", "G"];
        assert_eq!(names(Spelling::Customary), expected);
        assert_eq!(names(Spelling::Flats)[7], "B");
        for key in Key::majors() {
            let minor = key.in_mode(Mode::MelodicMinor);
            assert!(minor.fifths().abs() <= 7, "{key}");
            assert_eq!(minor.place_in_round(), key.place_in_round(), "{key}");
        }
    }

    /// A church mode has the signature of the major key whose white keys it takes (common practice,
    /// no source): its scale has no note that the signature does not.
    #[test]
    fn every_scale_of_a_signature_has_its_notes() {
        for mode in Mode::ALL.into_iter().filter(|mode| mode.signature() == *mode) {
            assert_eq!(Key::all(mode).count(), 15);
            for key in Key::all(mode).chain(Key::ring(mode)) {
                let scale = Scale { tonic: key.tonic(), mode };
                assert_eq!(key.scale(), scale, "{}", key.words());
                assert!(
                    (1..=7).all(|degree| !key.is_altered(scale.note(degree))),
                    "{}",
                    key.words()
                );
            }
        }
    }

    #[test]
    fn keys_with_two_spellings_know_the_other() {
        let other = |name: &str| {
            let key: Key = name.parse().unwrap();
            key.other_spelling().map(|key| key.words())
        };
        assert_eq!(other("Gb").as_deref(), Some("F♯ major"));
        assert_eq!(other("B").as_deref(), Some("C♭ major"));
        assert_eq!(other("C#").as_deref(), Some("D♭ major"));
        assert_eq!(other("G#m").as_deref(), Some("A♭ minor"));
        assert_eq!(other("C"), None);
        assert_eq!(other("F"), None);
    }

    #[test]
    fn the_round_meets_twelve_pitch_classes_each_a_fifth_below_the_last() {
        for spelling in [Spelling::Customary, Spelling::Sharps, Spelling::Flats] {
            let round = Key::round(spelling);
            for (place, key) in round.iter().enumerate() {
                assert_eq!(key.place_in_round(), place);
                let next = key.next_in_round(spelling);
                let step = next.tonic().pitch_class() - key.tonic().pitch_class();
                assert_eq!(step.rem_euclid(12), 5, "{key} to {next}");
            }
        }
    }

    #[test]
    fn a_german_h_is_told_about_b() {
        let message = "H".parse::<Key>().unwrap_err().to_string();
        assert_eq!(message, "unknown key `H`; write B for B natural and Bb for B flat");
    }

    #[test]
    fn a_key_of_eight_sharps_is_sent_to_its_twin() {
        let message = "G#".parse::<Key>().unwrap_err().to_string();
        assert_eq!(message, "G♯ major needs 8 signs in its signature; write Ab major instead");
    }

    #[test]
    fn the_next_key_is_spelled_as_is_customary() {
        let sharps = ["G#", "D#", "A#"].into_iter().filter_map(NoteName::parse);
        for tonic in Key::majors().map(Key::tonic).chain(sharps) {
            for key in [Key::major(tonic), Key::minor(tonic)].into_iter().flatten() {
                let next = key.next_in_round(Spelling::Customary);
                assert_eq!(next.place_in_round(), (key.place_in_round() + 1) % 12, "{key}");
                assert_eq!(next.is_minor(), key.is_minor(), "{key}");
                assert!(next.fifths().abs() <= 6, "after {key:?} {next:?}");
            }
        }
    }
}
