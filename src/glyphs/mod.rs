//! The music face: drawn by our own pen, packed as an OpenType face, read back for layout.

mod sign;

pub use sign::Sign;
