//! Changes of a list: what is written in a column of some rows, whatever kind of file it is, with
//! all else as it stands, to the byte. A column or a field that is not there yet is added.

use std::collections::BTreeMap;
use std::ops::Range;

use super::column::ClassColumn;
use super::entry::{LaidRow, StudentEntry};
use super::grid;
use super::list::{ClassList, Dialect};
use crate::source::usual;

/// What takes the place of a piece of a text.
type TextChange = (Range<usize>, String);

/// Changes of a list that are yet to be made.
pub(in crate::desk) struct Edits<'a> {
    list: &'a ClassList,
    changes: Vec<TextChange>,
    /// Columns that the list has not had, in the order in which they were asked for.
    added: Vec<ClassColumn>,
    /// What is written behind all that a row has, by the row and by its place among the columns; of
    /// a table, by the order in which it was asked for.
    behind: BTreeMap<usize, BTreeMap<usize, String>>,
}

impl<'a> Edits<'a> {
    /// No changes yet.
    pub(in crate::desk) fn of(list: &'a ClassList) -> Self {
        Self { list, changes: Vec::new(), added: Vec::new(), behind: BTreeMap::new() }
    }

    /// The columns that the list has not had.
    pub(super) fn added(&self) -> &[ClassColumn] {
        &self.added
    }

    /// Takes out what the row at an index says in a column. Gives whether it said anything.
    pub(super) fn clear(&mut self, row: usize, column: ClassColumn) -> bool {
        let entry = &self.list.entries.rows[row];
        let Some(cell) = entry.cell(column).filter(|_| entry.text(column).is_some()) else {
            return false;
        };
        let word = match self.list.text[cell.span.clone()].parse::<bool>() {
            // A flag of a table has no other way to say nothing.
            Ok(_) if self.list.dialect == Dialect::Tables => "false",
            _ => "",
        };
        self.set(row, column, word);
        true
    }

    /// Writes a word in a column of the row at an index.
    pub(in crate::desk) fn set(&mut self, row: usize, column: ClassColumn, word: &str) {
        let entry = &self.list.entries.rows[row];
        if let Some(cell) = entry.cell(column) {
            return self.replace(cell.span.clone(), word);
        }
        let (place, word) = match &entry.laid {
            LaidRow::Cells { spans } => {
                let place = self.place(column);
                if let Some(span) = spans.get(place) {
                    return self.replace(span.clone(), word);
                }
                (place, word.to_owned())
            }
            LaidRow::Table { .. } => {
                let place = self.behind.get(&row).map_or(0, BTreeMap::len);
                (place, format!("{} = {}", column.head(), value(word)))
            }
        };
        self.behind.entry(row).or_default().insert(place, word);
    }

    fn replace(&mut self, span: Range<usize>, word: &str) {
        let old = &self.list.text[span.clone()];
        let new = match self.list.dialect {
            Dialect::Cells { separator } => grid::written(word, separator, old.starts_with('"')),
            Dialect::Tables if old.starts_with(['"', '\'']) => usual::text(word),
            Dialect::Tables => value(word),
        };
        self.changes.push((span, new));
    }

    /// The place of a column among those of the list, to which it is added if it is not there.
    fn place(&mut self, column: ClassColumn) -> usize {
        let columns = self.list.entries.head.as_ref().map_or(&[][..], |head| &head.columns);
        if let Some(place) = columns.iter().position(|own| *own == Some(column)) {
            return place;
        }
        let place = self.added.iter().position(|own| *own == column);
        columns.len()
            + place.unwrap_or_else(|| {
                self.added.push(column);
                self.added.len() - 1
            })
    }

    /// The text of the list with all changes made.
    pub(in crate::desk) fn made(self) -> String {
        let Self { list, mut changes, added, behind } = self;
        for (row, words) in &behind {
            changes.push(behind_row(list, &list.entries.rows[*row], words));
        }
        if let (Some(head), Dialect::Cells { separator }) = (&list.entries.head, list.dialect) {
            let is_quoted = list.text[head.last.clone()].starts_with('"');
            let heads = added.iter().map(|column| {
                let word = grid::written(column.head(), separator, is_quoted);
                format!("{}{word}", char::from(separator))
            });
            changes.push((head.last.end..head.last.end, heads.collect()));
        }
        changed(&list.text, changes)
    }
}

/// The change that writes words behind all that a row has.
fn behind_row(
    list: &ClassList,
    entry: &StudentEntry,
    words: &BTreeMap<usize, String>,
) -> TextChange {
    match (&entry.laid, list.dialect) {
        (LaidRow::Cells { spans }, Dialect::Cells { separator }) => {
            let end = spans.last().map_or(0, |span| span.end);
            let is_quoted = spans.last().is_some_and(|it| list.text[it.clone()].starts_with('"'));
            let (mut text, mut cells) = (String::new(), spans.len());
            for (place, word) in words {
                while cells <= *place {
                    text.push(char::from(separator));
                    cells += 1;
                }
                text.push_str(&grid::written(word, separator, is_quoted));
            }
            (end..end, text)
        }
        (laid, _) => {
            let end = entry.cells.iter().map(|cell| cell.span.end).max().unwrap_or(0);
            let fields = words.values();
            if matches!(laid, LaidRow::Table { is_inline: true }) {
                return (end..end, fields.map(|field| format!(", {field}")).collect());
            }
            // Below the line that ends the last of its fields, with whatever is said behind it.
            let rest = &list.text[end..];
            let (line, below) = match rest.find('\n') {
                Some(at) if rest[..at].ends_with('\r') => ("\r\n", end + at + 1),
                Some(at) => ("\n", end + at + 1),
                None => ("\n", list.text.len()),
            };
            let has_end = list.text[..below].ends_with('\n');
            let fields = fields.map(|field| match has_end {
                true => format!("{field}{line}"),
                false => format!("{line}{field}"),
            });
            (below..below, fields.collect())
        }
    }
}

/// A word as the value of a field: bare where it is a number, a day or a flag.
fn value(word: &str) -> String {
    match word.parse::<toml::Value>() {
        Ok(_) => word.to_owned(),
        Err(_) => usual::text(word),
    }
}

/// A text with all changes made.
fn changed(text: &str, mut changes: Vec<TextChange>) -> String {
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

#[cfg(test)]
mod tests {
    use std::path::Path;

    use proptest::prelude::*;

    use super::*;
    use crate::desk::class::encoded::Encoding;
    use crate::source::RecipeField as Field;

    const NAME: ClassColumn = ClassColumn::Field(Field::Student);
    const TEMPO: ClassColumn = ClassColumn::Field(Field::Tempo);
    const COLUMNS: [ClassColumn; 4] = [NAME, ClassColumn::Date, ClassColumn::WentWell, TEMPO];

    fn list(path: &str, text: String) -> ClassList {
        ClassList::of(Path::new(path), text, Encoding::Utf8 { mark: false })
    }

    /// What each row says in each column.
    fn told(list: &ClassList) -> Vec<Vec<Option<String>>> {
        let row = |entry: &StudentEntry| {
            COLUMNS.iter().map(|column| entry.text(*column).map(str::to_owned)).collect()
        };
        list.entries.rows.iter().map(row).collect()
    }

    /// Lists as tables of cells: heads in any order, one of the teacher's own among them, rows of
    /// too few cells, in every dialect.
    fn cells() -> impl Strategy<Value = ClassList> {
        let heads = Just(vec!["name", "date", "went-well", "tempo", "own", ""]).prop_shuffle();
        let rows = proptest::collection::vec((1_usize..8, proptest::bool::ANY), 1..5);
        let separator = proptest::sample::select(vec![",", ";", "\t"]);
        let end = proptest::sample::select(vec!["\n", "\r\n"]);
        (heads, 1_usize..7, rows, (separator, end), proptest::bool::ANY).prop_map(
            |(mut heads, most, rows, (separator, end), is_ended)| {
                heads.truncate(most);
                if !heads.contains(&"name") {
                    heads.insert(0, "name");
                }
                let mut lines = vec![heads.join(separator)];
                for (index, (count, is_quoted)) in rows.into_iter().enumerate() {
                    let name = heads.iter().position(|head| *head == "name").unwrap_or(0);
                    let cell = |place: usize| {
                        let text = match heads.get(place) {
                            Some(&"went-well") => "yes".to_owned(),
                            Some(&"") | None => String::new(),
                            Some(head) => format!("{head} {index}"),
                        };
                        if is_quoted { format!("\"{text}\"") } else { text }
                    };
                    let cells: Vec<String> = (0..count.max(name + 1)).map(cell).collect();
                    lines.push(cells.join(separator));
                }
                let last = if is_ended { end } else { "" };
                list("a.csv", format!("{}{last}", lines.join(end)))
            },
        )
    }

    /// Lists as TOML: headed tables or tables in braces.
    fn tables() -> impl Strategy<Value = ClassList> {
        let fields = proptest::sample::subsequence(
            vec!["date = 2026-11-30", "went-well = true", "tempo = 60 ", "own = 'x' # y", "# z"],
            0..=5,
        );
        let rows = proptest::collection::vec(fields, 1..5);
        let end = proptest::sample::select(vec!["\n", "\r\n"]);
        (rows, end, proptest::bool::ANY, proptest::bool::ANY).prop_map(
            |(rows, end, is_inline, is_ended)| {
                let mut students = Vec::new();
                for (index, fields) in rows.into_iter().enumerate() {
                    let name = format!("name = 'Nr. {index}'");
                    let mut lines = vec![name.as_str()];
                    lines.extend(&fields);
                    students.push(match is_inline {
                        true => {
                            let plain: Vec<&str> =
                                lines.iter().filter_map(|line| line.split('#').next()).collect();
                            let plain: Vec<&str> =
                                plain.into_iter().filter(|line| !line.is_empty()).collect();
                            format!("{{{}}}", plain.join(", "))
                        }
                        false => format!("[[student]]{end}{}", lines.join(end)),
                    });
                }
                let text = match is_inline {
                    true => format!("student = [{}]", students.join(", ")),
                    false => students.join(end),
                };
                list("a.toml", format!("{text}{}", if is_ended { end } else { "" }))
            },
        )
    }

    proptest! {
        /// What is written is read again, in its own row and column alone, in a list of any kind.
        #[test]
        fn what_is_written_in_a_row_is_read_there_and_nothing_else_changes(
            list in prop_oneof![cells(), tables()],
            words in proptest::collection::vec(proptest::option::of("[1-9][0-9]{1,2}"), 8),
            cleared: bool,
        ) {
            prop_assert_eq!(&list.entries.mistakes, &[]);
            let mut wanted = told(&list);
            let mut edits = Edits::of(&list);
            for (row, said) in wanted.iter_mut().enumerate() {
                for (place, column) in [(1, ClassColumn::Date), (3, TEMPO)] {
                    if let Some(word) = &words[2 * (row % 4) + place / 2] {
                        edits.set(row, column, word);
                        said[place] = Some(word.clone());
                    }
                }
                if cleared {
                    edits.clear(row, ClassColumn::WentWell);
                    said[2] = said[2].as_ref().filter(|_| list.dialect == Dialect::Tables).map(|_| "no".to_owned());
                }
            }
            let added = edits.added().len();
            let new = edits.made();
            let read = ClassList::of(&list.path, new.clone(), list.encoding);
            prop_assert_eq!(&read.entries.mistakes, &[], "{}", new);
            prop_assert_eq!(told(&read), wanted, "{}", new);
            prop_assert!(read.entries.rows.iter().all(|row| row.wrong.is_empty()), "{}", new);
            // All that was there is there still, in its order.
            let mut rest = new.chars();
            let mut kept = list.text.chars().filter(|c| ",;\t\r\n[]{}#'=z".contains(*c));
            prop_assert!(kept.all(|c| rest.any(|it| it == c)), "{}", new);
            prop_assert!(added <= 2);
        }
    }
}
