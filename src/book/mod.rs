//! Books: which pages a document has, and what stands on each, in points.
//!
//! A course is measured ([`Book::measure`]), which decides how large its staves are and how many
//! pages each key takes; the plan then numbers the pages; and [`Book::page`] draws any of them.

mod booklet;
mod dice;
mod error;
mod form;
mod made;
mod matter;
mod options;
mod outline;
mod overview;
mod place;
mod plan;
mod review;
mod review_head;
mod sheet;
mod signature;
mod spelled;
mod study;
mod template;
mod write_in;

pub(crate) use dice::shuffle;
pub use error::{PageError, Whose};
pub use form::DocumentForm;
pub use made::{Book, LaidSheets};
pub use options::BookOptions;
pub use overview::{Overview, OverviewRow};
pub use study::{ChartBook, ChartLook, ReaderTune};
pub use study::{
    Leaf, LeafBlock, LeafRow, LeafSheet, LeafTable, Packet, PacketPart, PacketTune, SHEET,
};
pub use template::{Distances, Margins, PageTemplate, TypeSizes};
pub use write_in::WriteIn;
