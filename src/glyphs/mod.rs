//! The music face: read back for layout, and drawn by our own pen.
//!
//! [`Sign`] names every sign, [`MusicFace`] reads their outlines, widths and anchors from the
//! packed file, and everything else in the program knows the signs only through it. What draws
//! and packs that file is `draw`; the program does without it, so only tests and `build_face`
//! compile it.

mod anchors;
#[cfg(any(test, feature = "draw"))]
pub mod draw;
mod face;
mod sign;

pub use anchors::Anchor;
pub use face::{FaceError, MusicFace};
pub use sign::Sign;
