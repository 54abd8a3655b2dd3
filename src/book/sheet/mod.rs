//! The sheet of one key: header, systems, foot.

pub(crate) mod foot;
pub(crate) mod header;
pub(crate) mod remark;
pub(crate) mod ring;
pub(crate) mod tempo;

use std::sync::OnceLock;

use kurbo::{Point, Rect};

use self::foot::Foot;
use crate::book::error::PageError;
use crate::book::plan::{Part, Plan};
use crate::book::sheet::header::Header;
use crate::canvas::Page;
use crate::canvas::place;
use crate::drill::{Choices, Drill};
use crate::engrave::set::{Found, Set};
use crate::parallel;
use crate::score::Score;

/// A page, and what was made of it.
pub(crate) type Worked<R> = (Page, Option<R>);

/// The sheets of every key of a drill, with staves of one size, and what `work` makes of each as
/// soon as it is done.
pub(crate) fn lay_out<R: Send>(
    plan: &Plan<'_>,
    part: &Part<'_>,
    work: &(impl Fn(&mut Page) -> Option<R> + Sync),
) -> Result<Vec<Worked<R>>, PageError> {
    let header = Header::new(plan, part)?;
    let drill = Drill::of(part.drill);
    let choices = Choices::of(plan.recipe);
    let keys = &plan.recipe.keys;
    let scores: Vec<OnceLock<Score>> = keys.iter().map(|_| OnceLock::new()).collect();
    let begun = parallel::map(scores.iter().enumerate(), |(index, score)| {
        let score = score.get_or_init(|| drill.realise(keys[index], choices));
        Sheet::begin(plan, part, &header, index, score)
    });
    let sheets = begun.into_iter().collect::<Result<Vec<Sheet<'_>>, _>>()?;
    let smallest = sheets.iter().map(|sheet| sheet.music.trial()).max().unwrap_or(0);
    let done = parallel::map(sheets, |sheet| {
        let pages = sheet.finish(smallest).into_iter();
        let worked = pages.map(|mut page| {
            let result = work(&mut page);
            (page, result)
        });
        worked.collect::<Vec<_>>()
    });
    Ok(done.into_iter().flatten().collect())
}

/// A sheet whose staves may still have to shrink to the size of the others.
struct Sheet<'a> {
    /// Its pages, and the room for music on each.
    pages: Vec<(Page, Rect)>,
    music: Found<'a>,
}

impl<'a> Sheet<'a> {
    /// Draws header and foot of the key at an index, and sets its music as large as can be.
    fn begin(
        plan: &Plan<'_>,
        part: &Part<'_>,
        header: &Header,
        index: usize,
        score: &'a Score,
    ) -> Result<Self, PageError> {
        let key = score.key;
        let first = part.key_page(index);
        let last = first + part.pages_per_key() - 1;
        let pages: Vec<(Page, Rect)> = (first..=last)
            .map(|page| {
                let mut board = plan.board(page);
                let live = board.live;
                let distances = &plan.page.distances;
                let top = if page == first {
                    header.draw(&mut board, plan, part, (score, plan.next(part, index)))
                } else {
                    header.draw_continued(&mut board, plan, key)
                };
                let foot = if page == last {
                    let remarks = remark::lines(plan, score);
                    let foot = Foot::new(plan, score, remarks.len());
                    remark::draw(&mut board, plan, page, remarks);
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
        let rooms = pages.iter().map(|(_, room)| *room).collect();
        let no_room = PageError::NoRoom { key, paper: plan.recipe.paper, nearest: None };
        let music = Found::best(plan, score, rooms).ok_or(no_room)?;
        Ok(Self { pages, music })
    }

    /// Adds the music, its staves no larger than those of a trial.
    fn finish(self, trial: usize) -> Vec<Page> {
        let Set { systems, origins, space, .. } = self.music.with_staves_of(trial);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::plan::test_plan;
    use crate::canvas::{Mark, Trace};
    use crate::drill::{Template, library, realise};
    use crate::recipe::{Counts, Form, Paper, Recipe};
    use crate::theory::{Key, SymbolStyle};

    /// Header and foot of every key in one drill, on one paper.
    fn each_sheet(recipe: Recipe, look: impl Fn(&Sheet<'_>)) {
        for (name, text) in library::all() {
            let drill = Template::parse(text, name).unwrap();
            for paper in [Paper::A4, Paper::Letter] {
                for key in Key::majors() {
                    let recipe = Recipe { paper, keys: vec![key], ..recipe.clone() };
                    let plan = test_plan(&recipe, &drill);
                    let header = Header::new(&plan, &plan.parts[0]).unwrap();
                    let score = realise(&drill, key, Choices::of(&recipe));
                    look(&Sheet::begin(&plan, &plan.parts[0], &header, 0, &score).unwrap());
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
                let mut systems = sheet.music.set.systems.iter();
                for ((page, room), origins) in sheet.pages.iter().zip(&sheet.music.set.origins) {
                    for mark in &page.marks {
                        let ink = mark.bounds();
                        let clear = ink.y0 >= room.y1 || ink.y1 <= room.y0;
                        assert!(clear, "{mark:?} in {room:?}");
                    }
                    for (origin, system) in origins.iter().zip(systems.by_ref()) {
                        assert!(system.top <= origin + 1e-6);
                        let depth = (origin - system.bottom) * sheet.music.set.space;
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
                    .filter(|mark| matches!(mark, Mark::Trace(Trace::Text { .. }, _)))
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
