//! The pieces that a line of a chart is put together from.

use kurbo::Point;

use crate::canvas::{Ink, Mark, Trace};
use crate::typeset::line::Phrase;

/// What a piece is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum PieceRole {
    /// Barlines and the rule that the chords stand on.
    Frame,
    /// A chord symbol, or the sign of a bar that repeats the one before.
    Symbol,
    /// A numeral.
    Numeral,
    /// The letter of a section.
    Letter,
    /// The time signature.
    Metre,
    /// The bracket of an ending.
    Ending,
    /// The way to the coda, and on from the end of a section.
    Coda,
    /// The number of the first bar of a line.
    Number,
    /// The bracket of a key.
    Area,
    /// What joins a ii to its V and leads on.
    Cadence,
}

/// A piece: all that belongs together, so that its own parts may touch.
#[derive(Clone, Debug)]
pub(super) struct ChartPiece {
    #[cfg_attr(not(test), expect(dead_code, reason = "laws ask for it"))]
    pub(super) role: PieceRole,
    pub(super) traces: Vec<(Trace, Ink)>,
}

impl ChartPiece {
    pub(super) fn new(role: PieceRole, traces: Vec<Trace>) -> Self {
        Self { role, traces: traces.into_iter().map(|trace| (trace, Ink::Black)).collect() }
    }

    /// A phrase that is set at an em of 1, at an em of `size` with its baseline at a point.
    pub(super) fn set(role: PieceRole, phrase: &Phrase, at: Point, size: f64) -> Self {
        let traces = phrase.clone().at(Point::ZERO).into_iter();
        Self { role, traces: traces.map(|(trace, ink)| (trace.placed(at, size), ink)).collect() }
    }

    /// A phrase as it is set.
    pub(super) fn of(role: PieceRole, phrase: Phrase, at: Point) -> Self {
        Self { role, traces: phrase.at(at) }
    }

    pub(super) fn marks(self) -> impl Iterator<Item = Mark> {
        self.traces.into_iter().map(|(trace, ink)| Mark::Trace(trace, ink))
    }
}

/// A level line between two abscissas.
pub(super) fn level([x0, x1]: [f64; 2], y: f64, width: f64) -> Trace {
    Trace::Line { from: Point::new(x0, y), to: Point::new(x1, y), width }
}

/// An upright line between two heights.
pub(super) fn upright(x: f64, [y0, y1]: [f64; 2], width: f64) -> Trace {
    Trace::Line { from: Point::new(x, y0), to: Point::new(x, y1), width }
}
