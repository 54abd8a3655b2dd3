//! Intervals by letter and by semitone: a correct spelling needs both.

/// An ascending interval, or a descending one where both numbers are negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Interval {
    /// Staff steps: a second is 1, a seventh 6.
    pub steps: i32,
    /// Keys on the keyboard.
    pub semitones: i32,
}

const fn interval(steps: i32, semitones: i32) -> Interval {
    Interval { steps, semitones }
}

impl Interval {
    /// Perfect unison.
    pub const UNISON: Self = interval(0, 0);
    /// Minor second.
    pub const MINOR_SECOND: Self = interval(1, 1);
    /// Major second.
    pub const MAJOR_SECOND: Self = interval(1, 2);
    /// Augmented second.
    pub const AUGMENTED_SECOND: Self = interval(1, 3);
    /// Minor third.
    pub const MINOR_THIRD: Self = interval(2, 3);
    /// Major third.
    pub const MAJOR_THIRD: Self = interval(2, 4);
    /// Perfect fourth.
    pub const FOURTH: Self = interval(3, 5);
    /// Augmented fourth.
    pub const AUGMENTED_FOURTH: Self = interval(3, 6);
    /// Diminished fifth.
    pub const DIMINISHED_FIFTH: Self = interval(4, 6);
    /// Perfect fifth.
    pub const FIFTH: Self = interval(4, 7);
    /// Augmented fifth.
    pub const AUGMENTED_FIFTH: Self = interval(4, 8);
    /// Minor sixth.
    pub const MINOR_SIXTH: Self = interval(5, 8);
    /// Major sixth.
    pub const MAJOR_SIXTH: Self = interval(5, 9);
    /// Diminished seventh.
    pub const DIMINISHED_SEVENTH: Self = interval(6, 9);
    /// Minor seventh.
    pub const MINOR_SEVENTH: Self = interval(6, 10);
    /// Major seventh.
    pub const MAJOR_SEVENTH: Self = interval(6, 11);
    /// Octave.
    pub const OCTAVE: Self = interval(7, 12);

    /// All of the above, narrow to wide.
    pub const ALL: &[Self] = &[
        Self::UNISON,
        Self::MINOR_SECOND,
        Self::MAJOR_SECOND,
        Self::AUGMENTED_SECOND,
        Self::MINOR_THIRD,
        Self::MAJOR_THIRD,
        Self::FOURTH,
        Self::AUGMENTED_FOURTH,
        Self::DIMINISHED_FIFTH,
        Self::FIFTH,
        Self::AUGMENTED_FIFTH,
        Self::MINOR_SIXTH,
        Self::MAJOR_SIXTH,
        Self::DIMINISHED_SEVENTH,
        Self::MINOR_SEVENTH,
        Self::MAJOR_SEVENTH,
        Self::OCTAVE,
    ];

    /// This interval and another one on top of it.
    pub const fn plus(self, other: Self) -> Self {
        interval(self.steps + other.steps, self.semitones + other.semitones)
    }

    /// The same interval downward.
    pub const fn down(self) -> Self {
        interval(-self.steps, -self.semitones)
    }

    /// This interval with `count` octaves added.
    pub const fn plus_octaves(self, count: i32) -> Self {
        interval(self.steps + 7 * count, self.semitones + 12 * count)
    }

    /// The same interval within the octave above: a tenth as a third.
    pub const fn simple(self) -> Self {
        self.plus_octaves(-self.steps.div_euclid(7))
    }

    /// Its number as it is said: 1 the unison, 9 the ninth. Of an ascending interval alone.
    pub const fn number(self) -> i32 {
        self.steps + 1
    }

    /// By how many semitones it differs from the interval of its number in the major scale.
    pub const fn alteration(self) -> i32 {
        const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];
        let simple = self.simple();
        simple.semitones - MAJOR[simple.steps as usize]
    }
}
