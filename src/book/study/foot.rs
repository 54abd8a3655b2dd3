//! What stands below a chart: what its brackets mean, as far as they occur.

use super::areas::has_cadences;
use super::tune::{ChartLook, ReaderTune};
use crate::book::sheet::header::leading;
use crate::book::template::PageTemplate;
use crate::canvas::Kind;
use crate::canvas::board::Board;
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace, wrap};

/// What a bracket of either kind says.
const KEYS: &str = "A bracket names the key that the numerals over it are counted in.";
const TOUCHED: &str = "Where it is broken, the tune leans toward that key and does not stay.";
const CADENCES: &str =
    "A small bracket joins a ii to its V; an arrow from it points to where they lead.";

/// The foot, its words set.
pub(super) struct ChartFoot {
    lines: Vec<String>,
    style: Style,
    pub(super) height: f64,
}

impl ChartFoot {
    pub(super) fn of(tune: &ReaderTune<'_>, look: &ChartLook, width: f64) -> Self {
        let sizes = &PageTemplate::of(look.paper).sizes;
        let style = Style::new(TextFace::Regular, sizes.least_header.max(0.85 * sizes.note));
        let Some(analysis) = tune.analysis.filter(|it| !it.areas.is_empty()) else {
            return Self { lines: Vec::new(), style, height: 0.0 };
        };
        let mut words = vec![KEYS];
        if analysis.areas.iter().any(|area| !area.is_stayed) {
            words.push(TOUCHED);
        }
        if has_cadences(analysis) {
            words.push(CADENCES);
        }
        let lines = wrap(style.face, &words.join(" "), style.size, width);
        let below = typeset::descent(style.face, style.size).abs();
        let height = lines.len() as f64 * leading(style) + below + 0.8 * style.size;
        Self { lines, style, height }
    }

    /// Draws it at the bottom of a page.
    pub(super) fn draw(&self, board: &mut Board) {
        if self.lines.is_empty() {
            return;
        }
        let live = board.live;
        let below = typeset::descent(self.style.face, self.style.size).abs();
        board.begin(Kind::Paragraph);
        for (nth, line) in self.lines.iter().rev().enumerate() {
            let y = live.y0 + below + nth as f64 * leading(self.style);
            board.from(live.x0, y, Phrase::of(line, self.style));
        }
    }
}
