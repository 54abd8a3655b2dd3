//! What a list says of students, whatever kind of file it is.

use std::ops::Range;

use super::column::ClassColumn;
use crate::source::plain::shortened;
use crate::source::{Complaint, Place};

/// Most mistakes of a list that are told.
pub(crate) const MOST_MISTAKES: usize = 100;

/// What is written of a student in a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ClassCell {
    /// The column.
    pub(crate) column: ClassColumn,
    /// What it says, which may be nothing.
    pub(crate) text: String,
    /// Where it stands in the text of the list.
    pub(crate) span: Range<usize>,
    /// Where it stands, in words: `row 5, column tempo`.
    pub(crate) place: String,
}

/// A student's row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct StudentEntry {
    /// Where it stands, in words: `row 5`.
    pub(crate) place: String,
    /// Its cells in columns that are known.
    pub(crate) cells: Vec<ClassCell>,
    /// How it stands in the text.
    pub(crate) laid: LaidRow,
    /// What is wrong with it as a row, whatever its cells say.
    pub(crate) wrong: Vec<Complaint>,
}

/// How a row stands in the text of its list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum LaidRow {
    /// As cells: the places of all of them, those of unknown columns too.
    Cells {
        /// The places.
        spans: Vec<Range<usize>>,
    },
    /// As the fields of a table.
    Table {
        /// Whether they stand in braces, one behind another.
        is_inline: bool,
    },
}

/// The row that names the columns.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct ClassHead {
    /// The columns; one of the teacher's own is none of ours.
    pub(crate) columns: Vec<Option<ClassColumn>>,
    /// Where its last cell stands.
    pub(crate) last: Range<usize>,
}

impl StudentEntry {
    /// The cell of a column, written or blank.
    pub(crate) fn cell(&self, column: ClassColumn) -> Option<&ClassCell> {
        self.cells.iter().find(|cell| cell.column == column)
    }

    /// What is written in a column.
    pub(crate) fn text(&self, column: ClassColumn) -> Option<&str> {
        self.cell(column).map(|cell| cell.text.trim()).filter(|text| !text.is_empty())
    }
}

/// What a list says, apart from where it came from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Entries {
    /// The students.
    pub(crate) rows: Vec<StudentEntry>,
    /// Columns of the teacher's own, which are left alone.
    pub(crate) others: Vec<String>,
    /// How many rows are blank.
    pub(crate) blank: usize,
    /// What names the columns, in a list that has columns.
    pub(crate) head: Option<ClassHead>,
    /// What is wrong with it as a list, so that no row can be trusted.
    pub(crate) mistakes: Vec<Complaint>,
}

impl Entries {
    /// Whether a column can be written in: it is there, or the list has no columns but fields.
    pub(crate) fn has(&self, column: ClassColumn) -> bool {
        self.head.as_ref().is_none_or(|head| head.columns.contains(&Some(column)))
    }
}

/// What is wrong with a head that is none of ours, if it looks like a slip; else it is of a column
/// of the teacher's own.
pub(super) fn slip(head: &str, place: Place, others: &mut Vec<String>) -> Option<Complaint> {
    let Some(meant) = ClassColumn::meant(head) else {
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
