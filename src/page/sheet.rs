//! The sheet of one key: header, systems, foot.

use kurbo::{Point, Rect};

use super::book::Plan;
use super::canvas::Page;
use super::error::PageError;
use super::header::Header;
use super::paper::MM;
use super::{fill, foot, place};
use crate::drill::{self, Choices};
use crate::engrave::{Layout, Look, System};
use crate::parallel;
use crate::score::Score;

/// How much smaller the staves of a drill that does not fit become at each trial, in points.
const STAFF_STEP: f64 = 0.25 * MM;

/// A [`cost`] with which smaller staves are not tried.
const GOOD_ENOUGH: f64 = 0.25;

/// The sheets of every key, all with staves of one size.
pub(super) fn lay_out_all(plan: &Plan<'_>) -> Result<Vec<Page>, PageError> {
    let header = Header::new(plan)?;
    let indices: Vec<usize> = (0..plan.recipe.keys.len()).collect();
    let begun = parallel::map(&indices, |index| Sheet::begin(plan, &header, *index));
    let begun = begun.into_iter().collect::<Result<Vec<_>, _>>()?;
    let smallest = begun.iter().map(|sheet| sheet.set.trial).max().unwrap_or(0);
    Ok(parallel::map(&begun, |sheet| sheet.finish(plan, smallest)))
}

/// A sheet whose staves may still have to shrink to the size of the others.
struct Sheet {
    page: Page,
    score: Score,
    room: Rect,
    set: Set,
}

impl Sheet {
    /// Draws header and foot of the key at an index, and sets its music as large as can be.
    fn begin(plan: &Plan<'_>, header: &Header, index: usize) -> Result<Self, PageError> {
        let recipe = plan.recipe;
        let key = recipe.keys[index];
        let page = plan.first_key_page + index;
        let score = drill::realise(plan.drill, key, Choices::of(recipe));
        let mut board = plan.board(page);
        let live = board.live;
        let top = header.draw(&mut board, plan, &score, plan.next(index));
        foot::draw(&mut board, plan, &score.counts);
        foot::draw_folio(&mut board, plan, page);
        let distances = &plan.page.distances;
        let bottom = live.y0 + foot::height(plan) + distances.before_foot;
        let room = Rect::new(live.x0, bottom, live.x1, top - distances.after_header);
        let set = Set::best(plan, &score, room);
        let set = set.ok_or(PageError::NoRoom { key, paper: recipe.paper })?;
        Ok(Self { page: board.finish(), score, room, set })
    }

    /// Adds the music, its staves no larger than those of a trial.
    fn finish(&self, plan: &Plan<'_>, trial: usize) -> Page {
        let smaller = (self.set.trial != trial)
            .then(|| Set::at(plan, &self.score, self.room, trial))
            .flatten();
        let set = smaller.as_ref().unwrap_or(&self.set);
        let mut page = self.page.clone();
        for (system, origin) in set.systems.iter().zip(&set.origins) {
            let at = Point::new(self.room.x0, self.room.y1 - origin * set.space);
            page.marks.extend(system.marks.iter().map(|mark| place::mark(mark, at, set.space)));
        }
        page
    }
}

/// How many sizes of staff smaller than the largest may be tried.
fn trials(plan: &Plan<'_>) -> usize {
    ((plan.page.staff - plan.page.least_staff) / STAFF_STEP + 1e-6).max(0.0) as usize
}

/// A drill set on a page.
struct Set {
    systems: Vec<System>,
    /// How far below the top of the room each system's origin stands, in staff spaces.
    origins: Vec<f64>,
    /// The staff space in points.
    space: f64,
    /// How many steps smaller than the largest its staves are.
    trial: usize,
    /// How far it is from a natural look; see [`cost`].
    cost: f64,
}

impl Set {
    /// Sets a score in a room with staves as large as can be without leaving the page bare.
    fn best(plan: &Plan<'_>, score: &Score, room: Rect) -> Option<Self> {
        let mut best: Option<Self> = None;
        for trial in 0..=trials(plan) {
            if best.as_ref().is_some_and(|set| set.cost <= GOOD_ENOUGH) {
                break;
            }
            let Some(set) = Self::at(plan, score, room, trial) else { continue };
            if best.as_ref().is_none_or(|least| set.cost < least.cost) {
                best = Some(set);
            }
        }
        best
    }

    /// Sets a score in a room with staves so many steps smaller than the largest, on as many
    /// systems as look best; `None` where it does not fit.
    fn at(plan: &Plan<'_>, score: &Score, room: Rect, trial: usize) -> Option<Self> {
        let look = Look { symbols: plan.recipe.symbols, counts: plan.recipe.counts };
        let space = (plan.page.staff - STAFF_STEP * trial as f64) / 4.0;
        let (cost, systems) = best(score, look, room.width() / space, room.height() / space)?;
        let cost = cost + libm::log(plan.page.staff / 4.0 / space);
        let origins = fill::origins(&systems, room.height() / space)?;
        Some(Self { systems, origins, space, trial, cost })
    }
}

/// The score on as many systems, among the numbers that fit, as look best, and its [`cost`].
fn best(score: &Score, look: Look, width: f64, height: f64) -> Option<(f64, Vec<System>)> {
    let layout = Layout::new(score, look, width);
    let mut counts: Vec<(f64, usize)> = (1..=score.bars.len())
        .filter_map(|count| Some((cost(layout.force(count)?, 0.0), count)))
        .collect();
    counts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, Vec<System>)> = None;
    let mut too_many = usize::MAX;
    for (stretch, count) in counts {
        // Not even on a full page could this one, or any after it, look better.
        if best.as_ref().is_some_and(|(least, _)| stretch >= *least) {
            break;
        }
        if count >= too_many {
            continue;
        }
        let Some(systems) = layout.systems(count) else { continue };
        let high = fill::least_height(&systems);
        if high > height {
            too_many = count;
            continue;
        }
        let cost = stretch + (1.0 - high / height);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) {
            best = Some((cost, systems));
        }
    }
    best
}

/// How far a page is from a natural look: the logarithm of what its tightest system is stretched
/// too much or too little, and the share of the page that the music leaves empty.
fn cost(force: f64, empty: f64) -> f64 {
    const NATURAL: [f64; 2] = [1.0, 1.3];
    libm::log(force / force.clamp(NATURAL[0], NATURAL[1])).abs() + empty
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::Template;
    use crate::drill::library;
    use crate::page::book::test_plan;
    use crate::page::canvas::Mark;
    use crate::recipe::{Counts, Form, Paper, Recipe};
    use crate::theory::{Key, SymbolStyle};

    /// Header and foot of every key in one drill, on one paper.
    fn each_sheet(recipe: Recipe, look: impl Fn(&Sheet)) {
        for (name, text) in library::all() {
            let drill = Template::parse(text, name).unwrap();
            for paper in [Paper::A4, Paper::Letter] {
                for key in Key::majors() {
                    let recipe = Recipe { paper, keys: vec![key], ..recipe.clone() };
                    let plan = test_plan(&recipe, &drill);
                    let header = Header::new(&plan).unwrap();
                    look(&Sheet::begin(&plan, &header, 0).unwrap());
                }
            }
        }
    }

    fn recipes() -> [Recipe; 3] {
        let handout = Recipe { form: Form::Handout, ..Recipe::default() };
        let named = Recipe {
            student: Some("Marguerite Delacroix-Oyelaran".to_owned()),
            studio: Some(
                "Willow Street Piano Studio, upstairs, second door on the left".to_owned(),
            ),
            title: Some("Sevenths for the long evenings between November and March".to_owned()),
            symbols: SymbolStyle::Signs,
            tempo: 350,
            ..handout.clone()
        };
        [Recipe { counts: Counts::None, ..handout.clone() }, handout, named]
    }

    #[test]
    fn header_and_foot_leave_the_room_to_the_music() {
        for recipe in recipes() {
            each_sheet(recipe, |sheet| {
                for mark in &sheet.page.marks {
                    let ink = mark.bounds();
                    let above = ink.y0 >= sheet.room.y1;
                    assert!(above || ink.y1 <= sheet.room.y0, "{mark:?} in {:?}", sheet.room);
                }
                for (system, origin) in sheet.set.systems.iter().zip(&sheet.set.origins) {
                    assert!(system.top <= origin + 1e-6);
                    let depth = (origin - system.bottom) * sheet.set.space;
                    assert!(depth <= sheet.room.height() + 1e-6);
                }
            });
        }
    }

    #[test]
    fn words_of_header_and_foot_keep_apart() {
        for recipe in recipes() {
            each_sheet(recipe, |sheet| {
                let words: Vec<(&Mark, Rect)> = sheet
                    .page
                    .marks
                    .iter()
                    .filter(|mark| matches!(mark, Mark::Text { .. }))
                    .map(|mark| (mark, mark.bounds()))
                    .collect();
                for (index, (mark, ink)) in words.iter().enumerate() {
                    for (other, near) in &words[index + 1..] {
                        let shared = ink.intersect(*near);
                        let touch = shared.width() > 0.0 && shared.height() > 0.0;
                        assert!(!touch, "{mark:?} touches {other:?}");
                    }
                }
            });
        }
    }
}
