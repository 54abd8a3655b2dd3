//! One staff of one system: clefs, signature, columns of heads, their lengths and ties.

use std::collections::BTreeMap;

use kurbo::{Point, Shape as _};

use crate::ink::{Glyph, Line};
use crate::music::{Column, HeadRead, Part, Pitch, Sheet};
use crate::staff::Staff;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Clef {
    G,
    F,
}

impl Clef {
    fn of(meaning: &str) -> Option<Self> {
        match meaning {
            "\u{E050}" | "\u{E07A}" => Some(Self::G),
            "\u{E062}" | "\u{E07C}" => Some(Self::F),
            _ => None,
        }
    }

    /// Steps above C0 of the middle line: B4 or D3.
    fn middle(self) -> i32 {
        match self {
            Self::G => 7 * 4 + 6,
            Self::F => 7 * 3 + 1,
        }
    }

    /// The position of the line that the clef names: G4 or F3.
    fn line(self) -> i32 {
        match self {
            Self::G => 7 * 4 + 4 - self.middle(),
            Self::F => 7 * 3 + 3 - self.middle(),
        }
    }
}

fn alteration(meaning: &str) -> Option<i32> {
    match meaning {
        "\u{E260}" => Some(-1),
        "\u{E261}" => Some(0),
        "\u{E262}" => Some(1),
        "\u{E263}" => Some(2),
        "\u{E264}" => Some(-2),
        _ => None,
    }
}

fn is_head(meaning: &str) -> bool {
    matches!(meaning, "\u{E0A2}" | "\u{E0A3}" | "\u{E0A4}")
}

/// The length of a rest in eighths.
fn rest(meaning: &str) -> Option<i32> {
    match meaning {
        "\u{E4E3}" => Some(8),
        "\u{E4E4}" => Some(4),
        "\u{E4E5}" => Some(2),
        "\u{E4E6}" => Some(1),
        _ => None,
    }
}

/// Reads one staff of one system.
pub(crate) struct Reader {
    part: Part,
    staff: Staff,
    pub(crate) bar_ends: Vec<f64>,
    pub(crate) opening: Clef,
    /// Clefs by the abscissa from which they hold.
    clefs: Vec<(f64, Clef)>,
    signature: BTreeMap<i32, i32>,
}

impl Reader {
    /// A reader of what lies at one staff, whose bars end at `bar_ends`.
    pub(crate) fn new(mut part: Part, bar_ends: Vec<f64>) -> Self {
        part.glyphs.sort_by(|a, b| a.at.x.total_cmp(&b.at.x));
        let (staff, opening) = (part.staff, Clef::G);
        Self { part, staff, bar_ends, opening, clefs: vec![], signature: BTreeMap::new() }
    }

    fn of(&self, keep: impl Fn(&str) -> bool) -> Vec<Glyph> {
        self.part.glyphs.iter().filter(|glyph| keep(&glyph.meaning)).cloned().collect()
    }

    /// The position of something that must stand exactly on one.
    fn position(&self, glyph: &Glyph) -> Result<i32, String> {
        let (position, off) = self.staff.position(glyph.at.y);
        if off > 0.06 {
            return Err(format!(
                "{:?} at x {:.1} stands between two positions ({off:.2} off)",
                glyph.meaning, glyph.at.x
            ));
        }
        Ok(position)
    }

    /// Clefs, signature and metre.
    pub(crate) fn open(&mut self, is_first: bool, sheet: &mut Sheet) -> Result<(), String> {
        for glyph in self.of(|meaning| Clef::of(meaning).is_some()) {
            let clef = Clef::of(&glyph.meaning).expect("filtered");
            if self.position(&glyph)? != clef.line() {
                return Err(format!("a clef stands on the wrong line at x {:.1}", glyph.at.x));
            }
            self.clefs.push((glyph.at.x, clef));
        }
        let Some((x, clef)) = self.clefs.first().copied() else {
            return Err("no clef".to_owned());
        };
        if x > self.staff.left + 2.0 * self.staff.space {
            return Err("the staff does not begin with a clef".to_owned());
        }
        self.opening = clef;
        let shown = self.signature(clef)?;
        if is_first {
            sheet.signature = shown;
            let digits = self.of(|meaning| ("\u{E080}".."\u{E08A}").contains(&meaning));
            let digit = |y: i32| -> Option<i32> {
                let glyph = digits.iter().find(|glyph| self.staff.position(glyph.at.y).0 == y)?;
                Some(glyph.meaning.chars().next()? as i32 - 0xE080)
            };
            let metre = digit(2).zip(digit(-2)).ok_or("no time signature")?;
            sheet.bar = metre.0 * 8 / metre.1;
        } else if shown != sheet.signature {
            return Err(format!("signature {shown:?} where the page begins {:?}", sheet.signature));
        }
        self.signature = sheet.signature.iter().copied().collect();
        Ok(())
    }

    /// The accidentals right of the clef that belong to no head.
    fn signature(&self, clef: Clef) -> Result<Vec<(i32, i32)>, String> {
        let first = self.of(is_head).first().map_or(f64::INFINITY, |head| head.at.x);
        let mut shown = Vec::new();
        for glyph in self.of(|meaning| alteration(meaning).is_some()) {
            if glyph.at.x + glyph.advance < first - 1.5 * self.staff.space {
                let step = clef.middle() + self.position(&glyph)?;
                shown.push((step.rem_euclid(7), alteration(&glyph.meaning).expect("filtered")));
            }
        }
        Ok(shown)
    }

    fn clef_at(&self, x: f64) -> Clef {
        self.clefs.iter().rev().find(|(from, _)| *from < x).map_or(self.opening, |(_, clef)| *clef)
    }

    /// The clef that the staff ends in, a warning at its end counted in.
    pub(crate) fn closing(&self) -> Clef {
        self.clefs.last().map_or(self.opening, |(_, clef)| *clef)
    }

    /// The columns of heads, with times that fill each bar exactly.
    pub(crate) fn columns(
        &self,
        system: usize,
        first: i32,
        bar: i32,
    ) -> Result<Vec<Column>, String> {
        let space = self.staff.space;
        let mut groups: Vec<Vec<Glyph>> = Vec::new();
        for head in self.of(is_head) {
            match groups.last_mut() {
                Some(group) if head.at.x - group[0].at.x < 1.4 * space => group.push(head),
                _ => groups.push(vec![head]),
            }
        }
        // Heads, and rests as empty columns, in order of place.
        let mut items: Vec<(f64, i32, Vec<Glyph>)> = Vec::new();
        for group in groups {
            items.push((group[0].at.x, self.length(&group)?, group));
        }
        for glyph in self.of(|meaning| rest(meaning).is_some()) {
            let plain = rest(&glyph.meaning).expect("filtered");
            let dotted = self.dots(glyph.at.x + glyph.advance)? > 0;
            items.push((glyph.at.x, if dotted { plain + plain / 2 } else { plain }, vec![]));
        }
        items.sort_by(|a, b| a.0.total_cmp(&b.0));

        let mut columns = Vec::new();
        let mut items = items.into_iter().peekable();
        for (index, end) in self.bar_ends.iter().enumerate() {
            let mut at = first + index as i32 * bar;
            let close = at + bar;
            let mut in_force: BTreeMap<i32, i32> = BTreeMap::new();
            while let Some((x, length, group)) = items.next_if(|(x, ..)| x < end) {
                if !group.is_empty() {
                    columns.push(self.column(system, at, length, x, group, &mut in_force)?);
                }
                at += length;
            }
            if at != close {
                let (found, bar_number) = (bar - close + at, first / bar + 1 + index as i32);
                return Err(format!("bar {bar_number} holds {found} eighths instead of {bar}"));
            }
        }
        if items.next().is_some() {
            return Err("something stands past the last barline".to_owned());
        }
        Ok(columns)
    }

    fn column(
        &self,
        system: usize,
        start: i32,
        length: i32,
        x: f64,
        group: Vec<Glyph>,
        in_force: &mut BTreeMap<i32, i32>,
    ) -> Result<Column, String> {
        let space = self.staff.space;
        let clef = self.clef_at(x);
        let mut heads = Vec::new();
        for head in &group {
            let position = self.position(head)?;
            self.check_ledgers(head, position)?;
            let step = clef.middle() + position;
            let accidental = self
                .of(|meaning| alteration(meaning).is_some())
                .into_iter()
                .filter(|glyph| self.staff.position(glyph.at.y).0 == position)
                .find(|glyph| {
                    let gap = x - (glyph.at.x + glyph.advance);
                    gap > -0.2 * space && gap < 1.5 * space
                });
            if let Some(glyph) = accidental {
                self.position(&glyph)?;
                in_force.insert(step, alteration(&glyph.meaning).expect("filtered"));
            }
            let usual = self.signature.get(&step.rem_euclid(7)).copied().unwrap_or(0);
            let alter = in_force.get(&step).copied().unwrap_or(usual);
            let pitch = Pitch { step, alter };
            heads.push(HeadRead { pitch, y: head.at.y, tied_in: false, tied_out: false });
        }
        heads.sort_by(|a, b| a.y.total_cmp(&b.y));
        let right = group.iter().map(|head| head.at.x + head.advance).fold(x, f64::max);
        let (fingers, staccato, fermata) = (vec![], false, false);
        Ok(Column { system, start, length, x, right, heads, fingers, staccato, fermata })
    }

    /// A head off the staff needs its ledger lines, every one, and no head has one too many.
    fn check_ledgers(&self, head: &Glyph, position: i32) -> Result<(), String> {
        let (x0, x1) = (head.at.x, head.at.x + head.advance);
        let has = |wanted: i32| {
            self.part.ledgers.iter().any(|line| {
                let (left, right) = (line.from.x.min(line.to.x), line.from.x.max(line.to.x));
                self.staff.position(line.from.y).0 == wanted && left < x0 && right > x1
            })
        };
        let side = position.signum();
        let needed = (6..=position.abs()).step_by(2);
        match needed.into_iter().find(|line| !has(side * line)) {
            Some(line) => Err(format!("no ledger line {} at x {x0:.1}", side * line)),
            None => Ok(()),
        }
    }

    /// How many dots stand right after an edge; each must stand in a space.
    fn dots(&self, right: f64) -> Result<usize, String> {
        let near = |dot: &Glyph| {
            let gap = dot.at.x - right;
            gap > 0.0 && gap < 1.2 * self.staff.space
        };
        let dots = self.of(|meaning| meaning == "\u{E1E7}");
        let mut spaces = std::collections::BTreeSet::new();
        for dot in dots.iter().filter(|dot| near(dot)) {
            let position = self.position(dot)?;
            if position % 2 == 0 || !spaces.insert(position) {
                return Err(format!("a dot on a line or on a dot at x {:.1}", dot.at.x));
            }
        }
        Ok(spaces.len())
    }

    /// The length of a column of heads in eighths, from its heads, stem, flag, beam and dots.
    fn length(&self, group: &[Glyph]) -> Result<i32, String> {
        let kind = group[0].meaning.as_str();
        if group.iter().any(|head| head.meaning != kind) {
            return Err(format!("heads of two kinds at x {:.1}", group[0].at.x));
        }
        let stems = self.stems_of(group);
        let plain = match (kind, &stems[..]) {
            ("\u{E0A2}", []) => 8,
            ("\u{E0A3}", [_]) => 4,
            ("\u{E0A4}", [stem]) if self.is_hooked(stem) => 1,
            ("\u{E0A4}", [_]) => 2,
            _ => {
                let (x, count) = (group[0].at.x, stems.len());
                return Err(format!("a head {kind:?} with {count} stems at x {x:.1}"));
            }
        };
        let right = group.iter().map(|head| head.at.x + head.advance).fold(0.0, f64::max);
        match self.dots(right)? {
            0 => Ok(plain),
            dots if dots == group.len() => Ok(plain + plain / 2),
            dots => Err(format!("{dots} dots for {} heads at x {right:.1}", group.len())),
        }
    }

    /// The stems at an edge of these heads, as far as they meet every one of them.
    fn stems_of(&self, group: &[Glyph]) -> Vec<Line> {
        let space = self.staff.space;
        let lowest = group.iter().map(|head| head.at.y).fold(f64::INFINITY, f64::min);
        let highest = group.iter().map(|head| head.at.y).fold(f64::NEG_INFINITY, f64::max);
        let meets = |stem: &&Line| {
            let (low, high) = (stem.from.y.min(stem.to.y), stem.from.y.max(stem.to.y));
            low < lowest + 0.4 * space
                && high > highest - 0.4 * space
                && group.iter().any(|head| {
                    let edges = [head.at.x, head.at.x + head.advance];
                    edges.into_iter().any(|edge| (edge - stem.from.x).abs() < 0.2 * space)
                })
        };
        self.part.stems.iter().filter(meets).copied().collect()
    }

    /// Whether a flag or a beam stands at the free end of a stem.
    fn is_hooked(&self, stem: &Line) -> bool {
        let space = self.staff.space;
        let flag = self.of(|meaning| matches!(meaning, "\u{E240}" | "\u{E241}"));
        let ends = [stem.from, stem.to];
        let flagged = flag.iter().any(|flag| {
            let near = |end: &Point| end.distance(flag.at) < 0.3 * space;
            ends.iter().any(near)
        });
        let beamed = self.part.beams.iter().any(|beam| {
            let ink = beam.bounding_box();
            let along = stem.from.x > ink.x0 - 0.1 * space && stem.from.x < ink.x1 + 0.1 * space;
            along
                && ends
                    .iter()
                    .any(|end| end.y > ink.y0 - 0.1 * space && end.y < ink.y1 + 0.1 * space)
        });
        flagged || beamed
    }

    /// Joins ties to heads; `pending` are the pitches tied over from the system before.
    pub(crate) fn tie(
        &self,
        columns: &mut [Column],
        pending: &mut Vec<Pitch>,
    ) -> Result<(), String> {
        let space = self.staff.space;
        let mut incoming: Vec<Pitch> = Vec::new();
        let mut outgoing: Vec<Pitch> = Vec::new();
        for (left, right) in &self.part.ties {
            let height = |column: &Column, y: f64| {
                let near = |head: &HeadRead| (head.y - y).abs();
                let best = (0..column.heads.len())
                    .min_by(|a, b| near(&column.heads[*a]).total_cmp(&near(&column.heads[*b])));
                best.filter(|head| near(&column.heads[*head]) < 0.5 * space)
            };
            let from = columns.iter().rposition(|column| column.right <= left.x + 0.05 * space);
            let from = from.filter(|from| left.x - columns[*from].right < 1.8 * space);
            let to = columns.iter().position(|column| column.x >= right.x - 0.05 * space);
            let to = to.filter(|to| columns[*to].x - right.x < 1.0 * space);
            let ends = (
                from.map(|from| (from, height(&columns[from], left.y))),
                to.map(|to| (to, height(&columns[to], right.y))),
            );
            let stray = || Err(format!("a tie at x {:.1} meets no head", left.x));
            match ends {
                (Some((from, Some(a))), Some((to, Some(b)))) => {
                    let (one, two) = (columns[from].heads[a].pitch, columns[to].heads[b].pitch);
                    let follows = columns[from].start + columns[from].length == columns[to].start;
                    if to != from + 1 || one != two || !follows {
                        return Err(format!("a tie joins {one:?} to {two:?} at x {:.1}", left.x));
                    }
                    columns[from].heads[a].tied_out = true;
                    columns[to].heads[b].tied_in = true;
                }
                (Some((from, Some(a))), None) if from + 1 == columns.len() => {
                    columns[from].heads[a].tied_out = true;
                    outgoing.push(columns[from].heads[a].pitch);
                }
                (None, Some((0, Some(b)))) => {
                    columns[0].heads[b].tied_in = true;
                    incoming.push(columns[0].heads[b].pitch);
                }
                _ => return stray(),
            }
        }
        incoming.sort();
        if incoming != *pending {
            return Err(format!("ties bring {incoming:?} over where {pending:?} left"));
        }
        outgoing.sort();
        *pending = outgoing;
        Ok(())
    }

    /// Fingers, staccato dots and fermatas go to the column over or under which they stand; the
    /// left hand's fingers may also stand at the left of their chord's stem.
    pub(crate) fn dress(&self, columns: &mut [Column], hand: usize) -> Result<(), String> {
        let space = self.staff.space;
        let mut digits: Vec<Glyph> = self.of(|meaning| ("\u{ED10}".."\u{ED16}").contains(&meaning));
        digits.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
        let near = |columns: &mut [Column], glyph: &Glyph| {
            let centre = glyph.at.x + glyph.advance / 2.0;
            columns.iter().position(|column| (column.centre() - centre).abs() < 0.7 * space)
        };
        for digit in digits {
            let right_side = (hand == 0) == (digit.at.y > self.staff.middle);
            let beside = |columns: &mut [Column]| {
                let right = digit.at.x + digit.advance;
                let stands = |gap: f64| (0.2..0.7).contains(&(gap / space));
                columns.iter().position(|column| hand == 1 && stands(column.x - right))
            };
            let index = near(columns, &digit).or_else(|| beside(columns));
            let Some(index) = index.filter(|_| right_side) else {
                return Err(format!("a finger at x {:.1} belongs to no note", digit.at.x));
            };
            let number = digit.meaning.chars().next().expect("a digit") as u32 - 0xED10;
            columns[index].fingers.push(number as u8);
        }
        for glyph in self.of(|meaning| ("\u{E4A2}".."\u{E4A4}").contains(&meaning)) {
            let index = near(columns, &glyph).ok_or("a staccato dot over nothing")?;
            columns[index].staccato = true;
        }
        for glyph in self.of(|meaning| ("\u{E4C0}".."\u{E4C2}").contains(&meaning)) {
            let index = near(columns, &glyph).ok_or("a fermata over nothing")?;
            columns[index].fermata = true;
        }
        Ok(())
    }
}
