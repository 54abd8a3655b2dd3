//! Laws for every line.
