//! From ticks of a score to pulses of a performance: the one place where music swings.

use super::performance::{PULSES, Pulses};
use super::piece::{Divided, SoundPiece};
use crate::score::{QUARTER, Ticks};

/// Pulses in a tick.
const IN_A_TICK: Pulses = PULSES / QUARTER as Pulses;

/// Half way through a beat.
const OFF_BEAT: Ticks = QUARTER / 2;

/// The off-beat of a beat in three: its last third.
const LAST_THIRD: Pulses = 2 * PULSES / 3;

/// How the beats of choruses pass.
#[derive(Clone, Debug)]
pub(super) struct Pace<'a> {
    piece: &'a SoundPiece,
    /// When the first of them begins.
    start: Pulses,
    /// When the off-beat eighth is struck, from its beat on.
    off_beat: Pulses,
}

impl<'a> Pace<'a> {
    /// Beats from a start on, whose off-beats are struck at a moment of theirs. Six eighths do not
    /// swing.
    pub(super) fn new(piece: &'a SoundPiece, start: Pulses, off_beat: Pulses) -> Self {
        let off_beat = if piece.metre.is_compound() { PULSES / 2 } else { off_beat };
        Self { piece, start, off_beat }
    }

    /// When a moment comes that is counted from the first of several choruses, before 0 in a
    /// pick-up. Off-beat eighths swing, triplets and sixteenths come as they are written, and so do eighths beside
    /// sixteenths; beside triplets an off-beat eighth is the last of them.
    pub(super) fn at(&self, moment: Ticks) -> Pulses {
        let plain = i64::from(self.start) + i64::from(moment) * i64::from(IN_A_TICK);
        let beat = plain - i64::from(PULSES / 2);
        let plain = Pulses::try_from(plain).unwrap_or(0);
        if moment.rem_euclid(QUARTER) != OFF_BEAT {
            return plain;
        }
        // A pick-up may begin half way through a beat that nothing else is heard of.
        let after = |pulses: Pulses| Pulses::try_from(beat + i64::from(pulses)).unwrap_or(0);
        let own = moment.rem_euclid(self.piece.length()).div_euclid(QUARTER);
        let divided = &self.piece.divided;
        let has = |part: Divided| divided.binary_search(&(own, part)).is_ok();
        if has(Divided::InFour) {
            plain
        } else if has(Divided::InThree) && self.off_beat != PULSES / 2 {
            after(LAST_THIRD)
        } else {
            after(self.off_beat)
        }
    }
}
