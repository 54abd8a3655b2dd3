//! Text with separators (CSV) as rows of cells, each of which knows where it stands, so that one
//! of them can be changed and all else left as it is, to the byte.
//!
//! What spreadsheets write differs: commas, semicolons or tabs between cells; lines that end in one
//! way or another; quotation marks round all cells or only where need be, doubled inside. RFC 4180
//! is read, and what is looser than it.

use std::ops::Range;

/// What stands between two cells, the likeliest first.
pub(crate) const SEPARATORS: [u8; 3] = [b',', b';', b'\t'];

/// What a first line can be that says which separator there is.
const SAID: &str = "sep=";

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct GridCell {
    /// What it says, without its quotation marks.
    pub(crate) text: String,
    /// Where it stands in the whole text, with its quotation marks.
    pub(crate) span: Range<usize>,
}

/// A row as a spreadsheet counts it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct GridRow {
    /// Its number, from 1; the head is a row too.
    pub(crate) number: usize,
    /// Its cells; an empty line has one, which is empty.
    pub(crate) cells: Vec<GridCell>,
    /// Whether a quotation mark in it has no other that closes it.
    pub(crate) is_open: bool,
}

impl GridRow {
    /// Whether nothing is written in it.
    pub(crate) fn is_blank(&self) -> bool {
        self.cells.iter().all(|cell| cell.text.trim().is_empty())
    }
}

/// A text that is read row by row.
#[derive(Clone)]
pub(crate) struct RowGrid<'a> {
    text: &'a str,
    separator: u8,
    at: usize,
    rows: usize,
}

impl<'a> RowGrid<'a> {
    /// Finds out what stands between the cells of a text: what its first line says, or else what
    /// there is most of in its first row with a word in it, outside quotation marks.
    pub(crate) fn of(text: &'a str) -> Self {
        let first = text.lines().next().unwrap_or_default();
        if let Some(said) = first.strip_prefix(SAID)
            && let [separator] = said.trim_end_matches('\r').as_bytes()
            && separator.is_ascii()
        {
            let rest = text[first.len()..].strip_prefix('\r').unwrap_or(&text[first.len()..]);
            let rest = rest.strip_prefix('\n').unwrap_or(rest);
            // Spreadsheets do not show that line, so they do not count it.
            return Self { text, separator: *separator, at: text.len() - rest.len(), rows: 0 };
        }
        let count = |separator| {
            let rows = Self { text, separator, at: 0, rows: 0 };
            // A row of separators alone tells nothing, whichever of them it is read by.
            let says = |cell: &GridCell| cell.text.contains(char::is_alphanumeric);
            let head = rows.into_iter().find(|row| row.cells.iter().any(says));
            head.map_or(0, |row| row.cells.len())
        };
        let most = SEPARATORS.into_iter().rev().max_by_key(|separator| count(*separator));
        Self { text, separator: most.unwrap_or(b','), at: 0, rows: 0 }
    }

    /// The same, the rest of it with another sign between its cells.
    pub(crate) fn by(self, separator: u8) -> Self {
        Self { separator, ..self }
    }

    /// What stands between two cells.
    pub(crate) fn separator(&self) -> u8 {
        self.separator
    }

    /// Reads a cell that begins where the reading is.
    fn cell(&mut self, is_open: &mut bool) -> GridCell {
        let bytes = self.text.as_bytes();
        let start = self.at;
        let ends = |byte: u8| byte == self.separator || byte == b'\n' || byte == b'\r';
        if bytes.get(start) != Some(&b'"') {
            let length = bytes[start..].iter().position(|byte| ends(*byte));
            self.at = length.map_or(bytes.len(), |length| start + length);
            let span = start..self.at;
            return GridCell { text: self.text[span.clone()].to_owned(), span };
        }
        let mut text = String::new();
        let mut from = start + 1;
        loop {
            let Some(length) = memchr::memchr(b'"', &bytes[from..]) else {
                *is_open = true;
                text.push_str(&self.text[from..]);
                self.at = bytes.len();
                break;
            };
            text.push_str(&self.text[from..from + length]);
            from += length + 1;
            if bytes.get(from) == Some(&b'"') {
                text.push('"');
                from += 1;
                continue;
            }
            // What follows the closing mark belongs to the cell as it stands.
            let length = bytes[from..].iter().position(|byte| ends(*byte));
            self.at = length.map_or(bytes.len(), |length| from + length);
            text.push_str(&self.text[from..self.at]);
            break;
        }
        GridCell { text, span: start..self.at }
    }
}

impl Iterator for RowGrid<'_> {
    type Item = GridRow;

    fn next(&mut self) -> Option<GridRow> {
        let bytes = self.text.as_bytes();
        if self.at >= bytes.len() {
            return None;
        }
        self.rows += 1;
        let mut row = GridRow { number: self.rows, cells: Vec::new(), is_open: false };
        loop {
            row.cells.push(self.cell(&mut row.is_open));
            match bytes.get(self.at) {
                Some(byte) if *byte == self.separator => self.at += 1,
                Some(b'\r') if bytes.get(self.at + 1) == Some(&b'\n') => {
                    self.at += 2;
                    return Some(row);
                }
                Some(_) => {
                    self.at += 1;
                    return Some(row);
                }
                None => return Some(row),
            }
        }
    }
}

/// A word as a cell, in quotation marks where it could be taken for more.
pub(crate) fn written(word: &str, separator: u8, quoted: bool) -> String {
    let acts = |c: char| c == char::from(separator) || matches!(c, '"' | '\n' | '\r');
    if quoted || word.contains(acts) {
        format!("\"{}\"", word.replace('"', "\"\""))
    } else {
        word.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn words(text: &str) -> Vec<Vec<String>> {
        RowGrid::of(text).map(|row| row.cells.into_iter().map(|cell| cell.text).collect()).collect()
    }

    #[test]
    fn the_separator_is_that_of_the_head() {
        for (text, separator) in [
            ("name,keys\n", b','),
            ("name;keys\n\"a,b,c\";C\n", b';'),
            ("name\tkeys\n", b'\t'),
            ("\"Last, first, second\";keys\n", b';'),
            ("\n\nname;keys\n", b';'),
            (",,,,\nname;keys\n", b';'),
            ("name\n", b','),
            ("", b','),
            ("sep=|\nname|keys\n", b'|'),
            ("sep=;\r\nname;keys\r\n", b';'),
        ] {
            assert_eq!(RowGrid::of(text).separator(), separator, "{text:?}");
        }
    }

    #[test]
    fn rows_end_in_every_way_and_are_counted_as_a_spreadsheet_does() {
        for end in ["\n", "\r\n", "\r"] {
            let text = ["a,b", "\"1\n2\",\"x \"\"y\"\"\"", "", "3,4"].join(end);
            let rows: Vec<GridRow> = RowGrid::of(&text).collect();
            assert_eq!(rows.iter().map(|row| row.number).collect::<Vec<_>>(), [1, 2, 3, 4]);
            assert_eq!(rows[1].cells[0].text, "1\n2");
            assert_eq!(rows[1].cells[1].text, "x \"y\"");
            assert!(rows[2].is_blank() && !rows[3].is_blank());
            assert_eq!(&text[rows[1].cells[1].span.clone()], "\"x \"\"y\"\"\"");
        }
        assert_eq!(words("sep=;\nname;k\n1;2"), [["name", "k"], ["1", "2"]]);
        assert_eq!(RowGrid::of("sep=;\nname").next().unwrap().number, 1);
        assert!(RowGrid::of("a,\"b").next().unwrap().is_open);
        assert_eq!(words("a,\"b\"c,d\n"), [["a", "bc", "d"]]);
    }

    proptest! {
        /// Cells cover the text but for what stands between them, so that nothing is lost.
        #[test]
        fn what_is_between_two_cells_is_a_separator_or_the_end_of_a_row(text in "[a\",;\t\r\n ]{0,60}") {
            let mut end = 0;
            let mut last = None;
            for row in RowGrid::of(&text) {
                for (index, cell) in row.cells.iter().enumerate() {
                    let between = &text[end..cell.span.start];
                    match (index, last) {
                        (_, None) => prop_assert_eq!(between, ""),
                        (0, _) => prop_assert!(["\n", "\r", "\r\n"].contains(&between)),
                        _ => prop_assert_eq!(between.len(), 1),
                    }
                    end = cell.span.end;
                    last = Some(index);
                }
            }
            prop_assert!(["", "\n", "\r", "\r\n"].contains(&&text[end..]));
        }

        #[test]
        fn what_is_written_is_read(cells in proptest::collection::vec("\\PC{0,8}|[\",;\n\r]{1,4}", 1..5),
            separator in proptest::sample::select(&SEPARATORS[..]), quoted: bool) {
            let text: Vec<String> =
                cells.iter().map(|cell| written(cell, separator, quoted)).collect();
            let text = text.join(char::from(separator).encode_utf8(&mut [0; 4]));
            let grid = RowGrid { text: &text, separator, at: 0, rows: 0 };
            let read: Vec<Vec<String>> =
                grid.map(|row| row.cells.into_iter().map(|cell| cell.text).collect()).collect();
            let whole = if text.is_empty() { vec![] } else { vec![cells] };
            prop_assert_eq!(read, whole);
        }

        /// Any text at all is read as the crate `csv` reads it, which leaves out empty lines.
        #[test]
        fn texts_are_read_as_csv_reads_them(text in "[ab\",;\t\r\n \u{e9}]{0,60}") {
            let grid = RowGrid::of(&text);
            let mut judge = csv::ReaderBuilder::new()
                .has_headers(false)
                .flexible(true)
                .delimiter(grid.separator())
                .from_reader(text.as_bytes());
            let judged: Vec<Vec<String>> = judge
                .records()
                .map(|record| record.unwrap().iter().map(str::to_owned).collect())
                .collect();
            let is_empty = |row: &GridRow| row.cells.len() == 1 && row.cells[0].span.is_empty();
            let read: Vec<Vec<String>> = grid
                .filter(|row| !is_empty(row))
                .map(|row| row.cells.into_iter().map(|cell| cell.text).collect())
                .collect();
            prop_assert_eq!(read, judged);
        }
    }
}
