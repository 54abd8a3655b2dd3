//! Staves, systems and barlines, found among the lines of a page.

use kurbo::{Point, Shape as _};
use quintfall::score::Barline;

use crate::ink::{Glyph, Ink, Line};
use crate::rhythm::is_head;

/// Five lines.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Staff {
    pub(crate) left: f64,
    pub(crate) right: f64,
    /// The height of its middle line.
    pub(crate) middle: f64,
    /// A staff space.
    pub(crate) space: f64,
}

impl Staff {
    /// Half-spaces above the middle line, and how far from that the height really is, in spaces.
    pub(crate) fn position(&self, y: f64) -> (i32, f64) {
        let halves = (y - self.middle) / self.space * 2.0;
        (halves.round() as i32, (halves - halves.round()).abs() / 2.0)
    }

    fn top(&self) -> f64 {
        self.middle + 2.0 * self.space
    }

    fn bottom(&self) -> f64 {
        self.middle - 2.0 * self.space
    }
}

/// Two staves under one brace.
#[derive(Clone, Debug)]
pub(crate) struct System {
    pub(crate) upper: Staff,
    pub(crate) lower: Staff,
    /// The abscissas at which its bars end.
    pub(crate) bar_ends: Vec<f64>,
    /// What each of its bars ends with.
    pub(crate) barlines: Vec<Barline>,
    /// Whether a repeat begins before its first bar.
    pub(crate) begins_repeat: bool,
    /// Which of the pages of its key it stands on.
    pub(crate) page: usize,
}

/// The systems of a page, from the top; `page` is its place among those of a key.
pub(crate) fn systems(ink: &Ink, page: usize) -> Result<Vec<System>, String> {
    let mut staves = staves(&ink.lines);
    staves.sort_by(|a, b| b.middle.total_cmp(&a.middle));
    if !staves.len().is_multiple_of(2) {
        return Err(format!("{} staves do not make pairs", staves.len()));
    }
    staves.chunks(2).map(|pair| system(ink, page, pair[0], pair[1])).collect()
}

/// Groups of five horizontal rules of one reach, evenly spaced as on a staff.
fn staves(lines: &[Line]) -> Vec<Staff> {
    let mut rules: Vec<(f64, f64, f64)> = lines
        .iter()
        .filter(|line| (line.from.y - line.to.y).abs() < 0.01)
        .map(|line| (line.from.x.min(line.to.x), line.from.x.max(line.to.x), line.from.y))
        .filter(|(left, right, _)| right - left > 150.0)
        .collect();
    rules.sort_by(|a, b| b.2.total_cmp(&a.2));
    let mut staves = Vec::new();
    let mut at = 0;
    while at + 5 <= rules.len() {
        let five = &rules[at..at + 5];
        let gap = (five[0].2 - five[4].2) / 4.0;
        let even = five.windows(2).all(|two| (two[0].2 - two[1].2 - gap).abs() < 0.03);
        let flush = five
            .iter()
            .all(|rule| (rule.0 - five[0].0).abs() < 0.03 && (rule.1 - five[0].1).abs() < 0.03);
        if even && flush && (3.0..8.0).contains(&gap) {
            let (left, right, middle) = five[2];
            staves.push(Staff { left, right, middle, space: gap });
            at += 5;
        } else {
            at += 1;
        }
    }
    staves
}

fn system(ink: &Ink, page: usize, upper: Staff, lower: Staff) -> Result<System, String> {
    let space = upper.space;
    if (upper.space - lower.space).abs() > 0.02 || (upper.left - lower.left).abs() > 0.02 {
        return Err("the staves of a pair differ".to_owned());
    }
    let brace = |glyph: &&Glyph| {
        glyph.meaning == "\u{E000}"
            && glyph.at.x < upper.left
            && glyph.at.x > upper.left - 3.0 * space
            && (glyph.at.y - lower.bottom()).abs() < 0.3 * space
            && (glyph.size - (upper.top() - lower.bottom())).abs() < 0.3 * space
    };
    if ink.glyphs.iter().filter(brace).count() != 1 {
        return Err(format!("no brace at the staves at {:.1}", upper.middle));
    }
    let mut barlines: Vec<(f64, f64)> = ink
        .lines
        .iter()
        .filter_map(|line| {
            let (low, high) = (line.from.y.min(line.to.y), line.from.y.max(line.to.y));
            let whole = (high - upper.top()).abs() < 0.3 * space
                && (low - lower.bottom()).abs() < 0.3 * space;
            (whole && (line.from.x - line.to.x).abs() < 0.01).then_some((line.from.x, line.width))
        })
        .collect();
    barlines.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some((first, rest)) = barlines.split_first() else {
        return Err("a system without barlines".to_owned());
    };
    if (first.0 - upper.left).abs() > 0.3 * space {
        return Err("no line joins the staves at the left".to_owned());
    }
    let mut groups: Vec<Vec<(f64, f64)>> = Vec::new();
    for (x, width) in rest {
        match groups.last_mut().and_then(|group| Some((group.last()?.0, group))) {
            Some((end, group)) if x - end < 1.5 * space => group.push((*x, *width)),
            _ => groups.push(vec![(*x, *width)]),
        }
    }
    let kinds = groups.iter().map(|group| kind(ink, group, upper, lower));
    let mut barlines = kinds.collect::<Result<Vec<Barline>, String>>()?;
    let mut bar_ends: Vec<f64> = groups.iter().filter_map(|group| Some(group.last()?.0)).collect();
    // Before the first note a repeat begins, and no bar ends.
    let begins_repeat = groups.len() > 1
        && barlines[0] == Barline::RepeatBegin
        && !ink.glyphs.iter().any(|glyph| {
            let is_music = is_head(&glyph.meaning)
                || ("\u{E4E0}".."\u{E500}").contains(&glyph.meaning.as_str());
            let height = lower.bottom() - 6.0 * space..upper.top() + 6.0 * space;
            is_music
                && height.contains(&glyph.at.y)
                && glyph.at.x > upper.left
                && glyph.at.x < bar_ends[0]
        });
    if begins_repeat {
        barlines.remove(0);
        bar_ends.remove(0);
    }
    let end = bar_ends.last().copied().unwrap_or(upper.left);
    let warns = ink.glyphs.iter().any(|glyph| {
        let is_sign = ("\u{E260}".."\u{E263}").contains(&glyph.meaning.as_str());
        is_sign
            && upper.position(glyph.at.y).0.abs() < 6
            && glyph.at.x > end
            && glyph.at.x < upper.right
    });
    if (end - upper.right).abs() > 0.5 * space && !warns {
        return Err("the last barline does not end the staff".to_owned());
    }
    Ok(System { upper, lower, bar_ends, barlines, begins_repeat, page })
}

/// What lines that stand together, with the dots beside them, say.
fn kind(ink: &Ink, group: &[(f64, f64)], upper: Staff, lower: Staff) -> Result<Barline, String> {
    let space = upper.space;
    let (first, last) = (group[0].0, group[group.len() - 1].0);
    let dots = |from: f64, to: f64| {
        let dot = |fill: &&kurbo::BezPath| {
            let area = fill.bounding_box();
            let (across, centre) = (area.width() / space, area.center());
            let at = |staff: Staff| {
                let (position, off) = staff.position(centre.y);
                position.abs() == 1 && off < 0.06
            };
            (0.4..0.5).contains(&across)
                && (area.height() / space - across).abs() < 0.02
                && (from..to).contains(&centre.x)
                && (at(upper) || at(lower))
        };
        ink.fills.iter().filter(dot).count()
    };
    let reach = 1.3 * space;
    let sides = [dots(first - reach, first), dots(last, last + reach)];
    let thick: Vec<bool> = group.iter().map(|(_, width)| *width > 0.3 * space).collect();
    match (&thick[..], sides) {
        ([false], [0, 0]) => Ok(Barline::Single),
        ([false, false], [0, 0]) => Ok(Barline::Double),
        ([true, false], [0, 4]) => Ok(Barline::RepeatBegin),
        ([false, true], [4, 0]) => Ok(Barline::RepeatEnd),
        ([false, true, false], [4, 4]) => Ok(Barline::RepeatBoth),
        ([false, true], [0, 0]) => Ok(Barline::Final),
        _ => Err(format!("no barline has lines {thick:?} and dots {sides:?} at x {first:.1}")),
    }
}

/// Which staff, counted over all systems from the top, a point lies nearest to.
pub(crate) fn nearest(systems: &[System], at: Point) -> usize {
    let middles = systems.iter().flat_map(|system| [system.upper.middle, system.lower.middle]);
    let distances = middles.map(|middle| (middle - at.y).abs());
    distances
        .enumerate()
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(index, _)| index)
        .expect("a page has staves")
}
