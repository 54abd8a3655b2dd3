//! The analysis of tunes: its laws, the progressions of the handbooks, what it says to other
//! programs, and key areas against analyses by people.

mod chorales;
mod goals;
mod handbook;
mod json;
mod laws;
mod modes;
mod needs;
mod practice;
mod progressions;
mod reasons;
mod speed;
mod tune;
mod tunes;
