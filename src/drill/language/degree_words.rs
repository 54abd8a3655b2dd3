//! Degrees of a passage as they are written, and progressions by name.

use super::harmony::{Degree, GoalDegree, PassageHome, RootPlace, scale};
use crate::theory::{ChordError, ChordKind, Fifth, Interval, Mode};

/// Between a chord and its bass.
pub(crate) const OVER: &str = " over ";

/// Between a chord and the degree whose name its root has in its symbol.
pub(crate) const WRITTEN: &str = " written ";

/// A degree of the major scale on the tonic, in figures with its signs: `3`, `b7`, `#4`.
fn against(word: &str) -> Option<RootPlace> {
    let digits = word.trim_start_matches(['b', '#', '\u{266d}', '\u{266f}']);
    let signs = &word[..word.len() - digits.len()];
    let alter: i32 =
        signs.chars().map(|sign| if matches!(sign, 'b' | '\u{266d}') { -1 } else { 1 }).sum();
    let number = digits.parse::<i32>().ok().filter(|number| (1..=7).contains(number))?;
    (figures(digits) && alter.abs() < 3).then_some(RootPlace::Against(number, alter))
}

/// Why a word is no chord of a passage.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum NoDegree {
    /// Nothing like one.
    Unknown,
    /// A sign before a number in figures, whose kind cannot be known.
    Bare,
    /// A bass that is no degree.
    Bass,
    /// A name for the root that is no degree.
    Written,
    /// A numeral whose kind cannot be read.
    Kind(ChordError),
}

impl Degree {
    /// Reads `4`, `low5`, `5/2`, `2/5`; or a numeral with its kind, such as `I7`, `iv6`, `bII7`,
    /// `lowV7b9` or `ii7/V`; any of them over the degree that is in the bass, as in `I over 3`.
    pub(crate) fn parse(word: &str) -> Result<Self, NoDegree> {
        if let Some((chord, bass)) = word.split_once(OVER) {
            let over = against(bass.trim()).ok_or(NoDegree::Bass)?;
            return Ok(Self { over: Some(over), ..Self::parse(chord.trim())? });
        }
        if let Some((chord, name)) = word.split_once(WRITTEN) {
            let written = against(name.trim()).ok_or(NoDegree::Written)?;
            return Ok(Self { written: Some(written), ..Self::parse(chord.trim())? });
        }
        if let Some((head, goal)) = word.rsplit_once('/')
            && let Some(goal) = goal_of(goal)
        {
            return match head.parse::<i32>() {
                Ok(number @ 1..=7) if figures(head) => {
                    Ok(Self { of: Some(goal), ..Self::step(number) })
                }
                Ok(_) => Err(NoDegree::Unknown),
                Err(_) => Ok(Self { of: Some(goal), ..numeral(head)?.0 }),
            };
        }
        match step_of(word) {
            Some(number) => Ok(Self::step(number)),
            None => numeral(word).map(|(degree, _)| degree),
        }
    }
}

fn figures(word: &str) -> bool {
    !word.is_empty() && word.bytes().all(|byte| byte.is_ascii_digit())
}

/// The octave that a word asks for, and the rest of it.
fn octave(word: &str) -> (i32, &str) {
    match word.strip_prefix("low") {
        Some(rest) => (-7, rest.trim_start_matches([' ', '-'])),
        None => (0, word),
    }
}

/// A degree in figures.
fn step_of(word: &str) -> Option<i32> {
    let (octave, digits) = octave(word);
    let number = digits.parse::<i32>().ok().filter(|number| (1..=8).contains(number))?;
    figures(digits).then_some(number + octave)
}

/// What a chord leads to, in figures or as a numeral.
fn goal_of(word: &str) -> Option<GoalDegree> {
    // The nine of a six-nine chord is no degree, nor is anything above the octave.
    if let Some(number) = step_of(word) {
        return Some(GoalDegree { place: RootPlace::Step(number), is_minor: None });
    }
    let (degree, is_minor) = numeral(word).ok()?;
    let is_plain = [ChordKind::MAJOR, ChordKind::MINOR].map(Some).contains(&degree.kind);
    is_plain.then_some(GoalDegree { place: degree.place, is_minor: Some(is_minor) })
}

/// The key that a numeral names as seen from the tonic: its tonic, within half an octave of that
/// one, and whether it is minor.
pub(crate) fn key_of(word: &str) -> Option<(Interval, bool)> {
    let (degree, is_minor) = numeral(word.trim()).ok()?;
    let is_plain = [ChordKind::MAJOR, ChordKind::MINOR].map(Some).contains(&degree.kind);
    let tonic = degree.place.interval(scale(Mode::Major));
    let near = if tonic.semitones > 6 { tonic.plus_octaves(-1) } else { tonic };
    is_plain.then_some((near, is_minor))
}

/// A numeral with its kind, and whether its letters are small.
fn numeral(word: &str) -> Result<(Degree, bool), NoDegree> {
    const LETTERS: [(&str, &str, i32); 7] = [
        ("VII", "vii", 7),
        ("III", "iii", 3),
        ("VI", "vi", 6),
        ("IV", "iv", 4),
        ("II", "ii", 2),
        ("V", "v", 5),
        ("I", "i", 1),
    ];
    let (octave, rest) = octave(word);
    let signs: [(&str, i32); 4] = [("b", -1), ("\u{266d}", -1), ("#", 1), ("\u{266f}", 1)];
    let signed = signs.iter().find_map(|(sign, alter)| Some((*alter, rest.strip_prefix(sign)?)));
    let (alter, rest) = signed.unwrap_or((0, rest));
    let found = LETTERS.iter().find_map(|(large, small, number)| {
        let is_small = rest.starts_with(small);
        let suffix = rest.strip_prefix(if is_small { small } else { large })?;
        Some((*number, is_small, suffix))
    });
    let Some((number, is_small, suffix)) = found else {
        let is_bare = signed.is_some() && figures(rest);
        return Err(if is_bare { NoDegree::Bare } else { NoDegree::Unknown });
    };
    // Small letters say the minor third, unless the kind says it.
    let says_third = ["m", "-", "o", "\u{b0}", "\u{f8}", "dim", "\u{2212}"];
    let is_major = suffix.starts_with("maj") || suffix.starts_with("ma7");
    let is_said = !is_major && says_third.iter().any(|said| suffix.starts_with(said));
    if suffix.contains('/') && !suffix.contains("/9") {
        return Err(NoDegree::Unknown);
    }
    let words = if is_small && !is_said { format!("m{suffix}") } else { suffix.to_owned() };
    let kind = words.parse::<ChordKind>().map_err(NoDegree::Kind)?;
    let place = RootPlace::Against(number + octave, alter);
    Ok((Degree { place, kind: Some(kind), of: None, over: None, written: None }, is_small))
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
    let all: Vec<Degree> = words.filter_map(|word| Degree::parse(word).ok()).collect();
    let rests = |goal: Degree| {
        goal.chord(PassageHome::own(mode)).is_some_and(|chord| chord.kind.fifth() == Fifth::Perfect)
    };
    let mut degrees = Vec::with_capacity(all.len());
    for (index, degree) in all.iter().enumerate() {
        let is_led = index > 0 && all[index - 1].of.is_some();
        let goal = match (degree.of, is_led) {
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

    #[test]
    fn every_progression_is_made_of_degrees_with_chords_in_every_mode() {
        for (name, words) in PROGRESSIONS {
            for word in words {
                let degree = Degree::parse(word).unwrap_or_else(|_| panic!("{name}: {word}"));
                assert!(
                    Mode::ALL.iter().all(|mode| degree.chord(PassageHome::own(*mode)).is_some()),
                    "{word}"
                );
            }
        }
        for word in ["0", "9", "low0", "2/9", "x", "", "low", "-1", "8/2", "b7", "I77", "V7/x"] {
            assert!(Degree::parse(word).is_err(), "{word}");
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
                for pair in degrees.windows(2).filter(|pair| pair[0].of.is_some()) {
                    assert_eq!(
                        (pair[1].place.number() - pair[0].of.unwrap().place.number()).rem_euclid(7),
                        0
                    );
                    let goal = pair[1].chord(PassageHome::own(mode)).unwrap();
                    assert_eq!(goal.kind.fifth(), Fifth::Perfect, "{pair:?}");
                    led += 1;
                }
            }
        }
        assert!(led > 10, "{led}");
    }
}
