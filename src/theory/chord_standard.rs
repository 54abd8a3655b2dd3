//! What MusicXML 4.0 calls a kind of chord: a word, and degrees that are changed.

use super::chord_kind::ChordKind;
use super::chord_parts::{Fifth, Seventh, Tension, Tensions, Third};

/// A kind in the words of the standard.
///
/// Source: MusicXML 4.0, the types `kind-value`, `degree-value`, `degree-alter` and
/// `degree-type`. A 13 over a major third has the word of the standard though players leave out
/// its 11, which the word alone would bring.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StandardKind {
    /// The text of `kind`.
    pub word: &'static str,
    /// The degrees, low to high within each sort of change.
    pub degrees: Vec<DegreeChange>,
}

/// One `degree` of a harmony.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DegreeChange {
    /// The number of the degree.
    pub value: i32,
    /// Semitones: of an added degree from that of a dominant chord, of an altered one from that
    /// of the kind.
    pub alter: i32,
    /// Which change.
    pub change: KindChange,
}

/// How a degree differs from the kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KindChange {
    /// It is added.
    Add,
    /// It is in the kind and altered.
    Alter,
    /// It is in the kind and left out.
    Subtract,
}

impl KindChange {
    /// The text of `degree-type`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Add => "add",
            Self::Alter => "alter",
            Self::Subtract => "subtract",
        }
    }
}

/// A word of the standard with the chord that it means.
struct KindRow {
    word: &'static str,
    third: Third,
    fifth: Fifth,
    seventh: Seventh,
    /// The highest of the stack: 7, 9, 11 or 13; 0 where it has no more than was named.
    top: i32,
}

const fn row(
    word: &'static str,
    third: Third,
    fifth: Fifth,
    seventh: Seventh,
    top: i32,
) -> KindRow {
    KindRow { word, third, fifth, seventh, top }
}

/// The words that differ in their tones, so that the first of those that fit best is taken.
const ROWS: [KindRow; 25] = {
    use Fifth::{Augmented, Diminished, Perfect};
    use Seventh::{Absent, Major as Seven, Minor as Flat, Sixth};
    use Third::{Major, Minor, Sus2, Sus4};
    [
        row("major", Major, Perfect, Absent, 0),
        row("minor", Minor, Perfect, Absent, 0),
        row("augmented", Major, Augmented, Absent, 0),
        row("diminished", Minor, Diminished, Absent, 0),
        row("dominant", Major, Perfect, Flat, 7),
        row("major-seventh", Major, Perfect, Seven, 7),
        row("minor-seventh", Minor, Perfect, Flat, 7),
        row("diminished-seventh", Minor, Diminished, Seventh::Diminished, 7),
        row("augmented-seventh", Major, Augmented, Flat, 7),
        row("half-diminished", Minor, Diminished, Flat, 7),
        row("major-minor", Minor, Perfect, Seven, 7),
        row("major-sixth", Major, Perfect, Sixth, 0),
        row("minor-sixth", Minor, Perfect, Sixth, 0),
        row("dominant-ninth", Major, Perfect, Flat, 9),
        row("major-ninth", Major, Perfect, Seven, 9),
        row("minor-ninth", Minor, Perfect, Flat, 9),
        row("dominant-11th", Major, Perfect, Flat, 11),
        row("major-11th", Major, Perfect, Seven, 11),
        row("minor-11th", Minor, Perfect, Flat, 11),
        row("dominant-13th", Major, Perfect, Flat, 13),
        row("major-13th", Major, Perfect, Seven, 13),
        row("minor-13th", Minor, Perfect, Flat, 13),
        row("suspended-second", Sus2, Perfect, Absent, 0),
        row("suspended-fourth", Sus4, Perfect, Absent, 0),
        row("power", Third::Absent, Perfect, Absent, 0),
    ]
};

impl KindRow {
    /// The tensions of its stack, which in the standard leaves none out.
    fn tensions(&self) -> Tensions {
        let naturals = [Tension::Ninth, Tension::Eleventh, Tension::Thirteenth];
        naturals.into_iter().filter(|tension| tension.number() <= self.top).collect()
    }

    /// The changes that make the chord of it; `None` where the third or the seventh forbids.
    fn degrees(&self, kind: ChordKind) -> Option<Vec<DegreeChange>> {
        use KindChange::{Add, Alter, Subtract};
        let mut degrees = Vec::new();
        let mut push = |value, alter, change| degrees.push(DegreeChange { value, alter, change });
        match (self.third, kind.third()) {
            (own, third) if own == third => {}
            (Third::Major, Third::Absent) => push(3, 0, Subtract),
            _ => return None,
        }
        let size = |fifth: Fifth| fifth.interval().map_or(0, |interval| interval.semitones);
        match kind.fifth() {
            fifth if fifth == self.fifth => {}
            Fifth::Absent => push(5, 0, Subtract),
            fifth => push(5, size(fifth) - size(self.fifth), Alter),
        }
        match (self.seventh, kind.seventh()) {
            (own, seventh) if own == seventh => {}
            (Seventh::Absent, Seventh::Sixth) => push(6, 0, Add),
            (Seventh::Absent, Seventh::Minor) => push(7, 0, Add),
            (Seventh::Absent, Seventh::Major) => push(7, 1, Add),
            _ => return None,
        }
        let own = self.tensions();
        // Both ninths are added: of one that is altered and one added, readers may lose one.
        let [flat, sharp] = [Tension::FlatNinth, Tension::SharpNinth];
        if kind.tensions().has_all(Tensions::NONE.with(flat).with(sharp)) && self.top >= 9 {
            return None;
        }
        for tension in kind.tensions().iter().filter(|it| !own.has(*it)) {
            let number = tension.number();
            push(number, tension.alter(), if own.has_number(number) { Alter } else { Add });
        }
        let left = own.iter().filter(|it| !kind.tensions().has_number(it.number()));
        for tension in left.filter(|it| !self.goes_without(kind, *it)) {
            push(tension.number(), 0, Subtract);
        }
        Some(degrees)
    }

    /// Whether players leave out a tension of the word without saying so.
    fn goes_without(&self, kind: ChordKind, tension: Tension) -> bool {
        self.top == 13 && tension == Tension::Eleventh && !kind.has_minor_third()
    }
}

impl ChordKind {
    /// What MusicXML 4.0 calls it: the word that needs the fewest changes, of those the one that
    /// has its seventh.
    pub fn standard(self) -> StandardKind {
        let fitting = ROWS.iter().filter_map(|row| {
            let degrees = row.degrees(self)?;
            let rank = (degrees.len(), row.seventh != self.seventh());
            Some((rank, StandardKind { word: row.word, degrees }))
        });
        let fewest = fitting.min_by_key(|(rank, _)| *rank).map(|(_, kind)| kind);
        fewest.unwrap_or(StandardKind { word: "other", degrees: Vec::new() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn standard(symbol: &str) -> (&'static str, Vec<(i32, i32, &'static str)>) {
        let kind = symbol.parse::<ChordKind>().unwrap().standard();
        let degrees = kind.degrees.iter().map(|it| (it.value, it.alter, it.change.word()));
        (kind.word, degrees.collect())
    }

    #[test]
    fn every_kind_has_its_word() {
        for kind in ChordKind::all() {
            assert_ne!(kind.standard().word, "other", "{kind:?}");
        }
    }

    #[test]
    fn symbols_have_the_words_of_the_standard() {
        assert_eq!(standard("13"), ("dominant-13th", vec![]));
        assert_eq!(standard("6/9"), ("major-sixth", vec![(9, 0, "add")]));
        assert_eq!(standard("7b9"), ("dominant", vec![(9, -1, "add")]));
        assert_eq!(standard("13b9"), ("dominant-13th", vec![(9, -1, "alter")]));
        assert_eq!(standard("13#11"), ("dominant-13th", vec![(11, 1, "alter")]));
        assert_eq!(standard("7sus4"), ("suspended-fourth", vec![(7, 0, "add")]));
        assert_eq!(standard("maj7#5"), ("major-seventh", vec![(5, 1, "alter")]));
        assert_eq!(standard("7#5"), ("augmented-seventh", vec![]));
        assert_eq!(standard("m7b5"), ("half-diminished", vec![]));
        assert_eq!(standard("dim(maj7)"), ("major-minor", vec![(5, -1, "alter")]));
        assert_eq!(standard("5"), ("power", vec![]));
        assert_eq!(standard("m(maj7)"), ("major-minor", vec![]));
    }
}
