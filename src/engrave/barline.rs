//! Barlines: their lines and dots, and how far they reach from where a bar ends.

use kurbo::{Circle, Point, Shape as _};

use super::mark::{Engraved, MarkRole};
use super::rules::{self, Sp};
use crate::score::Barline;

/// A part of a barline, from left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum BarlinePart {
    Thin,
    Thick,
    Dots,
}

impl BarlinePart {
    fn width(self) -> Sp {
        match self {
            Self::Thin => rules::THIN_BARLINE,
            Self::Thick => rules::THICK_BARLINE,
            Self::Dots => rules::REPEAT_DOT,
        }
    }

    /// The white between it and its neighbour.
    fn gap(self, next: Self) -> Sp {
        if self == Self::Dots || next == Self::Dots {
            rules::REPEAT_DOTS_TO_LINE
        } else {
            rules::BARLINE_GAP
        }
    }
}

fn parts(kind: Barline) -> &'static [BarlinePart] {
    use BarlinePart::{Dots, Thick, Thin};
    match kind {
        Barline::Single => &[Thin],
        Barline::Double => &[Thin, Thin],
        Barline::RepeatBegin => &[Thick, Thin, Dots],
        Barline::RepeatEnd => &[Dots, Thin, Thick],
        Barline::RepeatBoth => &[Dots, Thin, Thick, Thin, Dots],
        Barline::Final => &[Thin, Thick],
    }
}

/// How wide its ink is.
pub(super) fn width(kind: Barline) -> Sp {
    more_than_plain(kind) + rules::THIN_BARLINE
}

/// How much wider it is than a plain one.
pub(super) fn more_than_plain(kind: Barline) -> Sp {
    let parts = parts(kind);
    let mut thin = parts.iter().filter(|part| **part == BarlinePart::Thin).skip(1);
    let others = parts.iter().filter(|part| **part != BarlinePart::Thin).chain(thin.by_ref());
    let gaps: Sp = parts.windows(2).map(|pair| pair[0].gap(pair[1])).sum();
    others.map(|part| part.width()).sum::<Sp>() + gaps
}

/// How far it reaches left and right of a plain one that stands where the bar ends: what ends
/// something stands before that place, what begins something after it.
pub(super) fn beyond_plain(kind: Barline) -> [Sp; 2] {
    let more = more_than_plain(kind);
    match kind {
        Barline::Single => [0.0, 0.0],
        Barline::Double | Barline::RepeatEnd | Barline::Final => [more, 0.0],
        Barline::RepeatBegin => [0.0, more],
        Barline::RepeatBoth => [more / 2.0, more / 2.0],
    }
}

/// Its marks, its left edge at an abscissa, through both staves so far apart.
pub(super) fn from_left(kind: Barline, left: Sp, drop: Sp) -> Vec<Engraved> {
    let mut marks = Vec::new();
    let (mut left, parts) = (left, parts(kind));
    for (index, part) in parts.iter().enumerate() {
        marks.extend(part_marks(*part, left + part.width() / 2.0, drop));
        left += part.width() + parts.get(index + 1).map_or(0.0, |next| part.gap(*next));
    }
    marks
}

/// Its marks inside a system, where a bar ends at an abscissa.
pub(super) fn inside(kind: Barline, x: Sp, drop: Sp) -> Vec<Engraved> {
    let half = rules::THIN_BARLINE / 2.0;
    match kind {
        Barline::Single => part_marks(BarlinePart::Thin, x, drop),
        _ => from_left(kind, x - half - beyond_plain(kind)[0], drop),
    }
}

/// Its marks at the end of a system, its right edge at an abscissa.
pub(super) fn from_right(kind: Barline, right: Sp, drop: Sp) -> Vec<Engraved> {
    let mut marks = Vec::new();
    let (mut right, parts) = (right, parts(kind));
    for (index, part) in parts.iter().enumerate().rev() {
        marks.extend(part_marks(*part, right - part.width() / 2.0, drop));
        let before = index.checked_sub(1).map(|before| parts[before]);
        right = right - part.width() - before.map_or(0.0, |before| before.gap(*part));
    }
    marks
}

/// The marks of a part, its middle at an abscissa: a line through both staves, or dots in the two
/// inner spaces of each (common).
fn part_marks(part: BarlinePart, x: Sp, drop: Sp) -> Vec<Engraved> {
    if part == BarlinePart::Dots {
        let dot = |y: Sp| {
            let circle = Circle::new(Point::new(x, y), rules::REPEAT_DOT / 2.0);
            Engraved::fill(MarkRole::RepeatDot, circle.to_path(1e-3))
        };
        return [0.5, -0.5, 0.5 - drop, -0.5 - drop].map(dot).into();
    }
    let reach = rules::STAFF_LINE / 2.0;
    let (from, to) = (Point::new(x, 2.0 + reach), Point::new(x, -drop - 2.0 - reach));
    vec![Engraved::line(MarkRole::Barline, from, to, part.width())]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ink(marks: &[Engraved]) -> (Sp, Sp) {
        let boxes = || marks.iter().map(Engraved::bounds);
        (
            boxes().map(|ink| ink.x0).fold(f64::INFINITY, Sp::min),
            boxes().map(|ink| ink.x1).fold(f64::NEG_INFINITY, Sp::max),
        )
    }

    #[test]
    fn every_barline_fills_its_width_wherever_it_stands() {
        for kind in Barline::ALL {
            let near = |a: (Sp, Sp), b: (Sp, Sp)| (a.0 - b.0).abs() + (a.1 - b.1).abs() < 1e-6;
            let width = width(kind);
            assert!(near(ink(&from_left(kind, 10.0, 11.0)), (10.0, 10.0 + width)), "{kind:?}");
            assert!(near(ink(&from_right(kind, 10.0, 11.0)), (10.0 - width, 10.0)), "{kind:?}");
            let [before, after] = beyond_plain(kind);
            let half = rules::THIN_BARLINE / 2.0;
            let expected = (10.0 - half - before, 10.0 + half + after);
            assert!(near(ink(&inside(kind, 10.0, 11.0)), expected), "{kind:?}");
        }
    }

    #[test]
    fn dots_stand_on_the_side_that_is_repeated() {
        for (kind, sides) in [
            (Barline::RepeatBegin, [false, true]),
            (Barline::RepeatEnd, [true, false]),
            (Barline::RepeatBoth, [true, true]),
            (Barline::Final, [false, false]),
        ] {
            let marks = inside(kind, 0.0, 11.0);
            let thick = marks.iter().map(Engraved::bounds).find(|ink| ink.width() > 0.4).unwrap();
            let thick = if thick.height() > 1.0 {
                thick
            } else {
                let lines = marks.iter().filter(|mark| mark.role == MarkRole::Barline);
                lines.map(Engraved::bounds).find(|ink| ink.width() > 0.4).unwrap()
            };
            let dots = marks.iter().filter(|mark| mark.role == MarkRole::RepeatDot);
            let dots: Vec<Sp> = dots.map(|dot| dot.bounds().center().x).collect();
            let left = dots.iter().filter(|x| **x < thick.x0).count();
            let right = dots.iter().filter(|x| **x > thick.x1).count();
            assert_eq!([left, right], sides.map(|side| if side { 4 } else { 0 }), "{kind:?}");
        }
    }
}
