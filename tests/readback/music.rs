//! Notes: what every head on a page means, by its staff, clef, signature and accidentals.

use kurbo::{BezPath, PathEl, Point, Shape as _};

use crate::ink::{Glyph, Ink, Line};
use crate::reader::Reader;
use crate::staff::{Staff, System, nearest, systems};

/// A spelled pitch.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Pitch {
    /// Steps above C0.
    pub(crate) step: i32,
    /// Semitones of alteration.
    pub(crate) alter: i32,
}

impl std::fmt::Debug for Pitch {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let name = crate::oracle::Name { letter: self.step.rem_euclid(7), alter: self.alter };
        write!(f, "{}{}", name.printed(), self.step.div_euclid(7))
    }
}

/// A struck note: ties are joined. Times in eighths from the beginning of the page's music.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Sound {
    pub(crate) start: i32,
    pub(crate) end: i32,
    pub(crate) pitch: Pitch,
}

/// One column of heads on a staff.
#[derive(Clone, Debug)]
pub(crate) struct Column {
    /// Which system of the page.
    pub(crate) system: usize,
    pub(crate) start: i32,
    pub(crate) length: i32,
    /// The left edge of its heads and the right edge.
    pub(crate) x: f64,
    pub(crate) right: f64,
    /// Low to high: pitch, height, whether a tie comes in and goes out.
    pub(crate) heads: Vec<HeadRead>,
    /// Finger digits beside it, low to high.
    pub(crate) fingers: Vec<u8>,
    pub(crate) staccato: bool,
    pub(crate) fermata: bool,
}

/// One head of a column.
#[derive(Clone, Copy, Debug)]
pub(crate) struct HeadRead {
    pub(crate) pitch: Pitch,
    pub(crate) y: f64,
    pub(crate) tied_in: bool,
    pub(crate) tied_out: bool,
}

impl Column {
    /// The middle of its heads.
    pub(crate) fn centre(&self) -> f64 {
        (self.x + self.right) / 2.0
    }

    /// Whether any of its notes is struck.
    pub(crate) fn is_struck(&self) -> bool {
        self.heads.iter().any(|head| !head.tied_in)
    }
}

/// The music of one page.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    pub(crate) systems: Vec<System>,
    /// The signature as each staff of each system shows it: letter and alteration, in order.
    pub(crate) signature: Vec<(i32, i32)>,
    /// The columns of the upper and the lower staff.
    pub(crate) hands: [Vec<Column>; 2],
    /// Bars on the page, each as long as the time signature says.
    pub(crate) bars: usize,
    /// Eighths in a bar.
    pub(crate) bar: i32,
}

impl Sheet {
    /// What a hand strikes, ties joined, in order.
    pub(crate) fn sounds(&self, hand: usize) -> Vec<Sound> {
        let mut sounds: Vec<Sound> = Vec::new();
        for column in &self.hands[hand] {
            let end = column.start + column.length;
            for head in &column.heads {
                let before = sounds
                    .iter_mut()
                    .find(|sound| sound.pitch == head.pitch && sound.end == column.start);
                match before.filter(|_| head.tied_in) {
                    Some(sound) => sound.end = end,
                    None => sounds.push(Sound { start: column.start, end, pitch: head.pitch }),
                }
            }
        }
        sounds.sort();
        sounds
    }
}

/// Reads a page; `None` where it has no staves.
pub(crate) fn read(ink: &Ink) -> Result<Option<Sheet>, String> {
    let systems = systems(ink)?;
    if systems.is_empty() {
        return Ok(None);
    }
    let parts = parts(ink, &systems);
    let mut sheet = Sheet { systems, signature: vec![], hands: [vec![], vec![]], bars: 0, bar: 0 };
    let mut clefs = [None; 2];
    let mut pending: [Vec<Pitch>; 2] = [vec![], vec![]];
    for index in 0..sheet.systems.len() {
        let mut lengths = [0; 2];
        for hand in 0..2 {
            let part = parts[2 * index + hand].clone();
            let ends = sheet.systems[index].bar_ends.clone();
            let where_ = format!("system {}, staff {}", index + 1, hand + 1);
            let fail = |what: String| format!("{where_}: {what}");
            let mut reader = Reader::new(part, ends);
            reader.open(index == 0 && hand == 0, &mut sheet).map_err(fail)?;
            if clefs[hand].is_some_and(|clef| clef != reader.opening) {
                return Err(fail("the clef is not the one that the line above ended in".into()));
            }
            let first = sheet.bars as i32 * sheet.bar;
            let mut columns = reader.columns(index, first, sheet.bar).map_err(fail)?;
            clefs[hand] = Some(reader.closing());
            reader.tie(&mut columns, &mut pending[hand]).map_err(fail)?;
            reader.dress(&mut columns, hand).map_err(fail)?;
            lengths[hand] = reader.bar_ends.len();
            sheet.hands[hand].extend(columns);
        }
        sheet.bars += lengths[0];
    }
    if pending.iter().any(|pitches| !pitches.is_empty()) {
        return Err("a tie leads off the page".to_owned());
    }
    Ok(Some(sheet))
}

/// Everything that lies nearest to one staff.
#[derive(Clone)]
pub(crate) struct Part {
    pub(crate) staff: Staff,
    pub(crate) glyphs: Vec<Glyph>,
    pub(crate) ties: Vec<(Point, Point)>,
    pub(crate) beams: Vec<BezPath>,
    pub(crate) stems: Vec<Line>,
    pub(crate) ledgers: Vec<Line>,
}

/// Shares the ink of a page out among its staves.
fn parts(ink: &Ink, systems: &[System]) -> Vec<Part> {
    let staves: Vec<Staff> =
        systems.iter().flat_map(|system| [system.upper, system.lower]).collect();
    let empty = |staff: &Staff| Part {
        staff: *staff,
        glyphs: vec![],
        ties: vec![],
        beams: vec![],
        stems: vec![],
        ledgers: vec![],
    };
    let mut parts: Vec<Part> = staves.iter().map(empty).collect();
    let within = |staff: &Staff, x: f64| x >= staff.left && x <= staff.right + staff.space;
    for glyph in &ink.glyphs {
        let index = nearest(systems, glyph.at);
        if within(&staves[index], glyph.at.x) && is_music(&glyph.meaning) {
            parts[index].glyphs.push(glyph.clone());
        }
    }
    for fill in &ink.fills {
        let index = nearest(systems, fill.bounding_box().center());
        let curved = fill.elements().iter().any(|element| matches!(element, PathEl::CurveTo(..)));
        let (ink, staff) = (fill.bounding_box(), &staves[index]);
        let wide = ink.width() > staff.space;
        // Three ledger lines, and room for a stem or an arch past them.
        let by_the_staff = (ink.center().y - staff.middle).abs() < 9.0 * staff.space;
        if !by_the_staff || !within(staff, ink.x0) {
            continue;
        }
        if curved && wide {
            parts[index].ties.push(tips(fill));
        } else if wide {
            parts[index].beams.push(fill.clone());
        }
    }
    for line in &ink.lines {
        let middle = line.from.midpoint(line.to);
        let index = nearest(systems, middle);
        let (staff, part) = (&staves[index], &mut parts[index]);
        let length = line.from.distance(line.to) / staff.space;
        if (line.from.x - line.to.x).abs() < 0.01 && length < 9.0 {
            part.stems.push(*line);
        } else if (line.from.y - line.to.y).abs() < 0.01 && length < 5.0 {
            part.ledgers.push(*line);
        }
    }
    parts
}

fn is_music(meaning: &str) -> bool {
    meaning.chars().next().is_some_and(|sign| ('\u{E000}'..'\u{F400}').contains(&sign))
}

/// The left and the right tip of a tie's outline.
fn tips(path: &BezPath) -> (Point, Point) {
    let points: Vec<Point> = path
        .segments()
        .flat_map(|segment| [kurbo::ParamCurve::start(&segment), kurbo::ParamCurve::end(&segment)])
        .collect();
    let bounds = path.bounding_box();
    let at = |x: f64| {
        let near: Vec<f64> =
            points.iter().filter(|point| (point.x - x).abs() < 0.05).map(|point| point.y).collect();
        Point::new(x, near.iter().sum::<f64>() / near.len().max(1) as f64)
    };
    (at(bounds.x0), at(bounds.x1))
}
