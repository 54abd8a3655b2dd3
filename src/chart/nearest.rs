//! What a chord symbol that cannot be read was probably meant for.

use crate::source::nearest;
use crate::theory::read_chord;

/// Most characters of a symbol that may be a slip of the fingers.
const LONGEST: usize = 24;

/// What stands behind a root most often (common practice, no source).
const SUFFIXES: [&str; 32] = [
    "m", "7", "maj7", "m7", "m7b5", "dim7", "dim", "aug", "6", "m6", "6/9", "9", "m9", "maj9",
    "11", "m11", "13", "7b9", "7#9", "7b13", "7#11", "7b5", "7#5", "7alt", "7sus4", "9sus4",
    "sus4", "sus2", "m(maj7)", "maj7#11", "maj7#5", "add9",
];

/// A symbol that can be read and is as near as can be to one that cannot: with two of its letters
/// exchanged, or one left out, or the nearest of those that are met most.
pub(super) fn reading(symbol: &str) -> Option<String> {
    let letters: Vec<char> = symbol.chars().collect();
    let root = letters.first()?.to_ascii_uppercase();
    let root = if root == 'H' { 'B' } else { root };
    if letters.len() > LONGEST || !('A'..='G').contains(&root) {
        return None;
    }
    let own = || [root].into_iter().chain(letters[1..].iter().copied());
    let exchanged = (1..letters.len().saturating_sub(1)).map(|at| {
        let mut word: Vec<char> = own().collect();
        word.swap(at, at + 1);
        word.into_iter().collect::<String>()
    });
    let shortened = (1..letters.len()).map(|left| {
        own().enumerate().filter(|(at, _)| *at != left).map(|(_, letter)| letter).collect()
    });
    let slips = std::iter::once(own().collect()).chain(exchanged).chain(shortened);
    slips.into_iter().find(|word: &String| read_chord(word).is_ok()).or_else(|| likeliest(own()))
}

/// The nearest of the usual suffixes, on the root of a symbol.
fn likeliest(symbol: impl Iterator<Item = char>) -> Option<String> {
    let symbol: String = symbol.collect();
    let sign = symbol.chars().nth(1).filter(|sign| "b#♭♯".contains(*sign));
    let length = 1 + sign.map_or(0, char::len_utf8);
    let (root, suffix) = symbol.split_at(length);
    let meant = nearest(suffix, SUFFIXES.into_iter())?;
    Some(format!("{root}{meant}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_told_from_what_nobody_knows() {
        for (slip, meant) in [
            ("Cmja7", Some("Cmaj7")),
            ("Dmm7", Some("Dm7")),
            ("dm7", Some("Dm7")),
            ("Hm7b5", Some("Bm7b5")),
            ("Ebmja9", Some("Ebmaj9")),
            ("xyz", None),
            ("", None),
        ] {
            assert_eq!(reading(slip).as_deref(), meant, "{slip}");
        }
    }

    #[test]
    fn every_suffix_can_be_read() {
        for suffix in SUFFIXES {
            assert!(read_chord(&format!("C{suffix}")).is_ok(), "{suffix}");
        }
    }
}
