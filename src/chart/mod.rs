//! Tunes: their changes as teachers write them, and what the changes say of keys.

mod unfolded;

pub use unfolded::{Change, Unfolded};
