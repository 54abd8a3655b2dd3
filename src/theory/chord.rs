//! Chords on their roots, and the sevenths that a scale gives.

use super::chord_kind::ChordKind;
use super::chord_parts::{Fifth, Seventh, Third};
use super::{Interval, NoteName, Scale};

/// A spelled chord of any kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Chord {
    /// The root.
    pub root: NoteName,
    /// What stands above it.
    pub kind: ChordKind,
    /// The bass where it is not the root, as in C/E or C/D.
    pub bass: Option<NoteName>,
}

impl Chord {
    /// A chord over its root.
    pub fn new(root: NoteName, kind: impl Into<ChordKind>) -> Self {
        Self { root, kind: kind.into(), bass: None }
    }

    /// The same chord over a bass; over its own root it is the chord alone.
    #[must_use]
    pub fn over(self, bass: NoteName) -> Self {
        Self { bass: Some(bass).filter(|bass| *bass != self.root), ..self }
    }

    /// The chord over one of its tones: 0 the root to 3 the seventh. A chord that has a bass keeps
    /// it.
    #[must_use]
    pub fn inverted(self, inversion: u8) -> Self {
        let tone = self.kind.frame().get(usize::from(inversion)).copied().flatten();
        match tone {
            Some(tone) if self.bass.is_none() => self.over(self.root.up(tone)),
            _ => self,
        }
    }

    /// The notes that the symbol allows, from the root up, without the bass.
    pub fn notes(self) -> impl Iterator<Item = NoteName> {
        self.kind.tones().map(move |tone| self.root.up(tone))
    }
}

impl From<SeventhChord> for Chord {
    fn from(chord: SeventhChord) -> Self {
        Self::new(chord.root, chord.quality)
    }
}

/// The quality of a seventh chord that a scale stacks in thirds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the names are the trade's own")]
pub enum Quality {
    MajorSeventh,
    Dominant,
    MinorSeventh,
    HalfDiminished,
    DiminishedSeventh,
    MinorMajorSeventh,
    AugmentedMajorSeventh,
}

/// Third, fifth and seventh of each quality above its root (common practice, no source).
const QUALITIES: [(Quality, [Interval; 3]); 7] = {
    use Interval as I;
    use Quality as Q;
    [
        (Q::MajorSeventh, [I::MAJOR_THIRD, I::FIFTH, I::MAJOR_SEVENTH]),
        (Q::Dominant, [I::MAJOR_THIRD, I::FIFTH, I::MINOR_SEVENTH]),
        (Q::MinorSeventh, [I::MINOR_THIRD, I::FIFTH, I::MINOR_SEVENTH]),
        (Q::HalfDiminished, [I::MINOR_THIRD, I::DIMINISHED_FIFTH, I::MINOR_SEVENTH]),
        (Q::DiminishedSeventh, [I::MINOR_THIRD, I::DIMINISHED_FIFTH, I::DIMINISHED_SEVENTH]),
        (Q::MinorMajorSeventh, [I::MINOR_THIRD, I::FIFTH, I::MAJOR_SEVENTH]),
        (Q::AugmentedMajorSeventh, [I::MAJOR_THIRD, I::AUGMENTED_FIFTH, I::MAJOR_SEVENTH]),
    ]
};

impl Quality {
    /// All qualities.
    pub fn all() -> impl Iterator<Item = Self> {
        QUALITIES.iter().map(|(quality, _)| *quality)
    }

    /// Third, fifth and seventh above the root.
    pub fn upper_intervals(self) -> [Interval; 3] {
        QUALITIES
            .iter()
            .find(|(quality, _)| *quality == self)
            .map(|(_, intervals)| *intervals)
            .expect("every quality has its row in the table")
    }

    /// The quality of the chord that thirds stacked on a degree of `scale` make. The modes in
    /// use give no stack outside the table of qualities; `None` would mean a new mode that does.
    pub fn on_degree(scale: Scale, degree: i32) -> Option<Self> {
        let root = scale.interval(degree);
        let above = |third: i32| scale.interval(degree + 2 * third).plus(root.down());
        let upper = [above(1), above(2), above(3)];
        QUALITIES.iter().find(|(_, intervals)| *intervals == upper).map(|(quality, _)| *quality)
    }

    /// The interval of chord tone `tone` above the root: 0 the root, 1 the third, 2 the fifth,
    /// 3 the seventh, 4 the root an octave up and so on.
    pub fn tone_interval(self, tone: i32) -> Interval {
        let [third, fifth, seventh] = self.upper_intervals();
        [Interval::UNISON, third, fifth, seventh][tone.rem_euclid(4) as usize]
            .plus_octaves(tone.div_euclid(4))
    }

    /// Whether the third is minor, which decides the case of a numeral.
    pub fn has_minor_third(self) -> bool {
        self.upper_intervals()[0] == Interval::MINOR_THIRD
    }
}

impl From<Quality> for ChordKind {
    fn from(quality: Quality) -> Self {
        use Quality as Q;
        let (third, fifth, seventh) = match quality {
            Q::MajorSeventh => (Third::Major, Fifth::Perfect, Seventh::Major),
            Q::Dominant => (Third::Major, Fifth::Perfect, Seventh::Minor),
            Q::MinorSeventh => (Third::Minor, Fifth::Perfect, Seventh::Minor),
            Q::HalfDiminished => (Third::Minor, Fifth::Diminished, Seventh::Minor),
            Q::DiminishedSeventh => (Third::Minor, Fifth::Diminished, Seventh::Diminished),
            Q::MinorMajorSeventh => (Third::Minor, Fifth::Perfect, Seventh::Major),
            Q::AugmentedMajorSeventh => (Third::Major, Fifth::Augmented, Seventh::Major),
        };
        Self::plain(third, fifth, seventh)
    }
}

/// A spelled seventh chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SeventhChord {
    /// The root.
    pub root: NoteName,
    /// The quality.
    pub quality: Quality,
}

impl SeventhChord {
    /// The chord that thirds stacked on a degree of `scale` make; see [`Quality::on_degree`].
    pub fn diatonic(scale: Scale, degree: i32) -> Option<Self> {
        let quality = Quality::on_degree(scale, degree)?;
        Some(Self { root: scale.note(degree), quality })
    }

    /// The interval of a chord tone above the root; see [`Quality::tone_interval`].
    pub fn tone_interval(self, tone: i32) -> Interval {
        self.quality.tone_interval(tone)
    }

    /// Root, third, fifth and seventh.
    pub fn notes(self) -> [NoteName; 4] {
        [0, 1, 2, 3].map(|tone| self.root.up(self.tone_interval(tone)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quality_and_its_kind_have_the_same_tones() {
        for quality in Quality::all() {
            let own = [0, 1, 2, 3].map(|tone| Some(quality.tone_interval(tone)));
            assert_eq!(ChordKind::from(quality).frame(), own, "{quality:?}");
            assert!(ChordKind::all().any(|kind| kind == quality.into()), "{quality:?}");
        }
    }
}
