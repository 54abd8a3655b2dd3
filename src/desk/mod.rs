//! Behind the counter: what commands do apart from reading arguments and printing.

mod answer;
pub(crate) mod commission;
pub(crate) mod files;
pub(crate) mod logo;
pub(crate) mod naming;
pub(crate) mod outlet;
pub mod pipeline;
pub(crate) mod place;
pub(crate) mod source;
pub(crate) mod spot;
pub(crate) mod trial;

pub use answer::Answer;
