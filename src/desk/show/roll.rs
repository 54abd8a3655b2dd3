//! A class list that is looked at, changed cell by cell, and made into sheets.

use std::fs::{self, File};
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use super::view::SheetView;
use crate::desk::class::column::ClassColumn;
use crate::desk::class::edit::Edits;
use crate::desk::class::encoded::decode;
use crate::desk::class::entry::LaidRow;
use crate::desk::class::grid::{self, RowGrid};
use crate::desk::class::list::{ClassList, Dialect};
use crate::desk::class::make::{self, ClassErrand};
use crate::desk::class::next::{self, NextErrand};
use crate::desk::class::plan::Class;
use crate::desk::class::row::RowDay;
use crate::desk::errand::Origin;
use crate::desk::source::Source;
use crate::desk::spool::Spool;
use crate::output::Zip;
use crate::source::{Advice, Complaint, Place, RecipeField as Field, usual};

/// Most students whose sheets are made at once while somebody waits for them.
const MOST_STUDENTS: usize = 400;

/// A class list.
pub(crate) struct Roll<'a> {
    class: Class<'a>,
}

/// A list as a table.
#[derive(Debug)]
pub(crate) struct RollTable {
    /// The heads of its columns.
    pub(crate) heads: Vec<&'static str>,
    /// The students.
    pub(crate) rows: Vec<RollRow>,
    /// What is wrong with it.
    pub(crate) wrong: Vec<Wrong>,
}

/// A student in it.
#[derive(Debug)]
pub(crate) struct RollRow {
    /// Where the row stands, in words.
    pub(crate) place: String,
    /// What is in its cells; nothing where there is no cell.
    pub(crate) cells: Vec<Option<String>>,
    /// What the sheet is, if it can be made: its name, its drill, its keys, its tempo.
    pub(crate) sheet: Option<[String; 4]>,
}

/// What is wrong, and with which cell.
#[derive(Debug)]
pub(crate) struct Wrong {
    /// The row, by its index, and the column, by its head.
    pub(crate) cell: (Option<usize>, Option<&'static str>),
    /// The complaint.
    pub(crate) complaint: Complaint,
}

/// A change of a list.
pub(crate) enum RollChange<'a> {
    /// Other words in a cell of a row, counted from 0.
    Cell {
        /// The row.
        row: usize,
        /// The head of the column.
        head: &'a str,
        /// The words.
        words: &'a str,
    },
    /// One student more.
    Student {
        /// The name.
        name: &'a str,
    },
    /// One student less.
    Without {
        /// The row.
        row: usize,
    },
}

/// The head of the column that fills a field, where there can be one.
pub(crate) fn head_of(field: Field) -> Option<&'static str> {
    ClassColumn::all().find(|column| column.field() == Some(field)).map(ClassColumn::head)
}

/// The text in the bytes of a list. Errors say what else they are.
pub(crate) fn text_of(name: &str, bytes: &[u8]) -> Result<String, Complaint> {
    let decoded = decode(bytes).map_err(|complaint| complaint.at(Place::of(name)))?;
    Ok(decoded.0)
}

impl<'a> Roll<'a> {
    /// The list in a text of a file of that name, over what rows leave open, with the texts of drills
    /// that its cells may name.
    pub(crate) fn of(
        name: &str,
        text: &str,
        base: Source,
        (day, own): (Option<RowDay<'a>>, Vec<String>),
    ) -> Self {
        // Its name stands in those of its sheets, and leads nowhere.
        let path =
            Path::new(name).file_name().map_or_else(|| PathBuf::from("class.csv"), PathBuf::from);
        let encoding = crate::desk::class::encoded::Encoding::Utf8 { mark: false };
        let list = ClassList::of(&path, text.to_owned(), encoding);
        Self { class: Class { list, base, day, own } }
    }

    /// Whether it says anything of students: a text of another kind names none of our columns.
    pub(crate) fn is_one(&self) -> bool {
        let list = &self.class.list;
        let head = || RowGrid::of(&list.text).find(|row| !row.is_blank());
        match list.dialect {
            Dialect::Tables => !list.entries.rows.is_empty(),
            Dialect::Cells { .. } => head().is_some_and(|head| {
                head.cells.iter().any(|cell| ClassColumn::named(cell.text.trim()).is_some())
            }),
        }
    }

    /// It as a table, with all that is wrong with it.
    pub(crate) fn table(&self) -> RollTable {
        let list = &self.class.list;
        let is_used =
            |column: &ClassColumn| list.entries.rows.iter().any(|row| row.cell(*column).is_some());
        let columns: Vec<ClassColumn> = match &list.entries.head {
            Some(head) => head.columns.iter().copied().flatten().collect(),
            None => ClassColumn::all().filter(is_used).collect(),
        };
        let (planned, mut wrong) = self.class.plan();
        for mistake in &list.entries.mistakes {
            if !wrong.contains(mistake) {
                wrong.push(mistake.clone());
            }
        }
        let rows = list.entries.rows.iter().enumerate().map(|(index, entry)| RollRow {
            place: entry.place.clone(),
            cells: columns
                .iter()
                .map(|column| entry.cell(*column).map(|cell| cell.text.clone()))
                .collect(),
            sheet: planned.iter().find(|one| one.index == index).map(|one| {
                let row = one.row.clone();
                [one.name.clone(), row.drill, row.keys, row.tempo]
            }),
        });
        let rows: Vec<RollRow> = rows.collect();
        let heads = columns.iter().map(|column| column.head()).collect();
        let wrong = wrong.into_iter().map(|complaint| self.located(complaint)).collect();
        RollTable { heads, rows, wrong }
    }

    /// A complaint with the cell that it is about.
    pub(crate) fn located(&self, complaint: Complaint) -> Wrong {
        let list = &self.class.list;
        let mut cell = (None, None);
        for (index, entry) in list.entries.rows.iter().enumerate() {
            if list.place(&entry.place) == complaint.place {
                cell = (Some(index), None);
            }
            let is_at = |column: &ClassColumn| {
                let within = format!("{}, column {}", entry.place, column.head());
                let own = entry.cell(*column).map_or(within, |cell| cell.place.clone());
                list.place(&own) == complaint.place
            };
            if let Some(column) = ClassColumn::all().find(is_at) {
                cell = (Some(index), Some(column.head()));
            }
        }
        Wrong { cell, complaint }
    }

    /// Looks at the sheet of the student at an index.
    pub(crate) fn with_sheet<T>(
        &self,
        index: usize,
        look: impl FnOnce(&SheetView<'_>) -> Result<T, Complaint>,
    ) -> Result<T, Complaint> {
        if index >= self.class.list.entries.rows.len() {
            return Err(Complaint::new("no such student is in the list").mend("choose another"));
        }
        let (wish, wrong) = self.class.wish(index);
        if let Some(first) = wrong.into_iter().next() {
            return Err(first);
        }
        let origin = Origin { source: &self.class.base, typed: &wish.typed };
        let view = self.class.recipe(&wish).and_then(|recipe| SheetView::ready(recipe, origin));
        let shown = view.and_then(|view| look(&view));
        shown.map_err(|complaint| self.class.located(index, complaint))
    }

    /// The text with a change made; everything else in it stays as it is, to the byte.
    pub(crate) fn changed(&self, change: &RollChange<'_>) -> Result<String, Complaint> {
        let list = &self.class.list;
        match *change {
            RollChange::Cell { row, head, words } => {
                let is_there = |column: &ClassColumn| {
                    list.entries.rows.get(row).is_some_and(|entry| entry.cell(*column).is_some())
                };
                let column = ClassColumn::named(head).filter(is_there).ok_or_else(|| {
                    let problem = format!("the row has no cell {head}");
                    Complaint::new(problem).mend("write one in the list itself")
                })?;
                let mut edits = Edits::of(list);
                edits.set(row, column, words);
                Ok(edits.made())
            }
            RollChange::Student { name } => self.with_student(name),
            RollChange::Without { row } => self.without(row),
        }
    }

    /// The text without a row, and without the line that it stood on.
    fn without(&self, row: usize) -> Result<String, Complaint> {
        let list = &self.class.list;
        let spans = match list.entries.rows.get(row).map(|entry| &entry.laid) {
            Some(LaidRow::Cells { spans }) => spans.as_slice(),
            Some(LaidRow::Table { .. }) | None => &[],
        };
        let (Some(first), Some(last)) = (spans.first(), spans.last()) else {
            let complaint = Complaint::new("the student cannot be taken out here");
            return Err(complaint.mend("take the row out of the list itself"));
        };
        let (before, after) = (&list.text[..first.start], &list.text[last.end..]);
        let end = ["\r\n", "\n", "\r"].into_iter().find(|end| after.starts_with(end));
        Ok(format!("{before}{}", &after[end.map_or(0, str::len)..]))
    }

    /// The text with a row more at its end, which has a name and nothing else.
    fn with_student(&self, name: &str) -> Result<String, Complaint> {
        let list = &self.class.list;
        let mut text = list.text.clone();
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        if !text.is_empty() && !text.ends_with(['\n', '\r']) {
            text.push_str(end);
        }
        let Dialect::Cells { separator } = list.dialect else {
            let name = usual::text(name);
            text.push_str(&format!("{end}[[student]]{end}name = {name}{end}"));
            return Ok(text);
        };
        let head = RowGrid::of(&list.text).find(|row| !row.is_blank());
        let cells = head.map(|row| row.cells).unwrap_or_default();
        let student = ClassColumn::Field(Field::Student);
        let at =
            cells.iter().position(|cell| ClassColumn::named(cell.text.trim()) == Some(student));
        let Some(at) = at else {
            let problem = "the list has no column for names";
            return Err(Complaint::new(problem).mend("write name at the head of one"));
        };
        let separator_text = char::from(separator).to_string();
        let word = |index: usize| {
            if index == at { grid::written(name, separator, false) } else { String::new() }
        };
        let row: Vec<String> = (0..cells.len()).map(word).collect();
        text.push_str(&row.join(&separator_text));
        text.push_str(end);
        Ok(text)
    }

    /// Everybody's sheets, the stack for the printer and the overview, in one file that holds them
    /// all and has no name, and what is to be said of them.
    ///
    /// Errors with all that is wrong with the list, unless `the_rest` is wanted and there is one.
    pub(crate) fn made(self, the_rest: bool) -> Result<(Spool, Vec<Advice>), Vec<Complaint>> {
        let students = self.class.list.entries.rows.len();
        if students > MOST_STUDENTS {
            let problem = format!(
                "the list has {students} students, and {MOST_STUDENTS} can be made at once here"
            );
            let complaint = Complaint::new(problem).mend("part it, or make it by a command");
            return Err(vec![complaint]);
        }
        let failed = |error: io::Error| vec![no_room(&error)];
        let folder = tempfile::tempdir().map_err(failed)?;
        let said = make::make(&ClassErrand {
            class: self.class,
            folder: Some(folder.path()),
            force: false,
            the_rest,
            progress: &|_, _| {},
        })?
        .said;
        // What is said of a folder that is gone at once would mislead.
        let within = folder.path().display().to_string();
        let said = said.into_iter().filter(|said| !said.to_string().contains(&within)).collect();
        let all = zipped(folder.path()).map_err(failed)?;
        Ok((all, said))
    }

    /// The list of next week, and what is to be said of it.
    ///
    /// Errors with all that is wrong with the list.
    pub(crate) fn next(self, faster: u16) -> Result<(String, Vec<Advice>), Vec<Complaint>> {
        let failed = |error: io::Error| vec![no_room(&error)];
        let folder = tempfile::tempdir().map_err(failed)?;
        let path = folder.path().join("next");
        let errand = NextErrand { class: self.class, faster, output: Some(&path), force: true };
        let said = next::write(&errand)?.said;
        let within = format!("wrote {}: ", path.display());
        let said = said.into_iter().map(|said| {
            let words = said.to_string();
            words.strip_prefix(&within).map_or(said, Advice::words)
        });
        let text = fs::read_to_string(&path).map_err(failed)?;
        Ok((text, said.collect()))
    }
}

/// All files in a folder as one.
fn zipped(folder: &Path) -> io::Result<Spool> {
    let spool = Spool::begin(&std::env::temp_dir())?;
    let mut zip = Zip::begin(BufWriter::new(spool.handle()?));
    gather(folder, "", &mut zip)?;
    zip.end()?;
    Ok(spool)
}

/// All files in a folder, with their names from there.
fn gather(folder: &Path, within: &str, zip: &mut Zip<BufWriter<File>>) -> io::Result<()> {
    let mut all: Vec<_> = fs::read_dir(folder)?.collect::<io::Result<_>>()?;
    all.sort_by_key(fs::DirEntry::file_name);
    for entry in all {
        let name = format!("{within}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            gather(&entry.path(), &format!("{name}/"), zip)?;
        } else {
            zip.add(&name, &mut File::open(entry.path())?)?;
        }
    }
    Ok(())
}

fn no_room(error: &io::Error) -> Complaint {
    let problem = format!("the sheets in the making cannot be kept: {error}");
    Complaint::new(problem).mend("make room on the disk")
}
