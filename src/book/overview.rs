//! The teacher's page on a whole class: who practises what, in which keys and how fast.

use kurbo::Rect;

use super::PageTemplate;
use super::matter::contents::below_heading;
use crate::canvas::board::Board;
use crate::canvas::paper::{self, MM, Orientation, Paper};
use crate::canvas::table::Table;
use crate::canvas::{Kind, Page, PageNumber};
use crate::typeset::fit::paragraph;
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// The columns: their heads and their shares of the width. The last is for the teacher to fill in.
const COLUMNS: [(&str, f64); 6] = [
    ("Student", 5.2),
    ("Drill", 5.2),
    ("Keys", 3.6),
    ("Tempo", 2.6),
    ("Pages", 1.6),
    ("Went well?", 2.6),
];

/// White between two columns, in ems.
const GAP: f64 = 0.8;
/// From one line of a row to the next, in ems.
const LEADING: f64 = 1.25;
/// White above and below the lines of a row, in ems.
const INSIDE: f64 = 0.5;
/// Smallest type of a cell, in points, and how many lines it may take.
const LEAST: f64 = 7.5;
const MOST_LINES: usize = 3;
/// White between the lowest row and the number of the page.
const ABOVE_FOLIO: f64 = 7.0 * MM;

/// What the overview says of a sheet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OverviewRow {
    /// Who practises.
    pub student: String,
    /// What.
    pub drill: String,
    /// In which keys.
    pub keys: String,
    /// How fast, and how fast in the end.
    pub tempo: String,
    /// How many pages the sheet has.
    pub pages: usize,
}

impl OverviewRow {
    /// What stands in its columns, but for the last.
    fn cells(&self) -> [String; 5] {
        let Self { student, drill, keys, tempo, pages } = self.clone();
        [student, drill, keys, tempo, pages.to_string()]
    }
}

/// The overview of a class: a table over as many pages as it needs.
pub struct Overview<'a> {
    title: String,
    paper: Paper,
    rows: &'a [OverviewRow],
    /// Where each page begins among the rows.
    starts: Vec<usize>,
}

impl<'a> Overview<'a> {
    /// Plans the overview. Characters of the title that cannot be shown are left out.
    pub fn plan(title: &str, paper: Paper, rows: &'a [OverviewRow]) -> Self {
        let title = title.chars().filter(|c| shows(&c.to_string())).collect();
        let mut overview = Self { title, paper, rows, starts: vec![0] };
        let room = overview.first_row() - overview.bottom();
        let mut left = room;
        for (index, row) in rows.iter().enumerate() {
            let height = overview.height(&overview.lines(row));
            if height > left && overview.starts.last() != Some(&index) {
                overview.starts.push(index);
                left = room;
            }
            left -= height;
        }
        overview
    }

    /// How many pages it has.
    pub fn pages(&self) -> usize {
        self.starts.len()
    }

    /// Draws the page at an index.
    pub fn page(&self, index: usize) -> Page {
        let start = self.starts.get(index).copied().unwrap_or(self.rows.len());
        let end = self.starts.get(index + 1).copied().unwrap_or(self.rows.len());
        let size = paper::size(self.paper, Orientation::Portrait);
        let number = PageNumber::arabic(index + 1);
        let mut board = Board::new(size, self.live(), number.into());
        self.heading(&mut board);
        let sizes = &self.template().sizes;
        let table = Table::begin(&mut board);
        let head = Style::new(TextFace::Semibold, sizes.note);
        let mut y = self.first_row() + 2.2 * MM;
        for ((title, _), (x, width)) in COLUMNS.iter().zip(self.places()) {
            let size = head.size * (width / typeset::width(head.face, title, head.size)).min(1.0);
            board.from(x, y, Phrase::of(title, Style { size, ..head }));
        }
        y = self.first_row();
        table.head_rule(&mut board, y);
        for row in &self.rows[start..end] {
            y = self.row(&mut board, row, y);
        }
        board.begin(Kind::Artifact);
        let folio = Phrase::of(&number.to_string(), Style::new(TextFace::Regular, sizes.folio));
        let live = board.live;
        board.to(live.x1, live.y0, folio);
        board.finish()
    }

    /// Draws a row below a height; gives the height of what stands below it.
    fn row(&self, board: &mut Board, row: &OverviewRow, top: f64) -> f64 {
        let em = self.template().sizes.note;
        let words = format!("{}: {}, {}, {}", row.student, row.drill, row.keys, row.tempo);
        let table = Table::row(board, words);
        let lines = self.lines(row);
        let bottom = top - self.height(&lines);
        for ((lines, style), (x, _)) in lines.iter().zip(self.places()) {
            let mut y = top - INSIDE * em - typeset::ascent(style.face, em);
            for line in lines {
                board.from(x, y, Phrase::of(line, *style));
                y -= LEADING * em;
            }
        }
        table.row_rule(board, bottom);
        bottom
    }

    fn heading(&self, board: &mut Board) {
        let (live, sizes) = (board.live, &self.template().sizes);
        let style = Style::new(TextFace::Bold, sizes.heading);
        board.begin(Kind::Heading(1));
        let y = live.y1 - typeset::cap_height(style.face, style.size);
        let fitted = paragraph((), &self.title, style, LEAST, live.width(), 1);
        match fitted {
            Ok(fitted) => fitted.phrases().for_each(|phrase| board.from(live.x0, y, phrase)),
            Err(_) => {
                let style = Style { size: LEAST, ..style };
                let cut = cut(&self.title, style, live.width());
                board.from(live.x0, y, Phrase::of(&cut, style));
            }
        }
    }

    fn template(&self) -> &'static PageTemplate {
        PageTemplate::of(self.paper)
    }

    /// The part of a page inside the margins.
    fn live(&self) -> Rect {
        let size = paper::size(self.paper, Orientation::Portrait);
        let margins = self.template().margins;
        let (right, top) = (size.width - margins.right, size.height - margins.top);
        Rect::new(margins.left, margins.bottom, right, top)
    }

    /// The rule below the heads of the columns, from which the first row hangs.
    fn first_row(&self) -> f64 {
        let sizes = &self.template().sizes;
        let title = self.live().y1 - typeset::cap_height(TextFace::Bold, sizes.heading);
        below_heading(title) - 2.2 * MM
    }

    fn bottom(&self) -> f64 {
        self.live().y0 + ABOVE_FOLIO
    }

    /// Where each column begins, and how wide it is without the white behind it.
    fn places(&self) -> Vec<(f64, f64)> {
        let (live, em) = (self.live(), self.template().sizes.note);
        let whole: f64 = COLUMNS.iter().map(|(_, share)| share).sum();
        let mut x = live.x0;
        let place = |(_, share): &(&str, f64)| {
            let (left, width) = (x, live.width() * share / whole);
            x += width;
            (left, width - GAP * em)
        };
        COLUMNS.iter().map(place).collect()
    }

    /// The lines of each cell of a row, with their style.
    fn lines(&self, row: &OverviewRow) -> Vec<(Vec<String>, Style)> {
        let style = Style::new(TextFace::Regular, self.template().sizes.note);
        let cell = |(words, (_, width)): (String, (f64, f64))| {
            match paragraph((), &words, style, LEAST, width, MOST_LINES) {
                Ok(fitted) => (fitted.lines, fitted.style),
                // One word without end, or more than there is room for.
                Err(_) => {
                    let least = Style { size: LEAST, ..style };
                    (vec![cut(&words, least, width)], least)
                }
            }
        };
        row.cells().into_iter().zip(self.places()).map(cell).collect()
    }

    fn height(&self, lines: &[(Vec<String>, Style)]) -> f64 {
        let em = self.template().sizes.note;
        let most = lines.iter().map(|(lines, _)| lines.len()).max().unwrap_or(1).max(1);
        (2.0 * INSIDE + 1.0 + LEADING * (most - 1) as f64) * em
    }
}

/// Whether both faces that are used can show a text.
fn shows(text: &str) -> bool {
    [TextFace::Regular, TextFace::Bold].iter().all(|face| typeset::missing(*face, text).is_none())
}

/// The beginning of words that are too wide, or hold what cannot be shown.
fn cut(words: &str, style: Style, width: f64) -> String {
    let mut start = String::new();
    for character in words.chars().filter(|c| shows(&c.to_string())) {
        start.push(character);
        if Phrase::of(&format!("{start}..."), style).width() > width {
            start.pop();
            return format!("{}...", start.trim_end());
        }
    }
    start
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::Mark;
    use crate::typeset::Trace;

    fn row(student: &str) -> OverviewRow {
        OverviewRow {
            student: student.to_owned(),
            drill: "Diatonic sevenths, pushed".to_owned(),
            keys: "C, F, B\u{266d}".to_owned(),
            tempo: "80 to 120".to_owned(),
            pages: 3,
        }
    }

    /// Every row is on a page, none twice, whatever is in it and on whatever paper; and nothing
    /// stands outside of the margins or reaches into the next column.
    #[test]
    fn every_row_has_its_place_on_every_paper() {
        let long = ["Wolfeschlegelsteinhausenbergerdorff".repeat(3), "a b ".repeat(30)];
        let rows: Vec<OverviewRow> = (0..200)
            .map(|n| if n % 7 == 0 { row(&long[n % 2]) } else { row(&format!("Nr. {n}")) })
            .collect();
        for paper in Paper::ALL {
            let overview = Overview::plan(&"A class of its own ".repeat(9), paper, &rows);
            let mut met = 0;
            for index in 0..overview.pages() {
                let page = overview.page(index);
                met += page.blocks.iter().filter(|block| block.kind == Kind::Row).count();
                let live = overview.live();
                for mark in page.marks() {
                    let Mark::Trace(Trace::Text { at, text, face, size, .. }, _) = mark else {
                        continue;
                    };
                    let right = at.x + typeset::width(*face, text, *size);
                    assert!(right <= live.x1 + 0.6 && at.x >= live.x0, "{paper:?} {text}");
                    assert!(at.y >= live.y0 - 0.1 && at.y <= live.y1, "{paper:?} {text}");
                }
            }
            assert_eq!(met, rows.len());
        }
    }

    #[test]
    fn an_empty_overview_has_one_page() {
        let overview = Overview::plan("\u{65e5}", Paper::A4, &[]);
        assert_eq!((overview.pages(), overview.title.as_str()), (1, ""));
        assert!(overview.page(0).marks().count() > 3);
    }
}
