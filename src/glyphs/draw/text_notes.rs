//! Notes in a line of text: metronome marks and the swing equation.
//!
//! Every note here sits on the text baseline and its stem is 2.75 sp long, 0.75 sp shorter than
//! on the staff, so that all of them reach the same height. Composed by printing one sign after
//! another at its own advance width, with no space between:
//!
//! - two beamed eighths: `TextBlackNoteLongStem`, `TextCont8thBeamLongStem`,
//!   `TextBlackNoteFrac8thLongStem`;
//! - a quarter and an eighth under a bracketed 3: `TextTupletBracketStartLongStem`,
//!   `MetNoteQuarterUp`, `TextTuplet3LongStem`, `MetNote8thUp`,
//!   `TextTupletBracketEndLongStem`.
//!
//! The two bracket ends have no advance: the first reaches right over the note that follows, the
//! last reaches back over the note before. The 3 keeps the distance between the two notes. An
//! augmentation dot starts at its own left edge: leave about 0.3 sp between note and dot.

use super::digits;
use super::flags;
use super::heads::{HEAD_HEIGHT, HEAD_WIDTH, black};
use super::ink::{Inking, flush_left, moved, scaled, slab};
use super::weight::{BEAM, SOFT};
use crate::glyphs::anchors::STEM_JOINT;
use kurbo::{Affine, BezPath};

/// Stems are a little heavier than on the staff, because text notes print at two thirds.
const STEM: f64 = 0.14;
/// Height of the middle of the head.
const HEAD_Y: f64 = HEAD_HEIGHT / 2.0;
/// Height of the end of the stem.
const STEM_TOP: f64 = HEAD_Y + 2.75;
/// How far a beam reaches into its neighbour, so that no seam shows.
const OVERLAP: f64 = 0.02;
/// Distance between the two heads of a beamed pair, edge to edge.
pub(crate) const BEAM_ADVANCE: f64 = 0.95;
/// Distance between the two notes under a bracket, edge to edge.
pub(crate) const TUPLET_ADVANCE: f64 = 1.15;
/// Height of the bracket line.
const BRACKET_Y: f64 = STEM_TOP + 0.78;
/// Thickness of the bracket line.
const BRACKET: f64 = 0.14;
/// Length of the hook of the bracket.
const HOOK: f64 = 0.42;
/// White on each side of the 3, from its middle.
const BRACKET_GAP: f64 = 0.62;
/// Scale of the flag, so that it clears the head.
const FLAG: f64 = 0.78;

/// A quarter note in text.
pub(crate) fn quarter() -> BezPath {
    note().dry()
}

/// An eighth note in text.
pub(crate) fn eighth() -> BezPath {
    let flag = Affine::scale_non_uniform(0.92, FLAG) * flags::flag_8th_up();
    note().lay(moved(&flag, HEAD_WIDTH - STEM, STEM_TOP)).dry()
}

/// The second note of a beamed pair: its half of the beam reaches left over the head.
pub(crate) fn note_with_half_beam() -> BezPath {
    note().lay(slab(-OVERLAP, STEM_TOP - BEAM, HEAD_WIDTH, STEM_TOP, 0.0)).dry()
}

/// The beam between the two notes of a pair.
pub(crate) fn beam_between() -> BezPath {
    slab(-STEM, STEM_TOP - BEAM, BEAM_ADVANCE + OVERLAP, STEM_TOP, 0.0)
}

/// The opening end of the bracket, over the note that follows.
pub(crate) fn bracket_start() -> BezPath {
    let end = HEAD_WIDTH + TUPLET_ADVANCE / 2.0 - BRACKET_GAP;
    bracket(0.0, end, BRACKET / 2.0)
}

/// The closing end of the bracket, over the eighth just printed, `eighth_width` wide.
pub(crate) fn bracket_end(eighth_width: f64) -> BezPath {
    let stem = HEAD_WIDTH - eighth_width;
    let start = -eighth_width - TUPLET_ADVANCE / 2.0 + BRACKET_GAP;
    bracket(start, stem, stem - BRACKET / 2.0)
}

/// A bracket line from `x0` to `x1` with its hook centred at `hook`.
fn bracket(x0: f64, x1: f64, hook: f64) -> BezPath {
    let (low, high) = (BRACKET_Y - BRACKET / 2.0, BRACKET_Y + BRACKET / 2.0);
    Inking::new()
        .lay(slab(x0, low, x1, high, SOFT))
        .lay(slab(hook - BRACKET / 2.0, high - HOOK, hook + BRACKET / 2.0, high, SOFT))
        .dry()
}

/// The 3 of the bracket, leaning, centred in its advance width.
pub(crate) fn tuplet_3() -> BezPath {
    const SCALE: f64 = 0.86;
    let lean = Affine::new([1.0, 0.0, 0.2, 1.0, 0.0, 0.0]);
    let figure = flush_left(&(lean * scaled(&digits::fingering(3), SCALE)));
    let ink = super::ink::bounds(&figure);
    moved(&figure, (TUPLET_ADVANCE - ink.width()) / 2.0, BRACKET_Y - ink.center().y)
}

/// The dot of a metronome mark, level with the middle of the head.
pub(crate) fn dot() -> BezPath {
    moved(&super::heads::augmentation_dot(), 0.0, HEAD_Y)
}

fn note() -> Inking {
    let head = moved(&flush_left(&black()), 0.0, HEAD_Y);
    Inking::new().lay(head).lay(slab(
        HEAD_WIDTH - STEM,
        HEAD_Y + STEM_JOINT,
        HEAD_WIDTH,
        STEM_TOP,
        0.0,
    ))
}
