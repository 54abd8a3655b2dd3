//! Drills: templates that say what to play without saying in which key, and their realisation.

mod bass;
mod choices;
mod clefs;
pub(crate) mod compose;
mod course;
mod finish;
mod followers;
mod form;
mod language;
mod legible;
pub mod library;
mod line;
pub mod over;
mod realise;
mod register;
mod signs;
mod sketch;
mod stays;
mod struck;
mod swung;
mod template;
mod thin;

pub use choices::{Choices, Hands};
pub use course::{Course, Exercise, Tempi};
pub use language::comping::{Comping, CompingHit};
pub use language::figure::{Figure, FigureStep, Neighbour, Sounding, Tone};
pub use language::harmony::{ChordPlan, Degree, GoalDegree, PassageHome, RootPlace};
pub use language::spelling::{respellings, spelled, symbol_respellings};
pub use language::voicing::Voicing;
pub use legible::MOST_LEDGER_LINES;
pub use realise::{Drill, realise};
pub use template::{Entry, Passage, Template};
