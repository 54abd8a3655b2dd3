//! Drills: templates that say what to play without saying in which key, and their realisation.

mod choices;
pub mod library;
mod realise;
mod register;
mod template;

pub use choices::Choices;
pub use realise::realise;
pub use register::MOST_LEDGER_LINES;
pub use template::{Comping, Entry, Figure, Passage, StepValue, Template, Voicing};
