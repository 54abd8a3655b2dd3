//! The sheet of one key: header, systems, foot.

use kurbo::{Point, Rect};

use super::board::{Board, RULE};
use super::book::{Logo, Next, Plan};
use super::canvas::{Ink, Mark, Page};
use super::error::PageError;
use super::fill;
use super::fit::{Fitted, fit, paragraph};
use super::foot;
use super::paper::MM;
use super::phrase::{Phrase, Style};
use super::place;
use super::ring::Ring;
use super::tempo;
use crate::drill::{self, Choices};
use crate::engrave::{Layout, Look, System};
use crate::parallel;
use crate::recipe::Form as DocumentForm;
use crate::score::Score;
use crate::text::{self, TextFace};

/// White between the columns of the header.
const COLUMN_GAP: f64 = 6.0 * MM;
/// The column of key, drill and tempo, as a share of what the ring leaves.
const NAME_COLUMN: f64 = 0.53;
/// White between the rule below the running line of a handout and what follows.
const AFTER_RUNNING: f64 = 5.0 * MM;
/// White between the running line and its rule.
const BEFORE_RULE: f64 = 2.0 * MM;
/// Widest picture in a header, in heights of it.
const WIDEST_LOGO: f64 = 4.0;
/// Most lines of the title and of the advice on what to listen for.
const MOST_TITLE: usize = 3;
const MOST_ADVICE: usize = 4;
/// From the baseline of the key to that of the title, in ems of the title.
const KEY_TO_TITLE: f64 = 1.55;
/// From the baseline of the title to that of the tempo mark, in ems of the mark: its notes rise
/// above its words.
const TITLE_TO_TEMPO: f64 = 1.85;
/// How much smaller the staves of a drill that does not fit become at each trial, in points.
const STAFF_STEP: f64 = 0.25 * MM;

/// A [`cost`] with which smaller staves are not tried.
const GOOD_ENOUGH: f64 = 0.25;

/// What stands in the header of every sheet of a document, set once.
#[derive(Clone, Debug)]
pub(super) struct Header {
    title: Fitted,
    advice: Option<Fitted>,
    student: Option<Fitted>,
    studio: Option<Fitted>,
    logo: Option<(Logo, f64, f64)>,
}

impl Header {
    /// Sets the words of the header. Errors where they cannot stand.
    pub(super) fn new(plan: &Plan<'_>) -> Result<Self, PageError> {
        let sizes = &plan.page.sizes;
        let [names, advice_column] = columns(plan);
        let style = Style::new(TextFace::Semibold, sizes.drill);
        let (field, title) = plan.title;
        let title = fit(field, title, style, sizes.header, names, MOST_TITLE)?;
        let style = Style::new(TextFace::Italic, sizes.body);
        let advice = plan.drill.listen.as_deref().map(|words| {
            paragraph("the drill's `listen`", words, style, advice_column, MOST_ADVICE)
        });
        let advice = advice.transpose()?;
        let mut header = Self { title, advice, student: None, studio: None, logo: None };
        if plan.recipe.form == DocumentForm::Handout {
            let height = plan.page.distances.logo_height;
            header.logo = plan.logo.map(|logo| {
                let (width, height) = logo.within(WIDEST_LOGO * height, height);
                (logo, width, height)
            });
            let room = plan.live().width() - header.logo.map_or(0.0, |(_, width, _)| width);
            let half = room / 2.0 - COLUMN_GAP;
            let name = |field, words: &Option<String>, face| {
                let style = Style::new(face, sizes.header);
                let words = words.as_deref();
                words.map(|words| fit(field, words, style, sizes.least_header, half, 2)).transpose()
            };
            header.student = name("student", &plan.recipe.student, TextFace::Semibold)?;
            header.studio = name("studio", &plan.recipe.studio, TextFace::Regular)?;
        }
        Ok(header)
    }

    /// Draws the header of a key's sheet; returns where it ends.
    fn draw(&self, board: &mut Board, plan: &Plan<'_>, score: &Score, next: Next) -> f64 {
        let live = board.live;
        let (sizes, key) = (&plan.page.sizes, score.key);
        let top = self.draw_running(board);
        let radius = plan.page.distances.ring / 2.0;
        let style = Style::new(TextFace::Bold, sizes.key);
        let mode = Style::new(TextFace::Regular, sizes.key);
        let mut y = top - text::cap_height(style.face, style.size);
        board.from(live.x0, y, Phrase::key(key, style, mode));
        y = lines(board, live.x0, y - KEY_TO_TITLE * self.title.style.size, &self.title);
        y += leading(self.title.style) - TITLE_TO_TEMPO * sizes.tempo;
        // The ring and the tempo mark end together where the words leave it to them.
        let tempo = y.min(top - 2.0 * radius);
        board.from(live.x0, tempo, tempo::mark(score.feel, plan.recipe.tempo, sizes.tempo));
        let [names, _] = columns(plan);
        let middle = live.x0 + names + COLUMN_GAP;
        if let Some(advice) = &self.advice {
            let first = top - text::cap_height(advice.style.face, advice.style.size);
            lines(board, middle, first, advice);
        }
        draw_next(board, plan, next, Point::new(middle, tempo));
        let centre = Point::new(live.x1 - radius, top - radius);
        Ring { centre, radius, keys: &plan.recipe.keys, here: key, next: next.key }.draw(board);
        tempo
    }

    /// The line above everything: picture, studio, student, and a rule below them. Returns where
    /// the rest begins.
    fn draw_running(&self, board: &mut Board) -> f64 {
        let live = board.live;
        if self.logo.is_none() && self.student.is_none() && self.studio.is_none() {
            return live.y1;
        }
        let mut left = live.x0;
        let mut last = live.y1;
        for name in [&self.student, &self.studio].into_iter().flatten() {
            let below = (name.lines.len() - 1) as f64 * leading(name.style);
            last = last.min(live.y1 - text::cap_height(name.style.face, name.style.size) - below);
        }
        if let Some((logo, width, height)) = self.logo {
            let frame = Rect::new(left, live.y1 - height, left + width, live.y1);
            board.mark(Mark::Picture { index: logo.index, frame });
            left += width + COLUMN_GAP;
            last = last.min(frame.y0);
        }
        for (name, is_student) in [(&self.studio, false), (&self.student, true)] {
            let Some(name) = name else { continue };
            let mut y = last + (name.lines.len() - 1) as f64 * leading(name.style);
            for phrase in name.phrases() {
                if is_student {
                    board.to(live.x1, y, phrase);
                } else {
                    board.from(left, y, phrase);
                }
                y -= leading(name.style);
            }
        }
        let rule = last - BEFORE_RULE;
        board.rule(live.x0, live.x1, rule, RULE, Ink::Black);
        rule - AFTER_RUNNING
    }
}

/// The widths of the two columns of the header left of the ring: names, and advice.
fn columns(plan: &Plan<'_>) -> [f64; 2] {
    let room = plan.live().width() - plan.page.distances.ring - 2.0 * COLUMN_GAP;
    [NAME_COLUMN * room, (1.0 - NAME_COLUMN) * room]
}

/// Where to go next, with a way there.
fn draw_next(board: &mut Board, plan: &Plan<'_>, next: Next, at: Point) {
    let size = plan.page.sizes.body;
    let regular = Style::new(TextFace::Regular, size);
    let semibold = Style::new(TextFace::Semibold, size);
    let mut phrase = Phrase::of("Next: ", regular);
    phrase.phrase(Phrase::key(next.key, semibold, semibold));
    let Some(page) = next.page else {
        return board.from(at.x, at.y, phrase);
    };
    phrase.words(&format!(", page {}", plan.label(page)), regular);
    let area = (phrase.ink() + at.to_vec2()).inflate(2.0, 3.0);
    board.link(area, page, format!("{} major", next.key));
    board.from(at.x, at.y, phrase);
}

/// Lines one below another from a first baseline; returns the baseline that would be next.
pub(super) fn lines(board: &mut Board, left: f64, first: f64, fitted: &Fitted) -> f64 {
    let mut y = first;
    for phrase in fitted.phrases() {
        board.from(left, y, phrase);
        y -= leading(fitted.style);
    }
    y
}

/// From one baseline to the next.
pub(super) fn leading(style: Style) -> f64 {
    1.32 * style.size
}

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
    /// A system is never so much lower than its neighbours that it would fit below this share
    /// of their mean height.
    const LOWEST: f64 = 0.85;
    let layout = Layout::new(score, look, width);
    let mut best: Option<(f64, Vec<System>)> = None;
    for count in 1..=score.bars.len() {
        let Some(force) = layout.force(count) else { continue };
        if let Some((_, systems)) = &best {
            let mean = fill::least_height(systems) / systems.len() as f64;
            if LOWEST * mean * count as f64 > height {
                break;
            }
        }
        let Some(systems) = layout.systems(count) else { continue };
        let high = fill::least_height(&systems);
        if high > height {
            break;
        }
        let cost = cost(force, 1.0 - high / height);
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
    use crate::recipe::{Counts, Paper, Recipe};
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
        let handout = Recipe { form: DocumentForm::Handout, ..Recipe::default() };
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
