//! A class list as it was read: a student a row, whatever kind of file it is.

use std::path::{Path, PathBuf};

use super::column::ClassColumn;
use super::encoded::{self, Encoding};
use super::entry::{ClassCell, ClassHead, Entries, LaidRow, StudentEntry, no_students, slip};
use super::{grid, tables};
use crate::source::plain::shortened;
use crate::source::{Complaint, Place};

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
        Ok(Self::of(path, text, encoding))
    }

    /// The list whose text stands at a path.
    pub(crate) fn of(path: &Path, text: String, encoding: Encoding) -> Self {
        let name = path.display().to_string();
        let (dialect, entries) = match is_toml(path) {
            true => (Dialect::Tables, tables::read(&text, &name)),
            false => read_cells(&text, &name),
        };
        Self { path: path.to_owned(), text, encoding, dialect, entries }
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

/// Whether the list at a path is read as TOML.
pub(super) fn is_toml(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"))
}

/// The complaint about rows whose cells are told apart by another sign than those of the head: no
/// row below has more than one cell, and by that sign each has as many as there are columns.
fn other_separator(rest: &grid::RowGrid<'_>, columns: usize, name: &str) -> Option<Complaint> {
    let rows: Vec<grid::GridRow> = rest.clone().filter(|row| !row.is_blank()).collect();
    let first = rows.first().filter(|_| columns > 1)?;
    if rows.iter().any(|row| row.is_open || row.cells.len() > 1) {
        return None;
    }
    let own = rest.separator();
    let other = grid::SEPARATORS.into_iter().filter(|other| *other != own).find(|other| {
        let mut below = rest.clone().by(*other).filter(|row| !row.is_blank());
        below.all(|row| row.cells.len() == columns)
    })?;
    let sign = |separator| match separator {
        b',' => "commas",
        b';' => "semicolons",
        _ => "tabs",
    };
    let (own, other) = (sign(own), sign(other));
    let problem = format!("cells are told apart by {other} here and by {own} in the first row");
    let place = Place::Typed(format!("{name}, row {}", first.number));
    Some(Complaint::new(problem).mend("write the same sign in all rows").at(place))
}

/// Reads rows of cells, of which the first that is not blank has the heads of the columns.
fn read_cells(text: &str, name: &str) -> (Dialect, Entries) {
    let mut grid = grid::RowGrid::of(text);
    let dialect = Dialect::Cells { separator: grid.separator() };
    let at = |within: String| Place::Typed(format!("{name}, {within}"));
    let mut entries = Entries::default();
    let Some(head) = grid.find(|row| !row.is_blank()) else {
        entries.mistakes.push(no_students(name));
        return (dialect, entries);
    };
    let mut columns: Vec<Option<ClassColumn>> = Vec::new();
    for cell in &head.cells {
        let word = cell.text.trim();
        let column = ClassColumn::named(word);
        let place = || at(format!("row {}", head.number));
        if let Some(column) = column.filter(|column| columns.contains(&Some(*column))) {
            let problem = format!("two columns are named {}", column.head());
            entries.mistakes.push(Complaint::new(problem).mend("keep one of them").at(place()));
            columns.push(None);
            continue;
        }
        if column.is_none() && !word.is_empty() {
            let slip = slip(word, place(), &mut entries.others);
            entries.mistakes.extend(slip);
        }
        columns.push(column);
    }
    let student = ClassColumn::Field(crate::source::RecipeField::Student);
    if !columns.contains(&Some(student)) {
        let complaint = Complaint::new("no column is named name");
        let mend = "write the heads of the columns in the first row, such as name,keys,tempo";
        let place = at(format!("row {}", head.number));
        entries.mistakes.push(complaint.mend(mend).at(place));
        return (dialect, entries);
    }
    if let Some(complaint) = other_separator(&grid, columns.len(), name) {
        entries.mistakes.push(complaint);
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
        let laid =
            LaidRow::Cells { spans: row.cells.iter().map(|cell| cell.span.clone()).collect() };
        let cells = row.cells.into_iter().zip(&columns).filter_map(|(cell, column)| {
            let column = (*column)?;
            let place = format!("row {number}, column {}", column.head());
            Some(ClassCell { column, text: cell.text, span: cell.span, place })
        });
        let (place, cells) = (format!("row {number}"), cells.collect());
        entries.rows.push(StudentEntry { place, cells, laid, wrong: wrong.into_iter().collect() });
    }
    if entries.rows.is_empty() && entries.mistakes.is_empty() {
        entries.mistakes.push(no_students(name));
    }
    let last = head.cells.last().map_or(0..0, |cell| cell.span.clone());
    entries.head = Some(ClassHead { columns, last });
    (dialect, entries)
}
