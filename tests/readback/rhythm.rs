//! Written values, from shapes alone: heads, stems, flags, beams, dots, rests, triplets.

use std::collections::BTreeSet;

use crate::ink::{Glyph, Line};
use crate::share::{Arm, Beam, Part};

/// Moments and lengths are counted in parts of a quarter that halves, thirds and their halves
/// come out even in.
pub(crate) const QUARTER: i32 = 48;

/// A value as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Value {
    /// The length that its shape alone says.
    pub(crate) plain: i32,
    pub(crate) dots: usize,
    /// Whether it is one of those of which three last as long as two.
    pub(crate) triplet: bool,
}

impl Value {
    /// How long it lasts.
    pub(crate) fn ticks(self) -> i32 {
        let dotted = if self.dots > 0 { self.plain + self.plain / 2 } else { self.plain };
        if self.triplet { dotted * 2 / 3 } else { dotted }
    }
}

/// A rest, or heads that stand together.
#[derive(Clone, Debug)]
pub(crate) struct Item {
    pub(crate) left: f64,
    pub(crate) right: f64,
    /// Its heads, low to high; none for a rest.
    pub(crate) heads: Vec<Glyph>,
    pub(crate) stem: Option<Line>,
    pub(crate) value: Value,
}

impl Item {
    fn centre(&self) -> f64 {
        (self.left + self.right) / 2.0
    }
}

pub(crate) fn is_head(meaning: &str) -> bool {
    matches!(meaning, "\u{E0A2}" | "\u{E0A3}" | "\u{E0A4}")
}

fn rest(meaning: &str) -> Option<i32> {
    match meaning {
        "\u{E4E3}" => Some(4 * QUARTER),
        "\u{E4E4}" => Some(2 * QUARTER),
        "\u{E4E5}" => Some(QUARTER),
        "\u{E4E6}" => Some(QUARTER / 2),
        "\u{E4E7}" => Some(QUARTER / 4),
        _ => None,
    }
}

/// How many flags a sign draws at once, and whether it hangs at the upper end of a stem.
fn flags(meaning: &str) -> Option<(u32, bool)> {
    match meaning {
        "\u{E240}" => Some((1, true)),
        "\u{E241}" => Some((1, false)),
        "\u{E242}" => Some((2, true)),
        "\u{E243}" => Some((2, false)),
        _ => None,
    }
}

const DOT: &str = "\u{E1E7}";
/// The digit over a triplet.
pub(crate) const THREE: &str = "\u{E883}";

/// Reads the values of everything on one staff, left to right.
pub(crate) fn items(part: &Part) -> Result<Vec<Item>, String> {
    let mut items = groups(part)?;
    for glyph in &part.glyphs {
        let Some(plain) = rest(&glyph.meaning) else { continue };
        let value = Value { plain, dots: 0, triplet: false };
        let right = glyph.at.x + glyph.advance;
        items.push(Item { left: glyph.at.x, right, heads: vec![], stem: None, value });
    }
    items.sort_by(|a, b| a.left.total_cmp(&b.left));
    dot(part, &mut items)?;
    tell_triplets(part, &mut items)?;
    nothing_left_over(part, &items)?;
    Ok(items)
}

/// Heads that share a stem, or stand as near as if they did.
fn groups(part: &Part) -> Result<Vec<Item>, String> {
    let space = part.staff.space;
    let mut groups: Vec<Vec<Glyph>> = Vec::new();
    for head in part.glyphs.iter().filter(|glyph| is_head(&glyph.meaning)) {
        // A whole note stands a whole head's width beside the one that it makes a second with.
        let near = (1.4 * space).max(1.05 * head.advance);
        match groups.last_mut() {
            Some(group) if head.at.x - group[0].at.x < near => group.push(head.clone()),
            _ => groups.push(vec![head.clone()]),
        }
    }
    let item = |mut heads: Vec<Glyph>| {
        heads.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
        let (stem, plain) = plain(part, &heads)?;
        let left = heads.iter().map(|head| head.at.x).fold(f64::INFINITY, f64::min);
        let right = heads.iter().map(|head| head.at.x + head.advance).fold(0.0, f64::max);
        Ok(Item { left, right, heads, stem, value: Value { plain, dots: 0, triplet: false } })
    };
    groups.into_iter().map(item).collect()
}

/// What heads, stem, and flags or beams say.
fn plain(part: &Part, heads: &[Glyph]) -> Result<(Option<Line>, i32), String> {
    let (kind, x) = (heads[0].meaning.as_str(), heads[0].at.x);
    if heads.iter().any(|head| head.meaning != kind) {
        return Err(format!("heads of two kinds at x {x:.1}"));
    }
    let stems = stems_of(part, heads);
    let hooks = stems.first().map_or(Ok(0), |stem| hooks(part, stem, heads))?;
    let plain = match (kind, stems.len(), hooks) {
        ("\u{E0A2}", 0, 0) => 4 * QUARTER,
        ("\u{E0A3}", 1, 0) => 2 * QUARTER,
        ("\u{E0A4}", 1, 0..=3) => QUARTER >> hooks,
        _ => {
            let count = stems.len();
            return Err(format!("head {kind:?} with {count} stems, {hooks} hooks at x {x:.1}"));
        }
    };
    Ok((stems.first().copied(), plain))
}

/// The stems at an edge of these heads, as far as they meet every one of them.
fn stems_of(part: &Part, heads: &[Glyph]) -> Vec<Line> {
    let space = part.staff.space;
    let (lowest, highest) = (heads[0].at.y, heads[heads.len() - 1].at.y);
    let meets = |stem: &&Line| {
        let (low, high) = ends(stem);
        low < lowest + 0.4 * space
            && high > highest - 0.4 * space
            && heads.iter().any(|head| {
                let edges = [head.at.x, head.at.x + head.advance];
                edges.into_iter().any(|edge| (edge - stem.from.x).abs() < 0.2 * space)
            })
    };
    part.stems.iter().filter(meets).copied().collect()
}

fn ends(stem: &Line) -> (f64, f64) {
    (stem.from.y.min(stem.to.y), stem.from.y.max(stem.to.y))
}

/// Whether a stem's free end is its upper one.
fn points_up(stem: &Line, heads: &[Glyph]) -> bool {
    let (low, high) = ends(stem);
    high - heads[heads.len() - 1].at.y > heads[0].at.y - low
}

/// How many flags or beams a stem bears at its free end.
fn hooks(part: &Part, stem: &Line, heads: &[Glyph]) -> Result<u32, String> {
    let (space, x) = (part.staff.space, stem.from.x);
    let (low, high) = ends(stem);
    let up = points_up(stem, heads);
    let tip = if up { high } else { low };
    let mut flagged = 0;
    for glyph in &part.glyphs {
        let Some((count, hangs_up)) = flags(&glyph.meaning) else { continue };
        if (glyph.at.x - x).abs() < 0.2 * space && (glyph.at.y - tip).abs() < 0.3 * space {
            if hangs_up != up {
                return Err(format!("a flag the wrong way up at x {x:.1}"));
            }
            flagged += count;
        }
    }
    let beamed = part.beams.iter().filter(|beam| crosses(beam, x, tip, up, space)).count() as u32;
    if flagged > 0 && beamed > 0 {
        return Err(format!("a flag and a beam at x {x:.1}"));
    }
    Ok(flagged + beamed)
}

/// Whether a beam crosses a stem in the stretch near its tip where beams are.
fn crosses(beam: &Beam, x: f64, tip: f64, up: bool, space: f64) -> bool {
    let along = x > beam.left.x - 0.1 * space && x < beam.right.x + 0.1 * space;
    let depth = (tip - beam.height(x)) * if up { 1.0 } else { -1.0 };
    along && depth > -0.4 * space && depth < 2.0 * space
}

/// Gives dots to what stands left of them; each must stand in a space, beside a head or a rest.
fn dot(part: &Part, items: &mut [Item]) -> Result<(), String> {
    let staff = &part.staff;
    let mut taken: Vec<BTreeSet<i32>> = vec![BTreeSet::new(); items.len()];
    for glyph in part.glyphs.iter().filter(|glyph| glyph.meaning == DOT) {
        let x = glyph.at.x;
        let owner = items.iter().rposition(|item| item.right <= x + 0.05 * staff.space);
        let owner = owner.filter(|owner| x - items[*owner].right < 2.6 * staff.space);
        let owner = owner.ok_or_else(|| format!("a dot beside nothing at x {x:.1}"))?;
        let (position, off) = staff.position(glyph.at.y);
        let near = |head: &Glyph| (staff.position(head.at.y).0 - position).abs() <= 1;
        let beside = items[owner].heads.is_empty() || items[owner].heads.iter().any(near);
        if off > 0.06 || position % 2 == 0 || !beside || !taken[owner].insert(position) {
            return Err(format!("a dot out of its place at x {x:.1}"));
        }
    }
    for (item, dots) in items.iter_mut().zip(taken) {
        item.value.dots = match dots.len() {
            0 => 0,
            count if count == item.heads.len().max(1) => 1,
            count => return Err(format!("{count} dots for a chord at x {:.1}", item.left)),
        };
    }
    Ok(())
}

/// Finds what each digit of a triplet reaches over: its bracket, or the beam it stands at.
fn tell_triplets(part: &Part, items: &mut [Item]) -> Result<(), String> {
    let space = part.staff.space;
    for digit in part.glyphs.iter().filter(|glyph| glyph.meaning == THREE) {
        let centre = digit.at.x + digit.advance / 2.0;
        let reach = bracket(part, digit).or_else(|| beam_at(part, items, digit));
        let Some((left, right)) = reach else {
            return Err(format!("a triplet's digit over nothing at x {centre:.1}"));
        };
        if ((left + right) / 2.0 - centre).abs() > 0.8 * space {
            return Err(format!("a triplet's digit beside its middle at x {centre:.1}"));
        }
        let within = |item: &&mut Item| (left..right).contains(&item.centre());
        let mut written = 0;
        for item in items.iter_mut().filter(within) {
            if item.value.triplet {
                return Err(format!("two triplets over one note at x {:.1}", item.left));
            }
            written += item.value.ticks();
            item.value.triplet = true;
        }
        if ![3, 6, 12].contains(&(4 * written / QUARTER)) || written % 3 != 0 {
            return Err(format!("a triplet of {written} at x {centre:.1}"));
        }
    }
    Ok(())
}

/// From where to where the bracket round a digit reaches, if it has one: two arms of one kind.
fn bracket(part: &Part, digit: &Glyph) -> Option<(f64, f64)> {
    let space = part.staff.space;
    let end = digit.at.x + digit.advance;
    let level = |arm: &&Arm| {
        let rise = arm.y - digit.at.y;
        rise > -0.6 * space && rise < 2.0 * space
    };
    let near = |gap: f64| gap > -0.2 * space && gap < 1.2 * space;
    let mut arms = part.arms.iter().filter(level);
    let before = arms.clone().find(|arm| arm.outer < arm.inner && near(digit.at.x - arm.inner))?;
    let after = arms.find(|arm| arm.outer > arm.inner && near(arm.inner - end))?;
    let air = 0.3 * space;
    (before.down == after.down).then_some((before.outer - air, after.outer + air))
}

/// From where to where the notes under the beam at a digit reach.
fn beam_at(part: &Part, items: &[Item], digit: &Glyph) -> Option<(f64, f64)> {
    let space = part.staff.space;
    let centre = digit.at.x + digit.advance / 2.0;
    let near = |beam: &&Beam| {
        let middle = (beam.left.x + beam.right.x) / 2.0;
        (middle - centre).abs() < 1.0 * space
            && (beam.height(middle) - digit.at.y).abs() < 6.0 * space
    };
    let width = |beam: &&Beam| beam.right.x - beam.left.x;
    let beam = part.beams.iter().filter(near).max_by(|a, b| width(a).total_cmp(&width(b)))?;
    let air = 0.1 * space;
    let hangs = |item: &&Item| {
        item.stem.is_some_and(|stem| (beam.left.x - air..beam.right.x + air).contains(&stem.from.x))
    };
    let (first, last) = (items.iter().find(hangs)?, items.iter().rfind(hangs)?);
    Some((first.left - air, last.right + air))
}

/// Every stem, flag and beam belongs to a note.
fn nothing_left_over(part: &Part, items: &[Item]) -> Result<(), String> {
    let space = part.staff.space;
    let stems: Vec<Line> = items.iter().filter_map(|item| item.stem).collect();
    let is = |one: &Line, other: &Line| one.from == other.from && one.to == other.to;
    if let Some(stray) = part.stems.iter().find(|stem| !stems.iter().any(|own| is(own, stem))) {
        return Err(format!("a stem without a head at x {:.1}", stray.from.x));
    }
    for glyph in part.glyphs.iter().filter(|glyph| flags(&glyph.meaning).is_some()) {
        let hangs = |stem: &Line| {
            let (low, high) = ends(stem);
            let off = (glyph.at.y - low).abs().min((glyph.at.y - high).abs());
            (stem.from.x - glyph.at.x).abs() < 0.2 * space && off < 0.3 * space
        };
        if !stems.iter().any(hangs) {
            return Err(format!("a flag without a stem at x {:.1}", glyph.at.x));
        }
    }
    let figures = part.glyphs.iter().filter(|glyph| glyph.meaning == THREE);
    let bracketed = figures.filter(|digit| bracket(part, digit).is_some()).count();
    if part.arms.len() != 2 * bracketed {
        return Err(format!("{} halves of {bracketed} brackets", part.arms.len()));
    }
    for beam in &part.beams {
        let carries = |stem: &Line| {
            let (low, high) = ends(stem);
            [true, false]
                .iter()
                .any(|up| crosses(beam, stem.from.x, if *up { high } else { low }, *up, space))
        };
        if !stems.iter().any(carries) {
            return Err(format!("a beam without stems at x {:.1}", beam.left.x));
        }
    }
    Ok(())
}
