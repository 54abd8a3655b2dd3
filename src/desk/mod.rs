//! Behind the counter: what commands do apart from reading arguments and printing.
//!
//! A front (the command line, the page in the browser) brings an `errand`: a recipe and
//! what was asked for in its place. The desk opens the `source`, fetches the drills of the
//! `repertoire`, settles the `keys`, takes in the picture, has the sheet made by the `pipeline`
//! and puts it in its `place`. What cannot be done comes back as a complaint. What is looked at before it
//! is saved is in `show`.

mod answer;
mod base;
pub(crate) mod class;
pub(crate) mod commission;
mod complaints;
mod day;
pub(crate) mod errand;
pub(crate) mod files;
mod had;
mod judge;
mod keys;
mod logo;
pub(crate) mod many;
pub(crate) mod naming;
pub(crate) mod outlet;
mod over;
pub mod pipeline;
pub(crate) mod place;
mod placed;
pub(crate) mod playalong;
mod pool;
mod prepared;
pub(crate) mod product;
mod remarks;
mod repertoire;
pub(crate) mod show;
pub(crate) mod source;
pub(crate) mod spool;
pub(crate) mod spot;
pub(crate) mod study;
mod trial;
pub(crate) mod tune;
pub(crate) mod with_tracks;

pub(crate) use answer::Answer;

pub(crate) use judge::{Judged, judge, judge_text};
pub(crate) use repertoire::unknown_drill;
