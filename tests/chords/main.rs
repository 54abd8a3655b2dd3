//! Chord symbols: read as the trade writes them, written so that they read back.

mod ambiguous;
mod judged;
mod round;
mod speed;
mod spellings;
