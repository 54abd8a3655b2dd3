//! The sheet of one key: header, systems, foot.

use kurbo::{Point, Rect};

use super::book::{Part, Plan};
use super::canvas::Page;
use super::error::PageError;
use super::foot::{self, Foot};
use super::header::Header;
use super::paper::MM;
use super::{fill, place, remark};
use crate::drill::{self, Choices};
use crate::engrave::{Layout, Look, System};
use crate::parallel;
use crate::score::Score;

/// How much smaller the staves of a drill that does not fit become at each trial, in points.
const STAFF_STEP: f64 = 0.25 * MM;

/// A cost (see [`strain`]) with which smaller staves are not tried.
const GOOD_ENOUGH: f64 = 0.25;

/// A page, and what was made of it.
pub(super) type Worked<R> = (Page, Option<R>);

/// The sheets of every key of each of some drills, all of one drill with staves of one size, and
/// what `work` makes of each as soon as it is done.
pub(super) fn lay_out_all<R: Send>(
    plan: &Plan<'_>,
    parts: &[Part<'_>],
    work: &(impl Fn(&mut Page) -> Option<R> + Sync),
) -> Vec<Result<Vec<Worked<R>>, PageError>> {
    let headers: Vec<_> = parts.iter().map(|part| Header::new(plan, part)).collect();
    let keys = plan.recipe.keys.len();
    let all: Vec<(usize, usize)> =
        (0..parts.len()).flat_map(|part| (0..keys).map(move |key| (part, key))).collect();
    let begun = parallel::map(&all, |(part, key)| {
        let header = headers[*part].as_ref().map_err(Clone::clone)?;
        Sheet::begin(plan, &parts[*part], header, *key)
    });
    let mut sheets = Vec::with_capacity(all.len());
    let mut refused = Vec::with_capacity(parts.len());
    let mut begun = begun.into_iter();
    for _ in parts {
        let own: Vec<_> = begun.by_ref().take(keys).collect();
        match own.into_iter().collect::<Result<Vec<_>, _>>() {
            Ok(own) => {
                let smallest = own.iter().map(|sheet| sheet.set.trial).max().unwrap_or(0);
                sheets.extend(own.into_iter().map(|sheet| (sheet, smallest)));
                refused.push(None);
            }
            Err(error) => refused.push(Some(error)),
        }
    }
    let done = parallel::map(sheets, |(sheet, smallest)| {
        let pages = sheet.finish(plan, smallest).into_iter();
        let worked = pages.map(|mut page| {
            let result = work(&mut page);
            (page, result)
        });
        worked.collect::<Vec<_>>()
    });
    let mut done = done.into_iter();
    let pages = |refused| match refused {
        Some(error) => Err(error),
        None => Ok(done.by_ref().take(keys).flatten().collect()),
    };
    refused.into_iter().map(pages).collect()
}

/// A sheet whose staves may still have to shrink to the size of the others.
struct Sheet {
    score: Score,
    /// Its pages, and the room for music on each.
    pages: Vec<(Page, Rect)>,
    set: Set,
}

impl Sheet {
    /// Draws header and foot of the key at an index, and sets its music as large as can be.
    fn begin(
        plan: &Plan<'_>,
        part: &Part<'_>,
        header: &Header,
        index: usize,
    ) -> Result<Self, PageError> {
        let recipe = plan.recipe;
        let key = recipe.keys[index].in_mode(part.drill.mode);
        let first = part.key_page(index);
        let score = drill::realise(part.drill, key, Choices::of(recipe));
        let last = first + part.pages_per_key() - 1;
        let pages: Vec<(Page, Rect)> = (first..=last)
            .map(|page| {
                let mut board = plan.board(page);
                let live = board.live;
                let distances = &plan.page.distances;
                let top = if page == first {
                    header.draw(&mut board, plan, part, (&score, plan.next(part, index)))
                } else {
                    header.draw_continued(&mut board, plan, key)
                };
                let foot = if page == last {
                    remark::draw(&mut board, plan, page, &score);
                    let foot = Foot::new(plan, &score.counts);
                    let height = foot.height(plan);
                    foot.draw(&mut board, plan);
                    height
                } else {
                    foot::folio_height(plan)
                };
                foot::draw_folio(&mut board, plan, page);
                let bottom = live.y0 + foot + distances.before_foot;
                let room = Rect::new(live.x0, bottom, live.x1, top - distances.after_header);
                (board.finish(), room)
            })
            .collect();
        let rooms: Vec<Rect> = pages.iter().map(|(_, room)| *room).collect();
        let set = Set::best(plan, &score, &rooms);
        let set = set.ok_or(PageError::NoRoom { key, paper: recipe.paper, nearest: None })?;
        Ok(Self { score, pages, set })
    }

    /// Adds the music, its staves no larger than those of a trial.
    fn finish(self, plan: &Plan<'_>, trial: usize) -> Vec<Page> {
        let rooms: Vec<Rect> = self.pages.iter().map(|(_, room)| *room).collect();
        let smaller =
            (self.set.trial != trial).then(|| Set::at(plan, &self.score, &rooms, trial)).flatten();
        let Set { systems, origins, space, .. } = smaller.unwrap_or(self.set);
        let mut systems = systems.into_iter();
        let with_music = |((mut page, room), origins): ((Page, Rect), Vec<f64>)| {
            let own = &systems.as_slice()[..origins.len().min(systems.len())];
            page.marks.reserve_exact(own.iter().map(|system| system.marks.len()).sum());
            for (origin, system) in origins.iter().zip(systems.by_ref()) {
                let at = Point::new(room.x0, room.y1 - origin * space);
                let placed = system.marks.into_iter().map(|mark| place::placed(mark, at, space));
                page.marks.extend(placed);
            }
            page
        };
        self.pages.into_iter().zip(origins).map(with_music).collect()
    }
}

/// How many sizes of staff smaller than the largest may be tried.
fn trials(plan: &Plan<'_>) -> usize {
    ((plan.staff - plan.least_staff) / STAFF_STEP + 1e-6).max(0.0) as usize
}

/// A drill set on its pages.
struct Set {
    systems: Vec<System>,
    /// For each page, how far below the top of its room each system's origin stands, in staff
    /// spaces.
    origins: Vec<Vec<f64>>,
    /// The staff space in points.
    space: f64,
    /// How many steps smaller than the largest its staves are.
    trial: usize,
    /// How far it is from a natural look; see [`strain`].
    cost: f64,
}

impl Set {
    /// Sets a score in its rooms with staves as large as can be without leaving pages bare.
    fn best(plan: &Plan<'_>, score: &Score, rooms: &[Rect]) -> Option<Self> {
        let mut best: Option<Self> = None;
        let mut layout = Self::layout(plan, score, rooms)?;
        let mut tried = vec![Tried::default(); score.bars.len() + 1];
        for trial in 0..=trials(plan) {
            let most = best.as_ref().map_or(f64::INFINITY, |set| set.cost);
            if most <= GOOD_ENOUGH {
                break;
            }
            let set = Self::of(plan, &mut layout, rooms, (trial, most), &mut tried);
            let Some(set) = set else { continue };
            if best.as_ref().is_none_or(|least| set.cost < least.cost) {
                best = Some(set);
            }
        }
        best
    }

    /// Sets a score in its rooms with staves so many steps smaller than the largest, on as many
    /// systems as look best; `None` where it does not fit.
    fn at(plan: &Plan<'_>, score: &Score, rooms: &[Rect], trial: usize) -> Option<Self> {
        let mut layout = Self::layout(plan, score, rooms)?;
        let mut tried = vec![Tried::default(); score.bars.len() + 1];
        Self::of(plan, &mut layout, rooms, (trial, f64::INFINITY), &mut tried)
    }

    /// The score measured for the largest staves.
    fn layout<'a>(plan: &Plan<'_>, score: &'a Score, rooms: &[Rect]) -> Option<Layout<'a>> {
        let look = Look { symbols: plan.recipe.symbols, counts: plan.recipe.counts };
        Some(Layout::new(score, look, rooms.first()?.width() / plan.space()))
    }

    /// As [`Set::at`], of a score that has been measured, and only if it costs less than `most`.
    fn of(
        plan: &Plan<'_>,
        layout: &mut Layout<'_>,
        rooms: &[Rect],
        (trial, most): (usize, f64),
        tried: &mut [Tried],
    ) -> Option<Self> {
        let space = (plan.staff - STAFF_STEP * trial as f64) / 4.0;
        if trial > 0 {
            layout.set_width(rooms.first()?.width() / space);
        }
        let heights: Vec<f64> = rooms.iter().map(|room| room.height() / space).collect();
        let smaller = libm::log(plan.staff / 4.0 / space);
        let (cost, systems) = best(layout, &heights, most - smaller, tried)?;
        let cost = cost + smaller;
        let mut left = &systems[..];
        let origins = split(&systems, &heights)?
            .into_iter()
            .zip(&heights)
            .map(|(count, height)| {
                let (own, rest) = left.split_at(count);
                left = rest;
                fill::origins(own, *height)
            })
            .collect::<Option<Vec<_>>>()?;
        Some(Self { systems, origins, space, trial, cost })
    }
}

/// How many systems stand in each room, so that the rooms are as evenly full as can be; `None`
/// where they do not fit.
fn split(systems: &[System], heights: &[f64]) -> Option<Vec<usize>> {
    let full = |own: &[System], height: f64| {
        let share = fill::least_height(own) / height;
        (share <= 1.0).then_some(share)
    };
    match heights {
        [height] => full(systems, *height).map(|_| vec![systems.len()]),
        [first, second] => (1..systems.len())
            .filter_map(|count| {
                let (one, other) = systems.split_at(count);
                let uneven = (full(one, *first)? - full(other, *second)?).abs();
                Some((uneven, vec![count, other.len()]))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, counts)| counts),
        _ => None,
    }
}

/// What is known of a number of systems from larger staves.
#[derive(Clone, Copy, Debug, Default)]
struct Tried {
    /// How high they were together, in staff spaces.
    high: Option<f64>,
    /// Whether they fitted without being squeezed: on smaller staves they can only look worse.
    is_settled: bool,
}

/// How much lower than on larger staves systems may turn out to be, their bars being wider.
const LOWER: f64 = 0.96;

/// The score on as many systems, among the numbers that fit, as look best, and what it costs (see
/// [`strain`]); `None` where that is not less than `most`.
fn best(
    layout: &Layout<'_>,
    heights: &[f64],
    most: f64,
    tried: &mut [Tried],
) -> Option<(f64, Vec<System>)> {
    let room: f64 = heights.iter().sum();
    let mut counts: Vec<(f64, f64, usize)> = (1..=layout.bars())
        .filter(|count| !tried[*count].is_settled)
        .filter_map(|count| {
            let forces = layout.forces(count)?;
            Some((strain(forces), forces.0, count))
        })
        .collect();
    counts.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, Vec<System>)> = None;
    let mut too_many = usize::MAX;
    for (stretch, tightest, count) in counts {
        // Not even on full pages could this one, or any after it, look better.
        if stretch >= best.as_ref().map_or(most, |(least, _)| *least) {
            break;
        }
        if count >= too_many || tried[count].high.is_some_and(|high| LOWER * high > room) {
            continue;
        }
        let Some(systems) = layout.systems(count) else { continue };
        let high = fill::least_height(&systems);
        tried[count].high = Some(high);
        if high > room {
            too_many = count;
            continue;
        }
        if split(&systems, heights).is_none() {
            continue;
        }
        tried[count].is_settled = tightest >= 1.0;
        let cost = stretch + (1.0 - high / room);
        if cost < best.as_ref().map_or(most, |(least, _)| *least) {
            best = Some((cost, systems));
        }
    }
    best
}

/// How far systems are from a natural look, given the forces of the tightest and the loosest:
/// the logarithms of what the tightest is stretched too much or too little, and of how much
/// more the loosest is, which is weighed a little less. The share of a page that the music
/// leaves empty counts the same; the sum is the cost of a page.
fn strain((tightest, loosest): (f64, f64)) -> f64 {
    const NATURAL: [f64; 2] = [1.0, 1.3];
    const UNEVEN: f64 = 0.7;
    let off = libm::log(tightest / tightest.clamp(NATURAL[0], NATURAL[1])).abs();
    off + UNEVEN * libm::log(loosest / tightest)
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
                    let header = Header::new(&plan, &plan.parts[0]).unwrap();
                    look(&Sheet::begin(&plan, &plan.parts[0], &header, 0).unwrap());
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
                let mut systems = sheet.set.systems.iter();
                for ((page, room), origins) in sheet.pages.iter().zip(&sheet.set.origins) {
                    for mark in &page.marks {
                        let ink = mark.bounds();
                        let clear = ink.y0 >= room.y1 || ink.y1 <= room.y0;
                        assert!(clear, "{mark:?} in {room:?}");
                    }
                    for (origin, system) in origins.iter().zip(systems.by_ref()) {
                        assert!(system.top <= origin + 1e-6);
                        let depth = (origin - system.bottom) * sheet.set.space;
                        assert!(depth <= room.height() + 1e-6);
                    }
                }
                assert!(systems.next().is_none(), "every system has its place");
            });
        }
    }

    #[test]
    fn words_of_header_and_foot_keep_apart() {
        for recipe in recipes() {
            each_sheet(recipe, |sheet| {
                let words: Vec<(&Mark, Rect)> = sheet.pages[0]
                    .0
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
