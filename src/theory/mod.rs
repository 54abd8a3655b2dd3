//! Pitches, intervals, keys and chords: whole numbers only, no paper and no fonts.

mod asked_key;
mod chord;
mod chord_cursor;
mod chord_draft;
mod chord_error;
mod chord_kind;
mod chord_parts;
mod chord_read;
mod chord_sounded;
mod chord_style;
mod chord_write;
mod interval;
mod key;
mod numeral;
mod pitch;
mod scale;
mod symbol;
mod tonality;

pub use asked_key::{AskedKey, Misfit};
pub use chord::{Chord, Quality, SeventhChord};
pub use chord_cursor::NoteNames;
pub use chord_error::{ChordError, ChordProblem};
pub use chord_kind::{ChordKind, KindError};
pub use chord_parts::{Fifth, Seventh, Tension, Tensions, Third};
pub use chord_read::{read_chord, read_chord_named};
pub use chord_sounded::Unnamed;
pub use chord_style::{ChordStyle, MajorStyle, MinorStyle, NumeralStyle, SymbolStyle};
pub use chord_write::{chord_symbol, chord_symbol_over};
pub use interval::Interval;
pub use key::{Key, KeyError, Spelling};
pub use numeral::{Numeral, Target};
pub use pitch::{Letter, NoteName, Pitch};
pub use scale::{Mode, Scale};
pub use symbol::{QualityMark, SymbolPart, plain_text};
pub use tonality::Tonality;
