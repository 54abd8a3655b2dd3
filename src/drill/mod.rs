//! Drills: templates that say what to play without saying in which key, and their realisation.

pub mod library;
mod realise;
mod register;
mod template;

pub use realise::{Choices, realise};
pub use register::MOST_LEDGER_LINES;
pub use template::{Comping, Entry, Figure, Passage, StepValue, Template, Voicing};
