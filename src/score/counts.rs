//! Counting marks: "1 & 2 &", and which hand strikes on each.

use super::{Bar, Event, Metre, QUARTER, Staff, Ticks};

/// How the left hand meets a count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    /// It does not strike.
    None,
    /// It strikes.
    Struck,
    /// It strikes early and holds over the beat: a push.
    Pushed,
}

/// One count of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Count {
    /// Its moment.
    pub at: Ticks,
    /// The beat's number; `None` on the "and".
    pub beat: Option<i32>,
    /// Whether the right hand strikes.
    pub right: bool,
    /// Whether and how the left hand strikes.
    pub left: Stroke,
}

impl Count {
    /// The syllable that is spoken.
    pub fn syllable(&self) -> String {
        self.beat.map_or_else(|| "&".to_owned(), |beat| beat.to_string())
    }

    /// Whether no hand strikes: the count is only held, or silent.
    pub fn is_only_held(&self) -> bool {
        !self.right && self.left == Stroke::None
    }
}

/// Counts every bar in eighths. The "and"s of a bar in which no hand strikes off the beat are
/// left out: nothing is gained by counting through a long chord in eighths.
pub fn count(metre: Metre, bars: &[Bar]) -> Vec<Count> {
    let mut counts = Vec::new();
    for bar in bars {
        let all: Vec<Count> = (0..2 * metre.beats()).map(|slot| count_at(bar, slot)).collect();
        let off_beats = all.iter().any(|count| count.beat.is_none() && !count.is_only_held());
        counts.extend(all.into_iter().filter(|count| off_beats || count.beat.is_some()));
    }
    counts
}

fn count_at(bar: &Bar, slot: i32) -> Count {
    let at = bar.start + slot * QUARTER / 2;
    let on_beat = slot % 2 == 0;
    let left = match struck(&bar.left, at) {
        None => Stroke::None,
        Some(event) if !on_beat && event.notes.iter().any(|note| note.tied_out) => Stroke::Pushed,
        Some(_) => Stroke::Struck,
    };
    let beat = on_beat.then_some(slot / 2 + 1);
    Count { at, beat, right: struck(&bar.right, at).is_some(), left }
}

/// What a hand strikes at a moment.
fn struck(staff: &Staff, at: Ticks) -> Option<&Event> {
    staff.events.iter().find(|e| e.at == at && !e.is_rest() && !e.is_tied_in())
}
