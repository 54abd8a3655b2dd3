//! The cost of a fingering in one position.
//!
//! Rules 1 to 3, 6, 7, 10 and 11 of Parncutt et al. 1997 (see the table of spans for the
//! source and how it is known). Rules 4 and 5 speak of changes of position, of which there are
//! none here; the texts of 8, 9 and 12 were not at hand, and the published choices for one
//! octave come out without them.

use super::hand::spans;
use crate::theory::Pitch;

/// A key of the keyboard.
#[derive(Clone, Copy, Debug)]
pub(super) struct PianoKey {
    midi: i32,
    is_black: bool,
}

impl PianoKey {
    /// The key under a pitch.
    pub(super) fn under(pitch: Pitch) -> Self {
        Self { midi: pitch.midi(), is_black: pitch.name.is_black() }
    }
}

/// A finger on a key.
#[derive(Clone, Copy, Debug)]
pub(super) struct Touch {
    pub(super) key: PianoKey,
    pub(super) finger: u8,
}

/// The cost of playing `touches` one after another, rising, or `None` where a span is beyond
/// what the hand can do.
pub(super) fn cost(touches: &[Touch]) -> Option<i32> {
    let mut total = 0;
    for pair in touches.windows(2) {
        total += span_cost(pair[0], pair[1])?;
    }
    for (index, touch) in touches.iter().enumerate() {
        let before = index.checked_sub(1).and_then(|before| touches.get(before));
        total += weak_finger(touch) + black_key(touch, before, touches.get(index + 1));
    }
    total += touches.windows(3).filter(|three| three.iter().all(|t| t.finger >= 3)).count() as i32;
    Some(total)
}

/// Rules 1 (stretch), 2 (small span) and 3 (large span).
fn span_cost(a: Touch, b: Touch) -> Option<i32> {
    let (low, high) = if a.finger < b.finger { (a, b) } else { (b, a) };
    let span = (b.key.midi - a.key.midi).abs();
    let limits = spans(low.finger, high.finger);
    if span > limits.max_practical {
        return None;
    }
    let weight = if low.finger == 1 { 1 } else { 2 };
    let beyond_comfort = (span - limits.max_comfort).max(limits.min_comfort - span).max(0);
    let beyond_relaxed = (span - limits.max_relaxed).max(limits.min_relaxed - span).max(0);
    Some(2 * beyond_comfort + weight * beyond_relaxed)
}

/// Rule 6.
fn weak_finger(touch: &Touch) -> i32 {
    i32::from(touch.finger >= 4)
}

/// Rules 10 (thumb on black) and 11 (fifth finger on black).
fn black_key(touch: &Touch, before: Option<&Touch>, after: Option<&Touch>) -> i32 {
    if !touch.key.is_black {
        return 0;
    }
    let white = |other: Option<&Touch>| i32::from(other.is_some_and(|other| !other.key.is_black));
    let neighbours = 2 * (white(before) + white(after));
    match touch.finger {
        1 => 1 + neighbours,
        5 => neighbours,
        _ => 0,
    }
}
