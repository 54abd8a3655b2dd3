//! Chords as they work: the root that is heard, and the family of what is heard on it.

pub(super) use crate::theory::ChordFamily;
use crate::theory::{Chord, ChordKind, NoteName, Quality, Seventh};

/// A chord as it works: over some basses the root of the symbol is not the root that is heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct WorkingChord {
    /// The root that is heard.
    pub(super) root: NoteName,
    /// The kind of chord that is heard on it.
    pub(super) kind: ChordKind,
    /// The family.
    pub(super) family: ChordFamily,
}

impl WorkingChord {
    /// What is heard of a chord.
    pub(super) fn of(chord: Chord) -> Self {
        let own = Self { root: chord.root, kind: chord.kind, family: chord.kind.family() };
        chord.bass.and_then(|bass| own.over(bass)).unwrap_or(own)
    }

    /// The same tones heard from their bass, where that is another chord.
    ///
    /// Some are suspended dominants; B°/G is a G seventh without its root, C/A is A minor seven, Cm/A
    /// half-diminished, Cm/A♭ and C/F are major sevenths; a major chord over its minor seventh is a
    /// dominant (common practice, no source).
    fn over(self, bass: NoteName) -> Option<Self> {
        use ChordFamily as F;
        let above = (bass.pitch_class() - self.root.pitch_class()).rem_euclid(12);
        let on = |root, kind: ChordKind| Some(Self { root, kind, family: kind.family() });
        match (self.family, above) {
            _ if self.kind.is_suspended_over(above) => on(bass, ChordKind::SUSPENDED),
            (F::Diminished | F::HalfDiminished, 8) => on(bass, ChordKind::DOMINANT),
            (F::Major, 10) => on(self.root, ChordKind::DOMINANT),
            (F::Major, 9) => on(bass, Quality::MinorSeventh.into()),
            (F::Major, 5) | (F::Minor, 8) => on(bass, Quality::MajorSeventh.into()),
            (F::Minor, 9) => on(bass, Quality::HalfDiminished.into()),
            _ => None,
        }
    }

    /// Whether it is a chord of rest: a plain triad, a sixth, or a major seventh.
    pub(super) fn is_restful(self) -> bool {
        self.family.is_rest() && self.kind.seventh() != Seventh::Minor
    }

    /// Whether it has neither a sixth nor a seventh.
    pub(super) fn is_triad(self) -> bool {
        self.kind.seventh() == Seventh::Absent
    }

    /// Whether it has a major seventh.
    pub(super) fn has_major_seventh(self) -> bool {
        self.kind.seventh() == Seventh::Major
    }

    /// Whether it is a suspended chord without a seventh, which is what follows on its root.
    pub(super) fn is_open(self) -> bool {
        self.family == ChordFamily::Suspended && self.is_triad()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::read_chord;

    fn heard(symbol: &str) -> (String, ChordFamily) {
        let sound = WorkingChord::of(read_chord(symbol).unwrap());
        (sound.root.plain(), sound.family)
    }

    #[test]
    fn every_kind_has_a_family_whatever_its_extensions() {
        use ChordFamily as F;
        for (symbols, expected) in [
            ("C C6 Cmaj7 C69 Cadd9 Cmaj7#11 C5 Csus2 Cmaj9", F::Major),
            ("C7 C9 C13 C7b9 C7#5 C7alt C7b5 C7#11 C7b9b13 C13#11", F::Dominant),
            ("C7sus4 C9sus C13sus C7susb9 Csus", F::Suspended),
            ("Cm Cm6 Cm7 Cm(maj7) Cm9 Cm11 Cm69", F::Minor),
            ("Cm7b5 Cm9b5 Cm11b5", F::HalfDiminished),
            ("Cdim Cdim7", F::Diminished),
            ("Caug Cmaj7#5", F::Augmented),
        ] {
            for symbol in symbols.split(' ') {
                assert_eq!(heard(symbol), ("C".to_owned(), expected), "{symbol}");
            }
        }
    }

    #[test]
    fn a_bass_may_make_another_chord() {
        use ChordFamily as F;
        for (symbol, root, family) in [
            ("F/G", "G", F::Suspended),
            ("Fmaj7/G", "G", F::Suspended),
            ("Dm7/G", "G", F::Suspended),
            ("Fm7/G", "G", F::Suspended),
            ("Fm/G", "F", F::Minor),
            ("Bdim/G", "G", F::Dominant),
            ("C/Bb", "C", F::Dominant),
            ("C/A", "A", F::Minor),
            ("Cm/A", "A", F::HalfDiminished),
            ("Cm/Ab", "Ab", F::Major),
            ("C/F", "F", F::Major),
            ("C/E", "C", F::Major),
            ("C/G", "C", F::Major),
            ("Am7/G", "A", F::Minor),
            ("C7/E", "C", F::Dominant),
        ] {
            assert_eq!(heard(symbol), (root.to_owned(), family), "{symbol}");
        }
    }
}
