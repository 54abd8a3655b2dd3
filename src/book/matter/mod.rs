//! The pages round the sheets: cover, contents, words, tables, log.

pub(crate) mod chord_table;
pub(crate) mod contents;
pub(crate) mod cover;
pub(crate) mod how_to;
pub(crate) mod log;
pub(crate) mod opening;
pub(crate) mod slips;
pub(crate) mod term;
