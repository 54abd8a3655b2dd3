//! Kinds of chords: which tones stand above a root, and which of them make the name.

use thiserror::Error;

use super::Interval;
use super::chord_parts::{Fifth, Seventh, Tension, Tensions, Third};

/// A kind of chord: its tones above the root, each with its function.
///
/// There is one value for each set of tones, so `C9` and `C7(9)` are the same kind, and the
/// parts never contradict one another; see [`KindError`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChordKind {
    third: Third,
    fifth: Fifth,
    seventh: Seventh,
    tensions: Tensions,
}

/// Why parts make no chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum KindError {
    /// Two tones of one number exclude each other, as 9 and ♭9 do; ♭9 and ♯9 do not.
    #[error("{} and {} exclude each other", words(*.0), words(*.1))]
    Clash(Interval, Interval),
    /// Two tones would be one key, as ♯11 and ♭5.
    #[error("{} and {} are one key", words(*.0), words(*.1))]
    SameKey(Interval, Interval),
    /// A diminished seventh stands over a diminished triad alone.
    #[error("a diminished seventh wants a minor third and a diminished fifth")]
    DiminishedSeventh,
    /// Without a seventh the thirteenth is a sixth.
    #[error("without a seventh a 13 is a 6")]
    ThirteenthAlone,
    /// Neither third nor fifth.
    #[error("neither a third nor a fifth is left")]
    Bare,
}

impl ChordKind {
    /// A major triad.
    pub const MAJOR: Self = Self::plain(Third::Major, Fifth::Perfect, Seventh::Absent);
    /// A minor triad.
    pub const MINOR: Self = Self::plain(Third::Minor, Fifth::Perfect, Seventh::Absent);
    /// A diminished triad.
    pub const DIMINISHED: Self = Self::plain(Third::Minor, Fifth::Diminished, Seventh::Absent);
    /// An augmented triad.
    pub const AUGMENTED: Self = Self::plain(Third::Major, Fifth::Augmented, Seventh::Absent);
    /// Root and fifth alone.
    pub const POWER: Self = Self::plain(Third::Absent, Fifth::Perfect, Seventh::Absent);
    /// A major sixth chord.
    pub const SIXTH: Self = Self::plain(Third::Major, Fifth::Perfect, Seventh::Sixth);
    /// A minor sixth chord, its sixth major.
    pub const MINOR_SIXTH: Self = Self::plain(Third::Minor, Fifth::Perfect, Seventh::Sixth);
    /// A dominant seventh.
    pub const DOMINANT: Self = Self::plain(Third::Major, Fifth::Perfect, Seventh::Minor);
    /// A dominant seventh whose fourth holds up its third.
    pub const SUSPENDED: Self = Self::plain(Third::Sus4, Fifth::Perfect, Seventh::Minor);
    /// An altered dominant: any of ♭9, ♯9, ♯11 and ♭13, and no fifth.
    pub const ALTERED: Self = Self {
        tensions: Tensions::ALTERED,
        ..Self::plain(Third::Major, Fifth::Absent, Seventh::Minor)
    };

    /// A chord without tensions, of parts that are known to go together.
    pub(super) const fn plain(third: Third, fifth: Fifth, seventh: Seventh) -> Self {
        Self { third, fifth, seventh, tensions: Tensions::NONE }
    }

    /// A chord of parts.
    ///
    /// # Errors
    ///
    /// Parts that contradict one another or name one key twice.
    pub fn new(
        third: Third,
        fifth: Fifth,
        seventh: Seventh,
        tensions: Tensions,
    ) -> Result<Self, KindError> {
        let kind = Self { third, fifth, seventh, tensions };
        if third == Third::Absent && fifth == Fifth::Absent {
            return Err(KindError::Bare);
        }
        if seventh == Seventh::Diminished && (third, fifth) != (Third::Minor, Fifth::Diminished) {
            return Err(KindError::DiminishedSeventh);
        }
        if seventh == Seventh::Absent && tensions.has(Tension::Thirteenth) {
            return Err(KindError::ThirteenthAlone);
        }
        kind.consistent()?;
        Ok(kind)
    }

    /// Whether all of its tones go together.
    fn consistent(self) -> Result<(), KindError> {
        let (mut keys, mut numbers, mut is_plain) = (0_u32, 0_u32, true);
        for tone in self.tones().map(Interval::simple) {
            let [key, number] = [1 << tone.semitones, 1 << tone.steps];
            is_plain &= keys & key == 0 && numbers & number == 0;
            keys |= key;
            numbers |= number;
        }
        // Pairs are looked at where a key or a number comes twice, which is seldom.
        if is_plain {
            return Ok(());
        }
        for (index, one) in self.tones().enumerate() {
            for other in self.tones().skip(index + 1) {
                Self::go_together(one, other)?;
            }
        }
        Ok(())
    }

    /// Whether two of its tones may stand in one chord.
    fn go_together(one: Interval, other: Interval) -> Result<(), KindError> {
        let [low, high] = [one.simple(), other.simple()];
        let ninths = [Interval::MINOR_SECOND, Interval::AUGMENTED_SECOND];
        if low.semitones == high.semitones {
            Err(KindError::SameKey(one, other))
        } else if low.steps == high.steps && [low, high] != ninths {
            Err(KindError::Clash(one, other))
        } else {
            Ok(())
        }
    }

    /// The third or what stands for it.
    pub const fn third(self) -> Third {
        self.third
    }

    /// The fifth.
    pub const fn fifth(self) -> Fifth {
        self.fifth
    }

    /// The seventh or the sixth.
    pub const fn seventh(self) -> Seventh {
        self.seventh
    }

    /// Ninths, elevenths and thirteenths.
    pub const fn tensions(self) -> Tensions {
        self.tensions
    }

    /// The same chord with other tensions.
    ///
    /// # Errors
    ///
    /// As of [`ChordKind::new`].
    pub fn with_tensions(self, tensions: Tensions) -> Result<Self, KindError> {
        Self::new(self.third, self.fifth, self.seventh, tensions)
    }

    /// Root, third or suspension, fifth, and seventh or sixth, as far as it has them.
    pub fn frame(self) -> [Option<Interval>; 4] {
        let Self { third, fifth, seventh, .. } = self;
        [Some(Interval::UNISON), third.interval(), fifth.interval(), seventh.interval()]
    }

    /// Every tone that the symbol allows, from the root up; tensions lie above the octave.
    pub fn tones(self) -> impl Iterator<Item = Interval> {
        let tensions = self.tensions.iter().map(Tension::interval);
        self.frame().into_iter().flatten().chain(tensions)
    }

    /// The tone of a number, as figures and voicings count: 1, 3, 5, 7, and what lies an octave
    /// above or below. A suspension answers for the third, and a sixth for the seventh; 9, 11 and
    /// 13 (and 2, 4 and 6) are its tensions, of two ninths the lower. `None` where it has none.
    pub fn number(self, number: i32) -> Option<Interval> {
        let place = (number - 1).rem_euclid(7);
        let simple = match place {
            0 | 2 | 4 | 6 => self.frame()[place as usize / 2],
            5 if self.seventh == Seventh::Sixth => self.seventh.interval(),
            1 if self.third == Third::Sus2 => self.third.interval(),
            3 if self.third == Third::Sus4 => self.third.interval(),
            _ => self.tensions.iter().map(|it| it.interval().simple()).find(|it| it.steps == place),
        };
        Some(simple?.plus_octaves((number - 1).div_euclid(7)))
    }

    /// The tones without which the symbol would be another: the third or its suspension, a fifth
    /// that is not perfect, the seventh or the sixth, the highest of the stack, and whatever is
    /// named beside it. The root and a perfect fifth go without saying, and so does the major
    /// third under an eleventh, which players leave out (common practice, no source). Of an
    /// altered dominant third and seventh alone: see [`ChordKind::is_told_by`].
    pub fn defining(self) -> impl Iterator<Item = Interval> {
        let has_eleventh = self.tensions.has(Tension::Eleventh);
        let third = self.third.interval().filter(|_| self.third != Third::Major || !has_eleventh);
        let names_fifth = self.fifth.is_altered() || self.third == Third::Absent;
        let fifth = self.fifth.interval().filter(|_| names_fifth);
        let top = self.top();
        let stacked = self.stack(top).iter().filter(|it| it.number() != top);
        let named = if self == Self::ALTERED {
            Tensions::NONE
        } else {
            stacked.fold(self.tensions, Tensions::without)
        };
        let tensions = named.iter().map(Tension::interval);
        [third, fifth, self.seventh.interval()].into_iter().flatten().chain(tensions)
    }

    /// Whether these tones, in whatever octaves, make the symbol true: each belongs to it, and
    /// what defines it sounds. An altered dominant wants one of its alterations beside third and
    /// seventh.
    pub fn is_told_by(self, heard: &[Interval]) -> bool {
        let sounds = |tone: Interval| heard.iter().any(|it| it.simple() == tone.simple());
        let altered = || self.tensions.iter().any(|tension| sounds(tension.interval()));
        self.strangers(heard).next().is_none()
            && self.defining().all(sounds)
            && (self != Self::ALTERED || altered())
    }

    /// Those of some tones that do not belong to the chord.
    pub fn strangers(self, heard: &[Interval]) -> impl Iterator<Item = Interval> {
        let belongs = move |tone: Interval| self.tones().any(|own| own.simple() == tone.simple());
        heard.iter().copied().filter(move |tone| !belongs(*tone))
    }

    /// The number of the symbol: 7, 9, 11 or 13 of the highest tension that is not altered and
    /// has those under it; 6; or 0 of a chord without sixth and seventh. A diminished seventh is
    /// not stacked beyond the seven.
    pub fn top(self) -> i32 {
        match self.seventh {
            Seventh::Absent => 0,
            Seventh::Sixth => 6,
            Seventh::Diminished => 7,
            Seventh::Minor | Seventh::Major => [Tension::Thirteenth, Tension::Eleventh]
                .into_iter()
                .chain([Tension::Ninth])
                .find(|top| {
                    self.tensions.has(*top) && self.tensions.has_all(self.stack(top.number()))
                })
                .map_or(7, Tension::number),
        }
    }

    /// The tensions that its number, or another, brings with it.
    pub(super) fn stack(self, top: i32) -> Tensions {
        self.tensions.stack(self.third, top)
    }

    /// Whether the third is minor, which decides the case of a numeral.
    pub const fn has_minor_third(self) -> bool {
        matches!(self.third, Third::Minor)
    }

    /// Every kind that there is.
    pub fn all() -> impl Iterator<Item = Self> {
        let parts = Third::ALL.into_iter().flat_map(|third| {
            Fifth::ALL.into_iter().flat_map(move |fifth| {
                Seventh::ALL.into_iter().map(move |seventh| (third, fifth, seventh))
            })
        });
        parts.flat_map(|(third, fifth, seventh)| {
            Tensions::all()
                .filter_map(move |tensions| Self::new(third, fifth, seventh, tensions).ok())
        })
    }
}

/// The words for a tone of a chord, as a musician says them in a line of text: `the flat ninth`, `the
/// minor third`.
pub fn tone_words(tone: Interval) -> String {
    let ordinal = match tone.number() {
        1 => "root",
        2 => "second",
        4 => "fourth",
        5 => "fifth",
        6 => "sixth",
        9 => "ninth",
        11 => "eleventh",
        13 => "thirteenth",
        _ => return words(tone),
    };
    match tone.alteration() {
        ..=-1 => format!("the flat {ordinal}"),
        0 => format!("the {ordinal}"),
        1.. => format!("the sharp {ordinal}"),
    }
}

/// The same, numbers without their article.
pub(super) fn words(tone: Interval) -> String {
    let alter = tone.alteration();
    match (tone.number(), alter) {
        (3, -1) => "the minor third".to_owned(),
        (3, _) => "the major third".to_owned(),
        (7, -2) => "the diminished seventh".to_owned(),
        (7, -1) => "the minor seventh".to_owned(),
        (7, _) => "the major seventh".to_owned(),
        (2, _) => "sus2".to_owned(),
        (4, _) => "sus4".to_owned(),
        (number, ..=-1) => format!("♭{number}"),
        (number, 0) => number.to_string(),
        (number, 1..) => format!("♯{number}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dominant(tensions: &[Tension]) -> Result<ChordKind, KindError> {
        ChordKind::DOMINANT.with_tensions(tensions.iter().copied().collect())
    }

    #[test]
    fn no_kind_has_a_key_twice_or_two_tones_of_a_number_but_for_ninths() {
        let mut count = 0;
        for kind in ChordKind::all() {
            let mut keys: Vec<i32> = kind.tones().map(|tone| tone.simple().semitones).collect();
            keys.sort_unstable();
            assert!(keys.windows(2).all(|pair| pair[0] < pair[1]), "{kind:?}");
            count += 1;
        }
        assert!(count > 500, "{count}");
    }

    /// A line of text has words for every tone, since a sign leaves no room behind an article.
    #[test]
    fn tones_have_words_without_signs() {
        for kind in ChordKind::all() {
            for tone in kind.tones() {
                let words = tone_words(tone);
                assert!(words.starts_with("the "), "{words}");
                assert!(words.chars().all(|it| it.is_ascii_lowercase() || it == ' '), "{words}");
            }
        }
        assert_eq!(tone_words(Interval::DIMINISHED_FIFTH), "the flat fifth");
    }

    #[test]
    fn parts_that_contradict_one_another_make_no_chord() {
        use Tension as T;
        assert!(matches!(dominant(&[T::Ninth, T::FlatNinth]), Err(KindError::Clash(..))));
        assert!(dominant(&[T::FlatNinth, T::SharpNinth]).is_ok());
        let sharp_nine = ChordKind::MINOR.with_tensions(Tensions::NONE.with(T::SharpNinth));
        assert!(matches!(sharp_nine, Err(KindError::SameKey(..))));
        let sixth = ChordKind::SIXTH.with_tensions(Tensions::NONE.with(T::Thirteenth));
        assert!(matches!(sixth, Err(KindError::SameKey(..))));
        let bare = ChordKind::new(Third::Absent, Fifth::Absent, Seventh::Minor, Tensions::NONE);
        assert_eq!(bare, Err(KindError::Bare));
    }

    #[test]
    fn a_number_brings_what_players_hear_in_it() {
        use Tension as T;
        assert_eq!(dominant(&[T::Ninth, T::Thirteenth]).unwrap().top(), 13);
        assert_eq!(dominant(&[T::Thirteenth]).unwrap().top(), 7);
        assert_eq!(dominant(&[T::FlatNinth, T::Thirteenth]).unwrap().top(), 13);
        assert_eq!(dominant(&[T::Eleventh]).unwrap().top(), 7);
    }

    #[test]
    fn what_defines_a_symbol_is_part_of_it_and_tells_it() {
        for kind in ChordKind::all() {
            let tones: Vec<Interval> = kind.tones().collect();
            assert!(kind.defining().all(|tone| tones.contains(&tone)), "{kind:?}");
            assert!(kind.is_told_by(&tones), "{kind:?}");
            let stranger = Interval::UNISON.plus(Interval { steps: 0, semitones: 1 });
            assert!(!kind.is_told_by(&[tones, vec![stranger]].concat()), "{kind:?}");
            for missing in kind.defining() {
                let heard: Vec<_> = kind.tones().filter(|tone| *tone != missing).collect();
                assert!(!kind.is_told_by(&heard), "{kind:?} without {missing:?}");
            }
        }
    }
}
