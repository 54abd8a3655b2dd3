//! One system: the staves drawn from their columns, then the rows pushed clear of them.
//!
//! `draft` has what both staves share and sets them apart; `staff` draws one of them; `rows` are
//! the counts, symbols and numerals; `parts`
//! are what both put together; `octave` and `form` are signs of octaves and of form; `furniture` is what every system has whatever is played.

mod bands;
mod draft;
mod finished;
mod form;
mod furniture;
mod octave;
mod parts;
mod rows;
mod staff;

pub(super) use draft::{Columns, SystemDraft, SystemSeat};
pub use finished::System;
pub use furniture::BRACE_REACH;
