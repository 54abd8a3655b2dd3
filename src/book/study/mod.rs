//! A tune on paper: its chart, with what its changes say of keys.
//!
//! `lines` cuts the bars into lines, `cell` sets the chords of a bar, `room` finds how large they
//! can be and how many bars stand on a line. `grid` draws a line: `barline` what stands between
//! bars, `signs` what stands over them, `areas` the keys and the cadences below. `head` and `foot`
//! stand round it, and [`ChartBook`] puts all of it on pages. A `packet` is what stands before the
//! drills of a study: charts, and a `leaf` or more of words and tables.

mod areas;
mod barline;
mod cell;
mod chart;
mod foot;
mod grid;
mod head;
pub(crate) mod leaf;
mod lines;
mod packet;
mod piece;
mod room;
mod signs;
mod tune;

pub use chart::ChartBook;
pub use packet::{
    Leaf, LeafBlock, LeafRow, LeafSheet, LeafTable, Packet, PacketPart, PacketTune, SHEET,
};
pub use tune::{ChartLook, ReaderTune};

#[cfg(test)]
mod laws;
