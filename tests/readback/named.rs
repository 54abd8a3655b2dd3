//! What chord symbols and numerals mean, as the trade reads them. Nothing here calls the
//! program.

use crate::oracle::Name;

/// A chord as a symbol or a numeral names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Named {
    pub(crate) root: Name,
    /// The kind of its triad with its seventh or sixth, by the name it has in `tests/data`.
    pub(crate) kind: &'static str,
    /// What is stacked on that, as steps and semitones above the root.
    pub(crate) stacked: Vec<(i32, i32)>,
}

impl Named {
    /// Whether a numeral names the harmony of a symbol: the symbol may say more of what sounds over
    /// it, and that its fourth stands for its third.
    pub(crate) fn has_harmony_of(&self, symbol: &Self) -> bool {
        let hung = |kind: &'static str| match kind {
            "suspended-fourth-seventh" => "dominant-seventh",
            kind => kind,
        };
        // A sixth that takes the place of the seventh is the same harmony.
        let family = |kind: &'static str| match hung(kind) {
            "major-sixth" | "major" => "major-seventh",
            "minor-sixth" | "minor" => "minor-seventh",
            kind => kind,
        };
        // A chord beside the key may be spelled otherwise than its numeral counts it.
        let is_one_key = self.root.pitch_class() == symbol.root.pitch_class();
        is_one_key && family(self.kind) == family(symbol.kind)
    }
}

/// What the signs after a root say, in all styles (common practice, no source): words for the third
/// and what goes with it, a number, `sus4`, then alterations and additions with or without brackets.
#[derive(Default)]
struct Said {
    is_minor: bool,
    ring: Option<char>,
    has_major_seventh: bool,
    number: i32,
    is_suspended: bool,
    fifth: i32,
    stacked: Vec<(i32, i32)>,
}

/// A number of the stack, with its accidental, as steps and semitones above the root.
fn tension(number: i32, alter: i32) -> Option<(i32, i32)> {
    let (steps, semitones) = match number {
        2 | 9 => (1, 2),
        4 | 11 => (3, 5),
        6 | 13 => (5, 9),
        _ => return None,
    };
    Some((steps, semitones + alter))
}

/// Steps over a word if a text begins with it.
fn take(text: &mut &str, words: &[&str]) -> bool {
    let found = words.iter().find_map(|word| text.strip_prefix(word));
    *text = found.unwrap_or(text);
    found.is_some()
}

fn number(text: &mut &str) -> Option<i32> {
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let found = text[..digits].parse().ok()?;
    *text = &text[digits..];
    Some(found)
}

/// Reads what follows a root; small letters of a numeral have said that the third is minor.
fn suffix(text: &str, is_small: bool) -> Option<(&'static str, Vec<(i32, i32)>)> {
    let mut rest = text;
    let mut said = Said { is_minor: is_small, ..Said::default() };
    if !rest.starts_with("maj") {
        said.is_minor |= take(&mut rest, &["mi", "m", "-"]);
    }
    for (word, ring) in [("ø", 'ø'), ("°", '°'), ("dim", '°'), ("+", '+')] {
        if said.ring.is_none() && take(&mut rest, &[word]) {
            said.ring = Some(ring);
        }
    }
    let is_bracketed = rest.starts_with("(maj");
    said.has_major_seventh = take(&mut rest, &["(maj", "maj", "△"]);
    said.number = number(&mut rest).unwrap_or(0);
    if is_bracketed && !take(&mut rest, &[")"]) {
        return None;
    }
    if said.number == 6 && take(&mut rest, &["/9"]) {
        said.stacked.push((1, 2));
    }
    said.is_suspended = take(&mut rest, &["sus4"]);
    if take(&mut rest, &["alt"]) {
        said.stacked.extend([(1, 1), (1, 3), (3, 6), (5, 8)]);
    }
    while !rest.is_empty() {
        if take(&mut rest, &["(", ")", ",", "add"]) {
            continue;
        }
        let (alter, after) = accidentals(rest);
        rest = after;
        match number(&mut rest)? {
            5 if alter != 0 => said.fifth = alter,
            number => said.stacked.push(tension(number, alter)?),
        }
    }
    said.kind()
}

impl Said {
    fn kind(mut self) -> Option<(&'static str, Vec<(i32, i32)>)> {
        // A number over seven brings what lies under it, unless it is altered or left out: over a
        // minor third the eleventh too.
        let has = |own: &[(i32, i32)], steps: i32| own.iter().any(|it| it.0 == steps);
        let mut stacked = self.stacked;
        let under: &[i32] = match self.number {
            9 => &[9],
            11 => &[9, 11],
            13 if self.is_minor || self.is_suspended => &[9, 11, 13],
            13 => &[9, 13],
            _ => &[],
        };
        for number in under {
            let natural = tension(*number, 0)?;
            if !has(&stacked, natural.0) {
                stacked.push(natural);
            }
        }
        let ring = self.ring.take();
        let has_seventh = self.number >= 7;
        let kind = match (self.is_minor, ring, self.fifth, self.has_major_seventh) {
            _ if self.is_suspended && has_seventh => "suspended-fourth-seventh",
            _ if self.is_suspended => "suspended-fourth",
            (_, Some('ø'), ..) | (true, None, -1, false) if has_seventh => "half-diminished",
            (_, Some('°'), _, false) if has_seventh => "diminished-seventh",
            (_, Some('°'), ..) => "diminished",
            (false, Some('+'), _, true) | (false, None, 1, true) if has_seventh => {
                "augmented-major-seventh"
            }
            (false, Some('+'), ..) | (false, None, 1, _) if has_seventh => "augmented-seventh",
            (false, Some('+'), ..) | (false, None, 1, _) => "augmented",
            (true, _, _, true) => "minor-major",
            (true, ..) if self.number == 6 => "minor-sixth",
            (true, ..) if has_seventh => "minor-seventh",
            (true, ..) => "minor",
            (false, _, _, true) => "major-seventh",
            (false, ..) if self.number == 6 => "major-sixth",
            (false, ..) if has_seventh => "dominant-seventh",
            (false, ..) => "major",
        };
        Some((kind, stacked))
    }
}

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
        && text.chars().all(|c| "0123456789majdisult♭♯△ø°+-()/,IViv".contains(c))
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
    // The nine of a six-nine chord is no bass.
    let (chord, bass) = match text.rsplit_once('/') {
        Some((chord, bass)) if !bass.starts_with('9') => (chord, Some(bass)),
        _ => (text, None),
    };
    let (root, tail) = note(chord).ok_or_else(unknown)?;
    let (kind, stacked) = suffix(tail, false).ok_or_else(unknown)?;
    let bass = match bass.map(note) {
        None => None,
        Some(Some((bass, ""))) => Some(bass),
        Some(_) => return Err(unknown()),
    };
    Ok((Named { root, kind, stacked }, bass))
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
    let (upper, home) = match text.rsplit_once('/') {
        Some((upper, under)) if !under.starts_with('9') => {
            let (home, _, rest) = degree(under, tonic).ok_or_else(unknown)?;
            if !rest.is_empty() {
                return Err(unknown());
            }
            (upper, home)
        }
        _ => (text, tonic),
    };
    let (root, is_upper_case, rest) = degree(upper, home).ok_or_else(unknown)?;
    let inversion = FIGURES.iter().position(|figures| rest.ends_with(figures));
    let inversion = inversion.unwrap_or(0);
    let quality = match rest.strip_suffix(FIGURES[inversion]) {
        Some(quality) => format!("{quality}7"),
        None => rest.to_owned(),
    };
    if quality == "7" && inversion > 0 {
        let kinds = if is_upper_case {
            ["dominant-seventh", "major-seventh"]
        } else {
            ["minor-seventh", "minor-major"]
        };
        let named = |kind| Named { root, kind, stacked: Vec::new() };
        return Ok((kinds.map(named).to_vec(), inversion));
    }
    if quality == "+7" && inversion > 0 {
        let kind = "augmented-major-seventh";
        return Ok((vec![Named { root, kind, stacked: Vec::new() }], inversion));
    }
    let (kind, stacked) = suffix(&quality, !is_upper_case).ok_or_else(unknown)?;
    let is_told = is_minor(kind) != is_upper_case || kind.starts_with("susp");
    is_told.then_some((vec![Named { root, kind, stacked }], inversion)).ok_or_else(unknown)
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
        assert!(symbol("H7").is_err() && symbol("C7ult").is_err());
        assert_eq!(symbol("G13").unwrap().0.stacked, [(1, 2), (5, 9)]);
        let altered = symbol("B7(♭9,♭13)").unwrap().0;
        assert_eq!((altered.kind, altered.stacked), ("dominant-seventh", vec![(1, 1), (5, 8)]));
        assert_eq!(symbol("F6/9").unwrap().0.kind, "major-sixth");
        assert_eq!(symbol("C6/9/E").unwrap().1, Some(Name { letter: 2, alter: 0 }));
        assert_eq!(symbol("Dm(maj9)").unwrap().0.kind, "minor-major");
        assert_eq!(symbol("Em7♭5").unwrap().0.kind, "half-diminished");
        assert!(looks_like_symbol("C13") && !looks_like_symbol("Continued7"));
        assert!(looks_like_numeral("♯iv°7") && !looks_like_numeral("12"));
    }
}
