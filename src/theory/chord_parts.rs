//! What a chord is made of: a third or what stands for it, a fifth, a seventh or a sixth, and
//! tensions above them.

use super::Interval;

/// The third of a chord, or what is held in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the names are the trade's own")]
pub enum Third {
    Absent,
    Minor,
    Major,
    Sus2,
    Sus4,
}

/// The fifth of a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the names are the trade's own")]
pub enum Fifth {
    Absent,
    Diminished,
    Perfect,
    Augmented,
}

/// The seventh of a chord, or the sixth in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the names are the trade's own")]
pub enum Seventh {
    Absent,
    Sixth,
    Diminished,
    Minor,
    Major,
}

/// A ninth, an eleventh or a thirteenth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the names are the trade's own")]
pub enum Tension {
    FlatNinth,
    Ninth,
    SharpNinth,
    Eleventh,
    SharpEleventh,
    FlatThirteenth,
    Thirteenth,
}

/// A set of tensions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tensions(u8);

impl Third {
    /// Every third.
    pub const ALL: [Self; 5] = [Self::Absent, Self::Minor, Self::Major, Self::Sus2, Self::Sus4];

    /// The interval above the root.
    pub const fn interval(self) -> Option<Interval> {
        match self {
            Self::Absent => None,
            Self::Minor => Some(Interval::MINOR_THIRD),
            Self::Major => Some(Interval::MAJOR_THIRD),
            Self::Sus2 => Some(Interval::MAJOR_SECOND),
            Self::Sus4 => Some(Interval::FOURTH),
        }
    }

    /// Whether a second or a fourth is held in its place.
    pub const fn is_suspended(self) -> bool {
        matches!(self, Self::Sus2 | Self::Sus4)
    }
}

impl Fifth {
    /// Every fifth.
    pub const ALL: [Self; 4] = [Self::Absent, Self::Diminished, Self::Perfect, Self::Augmented];

    /// The interval above the root.
    pub const fn interval(self) -> Option<Interval> {
        match self {
            Self::Absent => None,
            Self::Diminished => Some(Interval::DIMINISHED_FIFTH),
            Self::Perfect => Some(Interval::FIFTH),
            Self::Augmented => Some(Interval::AUGMENTED_FIFTH),
        }
    }

    /// Whether it is there and not perfect.
    pub const fn is_altered(self) -> bool {
        matches!(self, Self::Diminished | Self::Augmented)
    }
}

impl Seventh {
    /// Every seventh, and the sixth.
    pub const ALL: [Self; 5] =
        [Self::Absent, Self::Sixth, Self::Diminished, Self::Minor, Self::Major];

    /// The interval above the root.
    pub const fn interval(self) -> Option<Interval> {
        match self {
            Self::Absent => None,
            Self::Sixth => Some(Interval::MAJOR_SIXTH),
            Self::Diminished => Some(Interval::DIMINISHED_SEVENTH),
            Self::Minor => Some(Interval::MINOR_SEVENTH),
            Self::Major => Some(Interval::MAJOR_SEVENTH),
        }
    }

    /// Whether it is a seventh, and neither a sixth nor nothing.
    pub const fn is_seventh(self) -> bool {
        matches!(self, Self::Diminished | Self::Minor | Self::Major)
    }
}

impl Tension {
    /// Every tension, low to high.
    pub const ALL: [Self; 7] = [
        Self::FlatNinth,
        Self::Ninth,
        Self::SharpNinth,
        Self::Eleventh,
        Self::SharpEleventh,
        Self::FlatThirteenth,
        Self::Thirteenth,
    ];

    /// The interval above the root, more than an octave: 9 is fourteen semitones.
    pub const fn interval(self) -> Interval {
        let simple = match self {
            Self::FlatNinth => Interval::MINOR_SECOND,
            Self::Ninth => Interval::MAJOR_SECOND,
            Self::SharpNinth => Interval::AUGMENTED_SECOND,
            Self::Eleventh => Interval::FOURTH,
            Self::SharpEleventh => Interval::AUGMENTED_FOURTH,
            Self::FlatThirteenth => Interval::MINOR_SIXTH,
            Self::Thirteenth => Interval::MAJOR_SIXTH,
        };
        simple.plus_octaves(1)
    }

    /// The tension that sounds an interval above the root, in any octave.
    pub fn of(interval: Interval) -> Option<Self> {
        let simple = interval.simple();
        Self::ALL.into_iter().find(|tension| tension.interval().simple() == simple)
    }

    /// Its number: 9, 11 or 13.
    pub const fn number(self) -> i32 {
        self.interval().number()
    }

    /// Its accidental in semitones: -1 in ♭9.
    pub const fn alter(self) -> i32 {
        self.interval().alteration()
    }
}

impl Tensions {
    /// No tension.
    pub const NONE: Self = Self(0);

    /// The tensions of an altered dominant: ♭9, ♯9, ♯11 and ♭13.
    pub const ALTERED: Self = Self::NONE
        .with(Tension::FlatNinth)
        .with(Tension::SharpNinth)
        .with(Tension::SharpEleventh)
        .with(Tension::FlatThirteenth);

    const fn bit(tension: Tension) -> u8 {
        1 << tension as u8
    }

    /// This set and one more.
    #[must_use]
    pub const fn with(self, tension: Tension) -> Self {
        Self(self.0 | Self::bit(tension))
    }

    /// This set without one.
    #[must_use]
    pub const fn without(self, tension: Tension) -> Self {
        Self(self.0 & !Self::bit(tension))
    }

    /// Whether a tension is in the set.
    pub const fn has(self, tension: Tension) -> bool {
        self.0 & Self::bit(tension) != 0
    }

    /// Whether all of another set are in this one.
    pub const fn has_all(self, others: Self) -> bool {
        self.0 & others.0 == others.0
    }

    /// Whether the set holds nothing.
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether one of the set has a number, 9, 11 or 13, altered or not.
    pub fn has_number(self, number: i32) -> bool {
        self.iter().any(|tension| tension.number() == number)
    }

    /// The tensions that a number brings with it where none of the same number is altered in this
    /// set: 13 has its 9, and over a minor third its 11, which over a major one players leave out;
    /// a suspended second or fourth has no 9 or 11 beside it (common practice, no source).
    pub(super) fn stack(self, third: Third, top: i32) -> Self {
        let altered = |number: i32| self.iter().any(|it| it.number() == number && it.alter() != 0);
        let eleven = match third {
            Third::Minor => top >= 11,
            Third::Sus4 => false,
            _ => top == 11,
        };
        let wanted = [
            (Tension::Ninth, top >= 9 && third != Third::Sus2),
            (Tension::Eleventh, eleven),
            (Tension::Thirteenth, top == 13),
        ];
        let stacked = wanted.into_iter().filter(|(it, wanted)| *wanted && !altered(it.number()));
        stacked.map(|(tension, _)| tension).collect()
    }

    /// The tensions, low to high.
    pub fn iter(self) -> impl Iterator<Item = Tension> {
        Tension::ALL.into_iter().filter(move |tension| self.has(*tension))
    }

    /// Every set of tensions, sensible or not.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..1 << Tension::ALL.len()).map(Self)
    }
}

impl FromIterator<Tension> for Tensions {
    fn from_iter<T: IntoIterator<Item = Tension>>(tensions: T) -> Self {
        tensions.into_iter().fold(Self::NONE, Self::with)
    }
}
