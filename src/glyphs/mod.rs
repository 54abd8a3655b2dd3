//! The music face: drawn by our own pen, packed as an OpenType face, read back for layout.
//!
//! Each sign is drawn in staff spaces by the file of its family: strokes of a pen along a smooth
//! curve through a few knots, discs, ellipses and straight-sided shapes, merged into clean
//! contours. [`pack()`] writes them to an OpenType file and [`metadata()`] describes it as SMuFL
//! prescribes; [`MusicFace`] reads that file, and everything else in the program knows the signs
//! only through it.

mod accidentals;
mod anchors;
mod articulations;
mod brace;
mod chord_signs;
mod clefs;
mod digits;
mod drawing;
mod face;
mod flags;
mod heads;
mod ink;
mod metadata;
mod pack;
mod pen;
mod rests;
mod sign;
mod spline;
mod text_notes;
mod weight;

pub use face::{Anchor, FaceError, MusicFace};
pub use metadata::metadata;
pub use pack::pack;
pub use sign::Sign;
