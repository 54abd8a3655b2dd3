//! A class list in TOML: a table `[[student]]` for each, with the fields that a list in cells has
//! as columns.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::column::ClassColumn;
use super::entry::{ClassCell, Entries, LaidRow, StudentEntry, no_students, slip};
use crate::source::fields::{Mistakes, described};
use crate::source::{Complaint, Place, check_size, line_at};

/// The name of the tables.
const STUDENT: &str = "student";

/// Reads a list.
pub(super) fn read(text: &str, name: &str) -> Entries {
    let mut entries = Entries::default();
    if let Err(complaint) = check_size(text, name) {
        entries.mistakes.push(complaint);
        return entries;
    }
    let mut mistakes = Mistakes::of(name, text);
    let table = mistakes.table();
    entries.mistakes = mistakes.into_sorted();
    if !entries.mistakes.is_empty() {
        return entries;
    }
    let at = |byte: usize| Place::line(name, Some(line_at(text, byte)));
    for (key, value) in table.get_ref() {
        if key.get_ref() != STUDENT {
            let problem = format!("`{}` stands outside of all students", key.get_ref());
            let mend = "write it below the [[student]] that it is of";
            let place = at(key.span().start);
            entries.mistakes.push(Complaint::new(problem).mend(mend).at(place));
            continue;
        }
        let Some(students) = value.get_ref().as_array() else {
            let problem = format!("`{STUDENT}` is {}", described(value.get_ref()));
            let mend = "write [[student]] above the fields of each";
            entries.mistakes.push(Complaint::new(problem).mend(mend).at(at(value.span().start)));
            continue;
        };
        for student in students {
            let Some(table) = student.get_ref().as_table() else {
                let problem = format!("a student is {}", described(student.get_ref()));
                let mend = "write [[student]] above the fields of each";
                let place = at(student.span().start);
                entries.mistakes.push(Complaint::new(problem).mend(mend).at(place));
                continue;
            };
            let start = student.span().start;
            let entry = entry(text, name, start, table, &mut entries.others);
            match entry.wrong.is_empty()
                && entry.cells.iter().all(|cell| cell.text.trim().is_empty())
            {
                true => entries.blank += 1,
                false => entries.rows.push(entry),
            }
        }
    }
    if entries.rows.is_empty() && entries.mistakes.is_empty() {
        entries.mistakes.push(no_students(name));
    }
    entries
}

/// A student's table.
fn entry(
    text: &str,
    name: &str,
    start: usize,
    table: &DeTable<'_>,
    others: &mut Vec<String>,
) -> StudentEntry {
    let place = format!("line {}", line_at(text, start));
    let laid = LaidRow::Table { is_inline: text[start..].starts_with('{') };
    let mut entry = StudentEntry { place, cells: Vec::new(), laid, wrong: Vec::new() };
    for (key, value) in table {
        let line = line_at(text, key.span().start);
        let place = || Place::line(name, Some(line));
        let head = key.get_ref();
        let Some(column) = ClassColumn::named(head) else {
            entry.wrong.extend(slip(head, place(), others));
            continue;
        };
        if entry.cell(column).is_some() {
            let problem = format!("{} is there twice", column.head());
            let complaint = Complaint::new(problem).mend("keep one of them");
            entry.wrong.push(complaint.at(place()));
        }
        match words(text, value) {
            Some(words) => entry.cells.push(ClassCell {
                column,
                text: words,
                span: value.span(),
                place: format!("line {line}, {}", column.head()),
            }),
            None => {
                let problem = format!("{head} is {}", described(value.get_ref()));
                let complaint = Complaint::new(problem).mend("write a text or a number");
                entry.wrong.push(complaint.at(place()));
            }
        }
    }
    // In the order of the text, since tables forget theirs.
    entry.cells.sort_by_key(|cell| cell.span.start);
    entry
}

/// A value as it would stand in a cell.
fn words(text: &str, value: &Spanned<DeValue<'_>>) -> Option<String> {
    match value.get_ref() {
        DeValue::String(words) => Some(words.to_string()),
        DeValue::Boolean(flag) => Some(if *flag { "yes" } else { "no" }.to_owned()),
        DeValue::Integer(_) | DeValue::Float(_) | DeValue::Datetime(_) => {
            text.get(value.span()).map(str::to_owned)
        }
        DeValue::Array(items) => {
            let items: Option<Vec<String>> =
                items.iter().map(|item| item.get_ref().as_str().map(str::to_owned)).collect();
            items.map(|items| items.join(","))
        }
        DeValue::Table(_) => None,
    }
}
