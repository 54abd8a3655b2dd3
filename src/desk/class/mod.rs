//! A class: a list of students becomes a sheet for each, a stack of all for the printer, and an
//! overview for the teacher; and next week's list is made from this week's.
//!
//! The bytes of a list are `encoded` text, a `grid` of cells or `tables` in TOML; either way a
//! `list` has an `entry` for each student, whose cells stand in a known `column`. A `row` says what is asked for; the
//! `plan` finds out what is wrong before a note is made; `make` fills a `spool` and puts what is in
//! it in its places. `next` writes the list of next week by way of `edit`, which changes cells and
//! leaves all else as it stands, and `names` reads a list of names alone.

pub(in crate::desk) mod column;
pub(in crate::desk) mod edit;
pub(in crate::desk) mod encoded;
pub(crate) mod entry;
pub(in crate::desk) mod grid;
pub(crate) mod list;
pub(crate) mod make;
pub(crate) mod names;
pub(crate) mod next;
pub(crate) mod plan;
pub(crate) mod row;
mod tables;
