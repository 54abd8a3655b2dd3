//! How a tune ends whose form goes round: on its tonic, held.

use crate::score::{Metre, Stay, Ticks};
use crate::theory::{Chord, ChordKind, Key, Seventh, Third};

/// The end of the last chorus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum LastEnding {
    /// The tune comes to rest by itself: what is struck at this moment is held.
    Held(Ticks),
    /// It leads back to its beginning, and ends in a bar of its own with this chord.
    Landing(Chord),
}

/// How a tune of so many ticks ends in a key.
pub(super) fn ending(
    stays: &[Stay],
    key: Key,
    (metre, length): (Metre, Ticks),
) -> Option<LastEnding> {
    let (first, last) = (stays.first()?, stays.last()?);
    let tonic = key.tonic();
    let is_at_home = |stay: &Stay| {
        stay.chord.bass.is_none() && stay.chord.root.pitch_class() == tonic.pitch_class()
    };
    // Only in a blues is a dominant seventh at rest.
    let is_blues = is_at_home(first) && is_dominant(first.chord.kind);
    let rests = |stay: &&Stay| is_at_home(stay) && (is_blues || !is_dominant(stay.chord.kind));
    if last.end >= length && rests(&last) {
        return Some(LastEnding::Held(last.at.max(length - metre.bar())));
    }
    let usual = if key.is_minor() { ChordKind::MINOR_SIXTH } else { ChordKind::SIXTH };
    // The first of them is that at the top of the form, if that is one.
    let own = stays.iter().find(rests).map(|stay| stay.chord);
    Some(LastEnding::Landing(own.unwrap_or_else(|| Chord::new(tonic, usual))))
}

/// Whether a chord of this kind leads on: a minor seventh over a major third, or over a fourth.
pub(super) fn is_dominant(kind: ChordKind) -> bool {
    kind.seventh() == Seventh::Minor && kind.third() != Third::Minor
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ending_of(chords: &str, key: &str) -> Option<LastEnding> {
        let bar = Metre::FourFour.bar();
        let stays: Vec<Stay> = chords
            .split_whitespace()
            .zip(0..)
            .filter_map(|(word, place)| {
                let chord: Chord = word.parse().ok()?;
                let at = place * bar;
                Some(Stay { at, end: at + bar, chord, scale: chord.kind.scale() })
            })
            .collect();
        let length = chords.split_whitespace().count() as Ticks * bar;
        ending(&stays, key.parse().unwrap(), (Metre::FourFour, length))
    }

    fn landing(chord: &str) -> Option<LastEnding> {
        Some(LastEnding::Landing(chord.parse().unwrap()))
    }

    #[test]
    fn a_form_that_goes_round_lands_and_one_that_rests_is_held() {
        let bar = Metre::FourFour.bar();
        assert_eq!(ending_of("Cmaj7 Dm7 G7", "C"), landing("Cmaj7"));
        assert_eq!(ending_of("Dm7 G7 Cmaj7", "C"), Some(LastEnding::Held(2 * bar)));
        assert_eq!(ending_of("F13 Bb9 C7", "F"), landing("F13"));
        assert_eq!(ending_of("C7 F7 C7", "C"), Some(LastEnding::Held(2 * bar)));
        // A tonic that is made to lead on is no rest, nor is one over another bass.
        assert_eq!(ending_of("Cmaj7 F C7", "C"), landing("Cmaj7"));
        assert_eq!(ending_of("Dm7 Cmaj7 C/G", "C"), landing("Cmaj7"));
        // Nobody plays in the last bar.
        assert_eq!(ending_of("Am7 E7 Am7 N.C.", "Am"), landing("Am7"));
        // The tune has no tonic at all.
        assert_eq!(ending_of("D7 G7", "C"), landing("C6"));
        assert_eq!(ending_of("Bm7b5 E7", "Am"), landing("Am6"));
        assert_eq!(ending_of("N.C.", "C"), None);
    }
}
