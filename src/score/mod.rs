//! The timed model of a sheet: pitches, note values, ties, counts and fingers, still without
//! paper.

mod clef;
mod counting;
mod counts;
mod feel;
mod hand;
mod ladder;
mod metre;
mod model;
mod rhythm;
mod signs;
mod stay;

pub use clef::Clef;
pub use counting::count;
pub use counts::{Count, CountStroke, Counts, Syllable};
pub use feel::Feel;
pub use hand::{ByHand, Hand};
pub use ladder::{MOST_RUNGS, NOTCHES, TEMPI, default_goal, rungs};
pub use metre::{Metre, QUARTER, Ticks};
pub use model::{
    Bar, ChordInBars, Event, Harmony, LeftOut, LowChord, Note, NoteValue, Score, Staff, UntoldChord,
};
pub use rhythm::{Rhythm, Span, WrittenSpans, can_be_written, spell_rests, spell_sound};
pub use signs::{Barline, Ending, Heading, OctaveShift, Signs};
pub use stay::Stay;
