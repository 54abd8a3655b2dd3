//! Sheets measured: everything about them but the numbers of their pages.

use std::mem;
use std::ops::Range;
use std::sync::{Mutex, OnceLock};

use kurbo::Rect;

use super::foot::{CountSigns, Foot};
use super::header::Header;
use super::remark::{self, Remarkable};
use super::{Parts, parts};
use crate::book::PageError;
use crate::book::plan::{Chapter, Plan};
use crate::drill::Exercise;
use crate::engrave::set::{Found, Set};
use crate::engrave::{self, Cut, Look, Sp, System};
use crate::parallel;
use crate::score::{Feel, Score};
use crate::theory::Key;

/// The sheets of a drill in all its keys, with staves of one size.
pub(crate) struct Sheets {
    pub(super) header: Header,
    /// The tempi of the ladder.
    pub(super) rungs: Vec<u16>,
    pub(super) sheets: Vec<Sheet>,
}

/// The sheet of one key.
pub(super) struct Sheet {
    pub(super) key: Key,
    pub(super) feel: Feel,
    pub(super) remarkable: Remarkable,
    signs: CountSigns,
    /// The staff space in points.
    pub(super) space: f64,
    pub(super) pages: Vec<Music>,
    cut: Cut,
    look: Look,
    index: usize,
}

/// The music of one page.
pub(super) struct Music {
    /// How far below the top of its room each system's origin stands, in staff spaces.
    pub(super) origins: Vec<Sp>,
    /// Which of the sheet's systems they are.
    range: Range<usize>,
    /// The systems as they were drawn when the sheet was measured, until the page is asked for.
    drawn: Mutex<Vec<System>>,
}

/// Measures the sheets of a drill with so many pages to each key.
///
/// Errors with [`PageError::NoRoom`] where a key needs more.
pub(crate) fn measure(
    plan: &Plan<'_>,
    chapter: &Chapter<'_>,
    pages: usize,
) -> Result<Sheets, PageError> {
    let exercise = chapter.exercise;
    let header = Header::new(plan, chapter)?;
    let rungs = exercise.rungs();
    let drill = exercise.drill();
    let scores: Vec<OnceLock<Score>> = exercise.keys.iter().map(|_| OnceLock::new()).collect();
    let begun = parallel::map(scores.iter().enumerate(), |(index, score)| {
        let score = score.get_or_init(|| exercise.score(&drill, exercise.keys[index]));
        begin(plan, (&header, rungs.len()), (index, score), pages)
    });
    let begun = begun.into_iter().collect::<Result<Vec<(Sheet, Found<'_>)>, _>>()?;
    let smallest = begun.iter().map(|(_, music)| music.trial()).max().unwrap_or(0);
    let sheets = parallel::map(begun, |(sheet, music)| sheet.with(music.with_staves_of(smallest)));
    Ok(Sheets { header, rungs, sheets })
}

/// A sheet without its music, and that music set as large as can be.
fn begin<'a>(
    plan: &Plan<'_>,
    (header, rungs): (&Header, usize),
    (index, score): (usize, &'a Score),
    pages: usize,
) -> Result<(Sheet, Found<'a>), PageError> {
    let look = plan.options.look;
    let sheet = Sheet {
        key: score.key,
        feel: score.feel,
        remarkable: Remarkable::of(score),
        signs: CountSigns::of(score, look.counts),
        space: 0.0,
        pages: Vec::new(),
        cut: Cut::default(),
        look,
        index,
    };
    let foot = sheet.foot(plan, rungs);
    // Rooms are the same whatever side a page lies on, but for their left ends.
    let rooms = (0..pages).map(|nth| {
        let Parts { room, .. } = parts(plan, header, &foot, plan.live(0), (nth, pages));
        Rect::size(&room)
    });
    let no_room = PageError::NoRoom { key: score.key, paper: plan.options.paper, nearest: None };
    let music = Found::best(score, look, plan.staves, rooms.collect()).ok_or(no_room)?;
    Ok((sheet, music))
}

impl Sheet {
    /// The foot, its words set.
    pub(super) fn foot(&self, plan: &Plan<'_>, rungs: usize) -> Foot {
        let remarks = remark::lines(plan, &self.remarkable).len();
        Foot::new(plan, rungs, self.signs, remarks)
    }

    /// The same with its music.
    fn with(self, set: Set) -> Self {
        let Set { cut, systems, origins, space, .. } = set;
        let mut systems = systems.into_iter();
        let mut first = 0;
        let pages = origins.into_iter().map(|origins| {
            let range = first..first + origins.len();
            first = range.end;
            let drawn = Mutex::new(systems.by_ref().take(origins.len()).collect());
            Music { origins, range, drawn }
        });
        Self { pages: pages.collect(), cut, space, ..self }
    }

    /// The systems of one of its pages: those that measuring drew, or drawn once more.
    pub(super) fn systems(&self, chapter: &Chapter<'_>, nth: usize) -> Vec<System> {
        let music = &self.pages[nth];
        let drawn = music.drawn.lock().map(|mut drawn| mem::take(&mut *drawn));
        let drawn = drawn.unwrap_or_default();
        if drawn.len() == music.range.len() {
            return drawn;
        }
        let exercise: &Exercise = chapter.exercise;
        let score = exercise.score(&exercise.drill(), exercise.keys[self.index]);
        let mut systems = engrave::draw(&score, self.look, &self.cut);
        systems.drain(music.range.clone()).collect()
    }
}
