//! Review pages: boxes with the beginning of a drill in a key each, without its notes, and overleaf
//! the same boxes whole.
//!
//! Which drill and which key stand in a box is drawn by lot. A box with its answer lies behind the box
//! that asks, once the sheet is printed on both sides.

use kurbo::{Point, Rect, Size};

use super::dice::Dice;
use super::error::PageError;
use super::plan::{Chapter, DRILL_TITLE, DocumentPlan};
use super::review_head::ReviewHead;
use super::sheet::foot::{draw_folio, folio_height};
use super::sheet::header::leading;
use super::{place, write_in};
use crate::canvas::board::{Board, RULE};
use crate::canvas::paper::MM;
use crate::canvas::{Kind, Page};
use crate::drill::Hands;
use crate::engrave::{BRACE_REACH, Blanks, Layout, Look, System, Watched};
use crate::parallel;
use crate::score::{ByHand, Counts};
use crate::theory::Key;
use crate::typeset::fit::{Fitted, fit};
use crate::typeset::line::{Phrase, Style};
use crate::typeset::{self, TextFace};

/// How many boxes there are where nobody says, unless there is less to ask.
const USUAL_BOXES: usize = 12;
/// Most boxes side by side on an upright page and on a wide one.
const MOST_COLUMNS: [usize; 2] = [2, 3];
/// Most bars in a box.
const MOST_BARS: usize = 4;
/// White between boxes, inside one, and from its head to the music.
const BETWEEN: f64 = 4.0 * MM;
const PAD: f64 = 2.6 * MM;
const BELOW_HEAD: f64 = 3.0 * MM;
/// White between the last boxes and the page number.
const ABOVE_FOLIO: f64 = 2.5 * MM;
/// How much higher than its music a box may be.
const HIGHEST: f64 = 1.25;

/// The review of a document.
pub(crate) struct Review {
    asked: Vec<AskedBox>,
    /// How many boxes stand side by side and one below another.
    columns: usize,
    rows: usize,
    cell: Size,
    /// The staff space, in points.
    space: f64,
    /// How far below the middle line of its first staff the music of any box reaches, in staff
    /// spaces, downward being negative.
    bottom: f64,
    /// How high a box is at the least, in points.
    height: f64,
    head: ReviewHead,
}

/// What one box asks.
struct AskedBox {
    key: Key,
    title: Fitted,
    /// The beginning without what is asked for, and whole.
    sides: [System; 2],
}

impl Review {
    /// Draws the boxes by lot and sets them. Errors where a bar or a title has no room.
    pub(crate) fn of(plan: &DocumentPlan<'_>) -> Result<Self, PageError> {
        let drawn = drawn(plan);
        let space = plan.options.staff.map_or(plan.page.least_staff, |_| plan.staves.largest) / 4.0;
        let head = ReviewHead::of(plan)?;
        let most = MOST_COLUMNS[usize::from(plan.is_wide())];
        let mut refused = None;
        for columns in (1..=most).rev() {
            match Self::in_columns(plan, &drawn, (columns, space), &head) {
                Ok(review) => return Ok(review),
                Err(error) => refused = Some(error),
            }
        }
        Err(refused.unwrap_or_else(|| no_room(plan, drawn[0].1)))
    }

    fn in_columns(
        plan: &DocumentPlan<'_>,
        drawn: &[(&Chapter<'_>, Key)],
        (columns, space): (usize, f64),
        above: &ReviewHead,
    ) -> Result<Self, PageError> {
        let live = plan.live(0);
        let width = (live.width() - BETWEEN * (columns - 1) as f64) / columns as f64;
        let inside = width - 2.0 * PAD;
        let head = plan.page.sizes.note;
        let line = (inside - BRACE_REACH * space) / space;
        let set = |(chapter, key): &(&Chapter<'_>, Key)| {
            let title = head_of(plan, chapter, *key, inside)?;
            let exercise = chapter.exercise;
            let score = exercise.score(&exercise.drill(), *key);
            let sides =
                looks(plan, chapter).map(|look| Layout::new(&score, look).opening(line, MOST_BARS));
            let [Some(asked), Some(whole)] = sides else { return Err(no_room(plan, *key)) };
            Ok(AskedBox { key: *key, title, sides: [asked, whole] })
        };
        let asked = parallel::map(drawn, set).into_iter().collect::<Result<Vec<_>, _>>()?;
        // The staves of boxes side by side stand at one height.
        let systems = || asked.iter().map(|asked| &asked.sides[1]);
        let top = systems().map(|system| system.top).fold(2.0, f64::max);
        let bottom = systems().map(|system| system.bottom).fold(0.0, f64::min);
        let lines = asked.iter().map(|asked| asked.title.lines.len()).max().unwrap_or(1);
        let lines = (lines - 1) as f64 * leading(Style::new(TextFace::Semibold, head));
        let height = (top - bottom) * space + lines + head + BELOW_HEAD + 2.0 * PAD;
        let room = above.first_box(plan, live) - live.y0 - folio_height(plan) - ABOVE_FOLIO;
        let rows = ((room + BETWEEN) / (height + BETWEEN)).floor() as usize;
        if rows == 0 {
            return Err(no_room(plan, asked[0].key));
        }
        let most = (room + BETWEEN) / rows as f64 - BETWEEN;
        let cell = Size::new(width, most.min(HIGHEST * height));
        Ok(Self { asked, columns, rows, cell, space, bottom, height, head: above.clone() })
    }

    fn a_page(&self) -> usize {
        self.columns * self.rows
    }

    /// How many pages there are: as many with answers as with questions.
    pub(crate) fn pages(&self) -> usize {
        2 * self.asked.len().div_ceil(self.a_page())
    }

    /// Lays out a page: questions on the pages with even indices, their answers overleaf.
    pub(crate) fn lay_out(&self, plan: &DocumentPlan<'_>, page: usize) -> Page {
        let (sheet, side) = (page / 2, page % 2);
        let mut board = plan.board(page);
        let live = board.live;
        // Boxes stand where those of the front do, seen through the paper, and the head above them.
        let front = plan.live(2 * sheet);
        let span = match side {
            0 => [front.x0, front.x1],
            _ => [front.x1, front.x0].map(|x| plan.sheet().width - x),
        };
        self.head.draw(&mut board, plan, side, span);
        let first = sheet * self.a_page();
        for (place, asked) in self.asked.iter().skip(first).take(self.a_page()).enumerate() {
            let (row, column) = (place / self.columns, place % self.columns);
            let left = front.x0 + column as f64 * (self.cell.width + BETWEEN);
            let left = match side {
                0 => left,
                _ => plan.sheet().width - left - self.cell.width,
            };
            let top = self.head.first_box(plan, live) - row as f64 * (self.cell.height + BETWEEN);
            let frame = Rect::new(left, top - self.cell.height, left + self.cell.width, top);
            self.draw(&mut board, (first + place + 1, asked), side, frame);
        }
        draw_folio(&mut board, plan, page);
        board.finish()
    }

    fn draw(
        &self,
        board: &mut Board,
        (number, asked): (usize, &AskedBox),
        side: usize,
        frame: Rect,
    ) {
        board.begin(Kind::Artifact);
        board.frame(frame, RULE);
        let (left, size) = (frame.x0 + PAD, asked.title.style.size);
        let mut y = frame.y1 - PAD - typeset::cap_height(TextFace::Bold, size);
        board.begin(Kind::Heading(3));
        let lead = lead(number, asked.key, size);
        let indent = lead.width();
        board.from(left, y, lead);
        for phrase in asked.title.phrases() {
            board.from(left + indent, y, phrase);
            y -= leading(asked.title.style);
        }
        let system = &asked.sides[side];
        let spare = (self.cell.height - self.height).max(0.0) / 2.0;
        let middle = frame.y0 + PAD + spare - self.bottom * self.space;
        let at = Point::new(left + BRACE_REACH * self.space, middle);
        let words = match side {
            0 => format!("{}, to be told", asked.key.words()),
            _ => asked.key.words(),
        };
        board.begin_described(Kind::System, words);
        board.marks(system.marks.iter().map(|mark| place::placed(mark.clone(), at, self.space)));
    }
}

/// How the music looks that asks, and how its answer does: without counts, for want of room.
fn looks(plan: &DocumentPlan<'_>, chapter: &Chapter<'_>) -> [Look; 2] {
    let options = plan.options;
    let (counts, watch) = (Counts::None, Watched::default());
    let whole = Look { counts, watch, ..plan.look(chapter) };
    let blanks = match options.leave_out.as_slice() {
        // A hand that rests has nothing to be told.
        [] => {
            let hands = plan.hands(chapter);
            let (right, left) = (hands != Hands::Left, hands != Hands::Right);
            Blanks { hands: ByHand { right, left }, ..Blanks::default() }
        }
        parts => write_in::blanks(parts),
    };
    [Look { blanks, ..whole }, whole]
}

/// What stands in the boxes: each drill in each key once before any comes again.
fn drawn<'p, 'a>(plan: &'p DocumentPlan<'a>) -> Vec<(&'p Chapter<'a>, Key)> {
    let of =
        |chapter: &'p Chapter<'a>| chapter.exercise.keys.iter().map(move |key| (chapter, *key));
    let pool: Vec<(&Chapter<'_>, Key)> = plan.chapters.iter().flat_map(of).collect();
    let mut dice = Dice(u64::from(plan.options.seed));
    let mut drawn = Vec::new();
    let boxes = plan.options.boxes.unwrap_or(USUAL_BOXES.min(pool.len())).max(1);
    while drawn.len() < boxes {
        let mut round = pool.clone();
        dice.shuffle(&mut round);
        drawn.extend(round);
    }
    drawn.truncate(boxes);
    drawn
}

/// The number and the key at the head of a box.
fn lead(number: usize, key: Key, size: f64) -> Phrase {
    let bold = Style::new(TextFace::Bold, size);
    let mut phrase = Phrase::of(&number.to_string(), Style::new(TextFace::Regular, size));
    phrase.space(0.8 * size);
    phrase.phrase(Phrase::key(key, bold, Style::new(TextFace::Regular, size)));
    phrase.space(0.9 * size);
    phrase
}

/// The title of a drill beside them, with the hand that plays it alone, no wider than the rest of a line.
fn head_of(
    plan: &DocumentPlan<'_>,
    chapter: &Chapter<'_>,
    key: Key,
    width: f64,
) -> Result<Fitted, PageError> {
    let sizes = &plan.page.sizes;
    let room = width - lead(99, key, sizes.note).width();
    let style = Style::new(TextFace::Semibold, sizes.note);
    Ok(fit(DRILL_TITLE, &plan.title_with_hand(chapter), style, sizes.least_header, room, 3)?)
}

fn no_room(plan: &DocumentPlan<'_>, key: Key) -> PageError {
    PageError::NoRoom { key, paper: plan.options.paper, nearest: None }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::book::{Book, BookOptions, DocumentForm};
    use crate::canvas::paper::{Binding, Orientation, Paper};
    use crate::canvas::{Mark, Trace};
    use crate::drill::{Choices, Course, Exercise, Tempi, Template, library};
    use crate::engrave::{Engraved, MarkRole, engrave};

    fn course(keys: &[Key]) -> Course {
        course_for(keys, Hands::Together)
    }

    fn course_for(keys: &[Key], hands: Hands) -> Course {
        let choices = Choices { hands, ..Choices::default() };
        let exercise = |(name, text)| {
            let drill = Template::parse(text, name).unwrap();
            let tempi = Tempi { tempo: 80, goal: None };
            Exercise::new(drill, keys, tempi, choices)
        };
        Course { exercises: library::all().map(exercise).collect() }
    }

    fn options(keys: &[Key], seed: u32) -> BookOptions {
        BookOptions {
            form: DocumentForm::Review,
            is_course: true,
            seed,
            ..BookOptions::handout(keys.to_vec())
        }
    }

    /// The heads and accidentals of each hand from left to right, each by its height on its staff.
    fn told(system: &System) -> [Vec<(MarkRole, String)>; 2] {
        let mut hands: [Vec<(MarkRole, String)>; 2] = Default::default();
        let is_symbol = |mark: &Engraved| mark.role == MarkRole::Symbol;
        let between = system.marks.iter().rposition(is_symbol).expect("there are symbols");
        for (index, mark) in system.marks.iter().enumerate() {
            let Trace::Sign { sign, at, .. } = &mark.trace else { continue };
            if !matches!(mark.role, MarkRole::Head | MarkRole::Accidental) {
                continue;
            }
            let (hand, drop) = if index < between { (0, 0.0) } else { (1, system.drop) };
            hands[hand].push((mark.role, format!("{sign:?} {:.2}", at.y + drop)));
        }
        hands
    }

    /// Every answer is the beginning of its drill in its key, note for note, and its question is the
    /// same without the notes.
    #[test]
    fn the_answers_of_a_review_are_the_drills_it_asks_for_note_for_note() {
        let keys: Vec<Key> = Key::majors().collect();
        let course = course(&keys);
        let (mut heads, mut drills) = (0, BTreeMap::<String, usize>::new());
        for seed in 0..12 {
            let options = options(&keys, seed);
            let plan = DocumentPlan::new(&course, &options);
            let review = Review::of(&plan).unwrap();
            for ((chapter, key), asked) in drawn(&plan).iter().zip(&review.asked) {
                let [_, look] = looks(&plan, chapter);
                let exercise = chapter.exercise;
                let score = exercise.score(&exercise.drill(), *key);
                let [question, answer] = &asked.sides;
                assert_eq!(asked.key, *key);
                let whole = engrave(&score, &look, 2000.0, 1).expect("a long line holds all");
                for (own, all) in told(answer).into_iter().zip(told(&whole[0])) {
                    assert!(all.starts_with(&own), "{} in {key}", exercise.template.name);
                    heads += own.len();
                }
                let last = score.bars[answer.bars.end - 1].start + score.metre.bar();
                let events =
                    score.bars.iter().flat_map(|bar| bar.staves.iter()).flat_map(|it| &it.events);
                let notes: usize =
                    events.filter(|event| event.at < last).map(|event| event.notes.len()).sum();
                let shown = answer.marks.iter().filter(|mark| mark.role == MarkRole::Head).count();
                assert_eq!(shown, notes, "{} in {key}", exercise.template.name);
                assert!(question.marks.iter().all(|mark| mark.role != MarkRole::Head));
                assert!(question.marks.iter().all(|mark| answer.marks.contains(mark)));
                *drills.entry(exercise.template.name.clone()).or_default() += 1;
            }
        }
        assert!(heads > 1500 && drills.len() > 15, "{heads} in {drills:?}");
    }

    /// Whichever hand plays alone, a box says so and shows that the other one rests; and no box warns
    /// of what comes behind it.
    #[test]
    fn a_box_is_for_the_hands_that_play_and_ends_with_its_last_bar() {
        let keys: Vec<Key> = Key::majors().collect();
        let (mut rests, mut boxes) = (0, 0);
        for hands in [Hands::Together, Hands::Right, Hands::Left] {
            let course = course_for(&keys, hands);
            for seed in 0..6 {
                let options = BookOptions { hands, boxes: Some(24), ..options(&keys, seed) };
                let plan = DocumentPlan::new(&course, &options);
                for asked in Review::of(&plan).unwrap().asked {
                    let title: Vec<String> = asked.title.lines.clone();
                    assert!(title.join(" ").ends_with(hands.alone().trim_start()), "{title:?}");
                    let [question, answer] = &asked.sides;
                    let count = |system: &System, role| {
                        system.marks.iter().filter(|mark| mark.role == role).count()
                    };
                    assert_eq!(count(question, MarkRole::Head), 0);
                    assert!(count(answer, MarkRole::Head) > 0);
                    if hands == Hands::Together {
                        assert_eq!(count(question, MarkRole::Rest), 0);
                    } else {
                        rests += count(question, MarkRole::Rest);
                        assert!(count(question, MarkRole::Rest) >= answer.bars.len());
                    }
                    let right = |roles: &[MarkRole]| {
                        let own = answer.marks.iter().filter(|mark| roles.contains(&mark.role));
                        let x = |mark: &Engraved| match mark.trace {
                            Trace::Sign { at, .. } => at.x,
                            _ => f64::NEG_INFINITY,
                        };
                        own.map(x).fold(f64::NEG_INFINITY, f64::max)
                    };
                    let last = right(&[MarkRole::Head, MarkRole::Rest]);
                    assert!(right(&[MarkRole::Clef, MarkRole::KeySign]) < last, "{title:?}");
                    boxes += 1;
                }
            }
        }
        assert!(rests > 200 && boxes == 3 * 6 * 24, "{rests} in {boxes}");
    }

    /// The boxes of a page: the number in each, and its frame.
    fn boxes(page: &Page) -> BTreeMap<String, Rect> {
        let mut boxes = BTreeMap::new();
        for pair in page.blocks.windows(2) {
            if pair[0].kind == Kind::Artifact && pair[1].kind == Kind::Heading(3) {
                let Mark::Trace(Trace::Text { text, .. }, _) = &pair[1].marks[0] else { continue };
                boxes.insert(text.to_string(), pair[0].marks[0].bounds());
            }
        }
        boxes
    }

    /// Whatever the paper, an answer lies behind its question; nothing stands out of its box.
    #[test]
    fn answers_lie_behind_their_questions_and_keep_to_their_boxes() {
        let keys: Vec<Key> = Key::majors().collect();
        let course = course(&keys);
        let mut seen = 0;
        for paper in Paper::ALL {
            for orientation in [Orientation::Portrait, Orientation::Landscape] {
                for binding in [Binding::None, Binding::Left, Binding::Duplex] {
                    let own = BookOptions { paper, orientation, binding, ..options(&keys, 7) };
                    let own = BookOptions { boxes: Some(20), ..own };
                    let book = Book::measure(&course, &own).unwrap();
                    let width = crate::canvas::paper::size(paper, orientation).width;
                    let pages: Vec<Page> =
                        (0..book.pages()).map(|page| book.page(page).unwrap()).collect();
                    for sides in pages.chunks(2) {
                        let [front, back] = [boxes(&sides[0]), boxes(&sides[1])];
                        assert!(front.keys().eq(back.keys()) && !front.is_empty());
                        for (number, frame) in &front {
                            let behind = back[number];
                            assert!((frame.x0 + behind.x1 - width).abs() < 0.01, "{paper:?}");
                            assert!((frame.y0 - behind.y0).abs() < 0.01, "{paper:?}");
                        }
                        for (page, boxes) in [(&sides[0], front), (&sides[1], back)] {
                            seen += boxes.len();
                            keep_to(page, &boxes);
                        }
                    }
                }
            }
        }
        assert_eq!(seen, 4 * 2 * 3 * 2 * 20);
    }

    fn keep_to(page: &Page, boxes: &BTreeMap<String, Rect>) {
        let mut heading: Option<Rect> = None;
        for block in &page.blocks {
            let ink = block.marks.iter().map(Mark::bounds).reduce(|all, ink| all.union(ink));
            let Some(ink) = ink else { continue };
            match block.kind {
                Kind::System | Kind::Heading(3) => {
                    let own = boxes.values().find(|frame| frame.contains(ink.center()));
                    let frame = own.expect("it stands in a box");
                    assert!(frame.contains_rect(ink), "{ink:?} stands out of {frame:?}");
                    if block.kind == Kind::System {
                        let clear = heading.is_some_and(|above| above.y0 > ink.y1);
                        assert!(clear, "{ink:?} in its heading {heading:?}");
                    } else {
                        heading = Some(ink);
                    }
                }
                _ if block.marks.len() == 1 && boxes.values().any(|frame| *frame == ink) => {}
                _ => assert!(
                    boxes.values().all(|frame| frame.intersect(ink).area() == 0.0),
                    "{ink:?} in a box"
                ),
            }
        }
    }
}
