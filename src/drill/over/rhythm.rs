//! How long what is held through a chord lasts, bar by bar, in note values.

use crate::drill::language::value::VALUES;
use crate::score::{Metre, QUARTER, Ticks};

/// A part of a chord's time that lies within a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Chunk {
    pub(super) length: Ticks,
    /// Whether anything sounds in it.
    pub(super) sounds: bool,
}

/// The time from a moment on, cut at barlines.
pub(super) fn held(at: Ticks, length: Ticks, sounds: bool, metre: Metre) -> Vec<Chunk> {
    let (mut at, end) = (at, at + length);
    let mut chunks = Vec::new();
    while at < end {
        let barline = (at.div_euclid(metre.bar()) + 1) * metre.bar();
        let until = barline.min(end);
        chunks.push(Chunk { length: until - at, sounds });
        at = until;
    }
    chunks
}

/// Something that lasts so long, as steps of a figure: the second of them is tied to the first.
pub(super) fn spelled(what: &str, length: Ticks) -> String {
    let mut rest = length;
    let mut steps: Vec<String> = Vec::new();
    while rest > 0 {
        let longest =
            VALUES.iter().filter(|(_, value)| *value <= rest && value % (QUARTER / 4) == 0);
        let Some((word, value)) = longest.max_by_key(|(_, value)| *value) else { break };
        let is_more = !steps.is_empty() && what != "rest";
        steps.push(format!("{}:{word}", if is_more { "tied" } else { what }));
        rest -= value;
    }
    steps.join(" ")
}
