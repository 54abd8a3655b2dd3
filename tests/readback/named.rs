//! What chord symbols and numerals mean, as the trade reads them. Nothing here calls the
//! program.

use crate::oracle::Name;

/// A chord as a symbol or a numeral names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Named {
    pub(crate) root: Name,
    /// The kind, by the name it has in `tests/data`.
    pub(crate) kind: &'static str,
}

/// What may follow the root of a symbol, in all styles (common practice, no source), and the
/// kind it names.
const SUFFIXES: [(&str, &str); 24] = [
    ("maj7", "major-seventh"),
    ("△7", "major-seventh"),
    ("7", "dominant-seventh"),
    ("m7", "minor-seventh"),
    ("-7", "minor-seventh"),
    ("ø7", "half-diminished"),
    ("mi7", "minor-seventh"),
    ("m7♭5", "half-diminished"),
    ("mi7♭5", "half-diminished"),
    ("-7♭5", "half-diminished"),
    ("°7", "diminished-seventh"),
    ("dim7", "diminished-seventh"),
    ("m(maj7)", "minor-major"),
    ("mi(maj7)", "minor-major"),
    ("-(maj7)", "minor-major"),
    ("m△7", "minor-major"),
    ("mi△7", "minor-major"),
    ("-△7", "minor-major"),
    ("maj7♯5", "augmented-major-seventh"),
    ("△7♯5", "augmented-major-seventh"),
    ("6", "major-sixth"),
    ("m6", "minor-sixth"),
    ("-6", "minor-sixth"),
    ("7♯5", "augmented-seventh"),
];

/// Whether the third of a kind is minor.
pub(crate) fn is_minor(kind: &str) -> bool {
    kind.starts_with("minor") || kind.contains("diminished")
}

/// Whether a word has the look of a chord symbol, known or not.
pub(crate) fn looks_like_symbol(text: &str) -> bool {
    let chord = text.split_once('/').map_or(text, |(chord, _)| chord);
    let mut rest = chord.chars();
    rest.next().is_some_and(|root| ('A'..='G').contains(&root)) && is_tail(rest.as_str())
}

/// Whether a word has the look of a numeral, known or not.
pub(crate) fn looks_like_numeral(text: &str) -> bool {
    let rest = text.trim_start_matches(['♭', '♯']);
    let tail = rest.trim_start_matches(['I', 'V', 'i', 'v']);
    tail.len() < rest.len() && is_tail(tail)
}

/// Accidentals, letters and signs of qualities, figures, and what a slash leads to; a figure at
/// least.
fn is_tail(text: &str) -> bool {
    text.contains(|c: char| c.is_ascii_digit())
        && text.chars().all(|c| "0123456789majdisu♭♯△ø°+-()/IViv".contains(c))
}

fn accidentals(text: &str) -> (i32, &str) {
    let rest = text.trim_start_matches(['♭', '♯']);
    let signs = &text[..text.len() - rest.len()];
    let alter = signs.chars().map(|sign| if sign == '♯' { 1 } else { -1 }).sum();
    (alter, rest)
}

/// Reads a chord symbol, and the bass after its slash.
pub(crate) fn symbol(text: &str) -> Result<(Named, Option<Name>), String> {
    let unknown = || format!("no one reads a chord in {text:?}");
    let (chord, bass) = match text.split_once('/') {
        None => (text, None),
        Some((chord, bass)) => (chord, Some(bass)),
    };
    let (root, suffix) = note(chord).ok_or_else(unknown)?;
    let row = SUFFIXES.iter().find(|(known, _)| *known == suffix).ok_or_else(unknown)?;
    let bass = match bass.map(note) {
        None => None,
        Some(Some((bass, ""))) => Some(bass),
        Some(_) => return Err(unknown()),
    };
    Ok((Named { root, kind: row.1 }, bass))
}

/// The note that a text begins with, and what follows.
fn note(text: &str) -> Option<(Name, &str)> {
    let letter = text.chars().next().and_then(|root| "CDEFGAB".find(root))?;
    let (alter, rest) = accidentals(&text[1..]);
    Some((Name { letter: letter as i32, alter }, rest))
}

/// The figures of a seventh chord, by which of its notes is lowest: root, third, fifth, seventh.
const FIGURES: [&str; 4] = ["7", "65", "43", "42"];

/// Reads a numeral against the major scale on a tonic, as jazz lessons count them: ♭III is the
/// flattened third degree, whatever the mode (common practice, no source). Returns the chords
/// that it may mean, and which of their notes the figures put lowest: beside the figures of an
/// inversion the letters do not say which seventh a chord has (`I65`).
pub(crate) fn numeral(text: &str, tonic: Name) -> Result<(Vec<Named>, usize), String> {
    let unknown = || format!("no one reads a degree in {text:?}");
    let (upper, home) = match text.split_once('/') {
        None => (text, tonic),
        Some((upper, under)) => {
            let (home, _, rest) = degree(under, tonic).ok_or_else(unknown)?;
            if !rest.is_empty() {
                return Err(unknown());
            }
            (upper, home)
        }
    };
    let (root, is_upper_case, rest) = degree(upper, home).ok_or_else(unknown)?;
    let inversion = FIGURES.iter().position(|figures| rest.ends_with(figures));
    let inversion = inversion.unwrap_or(0);
    let quality = match rest.strip_suffix(FIGURES[inversion]) {
        Some(quality) => format!("{quality}7"),
        None => rest.to_owned(),
    };
    let kind = match (quality.as_str(), is_upper_case) {
        ("7", _) if inversion > 0 => {
            let kinds = if is_upper_case {
                ["dominant-seventh", "major-seventh"]
            } else {
                ["minor-seventh", "minor-major"]
            };
            return Ok((kinds.map(|kind| Named { root, kind }).to_vec(), inversion));
        }
        ("+7", true) if inversion > 0 => "augmented-major-seventh",
        ("7", true) => "dominant-seventh",
        ("7", false) => "minor-seventh",
        // Some write the minor third again after letters that already say it.
        (quality, _) => {
            let named = |suffix: &str| SUFFIXES.iter().find(|(known, _)| *known == suffix);
            let plain = named(quality).filter(|(_, kind)| is_minor(kind) != is_upper_case);
            let again = |before: &str, after: &str| {
                named(&format!("{before}{quality}{after}")).filter(|_| !is_upper_case)
            };
            let again = || again("-", "").or_else(|| again("m", "")).or_else(|| again("m(", ")"));
            plain.or_else(again).ok_or_else(unknown)?.1
        }
    };
    Ok((vec![Named { root, kind }], inversion))
}

/// The note of a degree, whether its letters are capitals, and what follows them.
fn degree(text: &str, tonic: Name) -> Option<(Name, bool, &str)> {
    const DEGREES: [&str; 7] = ["I", "II", "III", "IV", "V", "VI", "VII"];
    /// Semitones of the degrees of the major scale above its tonic.
    const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];
    let (alter, rest) = accidentals(text);
    let tail = rest.trim_start_matches(['I', 'V', 'i', 'v']);
    let letters = &rest[..rest.len() - tail.len()];
    let place = DEGREES.iter().position(|known| *known == letters.to_uppercase())?;
    let is_upper_case = letters == DEGREES[place];
    if !is_upper_case && letters != DEGREES[place].to_lowercase() {
        return None;
    }
    let letter = (tonic.letter + place as i32).rem_euclid(7);
    let white = MAJOR[letter as usize] - MAJOR[tonic.letter as usize];
    let natural = (MAJOR[place] + tonic.alter - white).rem_euclid(12);
    let natural = if natural > 6 { natural - 12 } else { natural };
    Some((Name { letter, alter: natural + alter }, is_upper_case, tail))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, tonic: &str) -> (String, &'static str, usize) {
        let (named, inversion) = numeral(text, Name::parse(tonic)).unwrap();
        let named = &named[0];
        (named.root.printed(), named.kind, inversion)
    }

    #[test]
    fn numerals_mean_what_lessons_say() {
        assert_eq!(read("Imaj7", "Eb"), ("E♭".to_owned(), "major-seventh", 0));
        assert_eq!(read("vi7", "Eb"), ("C".to_owned(), "minor-seventh", 0));
        assert_eq!(read("♭IIImaj7", "C#"), ("E".to_owned(), "major-seventh", 0));
        assert_eq!(read("♭VIImaj7", "Gb"), ("F♭".to_owned(), "major-seventh", 0));
        assert_eq!(read("viiø7", "B"), ("A♯".to_owned(), "half-diminished", 0));
        assert_eq!(read("vii°7", "G#"), ("F♯♯".to_owned(), "diminished-seventh", 0));
        assert_eq!(read("V65", "A"), ("E".to_owned(), "dominant-seventh", 1));
        assert_eq!(read("ii42", "F"), ("G".to_owned(), "minor-seventh", 3));
        assert_eq!(read("V7/ii", "C"), ("A".to_owned(), "dominant-seventh", 0));
        assert_eq!(read("V43/V", "Db"), ("E♭".to_owned(), "dominant-seventh", 2));
        assert_eq!(read("im(maj7)", "A"), ("A".to_owned(), "minor-major", 0));
        assert_eq!(read("i(maj7)", "A"), ("A".to_owned(), "minor-major", 0));
        assert_eq!(read("i△7", "A"), ("A".to_owned(), "minor-major", 0));
        assert_eq!(read("imaj7", "A"), ("A".to_owned(), "minor-major", 0));
        assert!(numeral("IIII7", Name::parse("C")).is_err());
        assert!(numeral("iI7", Name::parse("C")).is_err());
    }

    #[test]
    fn words_that_name_nothing_are_told_from_those_that_do() {
        assert_eq!(symbol("F♯♯°7").unwrap().0.root, Name { letter: 3, alter: 2 });
        assert_eq!(symbol("B♭-△7").unwrap().0.kind, "minor-major");
        assert_eq!(symbol("A♭7/E♭").unwrap().1, Some(Name { letter: 2, alter: -1 }));
        assert!(symbol("A♭7/H").is_err() && symbol("A♭7/E7").is_err());
        assert!(symbol("H7").is_err() && symbol("C7alt").is_err());
        assert!(looks_like_symbol("C13") && !looks_like_symbol("Continued7"));
        assert!(looks_like_numeral("♯iv°7") && !looks_like_numeral("12"));
    }
}
