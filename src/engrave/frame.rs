//! What stands between bars beyond a plain barline, and what of it takes room where: inside a
//! system, at its beginning, at its end.

use super::barline;
use super::prefix;
use super::rules::{self, Sp};
use crate::score::Score;

/// The room that signs take at either end of a bar, beyond that of a plain barline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BarFrame {
    /// Between its first barline and its music inside a system: the rest of that barline, and a new
    /// signature.
    pub(super) lead_in: Sp,
    /// Before its last barline inside a system.
    pub(super) trail: Sp,
    /// How much more it needs where it begins a later system than a plain bar does: a longer prefix,
    /// less what it leads in with elsewhere.
    pub(super) more_at_start: Sp,
    /// How much more it needs where it ends a system than inside one: what ends the system, with a
    /// warning of the next signature. A final barline at the end of the score is not counted.
    pub(super) more_at_end: Sp,
    /// From the prefix to the first head, where it begins a later system.
    pub(super) to_note: Sp,
}

impl Default for BarFrame {
    fn default() -> Self {
        Self {
            lead_in: 0.0,
            trail: 0.0,
            more_at_start: 0.0,
            more_at_end: 0.0,
            to_note: rules::KEY_TO_NOTE,
        }
    }
}

impl BarFrame {
    /// The frame of a bar.
    pub(super) fn of(score: &Score, bar: usize) -> Self {
        if score.signs.is_plain() {
            return Self::default();
        }
        let end = bar + 1;
        let is_last = end == score.bars.len();
        let [before, _] = barline::beyond_plain(score.barline_before(end));
        let trail = if is_last { 0.0 } else { before };
        let reserve = end_reserve(score, end) + courtesy_width(score, end);
        let more_at_end =
            if is_last { (reserve - final_barline()).max(0.0) } else { reserve - trail };
        let lead_in = lead_in(score, bar);
        let begins_repeat = score.barline_before(bar).begins_repeat();
        let prefix = |key, repeat| prefix::prefix(score.opening_clefs, key, None, repeat);
        let own = prefix(score.key_at(bar), begins_repeat);
        let usual = prefix(score.key, false);
        let more_at_start = own.left_of_bars() - usual.left_of_bars() - lead_in;
        Self { lead_in, trail, more_at_start, more_at_end, to_note: own.to_note }
    }
}

/// The room between the barline before a bar and its music, inside a system, beyond that of a plain
/// barline.
pub(super) fn lead_in(score: &Score, bar: usize) -> Sp {
    if bar == 0 {
        return 0.0;
    }
    let [_, after] = barline::beyond_plain(score.barline_before(bar));
    let signature = score.new_key_at(bar).map_or(0.0, |_| {
        let more = rules::NEW_KEY_TO_NOTE - rules::BARLINE_TO_NOTE;
        rules::BARLINE_TO_KEY + new_key_width(score, bar) + more
    });
    after + signature
}

/// How wide the signature is that begins with a bar, with the naturals that it needs.
fn new_key_width(score: &Score, bar: usize) -> Sp {
    let (Some(key), Some(before)) = (score.new_key_at(bar), bar.checked_sub(1)) else { return 0.0 };
    prefix::new_key_width(score.key_at(before), key)
}

/// How much wider than a plain barline one is that ends a system before a bar.
pub(super) fn end_reserve(score: &Score, bar: usize) -> Sp {
    barline::more_than_plain(score.barline_ending_system(bar))
}

/// The room of the signature that warns of a new key at the end of a system, after its barline.
pub(super) fn courtesy_width(score: &Score, bar: usize) -> Sp {
    if bar >= score.bars.len() || score.new_key_at(bar).is_none() {
        return 0.0;
    }
    rules::BARLINE_TO_KEY + new_key_width(score, bar) + rules::KEY_TO_END
}

/// How much wider a final barline is than a plain one.
pub(super) fn final_barline() -> Sp {
    barline::more_than_plain(crate::score::Barline::Final)
}
