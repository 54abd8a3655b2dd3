//! Files of sound: the same every time, as loud as they should be, struck when it is written, and
//! the same samples in FLAC as in WAV. `QUINTFALL_SOUNDS` names a folder in which what is rendered
//! here is left for judges from outside, each file with the strokes that it should hold.

mod files;
mod pieces;
mod refused;
