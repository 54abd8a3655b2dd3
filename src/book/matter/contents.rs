//! The contents of a workbook.

use std::ops::Range;

use kurbo::Rect;

use crate::book::error::PageError;
use crate::book::plan::{self, CONTENTS, Chapter, DRILL_TITLE, DocumentPlan, Slips, in_drill};
use crate::book::sheet::foot;
use crate::book::sheet::header::{leading, lines};
use crate::book::signature::signature;
use crate::canvas::board::{Board, GUIDE, HAIRLINE};
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::canvas::{Kind, Page};
use crate::theory::{Key, Mode};
use crate::typeset::fit::{common_size, paragraph};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// From one line to the next, in ems: on an upright page, and on a wide one, whose two columns
/// need fewer lines.
const PITCH: f64 = 2.05;
const WIDE_PITCH: f64 = 2.6;
/// White between groups, in ems.
const GROUP_GAP: f64 = 1.3;
/// White between the columns of a wide page.
const COLUMN_GAP: f64 = 14.0 * MM;
/// From a key to its signature in words.
const SIGNATURES: f64 = 26.0 * MM;
/// White between the lowest line and the number of the page.
const ABOVE_FOLIO: f64 = 8.0 * MM;

/// The columns of the table of drills: numbers, and page numbers.
const NUMBER_COLUMN: f64 = 8.0 * MM;
const PAGE_COLUMN: f64 = 8.4 * MM;
/// White between a drill's title and its page.
const AFTER_TITLE: f64 = 2.0 * MM;
/// Smallest type of a drill's title, in points, and how many lines it may take.
const LEAST_TITLE: f64 = 7.5;
const TITLE_LINES: usize = 2;
/// Heights of a row of that table, in ems: the first of them with which the contents take no more
/// pages than with the last.
const ROWS: [f64; 4] = [1.9, 1.8, 1.7, 1.6];
/// What each further line of a title adds to a row, in ems.
const ROW_LINE: f64 = 0.7;
/// How far the middle of the figures stands above their baseline, in ems.
const FIGURE_MIDDLE: f64 = 0.29;
/// White below the table, in ems.
const TABLE_FOOT: f64 = 1.1;
/// From the rule below the head of the table up to its baseline, in ems.
const HEAD_RULE: f64 = 0.55;

/// Draws the heading of a page without music, smaller where the page is narrow for it; returns the
/// baseline of its first line of text.
pub(crate) fn heading(board: &mut Board, plan: &DocumentPlan<'_>, words: &str) -> f64 {
    let face = TextFace::Bold;
    let most = board.live.width() / typeset::width(face, words, 1.0);
    let style = Style::new(face, plan.page.sizes.heading.min(most));
    board.begin(Kind::Heading(1));
    let y = board.live.y1 - typeset::cap_height(style.face, style.size);
    board.from(board.live.x0, y, Phrase::of(words, style));
    board.begin(Kind::Paragraph);
    below_heading(y)
}

/// The baseline of what stands below such a heading, from its own.
pub(crate) fn below_heading(y: f64) -> f64 {
    y - 16.0 * MM
}

/// What the contents point to.
struct Listed {
    phrase: Phrase,
    page: usize,
    /// What the way there is called.
    about: String,
}

/// Something that stands on one line of the contents.
enum ContentsLine {
    /// The title of a group: it stands beside or, for a table, above what follows.
    Group(&'static str),
    /// A table's head: the keys of its columns.
    TableHead,
    /// A row of the table: the drill at an index, and the lines of its title.
    Drill(usize, usize),
    /// White below the last rule of a table, as much as a line of type has above it.
    TableFoot,
    /// One entry, or on a wide page those that stand side by side in its columns.
    Entries(Vec<Listed>),
    /// White below a group.
    Gap,
}

impl ContentsLine {
    /// How far below it the next line stands, in ems.
    fn height(&self, plan: &DocumentPlan<'_>) -> f64 {
        match self {
            Self::Group(_) => 0.0,
            // The title of the table has a line of its own above it.
            Self::TableHead => PITCH + HEAD_RULE,
            Self::Drill(_, lines) => row_height(plan, *lines),
            Self::TableFoot => TABLE_FOOT,
            Self::Entries(entries) if plan.is_wide() => {
                WIDE_PITCH * deep(plan, entries.len()) as f64
            }
            Self::Entries(_) => PITCH,
            Self::Gap => GROUP_GAP,
        }
    }
}

/// Height of a row with a title of so many lines, in ems.
fn row_height(plan: &DocumentPlan<'_>, lines: usize) -> f64 {
    plan.contents_row + ROW_LINE * (lines.max(1) - 1) as f64
}

/// The size of the type.
fn size(plan: &DocumentPlan<'_>) -> f64 {
    plan.page.sizes.body + 1.0
}

/// All lines of the contents.
fn all(plan: &DocumentPlan<'_>) -> Vec<ContentsLine> {
    let regular = Style::new(TextFace::Regular, size(plan));
    let entry = |title: &str, page| Listed {
        phrase: Phrase::of(title, regular),
        page,
        about: title.to_owned(),
    };
    let parts = plan.packet_parts();
    let mut first: Vec<Listed> =
        parts.map(|(part, page)| entry(&listed(part.listed()), page)).collect();
    first.push(entry(plan::HOW_TO_TITLE, plan.how_to_page()));
    for (index, table) in plan.tables.iter().enumerate() {
        first.push(entry(&table.title, plan.chords_page(index)));
    }
    if plan.options.term.is_some() {
        first.push(entry(plan::TERM_TITLE, plan.term_page()));
    }
    let mut then = Vec::new();
    // One log alone, and of those among or behind sheets the last, which stands behind all of them:
    // how many lines there are must not depend on where pages stand, which depends on how many pages
    // these lines take.
    let is_course = plan.options.is_course;
    let every = plan.options.log_every;
    let is_last = is_course || every.is_some();
    let log = if is_last { plan.logs.last() } else { plan.logs.first() };
    let log = log.copied().unwrap_or_default();
    let is_before = plan.chapters.first().is_some_and(|chapter| log < chapter.start());
    let own = if is_before && !is_last { &mut first } else { &mut then };
    let title = match every {
        None => plan::LOG_TITLE.to_owned(),
        Some(1) => format!("{}, one after every sheet", plan::LOG_TITLE),
        Some(every) => format!("{}, one after every {every} sheets", plan::LOG_TITLE),
    };
    own.push(entry(&title, log));
    if matches!(plan.slips, Slips::OnPages(_)) {
        then.push(entry(plan::SLIPS_TITLE, plan.slips_page));
    }
    let mut all = group("First", in_columns(plan, first));
    if is_course {
        let board = plan.board(CONTENTS);
        let (titles, width) = (drill_titles(&board, plan), width(&title_column(&board, plan)));
        let rows = plan.chapters.iter().map(|chapter| {
            let title = plan.listed_title(chapter);
            let lines = typeset::wrap(titles.face, &title, titles.size, width);
            ContentsLine::Drill(chapter.index, lines.len())
        });
        let table = std::iter::once(ContentsLine::TableHead)
            .chain(rows)
            .chain([ContentsLine::TableFoot])
            .collect();
        all.extend(group("The drills and their keys", table));
    } else {
        all.extend(group("The keys", in_columns(plan, keys(plan, &plan.chapters[0]))));
    }
    all.extend(group("Then", in_columns(plan, then)));
    all
}

/// The name of a part of a packet, as much of it as stands on a line.
fn listed(words: &str) -> String {
    const MOST: usize = 48;
    if words.chars().count() <= MOST {
        return words.to_owned();
    }
    let cut: String = words.chars().take(MOST - 1).collect();
    format!("{}\u{2026}", cut.trim_end())
}

/// A group of lines with its title and the white below it; nothing where there are none.
fn group(title: &'static str, lines: Vec<ContentsLine>) -> Vec<ContentsLine> {
    if lines.is_empty() {
        return Vec::new();
    }
    std::iter::once(ContentsLine::Group(title)).chain(lines).chain([ContentsLine::Gap]).collect()
}

/// How many of so many entries stand one below another.
fn deep(plan: &DocumentPlan<'_>, entries: usize) -> usize {
    entries.div_ceil(columns(&plan.board(CONTENTS), plan).len())
}

/// Entries on lines of their own; on a wide page all together, in columns.
fn in_columns(plan: &DocumentPlan<'_>, entries: Vec<Listed>) -> Vec<ContentsLine> {
    if !plan.is_wide() {
        return entries.into_iter().map(|entry| ContentsLine::Entries(vec![entry])).collect();
    }
    if entries.is_empty() { Vec::new() } else { vec![ContentsLine::Entries(entries)] }
}

/// The keys of a drill.
fn keys(plan: &DocumentPlan<'_>, chapter: &Chapter<'_>) -> Vec<Listed> {
    let size = size(plan);
    let (regular, semibold) =
        (Style::new(TextFace::Regular, size), Style::new(TextFace::Semibold, size));
    let entry = |(index, key): (usize, Key)| {
        let mut phrase = Phrase::key(key, semibold, regular);
        phrase.space(SIGNATURES - phrase.width());
        phrase.words(&signature(key), Style::new(TextFace::Italic, size));
        Listed { phrase, page: chapter.key_page(index), about: key.words() }
    };
    plan.keys(chapter).into_iter().enumerate().map(entry).collect()
}

/// The lines of each page: a page is full when the next line would reach its number.
fn paginated(plan: &DocumentPlan<'_>) -> Vec<Vec<ContentsLine>> {
    let mut scratch = plan.board(CONTENTS);
    let top = heading(&mut scratch, plan, "");
    let room = (top - scratch.live.y0 - ABOVE_FOLIO) / size(plan);
    let mut pages = vec![Vec::new()];
    let mut used = 0.0;
    let mut lines = all(plan).into_iter().peekable();
    while let Some(line) = lines.next() {
        let needed = match line {
            ContentsLine::Drill(..) => used + line.height(plan),
            ContentsLine::Entries(_) => used,
            // A title stands with what it is the title of.
            ContentsLine::Group(_) => match lines.peek() {
                Some(head @ ContentsLine::TableHead) => {
                    used + head.height(plan) + row_height(plan, 1)
                }
                _ => used,
            },
            ContentsLine::TableHead | ContentsLine::TableFoot | ContentsLine::Gap => 0.0,
        };
        if needed > room {
            let mut page = Vec::new();
            used = 0.0;
            if matches!(line, ContentsLine::Drill(..)) {
                page.push(ContentsLine::TableHead);
                used += ContentsLine::TableHead.height(plan);
            }
            pages.push(page);
        }
        used += line.height(plan);
        pages.last_mut().expect("there is a page from the start").push(line);
    }
    pages
}

/// The height of a row of the table, in ems, with which the contents take as few pages as can be,
/// and how many these are.
pub(crate) fn fitted(plan: &DocumentPlan<'_>) -> (f64, usize) {
    if !plan.is_workbook() {
        return (ROWS[0], 0);
    }
    let pages = |row: f64| paginated(&DocumentPlan { contents_row: row, ..plan.clone() }).len();
    let [.., least] = ROWS;
    let fewest = pages(least);
    let row = ROWS.into_iter().find(|row| pages(*row) == fewest).unwrap_or(least);
    (row, fewest)
}

/// Lays out a page of the contents. Errors where a drill's title cannot stand.
pub(crate) fn lay_out(plan: &DocumentPlan<'_>, nth: usize) -> Result<Page, PageError> {
    let lines = paginated(plan).into_iter().nth(nth).unwrap_or_default();
    lay_out_page(plan, CONTENTS + nth, lines)
}

fn lay_out_page(
    plan: &DocumentPlan<'_>,
    page: usize,
    lines: Vec<ContentsLine>,
) -> Result<Page, PageError> {
    let mut board = plan.board(page);
    let size = size(plan);
    let semibold = Style::new(TextFace::Semibold, size);
    let titles = drill_titles(&board, plan);
    let mut y = heading(&mut board, plan, plan::CONTENTS_TITLE);
    for line in lines {
        let height = line.height(plan) * size;
        match line {
            ContentsLine::Group(title) => {
                board.begin(Kind::Heading(2));
                board.from(board.live.x0, y, Phrase::of(title, semibold));
            }
            ContentsLine::TableHead => table_head(&mut board, plan, y - PITCH * size),
            // Rows stand from rule to rule.
            ContentsLine::Drill(index, _) => {
                drill_row(&mut board, plan, &plan.chapters[index], titles, y)?;
            }
            ContentsLine::Entries(entries) => {
                // Entries fill one column, then the next.
                let (columns, deep) = (columns(&board, plan), deep(plan, entries.len()));
                for (index, entry) in entries.into_iter().enumerate() {
                    let y = y - WIDE_PITCH * size * (index % deep) as f64;
                    draw_entry(&mut board, plan, &columns[index / deep], y, entry);
                }
            }
            ContentsLine::TableFoot | ContentsLine::Gap => {}
        }
        y -= height;
    }
    foot::draw_folio(&mut board, plan, page);
    Ok(board.finish())
}

/// The left and right ends of the columns that entries stand in: one, on a wide page two.
fn columns(board: &Board, plan: &DocumentPlan<'_>) -> Vec<Range<f64>> {
    let left = board.live.x0 + plan.page.distances.label_column;
    let right = board.live.x1;
    if !plan.is_wide() {
        return std::iter::once(left..right).collect();
    }
    let middle = (left + right) / 2.0;
    vec![left..middle - COLUMN_GAP / 2.0, middle + COLUMN_GAP / 2.0..right]
}

/// One line in a column, on a baseline: what, a leader, the page.
fn draw_entry(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    column: &Range<f64>,
    y: f64,
    Listed { phrase, page, about }: Listed,
) {
    let (left, right) = (column.start, column.end);
    let style = Style::new(TextFace::Regular, size(plan));
    let widest = right - left - typeset::width(style.face, "000", style.size) - style.size;
    let phrase = if phrase.width() > widest {
        let size = style.size * widest / phrase.width();
        Phrase::of(&about, Style { size, ..style })
    } else {
        phrase
    };
    let number = Phrase::of(&plan.number(page).to_string(), style);
    let from = left + phrase.width() + style.size * 0.6;
    // All leaders end where the widest page number would begin.
    let to = right - typeset::width(style.face, "000", style.size) - style.size * 0.4;
    board.begin(Kind::Paragraph);
    board.rule(from, to, y, HAIRLINE, GUIDE);
    board.from(left, y, phrase);
    board.to(right, y, number);
    let area = Rect::new(left, y - 0.5 * style.size, right, y + 1.1 * style.size);
    board.link(area, page, about);
}

/// Least width of the column of titles. Where the keys leave less, the drills' own pages alone are
/// given, which have those of the keys.
const LEAST_TITLE_COLUMN: f64 = 45.0 * MM;

/// How many keys have a column.
fn key_columns(board: &Board, plan: &DocumentPlan<'_>) -> usize {
    let keys = plan.counted_keys().len();
    let left = board.live.width() - NUMBER_COLUMN - PAGE_COLUMN * (keys + 1) as f64 - AFTER_TITLE;
    if left < LEAST_TITLE_COLUMN { 0 } else { keys }
}

/// The right end of the column of a key's pages; of the drills' own pages for no key.
fn column(board: &Board, plan: &DocumentPlan<'_>, key: Option<usize>) -> f64 {
    let keys = key_columns(board, plan);
    let columns_right = key.map_or(keys, |key| keys - 1 - key);
    board.live.x1 - PAGE_COLUMN * columns_right as f64
}

/// The left and right ends of the column of titles.
fn title_column(board: &Board, plan: &DocumentPlan<'_>) -> Range<f64> {
    let left = board.live.x0 + NUMBER_COLUMN;
    left..column(board, plan, None) - PAGE_COLUMN - AFTER_TITLE
}

/// How wide a column is.
fn width(column: &Range<f64>) -> f64 {
    column.end - column.start
}

/// The style of the drills' titles: one size for all.
fn drill_titles(board: &Board, plan: &DocumentPlan<'_>) -> Style {
    let width = width(&title_column(board, plan));
    let style = Style::new(TextFace::Semibold, plan.page.sizes.body);
    let titles: Vec<String> =
        plan.chapters.iter().map(|chapter| plan.listed_title(chapter)).collect();
    common_size(titles.iter().map(String::as_str), style, LEAST_TITLE, width, TITLE_LINES)
}

/// The head of the table: the keys.
fn table_head(board: &mut Board, plan: &DocumentPlan<'_>, y: f64) {
    let note = Style::new(TextFace::Regular, plan.page.sizes.note);
    let bold = Style::new(TextFace::Semibold, plan.page.sizes.body);
    let table = Table::begin(board);
    board.to(column(board, plan, None), y, Phrase::of("Page", note));
    let minors = plan.keys_in(Mode::NaturalMinor);
    let is_of_tonics = plan.is_of_tonics;
    let keys = plan.counted_keys().into_iter().take(key_columns(board, plan));
    for (index, key) in keys.enumerate() {
        let right = column(board, plan, Some(index));
        let is_named = !is_of_tonics && key.is_minor();
        let name = format!("{}{}", key.tonic(), if is_named { "m" } else { "" });
        board.to(right, y, Phrase::of(&name, bold));
        let Some(minor) = minors.get(index).filter(|_| is_of_tonics) else { continue };
        // Where some drills are in minor, that key may have another name.
        let minor = minor.tonic();
        let is_minor = plan.chapters.iter().any(|chapter| chapter.drill().mode.is_minor());
        if is_minor && minor != key.tonic() {
            let above = y + 1.15 * bold.size;
            board.to(right, above, Phrase::of(&format!("({minor})"), note));
        }
    }
    table.head_rule(board, y - HEAD_RULE * size(plan));
}

/// A row of the table: the drill and the pages of its keys.
fn drill_row(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    chapter: &Chapter<'_>,
    titles: Style,
    top: f64,
) -> Result<(), PageError> {
    let live = board.live;
    let semibold = Style::new(TextFace::Semibold, plan.page.sizes.body);
    let regular = Style::new(TextFace::Regular, plan.page.sizes.note);
    let titles_column = title_column(board, plan);
    let width = width(&titles_column);
    let words = plan.listed_title(chapter);
    let title = paragraph(DRILL_TITLE, &words, titles, titles.size, width, TITLE_LINES)
        .map_err(|error| in_drill(error.into(), plan, chapter))?;
    let height = row_height(plan, title.lines.len()) * size(plan);
    let rule = top - height;
    let y = rule + height / 2.0 - FIGURE_MIDDLE * size(plan);
    // Numbers stand in the middle of a title of two lines.
    let up = leading(titles) / 2.0 * (title.lines.len() - 1) as f64;
    let table = Table::row(board, words.clone());
    board.from(live.x0, y, Phrase::of(&chapter.number().to_string(), semibold));
    lines(board, titles_column.start, y + up, &title);
    board.to(
        column(board, plan, None),
        y,
        Phrase::of(&plan.number(chapter.start()).to_string(), semibold),
    );
    let area = table.area(rule, top, column(board, plan, None));
    board.link(area, chapter.start(), words);
    let mode = chapter.drill().mode;
    let is_of_tonics = plan.is_of_tonics;
    let keys = if is_of_tonics { plan.keys_in(mode) } else { plan.counted_keys() };
    let keys = keys.into_iter().take(key_columns(board, plan)).enumerate();
    for (index, key) in keys.filter(|(_, key)| is_of_tonics || key.is_minor() == mode.is_minor()) {
        let right = column(board, plan, Some(index));
        let Some(page) = plan.page_of(chapter, key) else { continue };
        board.to(right, y, Phrase::of(&plan.number(page).to_string(), regular));
        let area = Rect::new(right - PAGE_COLUMN + 1.0, rule, right, top);
        board.link(area, page, key.words());
    }
    table.row_rule(board, rule);
    Ok(())
}
