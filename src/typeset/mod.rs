//! Words and numbers: the text faces, their shaping and their measures; symbols, numerals and
//! wedges, which are set alike on a staff and among words.
//!
//! `face` has the font files, `shape` turns characters into glyphs (`store` keeps what has been
//! shaped), `measure` tells how large they come out. A `trace` is what a mark leaves on paper;
//! `line` sets them one after another, `harmony` those of a chord, `wedge` that of a count; `wrap`
//! and `fit` bring words into a place of given width.
//!
//! Sizes are the em in any unit of length; measures come back in the same unit. The origin of a
//! run is the left end of its baseline and y grows upward.

mod face;
pub(crate) mod fit;
mod harmony;
pub(crate) mod line;
mod measure;
mod shape;
mod store;
mod trace;
mod wedge;
mod wrap;

pub use face::TextFace;
pub use measure::{
    ascent, cap_height, descent, ink_bounds, missing, outline, shape, width, x_height,
};
pub(crate) use shape::{LentRun, lend};
pub use shape::{ShapedGlyph, ShapedRun};
pub use trace::{Ink, Trace, crescent_outline, polygon, sign_box, slab_corners, wedge_corners};
pub use wedge::Wedge;
pub use wrap::wrap;
