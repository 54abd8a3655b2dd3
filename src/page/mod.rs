//! Pages: where everything stands on paper, in points.

mod board;
mod book;
mod booklet;
pub mod canvas;
mod chord_table;
mod contents;
mod cover;
mod error;
mod fill;
mod fit;
mod foot;
mod header;
mod how_to;
mod ladder;
mod log;
mod opening;
pub mod paper;
mod phrase;
mod place;
mod remark;
mod ring;
mod set;
mod sheet;
mod template;
mod tempo;

pub use book::{lay_out, lay_out_each};
pub use error::PageError;
pub use ladder::{NOTCHES, default_goal, rungs};
pub use template::{Distances, Margins, PageTemplate, TypeSizes};
