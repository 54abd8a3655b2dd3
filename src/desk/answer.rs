//! What the desk hands over.

use crate::source::{Advice, Complaint};

/// What was done, and the sheet where nobody said that it should be put in a file.
#[derive(Debug, Default, PartialEq, Eq)]
pub(crate) struct Answer {
    /// What is to be said of it, a line each.
    pub(crate) said: Vec<Advice>,
    /// The sheet for standard output.
    pub(crate) sheet: Option<Vec<u8>>,
    /// What was left out of a list, and why.
    pub(crate) left_out: Vec<Complaint>,
}
