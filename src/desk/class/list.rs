//! A class list as it was read: a student a row, whatever kind of file it is.

use std::ops::Range;
use std::path::{Path, PathBuf};

use super::column::Column;
use super::encoded::{self, Encoding};
use super::{grid, tables};
use crate::source::plain::shortened;
use crate::source::{Complaint, Place};

/// Most mistakes of a list that are told.
pub(crate) const MOST_MISTAKES: usize = 100;

/// What is written of a student in a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Cell {
    /// The column.
    pub(crate) column: Column,
    /// What it says, which may be nothing.
    pub(crate) text: String,
    /// Where it stands in the text of the list.
    pub(crate) span: Range<usize>,
    /// Where it stands, in words: `row 5, column tempo`.
    pub(crate) place: String,
}

/// A student's row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Entry {
    /// Where it stands, in words: `row 5`.
    pub(crate) place: String,
    /// Its cells in columns that are known.
    pub(crate) cells: Vec<Cell>,
    /// What is wrong with it as a row, whatever its cells say.
    pub(crate) wrong: Vec<Complaint>,
}

impl Entry {
    /// The cell of a column, written or blank.
    pub(crate) fn cell(&self, column: Column) -> Option<&Cell> {
        self.cells.iter().find(|cell| cell.column == column)
    }

    /// What is written in a column.
    pub(crate) fn text(&self, column: Column) -> Option<&str> {
        self.cell(column).map(|cell| cell.text.trim()).filter(|text| !text.is_empty())
    }
}

/// How a list is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Dialect {
    /// As rows of cells, with this between two of them.
    Cells {
        /// The separator.
        separator: u8,
    },
    /// As tables, in TOML.
    Tables,
}

/// What a list says, apart from where it came from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Entries {
    /// The students.
    pub(crate) rows: Vec<Entry>,
    /// Columns of the teacher's own, which are left alone.
    pub(crate) others: Vec<String>,
    /// How many rows are blank.
    pub(crate) blank: usize,
    /// The columns, in a list that has columns.
    pub(crate) columns: Option<Vec<Column>>,
    /// What is wrong with it as a list, so that no row can be trusted.
    pub(crate) mistakes: Vec<Complaint>,
}

/// A class list.
#[derive(Clone, Debug)]
pub(crate) struct ClassList {
    /// The file.
    pub(crate) path: PathBuf,
    /// Its text, and how that was encoded and written.
    pub(crate) text: String,
    /// The encoding.
    pub(crate) encoding: Encoding,
    /// The dialect.
    pub(crate) dialect: Dialect,
    /// What it says.
    pub(crate) entries: Entries,
}

impl ClassList {
    /// Reads the list at a path. Its mistakes are kept with what could be read.
    ///
    /// Errors if it is no text.
    pub(crate) fn read(path: &Path) -> Result<Self, Complaint> {
        let (text, encoding) = encoded::read(path)?;
        let name = path.display().to_string();
        let is_toml = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
        let (dialect, entries) = match is_toml {
            true => (Dialect::Tables, tables::read(&text, &name)),
            false => read_cells(&text, &name),
        };
        Ok(Self { path: path.to_owned(), text, encoding, dialect, entries })
    }

    /// Its file in words.
    pub(crate) fn name(&self) -> String {
        self.path.display().to_string()
    }

    /// A place of it.
    pub(crate) fn place(&self, within: &str) -> Place {
        Place::Typed(format!("{}, {within}", self.name()))
    }

    /// The folder that paths in it start from.
    pub(crate) fn folder(&self) -> &Path {
        self.path.parent().unwrap_or(Path::new(""))
    }
}

/// What is wrong with a head that is none of ours, if it looks like a slip; else it is of a column
/// of the teacher's own.
pub(super) fn slip(head: &str, place: Place, others: &mut Vec<String>) -> Option<Complaint> {
    let Some(meant) = Column::meant(head) else {
        if others.iter().all(|other| other != head) {
            others.push(head.to_owned());
        }
        return None;
    };
    let problem = format!("unknown column `{}`", shortened(head));
    let mend = format!("did you mean `{meant}`? Or give it a name of its own");
    Some(Complaint::new(problem).mend(mend).at(place))
}

/// The complaint about a list without students.
pub(super) fn no_students(name: &str) -> Complaint {
    Complaint::new("no student is in it")
        .mend("write a row for each, below a first row that names the columns")
        .at(Place::of(name))
}

/// Reads rows of cells, of which the first that is not blank has the heads of the columns.
fn read_cells(text: &str, name: &str) -> (Dialect, Entries) {
    let mut grid = grid::Grid::of(text);
    let dialect = Dialect::Cells { separator: grid.separator() };
    let at = |within: String| Place::Typed(format!("{name}, {within}"));
    let mut entries = Entries::default();
    let Some(head) = grid.find(|row| !row.is_blank()) else {
        entries.mistakes.push(no_students(name));
        return (dialect, entries);
    };
    let mut columns: Vec<Option<Column>> = Vec::new();
    for cell in &head.cells {
        let word = cell.text.trim();
        let column = Column::named(word);
        let place = || at(format!("row {}", head.number));
        if let Some(column) = column.filter(|column| columns.contains(&Some(*column))) {
            let problem = format!("two columns are named {}", column.head());
            entries.mistakes.push(Complaint::new(problem).mend("keep one of them").at(place()));
        } else if column.is_none() && !word.is_empty() {
            let slip = slip(word, place(), &mut entries.others);
            entries.mistakes.extend(slip);
        }
        columns.push(column);
    }
    let known: Vec<Column> = columns.iter().copied().flatten().collect();
    let student = Column::Field(crate::source::RecipeField::Student);
    if !known.contains(&student) {
        let complaint = Complaint::new("no column is named name");
        let mend = "write the heads of the columns in the first row, such as name,keys,tempo";
        let place = at(format!("row {}", head.number));
        entries.mistakes.push(complaint.mend(mend).at(place));
        return (dialect, entries);
    }
    for row in grid {
        if row.is_open {
            let problem = "a quotation mark has no other that closes it";
            let complaint = Complaint::new(problem).mend("close it, or take it out");
            entries.mistakes.push(complaint.at(at(format!("row {}", row.number))));
            break;
        }
        if row.is_blank() {
            entries.blank += 1;
            continue;
        }
        let beyond = row.cells.iter().skip(columns.len()).find(|cell| !cell.text.trim().is_empty());
        let place = at(format!("row {}", row.number));
        let wrong = beyond.map(|cell| {
            let cell = shortened(cell.text.trim());
            let problem = format!("it has more cells than there are columns: `{cell}`");
            let mend = "put a text with separators in quotation marks, or take the cell out";
            Complaint::new(problem).mend(mend).at(place)
        });
        let number = row.number;
        let cells = row.cells.into_iter().zip(&columns).filter_map(|(cell, column)| {
            let column = (*column)?;
            let place = format!("row {number}, column {}", column.head());
            Some(Cell { column, text: cell.text, span: cell.span, place })
        });
        let (place, cells) = (format!("row {number}"), cells.collect());
        entries.rows.push(Entry { place, cells, wrong: wrong.into_iter().collect() });
    }
    if entries.rows.is_empty() && entries.mistakes.is_empty() {
        entries.mistakes.push(no_students(name));
    }
    entries.columns = Some(known);
    (dialect, entries)
}
