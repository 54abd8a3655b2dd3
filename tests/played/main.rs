//! What is heard: every note of the page at its moment, and a rhythm section that keeps its laws.

mod accompanied;
mod charts;
mod form;
mod hand_walks;
mod heard;
mod in_two;
mod joins;
mod last_time;
mod manner;
mod own_bass;
mod read_back;
mod second_looks;
mod vamps;

use quintfall::drill::{Choices, Exercise, Tempi, Template, library};
use quintfall::sound::{Part, Performance, PlayedStroke, TrackOptions};
use quintfall::theory::Key;

/// The drills of the library.
pub(crate) fn drills() -> Vec<Template> {
    let read = |(name, text)| Template::parse(text, name).expect("library drills are sound");
    library::all().map(read).collect()
}

/// A drill in keys at a tempo.
pub(crate) fn exercise(template: &Template, keys: &[Key], tempo: u16) -> Exercise {
    let tempi = Tempi { tempo, goal: None };
    Exercise::new(template.clone(), keys, tempi, Choices::default())
}

/// Options with parts.
pub(crate) fn with(parts: &[Part]) -> TrackOptions {
    TrackOptions { with: Some(parts.iter().copied().collect()), ..TrackOptions::default() }
}

/// What a part plays.
pub(crate) fn strokes(performance: &Performance, part: Part) -> &[PlayedStroke] {
    let track = performance.tracks.iter().find(|track| track.part == part);
    track.map_or(&[], |track| &*track.strokes)
}
