//! Pitches, intervals, keys and chords: whole numbers only, no paper and no fonts.

mod asked_key;
mod chord;
mod chord_kind;
mod chord_parts;
mod chord_sounded;
mod chord_style;
mod interval;
mod key;
mod numeral;
mod pitch;
mod scale;
mod symbol;
mod tonality;

pub use asked_key::{AskedKey, Misfit};
pub use chord::{Chord, Quality, SeventhChord};
pub use chord_kind::{ChordKind, KindError};
pub use chord_parts::{Fifth, Seventh, Tension, Tensions, Third};
pub use chord_sounded::Unnamed;
pub use chord_style::{ChordStyle, MajorStyle, MinorStyle, NumeralStyle, SymbolStyle};
pub use interval::Interval;
pub use key::{Key, KeyError, Spelling};
pub use numeral::{Numeral, Target};
pub use pitch::{Letter, NoteName, Pitch};
pub use scale::{Mode, Scale};
pub use symbol::{QualityMark, SymbolPart, chord_symbol, chord_symbol_over, plain_text};
pub use tonality::Tonality;
