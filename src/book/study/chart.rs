//! The pages of a chart.

use std::ops::Range;

use kurbo::Rect;

use super::areas::{self, has_cadences};
use super::cell::{Cells, Writing};
use super::foot::ChartFoot;
use super::grid::LineGrid;
use super::head::ChartHead;
use super::lines::ChartLine;
use super::piece::ChartPiece;
use super::room::{ChartSetting, Room};
use super::tune::{ChartLook, ReaderTune};
use crate::book::error::{PageError, Whose};
use crate::book::template::PageTemplate;
use crate::canvas::board::Board;
use crate::canvas::paper;
use crate::canvas::{About, Bookmark, Document, Kind, Page, PageNumber};
use crate::source::ChartField as Field;
use crate::typeset::TextFace;
use crate::typeset::fit::showable;

/// The largest symbols beside the key of a sheet, and the least that are pleasant to read, in
/// points.
const LARGEST: f64 = 0.66;
const LEAST: f64 = 9.0;
/// The least numerals, as a share of the notes of a page.
const LEAST_NUMERAL: f64 = 0.8;
/// Labels, as a share of the notes of a page.
const LABEL: f64 = 0.9;

/// A chart that is measured, whose pages are drawn as they are asked for.
pub struct ChartBook<'a> {
    tune: ReaderTune<'a>,
    look: ChartLook,
    cells: Cells,
    pub(super) room: Room,
    head: ChartHead,
    foot: ChartFoot,
    /// The lines of each page.
    pub(super) pages: Vec<Range<usize>>,
    /// What travels inside the document.
    carried: String,
    /// The part of a page that it has.
    live: Rect,
}

impl<'a> ChartBook<'a> {
    /// Measures a chart. It takes one page, unless it is longer than a page holds at a size that can
    /// be read.
    ///
    /// Errors where words have no room or cannot be shown.
    pub fn measure(
        tune: ReaderTune<'a>,
        look: ChartLook,
        carried: String,
    ) -> Result<Self, PageError> {
        let live = PageTemplate::of(look.paper).live(paper::size(look.paper, look.orientation));
        Self::within(tune, look, carried, live)
    }

    /// The same inside a part of a page.
    pub(crate) fn within(
        tune: ReaderTune<'a>,
        look: ChartLook,
        carried: String,
        live: Rect,
    ) -> Result<Self, PageError> {
        for section in &tune.chart.sections {
            showable(Whose::Chart(Field::Name), TextFace::Bold, &section.name)?;
        }
        let head = ChartHead::of(&tune, &look, live.width())?;
        let foot = ChartFoot::of(&tune, &look, live.width());
        let how = Writing { symbols: look.symbols, numerals: look.numerals };
        let cells = Cells::of(tune.chart, tune.analysis, how);
        let room = {
            let setting = setting(&tune, &look, &cells);
            setting.best(live.width(), live.height() - head.height - foot.height)
        };
        let mut book =
            Self { tune, look, cells, room, head, foot, pages: Vec::new(), carried, live };
        book.pages = book.cut(live);
        Ok(book)
    }

    fn grid<'b>(&'b self, setting: &'b ChartSetting<'b>, left: f64) -> LineGrid<'b> {
        let analysis = self.tune.analysis;
        let of_line = |line: &ChartLine| {
            let cells = line.columns().map(|(_, bar)| setting.cell(line, bar));
            cells.flat_map(|cell| &cell.slots).map(|slot| slot.written).collect()
        };
        let written: Vec<Vec<usize>> = self.room.lines.iter().map(of_line).collect();
        let joined = analysis.map_or_else(Vec::new, |analysis| areas::pairs(analysis, &written));
        LineGrid { setting, room: &self.room, analysis, joined, left }
    }

    /// Which lines stand on which page.
    fn cut(&self, live: Rect) -> Vec<Range<usize>> {
        let setting = setting(&self.tune, &self.look, &self.cells);
        let grid = self.grid(&setting, live.x0);
        let [white, _] = self.room.white();
        let mut pages: Vec<Range<usize>> = Vec::new();
        let (mut from, mut used) = (0, 0.0);
        for (index, line) in self.room.lines.iter().enumerate() {
            let own = grid.height(line) + self.room.before(line) + white;
            let height = live.height() - self.head_height(pages.len()) - self.foot.height;
            if index > from && used + own > height + 1e-6 {
                pages.push(from..index);
                (from, used) = (index, 0.0);
            }
            used += own;
        }
        pages.push(from..self.room.lines.len());
        pages
    }

    fn head_height(&self, page: usize) -> f64 {
        if page == 0 { self.head.height } else { ChartHead::continued_height(&self.look) }
    }

    /// How many pages it takes.
    pub fn pages(&self) -> usize {
        self.pages.len()
    }

    /// Draws the page at an index.
    pub fn page(&self, index: usize) -> Page {
        let size = paper::size(self.look.paper, self.look.orientation);
        let mut board = Board::new(size, self.live, PageNumber::arabic(index + 1).into());
        self.draw(&mut board, index);
        board.finish()
    }

    /// Draws a page onto a board that is as large inside its margins as one of the paper.
    pub(crate) fn draw(&self, board: &mut Board, index: usize) {
        let of = self.pages.len();
        match index {
            0 => self.head.draw(board, &self.look),
            nth => self.head.draw_continued(board, &self.look, [nth, of]),
        }
        for (pieces, words) in self.lines(board.live, index) {
            board.begin_described(Kind::Row, words);
            board.marks(pieces.into_iter().flat_map(ChartPiece::marks));
        }
        self.foot.draw(board);
    }

    /// The lines of a page as they stand, each with its words.
    pub(super) fn lines(&self, live: Rect, page: usize) -> Vec<(Vec<ChartPiece>, String)> {
        let setting = setting(&self.tune, &self.look, &self.cells);
        let grid = self.grid(&setting, live.x0);
        let Some(range) = self.pages.get(page).cloned() else { return Vec::new() };
        let top = live.y1 - self.head_height(page);
        let lines = &self.room.lines[range.clone()];
        let own = lines.iter().map(|line| grid.height(line) + self.room.before(line));
        let spare = top - live.y0 - self.foot.height - own.sum::<f64>();
        let [least, most] = self.room.white();
        let white = (spare / lines.len() as f64).clamp(least.min(spare / lines.len() as f64), most);
        let mut drawn = Vec::new();
        // What goes on from the page before is told by the line before this one.
        let mut carried = None;
        if let Some(before) = range.start.checked_sub(1).map(|before| &self.room.lines[before]) {
            carried = grid.draw(before, top, None).carried;
        }
        let mut y = top;
        for line in lines {
            y -= self.room.before(line) + white;
            let own = carried.filter(|_| !line.begins_section());
            let line_drawn = grid.draw(line, y, own);
            y -= grid.height(line);
            carried = line_drawn.carried;
            drawn.push((line_drawn.pieces, line_drawn.words));
        }
        drawn
    }

    /// What is known of it apart from its pages.
    pub fn about(&self) -> About {
        let title = self.tune.chart.title.clone();
        let outline =
            vec![Bookmark { title: title.clone(), page: 0, open: true, children: Vec::new() }];
        About {
            title,
            author: self.tune.chart.composer.clone(),
            language: "en".to_owned(),
            outline,
            pictures: Vec::new(),
            recipe: self.carried.clone(),
        }
    }

    /// All its pages at once.
    pub fn document(&self) -> Document {
        Document { about: self.about(), pages: (0..self.pages()).map(|it| self.page(it)).collect() }
    }
}

/// What is known of a chart before its sizes are.
fn setting<'b>(tune: &'b ReaderTune<'_>, look: &ChartLook, cells: &'b Cells) -> ChartSetting<'b> {
    let sizes = &PageTemplate::of(look.paper).sizes;
    ChartSetting {
        chart: tune.chart,
        cells,
        label: LABEL * sizes.note,
        least_numeral: LEAST_NUMERAL * sizes.note,
        symbols: [LARGEST * sizes.key, LEAST],
        has_areas: tune.analysis.is_some_and(|analysis| !analysis.areas.is_empty()),
        has_cadences: tune.analysis.is_some_and(has_cadences),
    }
}
