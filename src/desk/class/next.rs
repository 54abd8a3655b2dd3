//! Next week's list: this week's with other tempi for those with whom it went well, and everything
//! else as it stands, to the byte.

use std::ops::Range;
use std::path::{Path, PathBuf};

use super::column::Column;
use super::encoded::encode;
use super::entry::Entry;
use super::grid;
use super::list::Dialect;
use super::plan::{Class, told};
use crate::desk::Answer;
use crate::desk::commission::counted;
use crate::desk::place::{Matter as _, PlaceError};
use crate::output::{self, WriteError};
use crate::recipe::TEMPI;
use crate::source::{Advice, Complaint, Part, Place, RecipeField as Field};

/// What is asked for.
pub(crate) struct NextErrand<'a> {
    /// The list, with what its rows leave open; a date takes the place of those of its rows.
    pub(crate) class: Class<'a>,
    /// By how many beats a minute tempi rise.
    pub(crate) faster: u16,
    /// The list to write; without it, beside the old one.
    pub(crate) output: Option<&'a Path>,
    /// Whether a file that has the name already may be replaced.
    pub(crate) force: bool,
}

/// A change of a list: what takes the place of a piece of its text.
pub(in crate::desk) type Change = (Range<usize>, String);

/// What became of the students.
#[derive(Default)]
struct Count {
    faster: usize,
    as_before: usize,
    /// What is to be said of those who come to their goal.
    told: Vec<String>,
}

/// Writes next week's list.
///
/// Errors with all that is wrong with the list; nothing is written then.
pub(crate) fn write(errand: &NextErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let list = &errand.class.list;
    let (planned, wrong) = errand.class.plan();
    if !wrong.is_empty() {
        return Err(told(wrong, &list.name()));
    }
    if let Some(columns) = &list.entries.columns {
        for (column, example) in [(Column::WentWell, "yes"), (Column::Field(Field::Tempo), "80")] {
            if !columns.contains(&column) {
                let problem = format!("it has no column {}", column.head());
                let mend = format!("write one, with {example} or nothing in each row");
                let complaint = Complaint::new(problem).mend(mend);
                return Err(vec![complaint.at(Place::of(list.name()))]);
            }
        }
    }
    let mut count = Count::default();
    let mut changes: Vec<Change> = Vec::new();
    let mut wrong = Vec::new();
    for planned in &planned {
        let entry = &list.entries.rows[planned.index];
        match faster(errand, planned.index, &planned.row.student, &mut count) {
            Ok(Some(tempo)) => match cell_change(list.dialect, &list.text, entry, &tempo) {
                Some(change) => changes.push(change),
                None => {
                    let complaint =
                        Complaint::new(format!("{} has no tempo to raise", planned.row.student));
                    let mend = match list.dialect {
                        Dialect::Cells { .. } => format!("write {tempo} in its column tempo"),
                        Dialect::Tables => format!("write tempo = {tempo}"),
                    };
                    wrong.push(complaint.mend(mend).at(list.place(&entry.place)));
                }
            },
            Ok(None) => {}
            Err(complaint) => wrong.push(complaint),
        }
        if let Some(day) = errand.class.day
            && let Some(cell) = entry.cell(Column::Date)
        {
            let date = written(list.dialect, &list.text[cell.span.clone()], day.text);
            changes.push((cell.span.clone(), date));
        }
    }
    if !wrong.is_empty() {
        return Err(told(wrong, &list.name()));
    }
    let bytes = encode(&changed(&list.text, changes), list.encoding);
    let path = put(errand, &bytes).map_err(|complaint| vec![complaint])?;
    let mut said = vec![Advice::words(format!(
        "wrote {}: {}, {} faster by {}, {} as before",
        path.display(),
        counted(planned.len(), "row"),
        count.faster,
        errand.faster,
        count.as_before
    ))];
    said.extend(count.told.into_iter().map(Advice::words));
    Ok(Answer { said, ..Answer::default() })
}

/// The new tempo of a student, unless it stays as it is.
fn faster(
    errand: &NextErrand<'_>,
    index: usize,
    student: &str,
    count: &mut Count,
) -> Result<Option<String>, Complaint> {
    let (wish, _) = errand.class.wish(index);
    if !wish.went_well {
        count.as_before += 1;
        return Ok(None);
    }
    let recipe = errand.class.recipe(&wish);
    let recipe = recipe.map_err(|complaint| errand.class.located(index, complaint))?;
    let (most, what) = match recipe.goal {
        Some(goal) => (goal, "goal"),
        None => (*TEMPI.end(), "fastest tempo there is"),
    };
    if recipe.tempo >= most {
        count.as_before += 1;
        count.told.push(format!("{student} is at the {what} of {most} and stays there"));
        return Ok(None);
    }
    count.faster += 1;
    let tempo = recipe.tempo.saturating_add(errand.faster).min(most);
    if tempo == most && recipe.goal.is_some() {
        count.told.push(format!("{student} comes to the goal of {most}"));
    }
    Ok(Some(tempo.to_string()))
}

/// What takes the place of the tempo of an entry, if it has one to be replaced.
fn cell_change(dialect: Dialect, text: &str, entry: &Entry, tempo: &str) -> Option<Change> {
    let cell = entry.cell(Column::Field(Field::Tempo))?;
    let old = &text[cell.span.clone()];
    Some((cell.span.clone(), written(dialect, old, tempo)))
}

/// A word as it is written in the place of an old one.
pub(in crate::desk) fn written(dialect: Dialect, old: &str, word: &str) -> String {
    match dialect {
        Dialect::Cells { separator } => grid::written(word, separator, old.starts_with('"')),
        Dialect::Tables if old.starts_with(['"', '\'']) => {
            toml::Value::String(word.to_owned()).to_string()
        }
        Dialect::Tables => match word.parse::<toml::Value>() {
            Ok(_) => word.to_owned(),
            Err(_) => toml::Value::String(word.to_owned()).to_string(),
        },
    }
}

/// A text with all changes made.
pub(in crate::desk) fn changed(text: &str, mut changes: Vec<Change>) -> String {
    changes.sort_by_key(|(span, _)| span.start);
    let (mut new, mut end) = (String::with_capacity(text.len() + changes.len()), 0);
    for (span, word) in changes {
        new.push_str(&text[end..span.start]);
        new.push_str(&word);
        end = span.end;
    }
    new.push_str(&text[end..]);
    new
}

/// Puts the list in its place: that which was named, or the next that is free beside the old one.
fn put(errand: &NextErrand<'_>, bytes: &Vec<u8>) -> Result<PathBuf, Complaint> {
    let old = &errand.class.list.path;
    if let Some(path) = errand.output {
        if errand.force {
            output::write_whole(path, bytes)?;
            return Ok(path.to_owned());
        }
        let is_there = !output::write_new(path, bytes)? && !bytes.is_at(path);
        return match is_there {
            false => Ok(path.to_owned()),
            true => {
                let problem = format!("cannot write {}: that name is taken", path.display());
                let mend = Advice::words("choose another name, or replace it with ");
                Err(Complaint::new(problem).mend(mend.part(Part::Replace)))
            }
        };
    }
    /// Most lists of one name in a folder.
    const MOST: usize = 9999;
    let stem = old.file_stem().unwrap_or_default();
    for number in 1..=MOST {
        let mut name = stem.to_owned();
        name.push("-next");
        if number > 1 {
            name.push(format!("-{number}"));
        }
        if let Some(ending) = old.extension() {
            name.push(".");
            name.push(ending);
        }
        let path = old.with_file_name(name);
        if output::write_new(&path, bytes)? || bytes.is_at(&path) {
            return Ok(path);
        }
    }
    Err(PlaceError::from(WriteError::NoRoom { file: old.clone() }).into())
}
