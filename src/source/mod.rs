//! What teachers write: TOML read field by field, and complaints that know place, field, problem
//! and mend.
//!
//! What is to be done is an [`Advice`], which each front tells in its own words.
//!
//! Recipes, drills and page templates are read the same way: `fields` asks a table for one
//! field after another and gathers every mistake, `syntax` says in a teacher's words why a line
//! cannot be read at all, and `near` finds what was probably meant.

mod advice;
mod complaint;
mod field;
pub(crate) mod fields;
mod near;
pub(crate) mod plain;
pub(crate) mod syntax;
pub(crate) mod usual;
pub(crate) mod word;

pub use advice::{Advice, AdvicePart};
pub use complaint::{Complaint, Place};
pub use field::{ChartField, DrillField, Field, FileField, PageField, RecipeField};
pub use near::nearest;

pub(crate) use complaint::line_at;
pub(crate) use near::{advice, advice_or, slip};

/// Most bytes of a text in TOML, not counting long words of letters and figures: twice what the
/// templates of the largest course take. A parser keeps about a hundred bytes for each.
const MOST_BYTES: usize = 512 * 1024;

/// Errors if a text would take too much to be read as TOML.
///
/// Words as long as a picture in base64 do not count: to a parser such a word is one thing, be it
/// text or not.
pub(crate) fn check_size(text: &str, name: &str) -> Result<(), Complaint> {
    /// Bytes of a word that counts in full.
    const LONG: usize = 1024;
    let is_base64 = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'+' | b'/');
    let words = text.as_bytes().split(|byte| !is_base64(byte));
    let long: usize = words.map(<[u8]>::len).filter(|length| *length > LONG).sum();
    if text.len() - long <= MOST_BYTES {
        return Ok(());
    }
    let problem = format!("it is larger than {} KiB without its picture", MOST_BYTES >> 10);
    let complaint = Complaint::new(problem).at(Place::of(name));
    Err(complaint.mend("check that it is the right file"))
}
