//! The timed model of a sheet: pitches, note values, ties, counts and fingers, still without
//! paper.

mod counts;
mod metre;
mod model;
mod rhythm;

pub use counts::{Count, Stroke, Syllable, count};
pub use metre::{Metre, QUARTER, Ticks};
pub use model::{Bar, Clef, Event, Hand, Harmony, LeftOut, Note, NoteValue, Score, Staff};
pub use rhythm::{Span, can_be_written, spell_rests, spell_sound};
