//! Quintfall computes, engraves and prints diatonic seventh-chord drills in every key.
//!
//! Data flows one way: recipe, desk, drill, score, engraving, book, canvas, output. Which module
//! may know which is drawn in `DEVELOPERS.md` and held by a test.

pub mod book;
pub mod canvas;
pub mod chart;
pub mod cli;
pub mod desk;
pub mod drill;
pub mod engrave;
pub mod exchange;
pub mod fingering;
pub mod glyphs;
pub mod output;
mod parallel;
pub mod recipe;
pub mod score;
pub mod sound;
pub mod source;
pub mod theory;
pub mod typeset;
