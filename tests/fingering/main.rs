//! Fingers of whole lines: what handbooks print, and laws that hold for every line.

mod crossings;
mod handbook;
mod joins;
mod laws;
mod library;
mod lines;
mod one_octave;
mod practice;
mod running;
mod taught;
mod thumbs;
