//! The layout engine: from a score to systems of marks in staff spaces.
//!
//! How notes are `written` (`accidental`, `groups`) is known before anything has a place. A score is
//! cut into `column`s, one for each moment, of a `chord` or rest on each staff and of what the `rows`
//! say. `spacing` gives each bar its `springs`
//! and rods, with room in its `frame` for `barline`s and signatures, `breaking` finds the best cut
//! into systems, `placing` says where columns stand in each, and `heights` guesses how high they
//! come out.
//! `system` draws one: its `prefix`, notes with `beam`, `tie` and `tuplet`, then rows pushed clear
//! by `skyline`. All of it is held together by `layout`; its numbers stand in `rules`.
//!
//! A system's origin is the left end of the middle line of its upper staff; y grows upward.

mod accidental;
mod barline;
mod beam;
mod blank;
mod breaking;
mod chord;
mod column;
mod extent;
pub(crate) mod fill;
mod frame;
mod groups;
mod heights;
mod layout;
mod look;
mod mark;
mod placing;
mod position;
mod prefix;
mod rows;
pub mod rules;
pub(crate) mod set;
pub(crate) mod shared;
mod skyline;
mod spacing;
mod springs;
mod staff_size;
mod system;
mod tie;
mod tuplet;
mod watch;
mod written;

pub use blank::Blanks;
pub use heights::SystemHeights;
pub use layout::{Cut, Layout, draw, engrave};
pub use look::Look;
pub use mark::{Engraved, MarkRole};
pub use position::Direction;
pub use rules::Sp;
pub use set::Staves;
pub use staff_size::{NoSuchStaffSize, StaffSize};
pub use system::{BRACE_REACH, System};
pub use watch::Watched;
pub use written::{BeamPart, WrittenEvent, beam_parts, written};
