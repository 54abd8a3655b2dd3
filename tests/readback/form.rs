//! Signs of form and of octaves, taken off a page before its notes are read: boxed letters, titles,
//! brackets of endings, octave lines.

use kurbo::{BezPath, ParamCurve as _, PathEl, Point, Rect, Shape as _};

use crate::ink::{Glyph, Ink};
use crate::music::Sheet;
use crate::staff::{Staff, System};

/// What a page says besides its notes.
#[derive(Clone, Debug, Default)]
pub(crate) struct Form {
    /// The letters in boxes, and where the boxes begin.
    pub(crate) letters: Vec<(String, Point)>,
    /// Other words over a system, and where they begin.
    pub(crate) endings: Vec<Bracket>,
    pub(crate) octaves: Vec<Octave>,
    /// Runs of words that are nothing else.
    pub(crate) titles: Vec<(String, Point)>,
}

/// The bracket of an ending.
#[derive(Clone, Debug)]
pub(crate) struct Bracket {
    /// Its number; empty where it goes on from another system.
    pub(crate) words: String,
    pub(crate) ink: Rect,
    /// Whether it has a jog at its left and at its right end.
    pub(crate) jogs: [bool; 2],
}

/// An octave line.
#[derive(Clone, Debug)]
pub(crate) struct Octave {
    pub(crate) octaves: i32,
    /// Whether its figure stands in brackets.
    pub(crate) goes_on: bool,
    /// Whether a hook ends it.
    pub(crate) is_hooked: bool,
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) y: f64,
}

/// Runs of text on one page, in order.
fn runs(ink: &Ink) -> Vec<(usize, String, Point, f64)> {
    let mut runs: Vec<(usize, String, Point, f64)> = Vec::new();
    for glyph in &ink.glyphs {
        let right = glyph.at.x + glyph.advance;
        match runs.last_mut().filter(|run| run.0 == glyph.run) {
            Some(run) => {
                run.1.push_str(&glyph.meaning);
                run.3 = right;
            }
            None => runs.push((glyph.run, glyph.meaning.clone(), glyph.at, right)),
        }
    }
    runs
}

/// The runs that stand in boxes: letters of sections, which are no chords even where they look so,
/// such as A2.
pub(crate) fn boxed(ink: &Ink, space: f64) -> Vec<usize> {
    let runs = runs(ink);
    let is_box = |fill: &&BezPath| {
        is_straight(fill)
            && rings(fill) == 2
            && (2.0..4.0).contains(&(fill.bounding_box().height() / space))
    };
    let inside = |area: Rect| runs.iter().find(|run| area.contains(run.2)).map(|run| run.0);
    ink.fills.iter().filter(is_box).filter_map(|fill| inside(fill.bounding_box())).collect()
}

fn corners(fill: &BezPath) -> Vec<Point> {
    let mut corners: Vec<Point> = Vec::new();
    for segment in fill.segments() {
        if corners.iter().all(|other| other.distance(segment.start()) > 0.02) {
            corners.push(segment.start());
        }
    }
    corners
}

fn is_straight(fill: &BezPath) -> bool {
    !fill.elements().iter().any(|it| matches!(it, PathEl::CurveTo(..) | PathEl::QuadTo(..)))
}

/// How many outlines a path has.
fn rings(fill: &BezPath) -> usize {
    fill.elements().iter().filter(|it| matches!(it, PathEl::MoveTo(_))).count()
}

/// Takes the signs off a page with staves of one size; what is left is read as other music is.
pub(crate) fn take(ink: &Ink, systems: &[System]) -> (Ink, Form) {
    let mut left = ink.clone();
    let mut form = Form::default();
    let Some(space) = systems.first().map(|system| system.upper.space) else { return (left, form) };
    let runs = runs(ink);
    let mut gone: Vec<usize> = Vec::new();
    let inside = |area: Rect| runs.iter().find(|run| area.contains(run.2));
    left.fills.retain(|fill| {
        let area = fill.bounding_box();
        let tall = area.height() / space;
        if !is_straight(fill) {
            return true;
        }
        if rings(fill) == 2 && (2.0..4.0).contains(&tall) {
            let Some(run) = inside(area) else { return true };
            form.letters.push((run.1.clone(), Point::new(area.x0, area.y0)));
            gone.push(run.0);
            return false;
        }
        let over = systems.iter().any(|system| {
            area.y0 > system.upper.middle + 2.0 * space
                && area.y0 < system.upper.middle + 30.0 * space
        });
        let at = corners(fill);
        let is_line = tall < 0.2 && at.len() == 4;
        let has_jogs = (1.9..2.1).contains(&tall) && (at.len() == 6 || at.len() == 8);
        if over && area.width() > 3.0 * space && (is_line || has_jogs) {
            let jog = |x: f64| {
                let heights = at.iter().filter(|at| (at.x - x).abs() < 0.05).map(|at| at.y);
                let (low, high) = heights
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |it, y| (it.0.min(y), it.1.max(y)));
                high - low > space
            };
            let jogs = [jog(area.x0), jog(area.x1)];
            let below = Rect::new(area.x0, area.y1 - 2.0 * space, area.x0 + 2.0 * space, area.y1);
            let number = inside(below).filter(|run| run.1.ends_with('.'));
            gone.extend(number.map(|run| run.0));
            let words = number.map_or_else(String::new, |run| run.1.clone());
            form.endings.push(Bracket { words, ink: area, jogs });
            return false;
        }
        true
    });
    for (run, words, at, right) in &runs {
        let bare = words.trim_matches(['(', ')']);
        let octaves = match bare {
            "8va" => 1,
            "8vb" => -1,
            _ => continue,
        };
        gone.push(*run);
        form.octaves.push(octave(&mut left, octaves, words != bare, (*at, *right), space));
    }
    let is_title = |run: &&(usize, String, Point, f64)| {
        let letters = run.1.chars().filter(|c| c.is_alphabetic() && c.is_ascii()).count();
        let below = systems.iter().position(|it| it.upper.middle + 4.0 * space < run.2.y);
        let over = below.is_some_and(|own| own == 0 || run.2.y < systems[own - 1].lower.middle);
        over && letters > 3 && !run.1.contains("maj") && !gone.contains(&run.0)
    };
    let titles: Vec<_> = runs.iter().filter(is_title).cloned().collect();
    gone.extend(titles.iter().map(|run| run.0));
    form.titles = titles.into_iter().map(|run| (run.1, run.2)).collect();
    left.glyphs.retain(|glyph: &Glyph| !gone.contains(&glyph.run));
    (left, form)
}

/// The dashes and the hook of an octave line that begins with a figure; they leave the page.
fn octave(
    left: &mut Ink,
    octaves: i32,
    goes_on: bool,
    (at, figure_right): (Point, f64),
    space: f64,
) -> Octave {
    let mut end = figure_right;
    let is_near = |y: f64| (y - at.y).abs() < 2.2 * space;
    let mut dashes: Vec<(f64, f64)> = Vec::new();
    let is_dash = |line: &crate::ink::Line| {
        let length = (line.to.x - line.from.x).abs() / space;
        (line.from.y - line.to.y).abs() < 0.01
            && (0.85..0.95).contains(&length)
            && (line.width / space - 0.14).abs() < 0.005
            && is_near(line.from.y)
            && line.from.x.min(line.to.x) > figure_right
    };
    dashes.extend(
        left.lines
            .iter()
            .filter(|line| is_dash(line))
            .map(|line| (line.from.x.min(line.to.x), line.from.x.max(line.to.x))),
    );
    let is_hook = |fill: &BezPath| {
        let area = fill.bounding_box();
        is_straight(fill)
            && corners(fill).len() == 6
            && (0.85..0.95).contains(&(area.width() / space))
            && is_near(area.center().y)
            && area.x0 > figure_right
    };
    let hooks: Vec<Rect> =
        left.fills.iter().filter(|fill| is_hook(fill)).map(|fill| fill.bounding_box()).collect();
    dashes.extend(hooks.iter().map(|hook| (hook.x0, hook.x1)));
    dashes.sort_by(|a, b| a.0.total_cmp(&b.0));
    // As far as dashes follow one another.
    let mut is_hooked = false;
    for (from, to) in dashes {
        if is_hooked || from - end > 2.2 * space {
            break;
        }
        end = to;
        is_hooked = hooks.iter().any(|hook| (hook.x1 - to).abs() < 0.01);
    }
    let own = |x: f64| x < end + 0.01;
    left.lines.retain(|line| !(is_dash(line) && own(line.from.x.max(line.to.x))));
    left.fills.retain(|fill| !(is_hook(fill) && own(fill.bounding_box().x1)));
    Octave { octaves, goes_on, is_hooked, left: at.x, right: end, y: at.y }
}

impl Octave {
    /// Which staff it belongs to, by system and hand: the nearest below it where it sounds higher,
    /// above it where it sounds lower.
    fn staff(&self, systems: &[System]) -> Option<(usize, usize)> {
        let staves = systems
            .iter()
            .enumerate()
            .flat_map(|(index, system)| [(index, 0, system.upper), (index, 1, system.lower)]);
        let side = f64::from(self.octaves);
        let off = |staff: &Staff| side * (self.y - staff.middle);
        let own = staves.filter(|(.., staff)| off(staff) > 0.0);
        own.min_by(|a, b| off(&a.2).total_cmp(&off(&b.2))).map(|it| (it.0, it.1))
    }
}

impl Form {
    /// Moves what was read as written to where it sounds. Every line must stand over a note, and a
    /// line that goes on must go on.
    pub(crate) fn sound(&self, sheet: &mut Sheet) -> Result<(), String> {
        for octave in &self.octaves {
            let (system, hand) =
                octave.staff(&sheet.systems).ok_or("an octave line of no staff")?;
            let space = sheet.systems[system].upper.space;
            let mut moved = 0;
            for column in &mut sheet.hands[hand] {
                // A figure alone stands for the note that it begins at; one in brackets stands
                // before the first note.
                let from = octave.left - if octave.goes_on { 0.0 } else { 0.3 * space };
                let alone = !octave.is_hooked && octave.right - octave.left < 4.0 * space;
                let to = if alone { octave.left + 1.5 * space } else { octave.right };
                if column.system == system && column.x > from && column.x < to {
                    for head in &mut column.heads {
                        head.pitch.step += 7 * octave.octaves;
                        moved += 1;
                    }
                }
            }
            if moved == 0 {
                return Err(format!("an octave line over no note at x {:.1}", octave.left));
            }
        }
        Ok(())
    }
}
