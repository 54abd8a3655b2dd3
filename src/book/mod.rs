//! Books: which pages a document has, and what stands on each, in points.

mod booklet;
pub(crate) mod error;
mod form;
mod matter;
pub(crate) mod plan;
mod sheet;
mod template;

pub use error::PageError;
pub use form::Form;
pub use plan::{lay_out, lay_out_each};
pub use template::{Distances, Margins, PageTemplate, TypeSizes};
