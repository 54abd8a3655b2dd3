//! What a chord symbol has said so far, and the kind that it comes to.

use std::ops::Range;

use super::Interval;
use super::chord_error::ChordProblem;
use super::chord_kind::{ChordKind, KindError};
use super::chord_parts::{Fifth, Seventh, Tension, Tensions, Third};

/// The pieces of a symbol.
#[derive(Default)]
pub(super) struct SymbolDraft {
    third: Option<Third>,
    fifth: Option<Fifth>,
    figure: Option<i32>,
    is_major_seventh: bool,
    ring: Option<DiminishedSign>,
    tensions: Tensions,
    /// Where a tension stands that is true beside a seventh and added to a triad.
    loose: Option<Range<usize>>,
    is_altered: bool,
}

/// The signs of diminished chords.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum DiminishedSign {
    /// A diminished triad, or seventh.
    Whole,
    /// A half-diminished seventh.
    Slashed,
}

/// What pieces come to.
pub(super) enum Drafted {
    Kind(ChordKind),
    /// A tension beside no seventh: is it one of a seventh chord, or added to the triad?
    Either {
        at: Range<usize>,
        seventh: ChordKind,
        triad: ChordKind,
    },
}

/// Whether a piece can be said after those before it.
pub(super) type Said<T = ()> = Result<T, ChordProblem>;

fn once(is_first: bool) -> Said {
    if is_first { Ok(()) } else { Err(ChordProblem::SaidTwice) }
}

/// What is wrong with a part that has one in its place already.
fn instead(one: Option<Interval>, other: Option<Interval>) -> ChordProblem {
    match one.zip(other) {
        Some((one, other)) if one != other => ChordProblem::Kind(KindError::Clash(one, other)),
        _ => ChordProblem::SaidTwice,
    }
}

/// The tension of a number without a sign.
fn natural(number: i32) -> Tension {
    match number {
        9 => Tension::Ninth,
        11 => Tension::Eleventh,
        _ => Tension::Thirteenth,
    }
}

impl SymbolDraft {
    pub(super) fn has_minor_third(&self) -> bool {
        self.third == Some(Third::Minor)
    }

    /// Whether nothing was said of third and fifth.
    pub(super) fn is_bare(&self) -> bool {
        self.third.is_none() && self.fifth.is_none()
    }

    /// The figure: 6, or 7, 9, 11 or 13 of a seventh chord.
    pub(super) fn figure(&self) -> Option<i32> {
        self.figure
    }

    pub(super) fn set_figure(&mut self, figure: i32) -> Said {
        once(self.figure.replace(figure).is_none())
    }

    /// The third as letters say it, which no figure stands before.
    pub(super) fn set_third(&mut self, third: Third) -> Said {
        if self.figure.is_some() || self.ring.is_some() || self.fifth.is_some() {
            return Err(ChordProblem::Expected("an alteration"));
        }
        once(self.third.replace(third).is_none())
    }

    pub(super) fn leave_out_third(&mut self) -> Said {
        once(self.third.replace(Third::Absent).is_none())
    }

    /// A suspension, which may stand after letters for major.
    pub(super) fn suspend(&mut self, third: Third) -> Said {
        match self.third.replace(third) {
            None | Some(Third::Major) => Ok(()),
            Some(other) => Err(instead(other.interval(), third.interval())),
        }
    }

    pub(super) fn set_fifth(&mut self, fifth: Fifth) -> Said {
        let ringed = self.ring.map(|_| Fifth::Diminished);
        match self.fifth.replace(fifth).or(ringed) {
            None => Ok(()),
            Some(other) => Err(instead(other.interval(), fifth.interval())),
        }
    }

    pub(super) fn set_ring(&mut self, ring: DiminishedSign) -> Said {
        if !self.is_bare() || self.figure.is_some() {
            return Err(ChordProblem::Expected("an alteration"));
        }
        self.third = Some(Third::Minor);
        self.ring = Some(ring);
        Ok(())
    }

    pub(super) fn set_major_seventh(&mut self) -> Said {
        once(!std::mem::replace(&mut self.is_major_seventh, true))
    }

    /// A tension that is true whatever stands beside it.
    pub(super) fn add(&mut self, tension: Tension) -> Said {
        let is_first = !self.tensions.has(tension);
        self.tensions = self.tensions.with(tension);
        once(is_first)
    }

    /// A tension that stands at a place and needs a seventh to be clear.
    pub(super) fn add_loose(&mut self, tension: Tension, at: Range<usize>) -> Said {
        self.loose.get_or_insert(at);
        self.add(tension)
    }

    /// The number of a tension without a sign.
    pub(super) fn add_natural(&mut self, number: i32, loose: Option<Range<usize>>) -> Said {
        match loose {
            Some(at) => self.add_loose(natural(number), at),
            None => self.add(natural(number)),
        }
    }

    pub(super) fn set_altered(&mut self) -> Said {
        if !self.is_bare() || self.ring.is_some() || !matches!(self.figure, None | Some(7)) {
            return Err(ChordProblem::Expected("an alteration"));
        }
        self.figure = Some(7);
        let is_alone = self.tensions.is_empty() && !self.is_major_seventh;
        once(!std::mem::replace(&mut self.is_altered, true) && is_alone)
    }

    /// The kind of all that was said.
    pub(super) fn drafted(&self) -> Said<Drafted> {
        if self.is_altered {
            let is_alone = self.tensions.is_empty() && self.is_bare() && !self.is_major_seventh;
            let problem = ChordProblem::Expected("alt with nothing beside it");
            return is_alone.then_some(Drafted::Kind(ChordKind::ALTERED)).ok_or(problem);
        }
        let seventh = self.seventh();
        let Some(figure) = self.figure else {
            if self.ring == Some(DiminishedSign::Slashed) {
                return Ok(Drafted::Kind(self.made(seventh, self.tensions)?));
            }
            let is_sixth = self.tensions.has(Tension::Thirteenth);
            let sixth = if is_sixth { Seventh::Sixth } else { Seventh::Absent };
            let triad = self.made(sixth, self.tensions.without(Tension::Thirteenth))?;
            let Some(at) = self.loose.clone() else { return Ok(Drafted::Kind(triad)) };
            return Ok(Drafted::Either { at, seventh: self.made(seventh, self.tensions)?, triad });
        };
        if figure < 9 {
            let seventh = if figure == 6 { Seventh::Sixth } else { seventh };
            return Ok(Drafted::Kind(self.made(seventh, self.tensions)?));
        }
        let third = self.third();
        let stacked = self.tensions.stack(third, figure);
        let mut tensions = stacked.iter().fold(self.tensions, Tensions::with);
        // The figure itself is meant; a suspended fourth is the eleventh of its chord.
        if (third, figure) != (Third::Sus4, 11) {
            tensions = tensions.with(natural(figure));
        }
        Ok(Drafted::Kind(self.made(seventh, tensions)?))
    }

    fn third(&self) -> Third {
        self.third.unwrap_or(Third::Major)
    }

    /// The seventh, where there is one: letters for major mean one too.
    fn seventh(&self) -> Seventh {
        match self.ring {
            _ if self.is_major_seventh => Seventh::Major,
            None if self.figure.is_none() && self.third == Some(Third::Major) => Seventh::Major,
            Some(DiminishedSign::Whole) => Seventh::Diminished,
            _ => Seventh::Minor,
        }
    }

    fn made(&self, seventh: Seventh, tensions: Tensions) -> Said<ChordKind> {
        let ringed = if self.ring.is_some() { Fifth::Diminished } else { Fifth::Perfect };
        let fifth = self.fifth.unwrap_or(ringed);
        ChordKind::new(self.third(), fifth, seventh, tensions).map_err(ChordProblem::Kind)
    }
}
