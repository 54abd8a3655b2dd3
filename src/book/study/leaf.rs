//! Pages of words and tables: set once for their heights, cut into pages, and drawn.

use kurbo::Rect;

use super::packet::{Leaf, LeafBlock, LeafRow, LeafSheet, LeafTable, SHEET};
use crate::book::error::{PageError, Whose};
use crate::book::matter::contents::heading;
use crate::book::plan::DocumentPlan;
use crate::book::sheet::foot;
use crate::book::sheet::header::{leading, lines};
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::table::Table;
use crate::canvas::{Kind, Page};
use crate::typeset::fit::{Fitted, paragraph};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// White between columns, above the first line of a row and below its last.
const GAP: f64 = 3.0 * MM;
const PAD: f64 = 1.5 * MM;
/// Widths of the columns of page numbers and of boxes.
const PAGE_COLUMN: f64 = 11.0 * MM;
const BOX_COLUMN: f64 = 9.0 * MM;
/// Side of a box to tick.
const BOX: f64 = 3.3 * MM;
/// White above a heading of lower rank, below it, and below a paragraph and a table, in ems.
const ABOVE_HEAD: f64 = 0.9;
const BELOW_HEAD: f64 = 0.5;
const BELOW_TEXT: f64 = 0.6;
/// From the baseline of the heads of a table to the rule below them.
const HEAD_RULE: f64 = 2.0 * MM;
/// White between the last line and the page number.
const ABOVE_FOLIO: f64 = 7.0 * MM;
/// Most lines of a paragraph, and of a cell.
const MOST_LINES: usize = 40;
/// The widest number of a page: what cells leave room for before pages have numbers.
const WIDEST_PAGE: &str = "000";

/// Something that stands on one page whole.
enum LeafItem<'a> {
    Head(Fitted),
    Text(Fitted),
    TableHead(&'a LeafTable),
    Row(TableRow<'a>),
    TableFoot,
}

/// A row of a table.
struct TableRow<'a> {
    table: &'a LeafTable,
    row: &'a LeafRow,
    cells: Vec<Fitted>,
    /// How many lines it leaves room for, whatever numbers pages come to have.
    lines: usize,
}

impl LeafItem<'_> {
    /// Whether it stands on a page with what follows it.
    fn leads(&self) -> bool {
        matches!(self, Self::Head(_) | Self::TableHead(_))
    }

    /// The white above it, which the first of a page does without.
    fn white_above(&self) -> f64 {
        match self {
            Self::Head(words) => ABOVE_HEAD * words.style.size,
            _ => 0.0,
        }
    }

    /// How far the next one stands below it.
    fn height(&self, plan: &DocumentPlan<'_>) -> f64 {
        let sizes = &plan.page.sizes;
        match self {
            Self::Head(words) => {
                words.lines.len() as f64 * leading(words.style)
                    + (ABOVE_HEAD + BELOW_HEAD) * words.style.size
            }
            Self::Text(words) => {
                words.lines.len() as f64 * leading(words.style) + BELOW_TEXT * words.style.size
            }
            Self::TableHead(_) => sizes.note + HEAD_RULE,
            Self::Row(TableRow { lines, .. }) => {
                *lines as f64 * leading(Style::new(TextFace::Regular, sizes.note)) + 2.0 * PAD
            }
            Self::TableFoot => BELOW_TEXT * sizes.body,
        }
    }
}

/// The columns of a table: where each begins and ends, from the left margin.
fn columns(plan: &DocumentPlan<'_>, table: &LeafTable) -> Vec<[f64; 2]> {
    let pages = if table.has_pages { PAGE_COLUMN + GAP } else { 0.0 };
    let boxes = if table.has_boxes { BOX_COLUMN + GAP } else { 0.0 };
    let gaps = GAP * table.columns.len().saturating_sub(1) as f64;
    let room = plan.width() - pages - boxes - gaps;
    let whole: f64 = table.columns.iter().map(|(_, share)| share).sum();
    let mut left = 0.0;
    let column = |(_, share): &(&str, f64)| {
        let own = [left, left + room * share / whole];
        left = own[1] + GAP;
        own
    };
    table.columns.iter().map(column).collect()
}

/// All items of a leaf. Errors where a word has no room or cannot be shown.
fn items<'a>(plan: &DocumentPlan<'_>, leaf: &'a Leaf) -> Result<Vec<LeafItem<'a>>, PageError> {
    let sizes = &plan.page.sizes;
    let fit = |words: &str, style: Style, width: f64| {
        paragraph(Whose::Practice, words, style, sizes.least_header, width, MOST_LINES)
    };
    // In a narrow column what should stay together comes apart.
    let set = |words: &str, style: Style, width: f64| {
        fit(words, style, width).or_else(|_| fit(&words.replace('\u{a0}', " "), style, width))
    };
    let mut items = Vec::new();
    for block in &leaf.blocks {
        match block {
            LeafBlock::Head(words) => {
                let style = Style::new(TextFace::Semibold, sizes.drill);
                items.push(LeafItem::Head(set(words, style, plan.width())?));
            }
            LeafBlock::Text(words) => {
                let style = Style::new(TextFace::Regular, sizes.body);
                items.push(LeafItem::Text(set(words, style, plan.width())?));
            }
            LeafBlock::Table(table) => {
                items.push(LeafItem::TableHead(table));
                let columns = columns(plan, table);
                for row in &table.rows {
                    let cell = |(nth, (words, [left, right])): (usize, (String, &[f64; 2]))| {
                        let face = if nth == 0 { TextFace::Semibold } else { TextFace::Regular };
                        set(&words, Style::new(face, sizes.note), right - left)
                    };
                    let fitted = |page: &dyn Fn(LeafSheet) -> String| {
                        let words = with_pages(row, page);
                        let cells = words.into_iter().zip(&columns).enumerate().map(cell);
                        cells.collect::<Result<Vec<Fitted>, _>>()
                    };
                    // Narrower numbers need no more lines.
                    let widest = fitted(&|_| WIDEST_PAGE.to_owned())?;
                    let lines = widest.iter().map(|cell| cell.lines.len()).max().unwrap_or(1);
                    let cells = fitted(&|sheet| first_page(plan, sheet))?;
                    let own = cells.iter().map(|cell| cell.lines.len()).max().unwrap_or(1);
                    let lines = lines.max(own);
                    items.push(LeafItem::Row(TableRow { table, row, cells, lines }));
                }
                items.push(LeafItem::TableFoot);
            }
        }
    }
    Ok(items)
}

/// The cells of a row, with the pages of its sheets where they have their places.
fn with_pages(row: &LeafRow, page: &dyn Fn(LeafSheet) -> String) -> Vec<String> {
    let mut sheets = row.sheets.iter();
    let cell = |words: &String| {
        let mut parts = words.split(SHEET);
        let mut cell = parts.next().unwrap_or_default().to_owned();
        for part in parts {
            cell.push_str(&sheets.next().map_or_else(String::new, |sheet| page(*sheet)));
            cell.push_str(part);
        }
        cell
    };
    row.cells.iter().map(cell).collect()
}

/// The page on which a sheet begins.
fn first_page(plan: &DocumentPlan<'_>, sheet: LeafSheet) -> String {
    let page = plan.pages_of(sheet.drill, sheet.key).first().copied();
    page.map_or_else(String::new, |page| plan.number(page).to_string())
}

/// All pages of some sheets: those that follow one another from the first to the last.
fn all_pages(plan: &DocumentPlan<'_>, sheets: &[LeafSheet]) -> String {
    let mut pages: Vec<usize> =
        sheets.iter().flat_map(|sheet| plan.pages_of(sheet.drill, sheet.key)).collect();
    pages.sort_unstable();
    pages.dedup();
    let run = |run: &[usize]| match run {
        [one] => plan.number(*one).to_string(),
        [first, .., last] => format!("{}\u{2013}{}", plan.number(*first), plan.number(*last)),
        [] => String::new(),
    };
    let runs: Vec<String> = pages.chunk_by(|one, next| one + 1 == *next).map(run).collect();
    runs.join(", ")
}

/// Which items stand on which page.
fn paginated(plan: &DocumentPlan<'_>, items: &[LeafItem<'_>]) -> Vec<std::ops::Range<usize>> {
    let mut board = plan.board(0);
    let top = heading(&mut board, plan, "");
    let room = top - board.live.y0 - ABOVE_FOLIO;
    let mut pages: Vec<std::ops::Range<usize>> = Vec::new();
    let (mut from, mut used) = (0, 0.0);
    let mut index = 0;
    while index < items.len() {
        // What leads stands with what it leads to.
        let mut until = index + 1;
        while until < items.len() && items[until - 1].leads() {
            until += 1;
        }
        let own: f64 = items[index..until].iter().map(|item| item.height(plan)).sum();
        // The white after a table begins no page.
        let is_foot = matches!(items[index], LeafItem::TableFoot);
        if used + own > room && index > from && !is_foot {
            pages.push(from..index);
            from = index;
            // The head of a table that goes on comes again.
            used = match &items[index] {
                LeafItem::Row(row) => LeafItem::TableHead(row.table).height(plan),
                _ => 0.0,
            };
        }
        used += own;
        index = until;
    }
    pages.push(from..items.len());
    pages
}

/// How many pages a leaf takes. Errors where a word has no room or cannot be shown.
pub(crate) fn pages(plan: &DocumentPlan<'_>, leaf: &Leaf) -> Result<usize, PageError> {
    Ok(paginated(plan, &items(plan, leaf)?).len())
}

/// Lays out a page of a leaf, which has an index in the book.
pub(crate) fn lay_out(
    plan: &DocumentPlan<'_>,
    leaf: &Leaf,
    nth: usize,
    page: usize,
) -> Result<Page, PageError> {
    let mut board = plan.board(page);
    let items = items(plan, leaf)?;
    let own = paginated(plan, &items).into_iter().nth(nth).unwrap_or_default();
    let words = match nth {
        0 => leaf.heading.clone(),
        _ => format!("{}, continued", leaf.heading),
    };
    let mut y = heading(&mut board, plan, &words);
    let mut table: Option<Table> = None;
    for (place, item) in items[own].iter().enumerate() {
        if let (0, LeafItem::Row(row)) = (place, item) {
            table = Some(draw_head(&mut board, plan, row.table, y));
            y -= LeafItem::TableHead(row.table).height(plan);
        }
        let above = if place == 0 { item.white_above() } else { 0.0 };
        let below = y - item.height(plan) + above;
        match item {
            LeafItem::Head(words) => {
                board.begin(Kind::Heading(2));
                let first = y - ABOVE_HEAD * words.style.size;
                let first = if place == 0 { y } else { first };
                lines(&mut board, plan.live(page).x0, first, words);
            }
            LeafItem::Text(words) => {
                board.begin(Kind::Paragraph);
                lines(&mut board, plan.live(page).x0, y, words);
            }
            LeafItem::TableHead(of) => table = Some(draw_head(&mut board, plan, of, y)),
            LeafItem::Row(row) => {
                if let Some(table) = table {
                    draw_row(&mut board, plan, row, [below, y], table);
                }
            }
            LeafItem::TableFoot => {}
        }
        y = below;
    }
    foot::draw_folio(&mut board, plan, page);
    Ok(board.finish())
}

/// Draws the heads of a table, whose baseline is given, with the rule below them.
fn draw_head(board: &mut Board, plan: &DocumentPlan<'_>, of: &LeafTable, y: f64) -> Table {
    let style = Style::new(TextFace::Semibold, plan.page.sizes.note);
    let table = Table::begin(board);
    let live = board.live;
    for ((words, _), [left, _]) in of.columns.iter().zip(columns(plan, of)) {
        board.from(live.x0 + left, y, Phrase::of(words, style));
    }
    let boxes = if of.has_boxes { BOX_COLUMN + GAP } else { 0.0 };
    if of.has_pages {
        board.to(live.x1 - boxes, y, Phrase::of("Page", style));
    }
    if of.has_boxes {
        board.to(live.x1, y, Phrase::of("Done", style));
    }
    // The next baseline is that of text; a row begins at its upper edge.
    table.head_rule(board, y - HEAD_RULE);
    table
}

fn draw_row(
    board: &mut Board,
    plan: &DocumentPlan<'_>,
    &TableRow { table: of, row, ref cells, .. }: &TableRow<'_>,
    [below, above]: [f64; 2],
    table: Table,
) {
    let style = Style::new(TextFace::Regular, plan.page.sizes.note);
    // From baseline to upper edge: rows are counted in baselines like all else.
    let up = style.size;
    let (above, below) = (above + up, below + up);
    let words = with_pages(row, &|sheet| first_page(plan, sheet));
    Table::row(board, words.join(", "));
    let live = board.live;
    let cap = typeset::cap_height(style.face, style.size);
    // The lines of the fullest cell stand in the middle between the rules.
    let lines = cells.iter().map(|cell| cell.lines.len()).max().unwrap_or(1);
    let block = lines.saturating_sub(1) as f64 * leading(style) + cap;
    let first = above - (above - below - block) / 2.0 - cap;
    let mut named = row.sheets.iter();
    for ((cell, words), [left, right]) in cells.iter().zip(&row.cells).zip(columns(plan, of)) {
        // What a cell names is a way to the first of it.
        let mut own = words.chars().filter(|c| *c == SHEET).filter_map(|_| named.next());
        let sheet = own.next();
        own.for_each(drop);
        if let Some((sheet, page)) =
            sheet.and_then(|it| Some((it, *plan.pages_of(it.drill, it.key).first()?)))
        {
            let area = Rect::new(live.x0 + left, below, live.x0 + right, above);
            board.link(area, page, plan.chapters[sheet.drill].drill().title.clone());
        }
        for (nth, phrase) in cell.phrases().enumerate() {
            board.from(live.x0 + left, first - nth as f64 * leading(cell.style), phrase);
        }
    }
    let boxes = if of.has_boxes { BOX_COLUMN + GAP } else { 0.0 };
    if let Some(sheet) = row.sheets.first().filter(|_| of.has_pages)
        && let Some(page) = plan.pages_of(sheet.drill, sheet.key).first()
    {
        let pages = all_pages(plan, &row.sheets);
        board.to(live.x1 - boxes, first, Phrase::of(&pages, style));
        let area = Rect::new(live.x0, below, live.x1 - boxes, above);
        board.link(area, *page, plan.chapters[sheet.drill].drill().title.clone());
    }
    if of.has_boxes {
        let middle = first + typeset::cap_height(style.face, style.size) / 2.0;
        let frame = Rect::new(live.x1 - BOX, middle - BOX / 2.0, live.x1, middle + BOX / 2.0);
        board.frame(frame.inset(-RULE / 2.0), RULE);
    }
    table.row_rule(board, below);
}
