//! The furniture of a system: staff lines, barlines, brace and bar number.

use kurbo::Point;

use super::draft::SystemDraft;
use crate::engrave::barline;
use crate::engrave::extent::Extent;
use crate::engrave::frame;
use crate::engrave::mark::{Engraved, MarkRole};
use crate::engrave::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::score::Barline;
use crate::typeset::TextFace;

/// How a system reaches left of its staves: brace and gap.
pub const BRACE_REACH: Sp = 2.1;

impl SystemDraft<'_> {
    /// Staff lines, barlines, brace and bar number, the staves so far apart.
    pub(super) fn furniture(&self, drop: Sp) -> Vec<Engraved> {
        let mut marks = self.staff_lines(drop);
        marks.extend(self.barlines(drop));
        marks.push(brace(drop));
        marks.extend(self.bar_number());
        marks
    }

    fn staff_lines(&self, drop: Sp) -> Vec<Engraved> {
        let lines = [0.0, -drop]
            .into_iter()
            .flat_map(|middle| (-2..=2).map(move |line| middle + f64::from(line)));
        let line = |y: Sp| {
            let (from, to) = (Point::new(0.0, y), Point::new(self.width, y));
            Engraved::line(MarkRole::StaffLine, from, to, rules::STAFF_LINE)
        };
        lines.map(line).collect()
    }

    fn barlines(&self, drop: Sp) -> Vec<Engraved> {
        let mut marks = barline::from_left(Barline::Single, 0.0, drop);
        if let Some(left) = self.repeat {
            marks.extend(barline::from_left(Barline::RepeatBegin, left, drop));
        }
        let (last, inner) = self.positions.barlines.split_last().unwrap_or((&self.width, &[]));
        for (bar, x) in (self.seat.bars.start + 1..).zip(inner) {
            marks.extend(barline::inside(self.score.barline_before(bar), *x, drop));
        }
        marks.extend(barline::from_right(self.end_barline(), *last, drop));
        marks
    }

    /// What the system ends with.
    fn end_barline(&self) -> Barline {
        self.score.barline_ending_system(self.seat.bars.end)
    }

    /// Where a plain barline at the end of the system would have its right edge.
    pub(super) fn end_of_music(&self) -> Sp {
        let end = self.positions.barlines.last().copied().unwrap_or(self.width);
        end - barline::more_than_plain(self.end_barline())
    }

    /// The white of each bar, from the signs at its left to those at its right.
    pub(super) fn whites(&self) -> Vec<Extent> {
        let first = self.seat.bars.start;
        let half = rules::THIN_BARLINE / 2.0;
        let (last, inner) = self.positions.barlines.split_last().unwrap_or((&self.width, &[]));
        let bars = (first + 1..).zip(inner);
        let lefts = bars.clone().map(|(bar, x)| x + half + frame::lead_in(self.score, bar));
        let rights = bars.map(|(bar, x)| {
            let [before, _] = barline::beyond_plain(self.score.barline_before(bar));
            x - half - before
        });
        let end = last - barline::width(self.end_barline());
        let lefts = std::iter::once(self.prefix_right).chain(lefts);
        lefts.zip(rights.chain([end])).map(|(left, right)| Extent { left, right }).collect()
    }

    /// The number of its first bar, but on the first system.
    fn bar_number(&self) -> Option<Engraved> {
        let first = self.seat.bars.start;
        (first > 0).then(|| {
            let over = Extent { left: 0.0, right: 3.0 };
            let top = self.staves.right.skyline.top(over).unwrap_or(2.0);
            let at = Point::new(0.0, top.max(2.0) + rules::ROW_CLEARANCE);
            let (number, size) = ((first + 1).to_string(), rules::BAR_NUMBER_SIZE);
            Engraved::text(MarkRole::BarNumber, number, TextFace::Regular, at, size)
        })
    }
}

/// The brace beside staves so far apart.
fn brace(drop: Sp) -> Engraved {
    let height = drop + 4.0;
    let ink = MusicFace::get().bounds(Sign::Brace);
    let scale = height / ink.height();
    // A brace grows in width too; round staves far apart it comes a little nearer to them.
    let reach = (rules::BRACE_GAP + ink.width() * scale).min(BRACE_REACH);
    let at = Point::new(-reach - ink.x0 * scale, -drop - 2.0 - ink.y0 * scale);
    Engraved::scaled_sign(MarkRole::Brace, Sign::Brace, at, scale)
}
