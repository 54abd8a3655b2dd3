//! The true name of what sounds over a harmony.

use thiserror::Error;

use super::Interval;
use super::chord_kind::{ChordKind, KindError, words};
use super::chord_parts::{Fifth, Seventh, Tension, Tensions, Third};

/// Why what sounds has no name over its harmony.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum Unnamed {
    /// A tone that no chord of this harmony has, such as another third.
    #[error("{} is no tone of this harmony", words(*.0))]
    Stranger(Interval),
    /// The tones exclude one another.
    #[error(transparent)]
    Kind(#[from] KindError),
}

impl ChordKind {
    /// The kind whose symbol is true where these tones sound over this harmony, in whatever
    /// octaves. What does not sound is taken from the harmony, so a voicing without its fifth
    /// keeps its name; what sounds beside it is named.
    ///
    /// A sixth without a seventh makes a sixth chord, unless the harmony has a thirteenth; beside
    /// a seventh it is one. A fourth without a
    /// major third suspends it. A diminished or augmented fifth takes the place of the perfect
    /// one. A thirteenth or an eleventh brings the number of the symbol that players write, with
    /// the tensions under it, over chords with a perfect fifth.
    ///
    /// # Errors
    ///
    /// A tone that no such chord has, or tones that exclude one another.
    pub fn sounded(self, heard: &[Interval]) -> Result<Self, Unnamed> {
        let sounds = |tone: Interval| heard.iter().any(|it| it.simple() == tone.simple());
        let seventh = self.sounded_seventh(&sounds);
        let third = match self.third() {
            Third::Major if sounds(Interval::FOURTH) && !sounds(Interval::MAJOR_THIRD) => {
                Third::Sus4
            }
            third => third,
        };
        let mut fifths = [Fifth::Diminished, Fifth::Augmented].into_iter();
        let altered = fifths.find(|it| it.interval().is_some_and(sounds));
        let fifth = altered.unwrap_or(self.fifth());
        let frame = Self::plain(third, fifth, seventh);
        let mut tensions = self.tensions();
        for tone in heard {
            if frame.frame().into_iter().flatten().any(|own| own == tone.simple()) {
                continue;
            }
            tensions = tensions.with(Tension::of(*tone).ok_or(Unnamed::Stranger(*tone))?);
        }
        let kind = Self::new(third, fifth, seventh, tensions)?;
        Ok(kind.filled())
    }

    /// The seventh that sounds; the sixth where it takes the place of one; else the harmony's.
    fn sounded_seventh(self, sounds: &impl Fn(Interval) -> bool) -> Seventh {
        let heard = |seventh: &Seventh| seventh.interval().is_some_and(sounds);
        let sevenths = [self.seventh(), Seventh::Minor, Seventh::Major, Seventh::Diminished];
        let seventh = sevenths.into_iter().filter(|it| it.is_seventh()).find(heard);
        let is_sixth = heard(&Seventh::Sixth) && !self.tensions().has(Tension::Thirteenth);
        seventh.unwrap_or(if is_sixth { Seventh::Sixth } else { self.seventh() })
    }

    /// The kind with the tensions that its highest one brings, so that the symbol has its number.
    fn filled(self) -> Self {
        let is_stacked = self.fifth() != Fifth::Diminished
            && matches!(self.seventh(), Seventh::Minor | Seventh::Major);
        let highest = [Tension::Thirteenth, Tension::Eleventh].into_iter();
        let tops = highest.filter(|it| is_stacked && self.tensions().has(*it));
        let mut filled = tops.filter_map(|top| {
            let stack = self.tensions().stack(self.third(), top.number());
            let all = stack.iter().fold(self.tensions(), Tensions::with);
            self.with_tensions(all).ok()
        });
        filled.next().unwrap_or(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEVENTHS: [ChordKind; 4] = [
        ChordKind::plain(Third::Major, Fifth::Perfect, Seventh::Major),
        ChordKind::DOMINANT,
        ChordKind::plain(Third::Minor, Fifth::Perfect, Seventh::Minor),
        ChordKind::plain(Third::Minor, Fifth::Diminished, Seventh::Minor),
    ];

    fn with(kind: ChordKind, tensions: &[Tension]) -> ChordKind {
        kind.with_tensions(tensions.iter().copied().collect()).unwrap()
    }

    #[test]
    fn a_voicing_is_named_by_what_it_sounds() {
        use Interval as I;
        use Tension as T;
        let [major, dominant, minor, half] = SEVENTHS;
        let rootless = [I::MAJOR_THIRD, I::MAJOR_SIXTH, I::MINOR_SEVENTH, I::MAJOR_SECOND];
        assert_eq!(dominant.sounded(&rootless), Ok(with(dominant, &[T::Ninth, T::Thirteenth])));
        let ninth = [I::MINOR_THIRD, I::FIFTH, I::MINOR_SEVENTH, I::MAJOR_SECOND.plus_octaves(1)];
        assert_eq!(minor.sounded(&ninth), Ok(with(minor, &[T::Ninth])));
        let six_nine = [I::MAJOR_THIRD, I::MAJOR_SIXTH, I::MAJOR_SECOND];
        assert_eq!(major.sounded(&six_nine), Ok(with(ChordKind::SIXTH, &[T::Ninth])));
        let sixth = [I::UNISON, I::MAJOR_THIRD, I::FIFTH, I::MAJOR_SIXTH];
        assert_eq!(ChordKind::MAJOR.sounded(&sixth), Ok(ChordKind::SIXTH));
        let altered = [I::MAJOR_THIRD, I::MINOR_SEVENTH, I::MINOR_SECOND, I::MINOR_SIXTH];
        let flat = with(dominant, &[T::FlatNinth, T::FlatThirteenth]);
        assert_eq!(dominant.sounded(&altered), Ok(flat));
        let quartal = [I::UNISON, I::FOURTH, I::MINOR_SEVENTH];
        assert_eq!(dominant.sounded(&quartal), Ok(ChordKind::SUSPENDED));
        assert_eq!(half.sounded(&[I::DIMINISHED_FIFTH, I::FOURTH]), Ok(with(half, &[T::Eleventh])));
        let two_thirds = [I::MINOR_THIRD, I::MAJOR_THIRD];
        assert_eq!(dominant.sounded(&two_thirds), Err(Unnamed::Stranger(I::MINOR_THIRD)));
    }

    /// Any part of a chord's own tones that holds what defines it keeps its name, if it was
    /// written as the symbol of sounds is.
    #[test]
    fn a_chord_that_sounds_whole_keeps_its_name() {
        for kind in ChordKind::all().filter(|kind| *kind == kind.filled()) {
            let heard: Vec<Interval> = kind.tones().collect();
            assert_eq!(kind.sounded(&heard), Ok(kind));
            assert_eq!(kind.sounded(&[]), Ok(kind), "nothing sounds");
        }
    }

    /// The name of whatever sounds belongs to all of it.
    #[test]
    fn the_name_of_what_sounds_has_all_of_it() {
        let mut named = 0;
        for harmony in SEVENTHS.into_iter().chain([ChordKind::MAJOR, ChordKind::SUSPENDED]) {
            for set in 0_u32..1 << Interval::ALL.len() {
                let tones = Interval::ALL.iter().enumerate();
                let heard: Vec<Interval> =
                    tones.filter(|(at, _)| set >> at & 1 == 1).map(|(_, tone)| *tone).collect();
                if heard.len() > 5 {
                    continue;
                }
                if let Ok(kind) = harmony.sounded(&heard) {
                    assert_eq!(kind.strangers(&heard).next(), None, "{heard:?} over {harmony:?}");
                    named += 1;
                }
            }
        }
        assert!(named > 1000, "{named}");
    }
}
