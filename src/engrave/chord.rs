//! One note or chord: where its heads, stem, ledger lines, dots and accidentals stand.
//!
//! Abscissas are counted from the left edge of the heads on the usual side of the stem;
//! ordinates from the middle line of the staff.

use kurbo::{Point, Rect, Vec2};
use smallvec::{SmallVec, smallvec};

use super::accidental::{self, Accidental};
use super::extent::Extent;
use super::mark::{Engraved, MarkRole, sign_box};
use super::position::{Direction, PerNote, height};
use super::rules::{self, Sp};
use crate::glyphs::{Anchor, MusicFace, Sign};
use crate::score::{Event, NoteValue};

/// Whether each head, low to high, stands on the unusual side of the stem: seconds alternate,
/// from the head furthest from the stem's tip (Gould, Ross).
fn displacements(positions: &[i32], direction: Direction) -> PerNote<bool> {
    let mut displaced: PerNote<bool> = smallvec![false; positions.len()];
    for next in 1..positions.len() {
        let (before, own) = match direction {
            Direction::Up => (next - 1, next),
            Direction::Down => (positions.len() - next, positions.len() - next - 1),
        };
        let second = (positions[own] - positions[before]).abs() <= 1;
        displaced[own] = second && !displaced[before];
    }
    displaced
}

/// A head of a chord.
#[derive(Clone, Copy, Debug)]
pub(super) struct ChordHead {
    /// Its staff position.
    pub(super) position: i32,
    /// Its left edge.
    pub(super) x: Sp,
}

/// A note or chord laid out.
#[derive(Clone, Debug)]
pub(super) struct LaidChord {
    /// Low to high, as the notes of the event.
    pub(super) heads: PerNote<ChordHead>,
    pub(super) direction: Direction,
    pub(super) value: NoteValue,
    pub(super) accidentals: PerNote<Accidental>,
    staccato: bool,
}

impl LaidChord {
    /// Lays out a sounding event on a staff, its notes at `positions`. `signs` holds, for each note,
    /// the sign it needs.
    pub(super) fn new(
        event: &Event,
        positions: &[i32],
        direction: Direction,
        signs: &[Option<Sign>],
    ) -> Self {
        let value = event.value;
        let shift = head_width(value) - rules::STEM;
        let heads = positions
            .iter()
            .zip(displacements(positions, direction))
            .map(|(position, displaced)| ChordHead {
                position: *position,
                x: if displaced { direction.sign() * shift } else { 0.0 },
            })
            .collect();
        let mut chord =
            Self { heads, direction, value, accidentals: PerNote::new(), staccato: event.staccato };
        let wanted: PerNote<(i32, Sign)> = positions
            .iter()
            .zip(signs)
            .filter_map(|(position, sign)| sign.map(|sign| (*position, sign)))
            .collect();
        if !wanted.is_empty() {
            let obstacles = chord.head_marks().chain(chord.ledger_marks());
            let obstacles: SmallVec<[Rect; 8]> = obstacles.map(|mark| mark.bounds()).collect();
            chord.accidentals = accidental::pack(&wanted, &obstacles);
        }
        chord
    }

    /// The heights of its lowest and highest head.
    pub(super) fn span(&self) -> (Sp, Sp) {
        let heights = || self.heads.iter().map(|head| height(head.position));
        (
            heights().min_by(Sp::total_cmp).unwrap_or(0.0),
            heights().max_by(Sp::total_cmp).unwrap_or(0.0),
        )
    }

    /// The height of the head nearest to the tip of the stem.
    pub(super) fn inner_head(&self) -> Sp {
        let (lowest, highest) = self.span();
        match self.direction {
            Direction::Up => highest,
            Direction::Down => lowest,
        }
    }

    /// The abscissa of the middle of the stem.
    pub(super) fn stem_x(&self) -> Sp {
        match self.direction {
            Direction::Up => head_width(self.value) - rules::STEM / 2.0,
            Direction::Down => rules::STEM / 2.0,
        }
    }

    /// Where an unbeamed stem ends: an octave past the inner head, and never short of the
    /// middle line (Gould p. 14); longer where a flag would meet a head, or a tie that bows
    /// toward it, or its own dot.
    pub(super) fn free_tip(&self, flag: Option<Flag>) -> Sp {
        let sign = self.direction.sign();
        let inner = sign * self.inner_head();
        let hang = MusicFace::get().bounds(self.flag_sign()).height();
        let length = flag.map_or(rules::STEM_LENGTH, |flag| {
            let clear = match (flag, self.direction) {
                (Flag::OverTie, Direction::Up) => rules::FLAG_TO_TIE,
                (Flag::Free, Direction::Up) if self.value.is_dotted() => rules::FLAG_TO_TIE,
                _ => 0.5 + rules::FLAG_TO_HEAD,
            };
            rules::STEM_LENGTH.max(hang + clear)
        });
        // The flag of a note on ledger lines ends short of the one next to the staff.
        let short_of_ledger = rules::LEDGER_LINE / 2.0 + rules::FLAG_TO_HEAD + hang - 3.0;
        let least = if flag.is_some() && inner <= -3.0 { short_of_ledger.max(0.0) } else { 0.0 };
        sign * (inner + length).max(least)
    }

    /// The left and right edge of its heads.
    pub(super) fn head_edges(&self) -> Extent {
        let left = self.heads.iter().map(|head| head.x).fold(0.0, Sp::min);
        let right = self.heads.iter().map(|head| head.x).fold(0.0, Sp::max);
        Extent { left, right: right + head_width(self.value) }
    }

    /// Where ties that come in to it end: left of its heads, and of its accidentals.
    pub(super) fn tied_in_edge(&self) -> Sp {
        let signs = self.accidentals.iter().map(|sign| sign.bounds().x0);
        signs.fold(self.head_edges().left, Sp::min)
    }

    /// The centre of the heads on the usual side.
    pub(super) fn centre_x(&self) -> Sp {
        head_width(self.value) / 2.0
    }

    /// The middle of its staccato dot's box: opposite the stem, in a space (Gould).
    fn staccato_mark(&self) -> Option<Engraved> {
        if !self.staccato {
            return None;
        }
        let away = -self.direction.sign();
        let (lowest, highest) = self.span();
        let head = if away > 0.0 { highest } else { lowest };
        let on_line = (2.0 * head).rem_euclid(2.0) == 0.0;
        let distance = rules::STACCATO_DISTANCE + if on_line { 0.5 } else { 0.0 };
        let sign = if away > 0.0 { Sign::ArticStaccatoAbove } else { Sign::ArticStaccatoBelow };
        let ink = MusicFace::get().bounds(sign);
        let centre = Point::new(self.centre_x(), head + away * distance);
        Some(Engraved::sign(MarkRole::Articulation, sign, centre - ink.center().to_vec2()))
    }

    fn head_marks(&self) -> impl Iterator<Item = Engraved> {
        let sign = head_sign(self.value);
        let at = |head: &ChordHead| Point::new(head.x, height(head.position));
        self.heads.iter().map(move |head| Engraved::sign(MarkRole::Head, sign, at(head)))
    }

    fn ledger_marks(&self) -> impl Iterator<Item = Engraved> {
        [1, -1].into_iter().flat_map(move |side| {
            let reach = self.heads.iter().map(|head| side * head.position).max().unwrap_or(0);
            (6..=reach).step_by(2).map(move |position| self.ledger_mark(side, position))
        })
    }

    /// The ledger line so many positions above (`side` 1) or below (-1) the middle line.
    fn ledger_mark(&self, side: i32, position: i32) -> Engraved {
        let width = head_width(self.value);
        let beyond = self.heads.iter().filter(|head| side * head.position >= position);
        let left = beyond.clone().map(|head| head.x).fold(Sp::INFINITY, Sp::min);
        let right = beyond.map(|head| head.x + width).fold(Sp::NEG_INFINITY, Sp::max);
        let y = height(side * position);
        let from = Point::new(left - rules::LEDGER_REACH, y);
        let to = Point::new(right + rules::LEDGER_REACH, y);
        Engraved::line(MarkRole::Ledger, from, to, rules::LEDGER_LINE)
    }

    /// The stem up to `tip`, with its flag if `flagged`.
    pub(super) fn stem_marks(&self, tip: Sp, flagged: bool) -> impl Iterator<Item = Engraved> {
        let stem = self.value.has_stem().then(|| self.stem_mark(tip));
        let flag = (stem.is_some() && flagged).then(|| {
            let at = Point::new(self.stem_x() - rules::STEM / 2.0, tip);
            Engraved::sign(MarkRole::Flag, self.flag_sign(), at)
        });
        stem.into_iter().chain(flag)
    }

    fn stem_mark(&self, tip: Sp) -> Engraved {
        let (lowest, highest) = self.span();
        let face = MusicFace::get();
        let head = head_sign(self.value);
        let (outer, anchor) = match self.direction {
            Direction::Up => (lowest, Anchor::StemUpSE),
            Direction::Down => (highest, Anchor::StemDownNW),
        };
        let joint = face.anchor(head, anchor).map_or(0.0, |point| point.y);
        let x = self.stem_x();
        let from = Point::new(x, outer + joint);
        Engraved::line(MarkRole::Stem, from, Point::new(x, tip), rules::STEM)
    }

    fn flag_sign(&self) -> Sign {
        match (self.direction, self.value.flags()) {
            (Direction::Up, ..=1) => Sign::Flag8thUp,
            (Direction::Down, ..=1) => Sign::Flag8thDown,
            (Direction::Up, _) => Sign::Flag16thUp,
            (Direction::Down, _) => Sign::Flag16thDown,
        }
    }

    fn dot_marks(&self) -> impl Iterator<Item = Engraved> {
        let Extent { right, .. } = self.head_edges();
        let dotted = if self.value.is_dotted() { self.heads.as_slice() } else { &[] };
        let mut taken: PerNote<i32> = PerNote::new();
        for head in dotted.iter().rev() {
            let space =
                if head.position.rem_euclid(2) == 0 { head.position + 1 } else { head.position };
            let free = if taken.contains(&space) { space - 2 } else { space };
            if !taken.contains(&free) {
                taken.push(free);
            }
        }
        let at = move |space: i32| Point::new(right + rules::DOT_GAP, height(space));
        let dot = move |space| Engraved::sign(MarkRole::Dot, Sign::AugmentationDot, at(space));
        taken.into_iter().map(dot)
    }

    /// Everything but the stem and its flag.
    pub(super) fn body_marks(&self) -> impl Iterator<Item = Engraved> {
        let accidentals = self.accidentals.iter().map(|accidental| {
            let at = Point::new(accidental.x, height(accidental.position));
            Engraved::sign(MarkRole::Accidental, accidental.sign, at)
        });
        (self.ledger_marks().chain(self.head_marks()).chain(accidentals))
            .chain(self.dot_marks())
            .chain(self.staccato_mark())
    }

    /// The left and right edge of all its ink; `flagged` counts the flag in.
    pub(super) fn edges(&self, flagged: bool) -> Extent {
        let head = MusicFace::get().bounds(head_sign(self.value));
        let mut all = Extent { left: 0.0, right: 0.0 };
        let mut take = |ink: Rect| {
            all = Extent { left: ink.x0.min(all.left), right: ink.x1.max(all.right) };
        };
        self.heads.iter().for_each(|own| take(head + Vec2::new(own.x, 0.0)));
        self.accidentals.iter().for_each(|sign| take(sign.bounds()));
        self.ledger_marks().for_each(|mark| take(mark.bounds()));
        if self.value.is_dotted() {
            self.dot_marks().for_each(|mark| take(mark.bounds()));
        }
        self.staccato_mark().iter().for_each(|mark| take(mark.bounds()));
        if flagged {
            let flag = self.stem_marks(self.free_tip(Some(Flag::Free)), true);
            flag.for_each(|mark| take(mark.bounds()));
        }
        all
    }
}

/// What a flag hangs over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Flag {
    /// Its own heads alone.
    Free,
    /// Ties that begin at its heads.
    OverTie,
}

/// The head of a value.
pub(super) fn head_sign(value: NoteValue) -> Sign {
    match value {
        NoteValue::Half | NoteValue::DottedHalf => Sign::NoteheadHalf,
        NoteValue::Whole | NoteValue::WholeBar(_) => Sign::NoteheadWhole,
        _ => Sign::NoteheadBlack,
    }
}

/// The width of a value's head.
pub(super) fn head_width(value: NoteValue) -> Sp {
    MusicFace::get().bounds(head_sign(value)).width()
}

/// A rest on an otherwise empty staff, its left edge at 0. That of a whole bar stands in the
/// middle of the bar, which only the system knows.
pub(super) fn rest_marks(value: NoteValue) -> Vec<Engraved> {
    let (sign, y) = match value {
        NoteValue::Whole | NoteValue::WholeBar(_) => (Sign::RestWhole, 1.0),
        NoteValue::Half | NoteValue::DottedHalf => (Sign::RestHalf, 0.0),
        NoteValue::Quarter | NoteValue::DottedQuarter | NoteValue::TripletQuarter => {
            (Sign::RestQuarter, 0.0)
        }
        NoteValue::Eighth | NoteValue::DottedEighth | NoteValue::TripletEighth => {
            (Sign::Rest8th, 0.0)
        }
        NoteValue::Sixteenth => (Sign::Rest16th, 0.0),
    };
    let mut marks = vec![Engraved::sign(MarkRole::Rest, sign, Point::new(0.0, y))];
    if value.is_dotted() {
        let right = sign_box(sign, Point::ZERO).x1;
        let at = Point::new(right + rules::DOT_GAP, 0.5);
        marks.push(Engraved::sign(MarkRole::Dot, Sign::AugmentationDot, at));
    }
    marks
}

/// The box round a rest, its left edge at 0.
pub(super) fn rest_box(value: NoteValue) -> Rect {
    let boxes = rest_marks(value).into_iter().map(|mark| mark.bounds());
    boxes.reduce(|all, ink| all.union(ink)).unwrap_or(Rect::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_upper_note_of_a_second_stands_right_of_an_upward_stem() {
        assert_eq!(displacements(&[-4, -3, 0], Direction::Up)[..], [false, true, false]);
        assert_eq!(displacements(&[0, 1], Direction::Down)[..], [true, false]);
        assert_eq!(displacements(&[0, 1, 2], Direction::Up)[..], [false, true, false]);
        assert_eq!(displacements(&[0, 1, 2], Direction::Down)[..], [false, true, false]);
    }
}
