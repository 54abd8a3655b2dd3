//! Seventh chords: their qualities, and the seven that a scale gives.

use super::{Interval, NoteName, Scale};

/// The quality of a seventh chord.
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
