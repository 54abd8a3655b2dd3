//! The furniture of a system: staff lines, barlines, brace and bar number.

use kurbo::Point;

use super::draft::Draft;
use crate::engrave::extent::Extent;
use crate::engrave::mark::{Engraved, Role};
use crate::engrave::rules::{self, Sp};
use crate::glyphs::{MusicFace, Sign};
use crate::typeset::TextFace;

/// How a system reaches left of its staves: brace and gap.
pub const BRACE_REACH: Sp = 2.1;

impl Draft<'_> {
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
            Engraved::line(Role::StaffLine, from, to, rules::STAFF_LINE)
        };
        lines.map(line).collect()
    }

    fn barlines(&self, drop: Sp) -> Vec<Engraved> {
        let mut marks = Vec::new();
        let mut barline = |x: Sp, width: Sp| {
            let reach = rules::STAFF_LINE / 2.0;
            let (from, to) = (Point::new(x, 2.0 + reach), Point::new(x, -drop - 2.0 - reach));
            marks.push(Engraved::line(Role::Barline, from, to, width));
        };
        barline(rules::THIN_BARLINE / 2.0, rules::THIN_BARLINE);
        let (last, inner) = self.positions.barlines.split_last().unwrap_or((&self.width, &[]));
        for x in inner {
            barline(*x, rules::THIN_BARLINE);
        }
        if self.seat.is_last {
            barline(last - rules::THICK_BARLINE / 2.0, rules::THICK_BARLINE);
            let thin = last - rules::THICK_BARLINE - rules::BARLINE_GAP - rules::THIN_BARLINE / 2.0;
            barline(thin, rules::THIN_BARLINE);
        } else {
            barline(last - rules::THIN_BARLINE / 2.0, rules::THIN_BARLINE);
        }
        marks
    }

    /// The number of its first bar, but on the first system.
    fn bar_number(&self) -> Option<Engraved> {
        let first = self.seat.bars.start;
        (first > 0).then(|| {
            let over = Extent { left: 0.0, right: 3.0 };
            let top = self.staves.right.skyline.top(over).unwrap_or(2.0);
            let at = Point::new(0.0, top.max(2.0) + rules::ROW_CLEARANCE);
            let (number, size) = ((first + 1).to_string(), rules::BAR_NUMBER_SIZE);
            Engraved::text(Role::BarNumber, number, TextFace::Regular, at, size)
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
    Engraved::scaled_sign(Role::Brace, Sign::Brace, at, scale)
}
