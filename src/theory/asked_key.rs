//! A key as a teacher asks for it: a tonic, and perhaps whether it is major or minor.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::{Key, KeyError, Mode, NoteName, Spelling, Tonality};

/// A tonic, and major or minor where that was said too. Without it the drill decides.
///
/// There is a key of at most seven signs for each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AskedKey {
    tonic: NoteName,
    tonality: Option<Tonality>,
}

/// Why a drill cannot be in a key that was asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// The drill is in the other tonality.
    Tonality,
    /// The drill's key on this tonic would need more than seven signs.
    Signs {
        /// The key that sounds the same.
        instead: Key,
    },
}

/// Words for the tonality behind a tonic; small and capital letters are the same.
const WORDS: [(&str, Tonality); 4] = [
    ("major", Tonality::Major),
    ("maj", Tonality::Major),
    ("minor", Tonality::Minor),
    ("min", Tonality::Minor),
];

/// What may stand between a tonic and such a word.
const BETWEEN: [char; 4] = [' ', '-', '\u{a0}', '\u{202f}'];

impl AskedKey {
    /// The tonic alone. Errors if neither its major key nor its minor one can be written.
    pub fn on(tonic: NoteName) -> Result<Self, KeyError> {
        let asked = Self { tonic, tonality: None };
        match (Key::major(tonic), Key::minor(tonic)) {
            (Err(KeyError::TooManySigns { found, signs, mode, .. }), Err(_)) => {
                // A tonic was asked for, so a tonic is what is to be written: the drill decides.
                let instead = asked.serving_both().plain();
                Err(KeyError::TooManySigns { found, signs, mode, instead })
            }
            _ => Ok(asked),
        }
    }

    /// A tonic in a tonality. Errors if that key needs more than seven signs; but D♭ minor, which is
    /// what D♭ alone asks of a minor drill, is C♯ minor with its word as without it.
    pub fn of(tonic: NoteName, tonality: Tonality) -> Result<Self, KeyError> {
        match tonality {
            Tonality::Major => Key::major(tonic)?,
            Tonality::Minor => Key::minor(tonic).or_else(|error| {
                Key::major(tonic).map(|_| Key::on(tonic, Mode::NaturalMinor)).or(Err(error))
            })?,
        };
        Ok(Self { tonic, tonality: Some(tonality) })
    }

    /// The tonics of the twelve keys in falling fifths from C, whatever a drill makes of them.
    pub fn round(spelling: Spelling) -> [Self; 12] {
        Key::round(spelling).map(|key| Self { tonic: key.tonic(), tonality: None })
    }

    /// The tonic.
    pub fn tonic(self) -> NoteName {
        self.tonic
    }

    /// Major or minor, where it was said.
    pub fn tonality(self) -> Option<Tonality> {
        self.tonality
    }

    /// The tonic, or the one that sounds the same, on which there are major and minor drills alike:
    /// every major key has a minor one that sounds on its tonic.
    pub fn serving_both(self) -> NoteName {
        self.in_mode(Mode::Major).tonic()
    }

    /// The key without the word for its tonality, which the drill then decides.
    #[must_use]
    pub fn unsaid(self) -> Self {
        Self { tonality: None, ..self }
    }

    /// The major key on this tonic, or the minor one where there is no major key.
    pub fn key(self) -> Key {
        Key::major(self.tonic).unwrap_or(self.in_mode(Mode::NaturalMinor))
    }

    /// Where this key stands in the round; see [`Key::place_in_round`].
    pub fn place_in_round(self) -> usize {
        self.in_mode(Mode::Major).place_in_round()
    }

    /// The key on this tonic in a mode, whatever tonality was asked for. Where it would need more
    /// than seven signs, the key that sounds the same.
    pub fn in_mode(self, mode: Mode) -> Key {
        Key::on(self.tonic, mode)
    }

    /// The same, if it is what was asked for.
    ///
    /// A tonic alone is asked of a minor drill in falling fifths and the like, so D♭ is C♯ minor
    /// there; but it is no major key of its own where it would need double signs.
    pub fn fit(self, mode: Mode) -> Result<Key, Misfit> {
        let key = self.in_mode(mode);
        match self.tonality {
            Some(asked) if asked != mode.tonality() => Err(Misfit::Tonality),
            None if !mode.is_minor() && key.tonic() != self.tonic => {
                Err(Misfit::Signs { instead: key })
            }
            _ => Ok(key),
        }
    }

    /// What minor drills take in place of this tonic where nobody asked for it by name; see
    /// [`Key::customary`].
    #[must_use]
    pub fn customary_in_minor(self) -> Self {
        let key = self.in_mode(Mode::NaturalMinor);
        let customary = key.customary();
        if self.tonality.is_some() || customary == key {
            return self;
        }
        Self { tonic: customary.tonic(), tonality: Some(Tonality::Minor) }
    }

    /// The tonic in letters that can be typed, with its tonality where it was said.
    pub fn plain(self) -> String {
        let tonic = self.tonic.plain();
        match self.tonality {
            None => tonic,
            Some(tonality) => format!("{tonic} {}", tonality.word()),
        }
    }
}

/// A tonic in letters and signs, or with `flat` or `sharp` as a word behind it.
fn tonic(text: &str) -> Option<NoteName> {
    let lower = text.to_ascii_lowercase();
    for (word, sign) in [("flat", 'b'), ("sharp", '#')] {
        if let Some(letter) = lower.strip_suffix(word) {
            return NoteName::parse(&format!("{}{sign}", letter.trim_end_matches(BETWEEN)));
        }
    }
    NoteName::parse(text)
}

/// A word with its tonality taken off, if it says one.
fn split(text: &str) -> Option<(&str, Tonality)> {
    let spelled = WORDS.iter().find_map(|(word, tonality)| {
        let start = text.len().checked_sub(word.len())?;
        let end = text.get(start..)?;
        end.eq_ignore_ascii_case(word).then(|| (&text[..start], *tonality))
    });
    // A capital M would be major, and is more often a slip.
    let letter = || Some((text.strip_suffix('m')?, Tonality::Minor));
    let (tonic, tonality) = spelled.or_else(letter)?;
    Some((tonic.trim_end_matches(BETWEEN), tonality))
}

impl FromStr for AskedKey {
    type Err = KeyError;

    /// Reads `Eb`, `E♭`, `E flat`, with `major`, `minor`, `maj`, `min` or `m` behind it or not.
    fn from_str(text: &str) -> Result<Self, KeyError> {
        let found = text.trim();
        if let Some(tonic) = tonic(found) {
            return Self::on(tonic);
        }
        if let Some((tonic, tonality)) = split(found).and_then(|(t, way)| Some((tonic(t)?, way))) {
            return Self::of(tonic, tonality);
        }
        Err(KeyError::Unknown { found: found.to_owned(), hint: hint(found) })
    }
}

/// How to write a key that was written in a way that is none of ours.
fn hint(found: &str) -> String {
    let lower = found.to_lowercase();
    let modes = Mode::ALL.into_iter().map(Mode::word);
    if let Some((mode, own)) =
        modes.filter_map(|mode| Some((mode, lower.strip_suffix(mode)?))).next()
        && let Some(tonic) =
            found.get(..own.len()).and_then(|own| tonic(own.trim_end_matches(BETWEEN)))
    {
        return format!("write {} alone: a drill or a tune in {mode} stays so", tonic.plain());
    }
    let (name, minor) = match lower.trim_end_matches(BETWEEN).rsplit_once(BETWEEN) {
        Some((name, "moll")) => (name, " minor"),
        Some((name, "dur")) => (name, " major"),
        _ => (lower.as_str(), ""),
    };
    let german = match name {
        "h" => return format!("write B{minor} for B natural and Bb{minor} for B flat"),
        "" => return "write a letter from A to G".to_owned(),
        "as" => Some(("a", "b", " for the flat")),
        "es" => Some(("e", "b", " for the flat")),
        _ => [("es", "b", " for the flat"), ("is", "#", " for the sharp"), ("", "", "")]
            .into_iter()
            .find_map(|(end, sign, what)| Some((name.strip_suffix(end)?, sign, what)))
            .filter(|(letter, sign, _)| {
                !(sign.is_empty() && minor.is_empty() || letter.is_empty())
            }),
    };
    let ours = german.and_then(|(letter, sign, what)| {
        let letter = if letter == "h" { "b" } else { letter };
        let (first, rest) = letter.split_at_checked(1)?;
        let word = format!("{}{rest}{sign}{minor}", first.to_uppercase());
        match word.parse::<AskedKey>() {
            Ok(_) => Some(format!("write {word}{what}")),
            Err(KeyError::TooManySigns { instead, .. }) => Some(format!("write {instead}")),
            Err(KeyError::Unknown { .. }) => None,
        }
    });
    ours.unwrap_or_else(|| {
        "write a letter from A to G with b or #, as in Eb or F#, and minor behind it for a minor \
         key"
        .to_owned()
    })
}

impl fmt::Display for AskedKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.tonic.fmt(f)?;
        self.tonality.map_or(Ok(()), |tonality| write!(f, " {}", tonality.word()))
    }
}

impl Serialize for AskedKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let suffix = match self.tonality {
            None => "",
            Some(Tonality::Major) => " major",
            Some(Tonality::Minor) => "m",
        };
        serializer.serialize_str(&format!("{}{suffix}", self.tonic.plain()))
    }
}

impl<'de> Deserialize<'de> for AskedKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

impl FromStr for Key {
    type Err = KeyError;

    /// Reads what [`AskedKey`] reads; a tonic alone is its major key.
    fn from_str(text: &str) -> Result<Self, KeyError> {
        let asked: AskedKey = text.parse()?;
        match asked.tonality() {
            Some(Tonality::Minor) => Self::minor(asked.tonic()),
            Some(Tonality::Major) | None => Self::major(asked.tonic()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::Letter;

    fn asked(text: &str) -> AskedKey {
        text.parse().unwrap()
    }

    #[test]
    fn keys_are_read_in_the_ways_they_are_written() {
        let (flat, minor) = (NoteName::new(Letter::B, -1), Some(Tonality::Minor));
        for text in ["Bb", "bb", "B♭", " Bb ", "B flat", "b-flat", "Bflat"] {
            assert_eq!(asked(text), AskedKey { tonic: flat, tonality: None }, "{text}");
        }
        for text in ["Bb minor", "Bbm", "B♭ min", "bb-minor", "B flat minor", "Bb\u{a0}Minor"] {
            assert_eq!(asked(text), AskedKey { tonic: flat, tonality: minor }, "{text}");
        }
        for text in ["Bb major", "Bbmaj", "B♭ Major", "B-flat-major"] {
            let major = Some(Tonality::Major);
            assert_eq!(asked(text), AskedKey { tonic: flat, tonality: major }, "{text}");
        }
        assert_eq!(asked("am").to_string(), "A minor");
        assert_eq!(asked("D min").to_string(), "D minor");
    }

    #[test]
    fn every_key_reads_back_as_it_is_written() {
        for letter in Letter::ALL {
            for alter in -2..=2 {
                let tonic = NoteName::new(letter, alter);
                let all = [
                    AskedKey::on(tonic),
                    AskedKey::of(tonic, Tonality::Major),
                    AskedKey::of(tonic, Tonality::Minor),
                ];
                for key in all.into_iter().flatten() {
                    assert_eq!(asked(&key.to_string()), key);
                    assert_eq!(asked(&key.plain()), key);
                    let json = serde_json::to_string(&key).unwrap();
                    assert_eq!(serde_json::from_str::<AskedKey>(&json).unwrap(), key, "{json}");
                }
            }
        }
    }

    #[test]
    fn a_tonic_alone_is_written_as_ever() {
        let json = serde_json::to_string(&AskedKey::round(Spelling::Customary)).unwrap();
        let letters = r#"["C","F","Bb","Eb","Ab","Db","Gb","B","E","A","D","G"]"#;
        assert_eq!(json, letters);
        assert_eq!(serde_json::to_string(&asked("A minor")).unwrap(), "\"Am\"");
    }

    #[test]
    fn what_a_drill_cannot_give_is_told_apart() {
        let fit = |text: &str, mode| asked(text).fit(mode).map(Key::words);
        let words = |text: &str| Ok(text.to_owned());
        assert_eq!(fit("G", Mode::Major), words("G major"));
        assert_eq!(fit("G", Mode::HarmonicMinor), words("G minor"));
        assert_eq!(fit("G minor", Mode::MelodicMinor), words("G minor"));
        assert_eq!(fit("G minor", Mode::Major), Err(Misfit::Tonality));
        assert_eq!(fit("G major", Mode::NaturalMinor), Err(Misfit::Tonality));
        assert_eq!(fit("G#", Mode::NaturalMinor), words("G♯ minor"));
        assert_eq!(fit("Ab", Mode::NaturalMinor), words("A♭ minor"));
        for flat in ["Db", "Db minor", "Dbm"] {
            assert_eq!(fit(flat, Mode::NaturalMinor), words("C♯ minor"), "{flat}");
        }
        assert_eq!(fit("Db minor", Mode::Major), Err(Misfit::Tonality));
        let instead = Key::major(NoteName::new(Letter::A, -1)).unwrap();
        assert_eq!(fit("G#", Mode::Major), Err(Misfit::Signs { instead }));
    }

    #[test]
    fn minor_has_twelve_customary_keys_of_at_most_six_signs() {
        let round = AskedKey::round(Spelling::Customary).map(AskedKey::customary_in_minor);
        let keys = round.map(|key| key.fit(Mode::NaturalMinor).unwrap());
        let names = keys.map(|key| key.tonic().plain());
        let expected = ["C", "F", "Bb", "Eb", "G#", "C#", "F#", "B", "E", "A", "D", "G"];
        assert_eq!(names, expected);
        assert!(keys.iter().all(|key| key.fifths().abs() <= 6));
        assert_eq!(asked("Ab minor").customary_in_minor(), asked("Ab minor"));
    }

    #[test]
    fn keys_that_are_none_are_told_how_to_write_them() {
        for (text, mend) in [
            ("H", "write B for B natural and Bb for B flat"),
            ("h moll", "write B minor for B natural and Bb minor for B flat"),
            ("g-moll", "write G minor"),
            ("fis-moll", "write F# minor for the sharp"),
            ("Es-Dur", "write Eb major for the flat"),
            ("", "write a letter from A to G"),
        ] {
            let message = text.parse::<AskedKey>().unwrap_err().to_string();
            assert_eq!(message, format!("unknown key `{text}`; {mend}"));
        }
        let message = |text: &str| text.parse::<AskedKey>().unwrap_err().to_string();
        let signs = "needs 8 signs in its signature; write";
        assert_eq!(message("G# major"), format!("G♯ major {signs} Ab major instead"));
        assert_eq!(
            message("Fb minor"),
            "F♭ minor needs 11 signs in its signature; write E minor instead"
        );
        assert!(message("E#").starts_with("E♯ major needs 11 signs"), "{}", message("E#"));
    }

    /// Every key that a message tells to write can be written, whatever was written before.
    #[test]
    fn what_a_message_tells_to_write_is_a_key() {
        let signs = ["", "b", "#", "bb", "##", "es", "is", "eses", "isis", "s"];
        let ends = ["", " major", " minor", "m", "-dur", "-moll", " Moll"];
        let mut told = 0;
        for letter in "abcdefghx".chars() {
            for (sign, end) in signs.iter().flat_map(|sign| ends.map(|end| (sign, end))) {
                let text = format!("{letter}{sign}{end}");
                let Err(error) = text.parse::<AskedKey>() else { continue };
                let message = error.to_string();
                let (_, mend) = message.split_once("; write ").expect("a mend");
                if mend.starts_with("a letter") {
                    continue;
                }
                let end = [" instead", " for "].iter().filter_map(|end| mend.find(end)).min();
                let word = &mend[..end.unwrap_or(mend.len())];
                assert!(word.parse::<AskedKey>().is_ok(), "{text}: {message}");
                told += 1;
            }
        }
        assert!(told > 100, "{told}");
    }
}
