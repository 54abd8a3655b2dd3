//! Tunes: their changes as teachers write them, and what the changes say of keys.

mod analyse;
mod analysis;
mod json;
mod unfolded;

pub use analyse::analyse;
pub use analysis::{
    Analysis, Area, Cadence, CadenceForm, CadenceKind, Function, NearKey, OtherReading, Reading,
};
pub use json::{ANALYSIS_SCHEMA, AnalysisJson};
pub use unfolded::{Change, Unfolded};
