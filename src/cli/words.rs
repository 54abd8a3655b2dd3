//! What is to be chosen, as it is typed.

use crate::recipe::WHOLE_LIBRARY;
use crate::recipe::fields::{FieldKind, row};
use crate::source::{AdvicePart, Complaint, RecipeField};

/// A complaint in one line. What stands on a line of a file is mended there; anything else by
/// typing, since what is typed wins.
pub(super) fn of(complaint: &Complaint) -> String {
    match complaint.line() {
        Some(_) => complaint.told(|part| match part {
            AdvicePart::Give { .. } => None,
            _ => typed(part),
        }),
        None => complaint.told(typed),
    }
}

/// A complaint about a class list in one line: what is to be chosen is written in a column.
pub(super) fn in_list(complaint: &Complaint) -> String {
    let in_column = |part: &AdvicePart| match part {
        AdvicePart::Give { field, bare, .. } => {
            let head = if *field == RecipeField::Student { "name" } else { field.name() };
            let bare = bare.trim_matches(['[', ']']).replace('"', "");
            Some(format!("{bare} in the column {head}"))
        }
        part => typed(part),
    };
    match complaint.line() {
        Some(_) => of(complaint),
        None => complaint.told(in_column),
    }
}

/// A part of an advice as it is typed; nothing for words that are the same everywhere.
pub(super) fn typed(part: &AdvicePart) -> Option<String> {
    Some(match part {
        AdvicePart::Words(_) => return None,
        AdvicePart::Give { field, bare, .. } => match (row(*field).kind, bare.as_str()) {
            (FieldKind::Flag, "false") => format!("no --{field}"),
            (FieldKind::Flag, _) => format!("--{field}"),
            (FieldKind::Drills, _) if is_whole_library(bare) => format!("--{field}"),
            (FieldKind::Words(_), list) => {
                format!("--{field} {}", list.replace(['[', ']', '"'], "").replace(", ", ","))
            }
            _ => format!("--{field} {}", quoted(bare)),
        },
        AdvicePart::Replace => "--force".to_owned(),
        AdvicePart::Name => "a name with -o FILE.pdf".to_owned(),
        AdvicePart::Draw => "--png FOLDER".to_owned(),
        AdvicePart::Notes(file) => format!("--musicxml {}", quoted(file)),
        AdvicePart::Workbook(path) => format!("`quintfall workbook {}`", quoted(path)),
    })
}

/// A list of drills that is the whole library.
fn is_whole_library(list: &str) -> bool {
    list.trim_matches(['[', ']', '"']) == WHOLE_LIBRARY
}

/// A value as a shell takes it for one word.
pub(super) fn quoted(value: &str) -> String {
    let is_plain = |c: char| c.is_alphanumeric() || "-_./,+:@%".contains(c);
    if value.chars().all(is_plain) && !value.is_empty() {
        value.to_owned()
    } else {
        format!("\"{value}\"")
    }
}
