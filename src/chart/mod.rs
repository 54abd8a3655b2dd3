//! Tunes: their changes as teachers write them, and what the changes say of keys.

mod analysis;
mod unfolded;

pub use analysis::{
    Analysis, Area, Cadence, CadenceForm, CadenceKind, Function, NearKey, OtherReading, Reading,
};
pub use unfolded::{Change, Unfolded};
