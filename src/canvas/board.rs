//! A page in the making.

use kurbo::{Point, Rect, Size};

use crate::canvas::{Block, Ink, Kind, Label, Link, Mark, Page, Trace};
use crate::typeset::line::Phrase;
use crate::typeset::polygon;

/// Thickness of a rule, in points: thin, but no thinner than a cheap laser prints.
pub(crate) const RULE: f64 = 0.5;
/// Thickness of a rule that only guides the eye, in points.
pub(crate) const HAIRLINE: f64 = 0.35;
/// The grey of rules that only guide the eye.
pub(crate) const GUIDE: Ink = Ink::Grey(0.55);

/// A page in the making. What is drawn goes into the block that was begun last.
#[derive(Debug)]
pub(crate) struct Board {
    page: Page,
    /// The part of the page inside the margins.
    pub(crate) live: Rect,
}

impl Board {
    /// An empty page.
    pub(crate) fn new(size: Size, live: Rect, label: Label) -> Self {
        let page = Page { size, blocks: Vec::new(), links: Vec::new(), label };
        Self { page, live }
    }

    /// The page as it is.
    pub(crate) fn finish(mut self) -> Page {
        self.page.blocks.retain(|block| !block.marks.is_empty());
        self.page
    }

    /// Begins a block.
    pub(crate) fn begin(&mut self, kind: Kind) {
        self.page.blocks.push(Block::new(kind));
    }

    /// Begins a block that words describe.
    pub(crate) fn begin_described(&mut self, kind: Kind, words: impl Into<String>) {
        self.page.blocks.push(Block { words: words.into(), ..Block::new(kind) });
    }

    pub(crate) fn mark(&mut self, mark: Mark) {
        self.marks([mark]);
    }

    pub(crate) fn marks(&mut self, marks: impl IntoIterator<Item = Mark>) {
        if self.page.blocks.is_empty() {
            self.begin(Kind::Paragraph);
        }
        if let Some(block) = self.page.blocks.last_mut() {
            block.marks.extend(marks);
        }
    }

    /// A line of type that begins at a point of its baseline.
    pub(crate) fn from(&mut self, left: f64, baseline: f64, phrase: Phrase) {
        let traces = phrase.at(Point::new(left, baseline));
        self.marks(traces.into_iter().map(|(trace, ink)| Mark::Trace(trace, ink)));
    }

    /// A line of type that ends at a point of its baseline.
    pub(crate) fn to(&mut self, right: f64, baseline: f64, phrase: Phrase) {
        self.from(right - phrase.width(), baseline, phrase);
    }

    /// A line of type about a point of its baseline.
    pub(crate) fn about(&mut self, middle: f64, baseline: f64, phrase: Phrase) {
        self.from(middle - phrase.width() / 2.0, baseline, phrase);
    }

    /// A level rule.
    pub(crate) fn rule(&mut self, x0: f64, x1: f64, y: f64, width: f64, ink: Ink) {
        let (from, to) = (Point::new(x0, y), Point::new(x1, y));
        self.mark(Mark::Trace(Trace::Line { from, to, width }, ink));
    }

    /// An upright rule.
    pub(crate) fn upright(&mut self, x: f64, [y0, y1]: [f64; 2], width: f64) {
        let (from, to) = (Point::new(x, y0), Point::new(x, y1));
        self.mark(Mark::Trace(Trace::Line { from, to, width }, Ink::Black));
    }

    /// The outline of a rectangle: the middle of its line runs along the edges.
    pub(crate) fn frame(&mut self, frame: Rect, width: f64) {
        let Rect { x0, y0, x1, y1 } = frame;
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(Point::from);
        let outline = Trace::Stroke { path: polygon(&corners), width };
        self.mark(Mark::Trace(outline, Ink::Black));
    }

    /// A place that leads to another page.
    pub(crate) fn link(&mut self, area: Rect, target: usize, about: String) {
        self.page.links.push(Link { area, target, about });
    }
}
