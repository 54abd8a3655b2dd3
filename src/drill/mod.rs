//! Drills: templates that say what to play without saying in which key, and their realisation.

mod choices;
mod comping;
mod figure;
mod harmony;
mod judge;
pub mod library;
mod line;
mod plan;
mod realise;
mod register;
mod template;
mod value;
mod voicing;

pub use choices::Choices;
pub use comping::{Comping, Stroke};
pub use figure::{Figure, Neighbour, Sounding, Step, Tone};
pub use harmony::{ChordPlan, Degree, Leading};
pub use realise::{Drill, realise};
pub use register::MOST_LEDGER_LINES;
pub use template::{Entry, Passage, Template};
pub use voicing::Voicing;
