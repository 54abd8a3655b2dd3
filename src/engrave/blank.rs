//! What of a system is left out, to be written in.
//!
//! A system with blanks is laid out as the whole one is, and its marks are then left out: so there is
//! all the room that is needed, and the answers stand where the blanks are.

use super::mark::{Engraved, MarkRole};
use super::rules::{self, Sp};
use crate::score::{ByHand, Hand};

/// What of a system is left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Blanks {
    /// Everything that a hand plays.
    pub hands: ByHand<bool>,
    /// Chord symbols; a rule stands in the place of each.
    pub symbols: bool,
    /// Numerals; a rule stands in the place of each.
    pub numerals: bool,
    /// The fingers of both hands.
    pub fingers: bool,
    /// Counts.
    pub counts: bool,
}

impl Blanks {
    /// Whether a mark of a hand's staff is printed.
    pub(super) fn prints(&self, hand: Hand, role: MarkRole) -> bool {
        let is_finger = role == MarkRole::Finger;
        !(self.fingers && is_finger || self.hands[hand] && is_played(role))
    }
}

/// Whether a mark of a staff tells what a hand plays; clefs, signatures and the signs of barlines do
/// not.
const fn is_played(role: MarkRole) -> bool {
    !matches!(role, MarkRole::Clef | MarkRole::KeySign | MarkRole::TimeFigure | MarkRole::RepeatDot)
}

/// A rule to write on, between two abscissas.
pub(super) fn rule(role: MarkRole, [left, right]: [Sp; 2], baseline: Sp) -> Engraved {
    let y = baseline - rules::BLANK_DOWN;
    let (from, to) = (kurbo::Point::new(left, y), kurbo::Point::new(right, y));
    Engraved::line(role, from, to, rules::BLANK_LINE)
}
