//! Families of chords: what a chord can do depends on its root and on its family, whatever its
//! extensions.

use super::{ChordKind, Fifth, Seventh, Third};

/// A family of chords. A raised fifth under a minor seventh belongs to a dominant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum ChordFamily {
    Major,
    Dominant,
    /// A dominant whose third is held up, and a suspended triad that nothing resolves.
    Suspended,
    Minor,
    HalfDiminished,
    Diminished,
    Augmented,
}

impl ChordFamily {
    /// Whether it wants to fall a fifth.
    pub(crate) const fn is_dominant(self) -> bool {
        matches!(self, Self::Dominant | Self::Suspended)
    }

    /// Whether it can be the ii of a dominant.
    pub(crate) const fn is_two(self) -> bool {
        matches!(self, Self::Minor | Self::HalfDiminished)
    }

    /// Whether a dominant can come to rest on it.
    pub(crate) const fn is_rest(self) -> bool {
        matches!(self, Self::Major | Self::Minor)
    }
}

impl ChordKind {
    /// The family of the kind.
    pub(crate) fn family(self) -> ChordFamily {
        let is_minor_seventh = self.seventh() == Seventh::Minor;
        match (self.third(), self.fifth()) {
            (Third::Minor, Fifth::Diminished) if is_minor_seventh => ChordFamily::HalfDiminished,
            (Third::Minor, Fifth::Diminished) => ChordFamily::Diminished,
            (Third::Minor, _) => ChordFamily::Minor,
            (Third::Sus4 | Third::Sus2, _) if is_minor_seventh => ChordFamily::Suspended,
            (Third::Sus4, _) if self.seventh() != Seventh::Major => ChordFamily::Suspended,
            _ if is_minor_seventh => ChordFamily::Dominant,
            (_, Fifth::Augmented) => ChordFamily::Augmented,
            _ => ChordFamily::Major,
        }
    }

    /// Whether it is heard over a bass, so many semitones above its root, as a suspended dominant on
    /// that bass: F/G and Dm7/G are G with a held fourth, and so are Fm7/G and Fm6/G with a flat ninth
    /// (common practice, no source).
    pub(crate) fn is_suspended_over(self, above: i32) -> bool {
        use ChordFamily as F;
        let has_four = matches!(self.seventh(), Seventh::Minor | Seventh::Sixth);
        match (self.family(), above.rem_euclid(12)) {
            (F::Minor, 2) => has_four,
            (F::Major, 2) | (F::Minor | F::HalfDiminished, 5) => true,
            _ => false,
        }
    }
}
