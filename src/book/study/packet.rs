//! What stands before the drills of a study packet: charts, and pages of words and tables.

use crate::chart::{Analysis, Chart, Horn};
use crate::theory::Key;

/// The parts of a packet before its drills, in their order.
#[derive(Clone, Debug, Default)]
pub struct Packet {
    /// The parts.
    pub parts: Vec<PacketPart>,
}

/// A part of a packet.
#[derive(Clone, Debug)]
pub enum PacketPart {
    /// A chart.
    Chart(Box<PacketTune>),
    /// Pages of words.
    Words(Leaf),
}

/// A chart as somebody reads it.
#[derive(Clone, Debug)]
pub struct PacketTune {
    /// The chart, in the key that is read.
    pub chart: Chart,
    /// What its changes say of keys.
    pub analysis: Option<Analysis>,
    /// Who reads it, if an instrument in another key.
    pub horn: Option<Horn>,
    /// The key that sounds.
    pub sounding: Option<Key>,
}

/// Pages of words and tables under one heading.
#[derive(Clone, Debug)]
pub struct Leaf {
    /// The heading.
    pub heading: String,
    /// What the contents call it.
    pub listed: String,
    /// What stands below it.
    pub blocks: Vec<LeafBlock>,
}

/// Something that stands on a page of words.
#[derive(Clone, Debug)]
pub enum LeafBlock {
    /// A heading of lower rank.
    Head(String),
    /// A paragraph.
    Text(String),
    /// A table.
    Table(LeafTable),
}

/// A table of words.
#[derive(Clone, Debug)]
pub struct LeafTable {
    /// The heads of its columns, each with its share of the width.
    pub columns: Vec<(&'static str, f64)>,
    /// Whether the pages of the sheets that a row sends to stand at its end; without them its cells
    /// have them, wherever they have a [`SHEET`].
    pub has_pages: bool,
    /// Whether there is a box to tick at the end of each row.
    pub has_boxes: bool,
    /// The rows.
    pub rows: Vec<LeafRow>,
}

/// A row of a table.
#[derive(Clone, Debug)]
pub struct LeafRow {
    /// Its cells.
    pub cells: Vec<String>,
    /// The sheets that it sends to, in the order in which its cells name them.
    pub sheets: Vec<LeafSheet>,
}

/// In a cell, the place of the page of the row's next sheet.
pub const SHEET: char = '\u{fffc}';

/// A sheet that a row sends to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeafSheet {
    /// The drill, by its place in the course.
    pub drill: usize,
    /// One of its keys; without it all of them.
    pub key: Option<Key>,
}

impl PacketPart {
    /// What the contents call it.
    pub fn listed(&self) -> &str {
        match self {
            Self::Chart(tune) => &tune.chart.title,
            Self::Words(leaf) => &leaf.listed,
        }
    }
}
