//! Sheets measured: everything about them but the numbers of their pages.

use std::mem;
use std::ops::Range;
use std::sync::Mutex;

use kurbo::{Rect, Size};

use super::foot::{CountSigns, SheetFoot};
use super::header::Header;
use super::remark::{self, Remarkable};
use super::{Parts, parts, shared};
use crate::book::PageError;
use crate::book::plan::{Allotment, Chapter, DocumentPlan};
use crate::drill::Exercise;
use crate::engrave::set::{Alike, Set};
use crate::engrave::shared::SharedKey;
use crate::engrave::{self, Cut, Layout, Look, Sp, System};
use crate::parallel;
use crate::score::{Feel, Score};
use crate::theory::Key;

/// The sheets of a drill in all its keys, with staves of one size.
pub(crate) struct Sheets {
    pub(super) header: Header,
    /// The tempi of the ladder.
    pub(super) rungs: Vec<u16>,
    pub(super) sheets: Vec<KeySheet>,
    /// How they share pages out among them.
    pub(crate) allotment: Allotment,
}

/// The sheet of one key.
pub(super) struct KeySheet {
    pub(super) key: Key,
    pub(super) feel: Feel,
    remarkable: Remarkable,
    signs: CountSigns,
    /// The staff space in points.
    pub(super) space: f64,
    pub(super) pages: Vec<PageMusic>,
    cut: Cut,
    look: Look,
    index: usize,
}

/// The music of one page.
pub(super) struct PageMusic {
    /// How far below the top of its room the baseline of the key's small heading stands, in staff
    /// spaces, where keys share a page.
    pub(super) heading: Option<Sp>,
    /// The same of each system's origin.
    pub(super) origins: Vec<Sp>,
    /// Which of the sheet's systems they are.
    range: Range<usize>,
    /// The systems as they were drawn when the sheet was measured, until the page is asked for.
    drawn: Mutex<Vec<System>>,
}

/// Measures the sheets of a drill: on pages that keys share, or each on as many as it needs.
///
/// Errors with [`PageError::NoRoom`] where a bar of a key is larger than a page, and with
/// [`PageError::TooManyBars`] where a line does not hold as many as were asked for.
pub(crate) fn measure(plan: &DocumentPlan<'_>, chapter: &Chapter<'_>) -> Result<Sheets, PageError> {
    let exercise = chapter.exercise;
    let header = Header::new(plan, chapter)?;
    let rungs = exercise.rungs();
    let drill = exercise.drill();
    let scores = parallel::map(&exercise.keys, |key| exercise.score(&drill, *key));
    let (look, times) = (plan.look(chapter), plan.times());
    let bare =
        || scores.iter().enumerate().map(|(index, score)| KeySheet::bare(score, look, index));
    let measure = (&header, rungs.len());
    let sheets: Vec<KeySheet> = bare().collect();
    let shared_room = |keys: Range<usize>| {
        let own: Vec<&KeySheet> = sheets[keys].iter().collect();
        room(plan, &header, &foot_of(plan, &header, &own, rungs.len()), (0, 1))
    };
    let measured = |score| Layout::new(score, look);
    let mut layouts = parallel::map(&scores, measured);
    if let Some((keys, set)) = shared::set(plan, &scores, &layouts, shared_room) {
        let space = set.space;
        let keys_of = bare().zip(set.keys).map(|(sheet, key)| sheet.sharing(key, space));
        let sheets = keys_of.collect();
        return Ok(Sheets {
            header,
            rungs,
            sheets,
            allotment: Allotment { keys, times, ..Allotment::ALONE },
        });
    }
    let sheets = || bare().collect();
    let ring: Vec<Key> = exercise.ring().collect();
    let others = ring.iter().filter(|key| scores.iter().all(|score| score.key != **key));
    let others = parallel::map(others, |key| exercise.score(&drill, *key));
    layouts.extend(parallel::map(&others, measured));
    let bars = plan.options.bars;
    if let Some((sheets, pages)) = alike(plan, measure, (&layouts, sheets()), bars) {
        return Ok(Sheets {
            header,
            rungs,
            sheets,
            allotment: Allotment { pages, times, ..Allotment::ALONE },
        });
    }
    // A key that is not printed is no hindrance to one that is.
    let own = &layouts[..scores.len()];
    if let Some((sheets, pages)) = alike(plan, measure, (own, sheets()), bars) {
        return Ok(Sheets {
            header,
            rungs,
            sheets,
            allotment: Allotment { pages, times, ..Allotment::ALONE },
        });
    }
    if let Some(asked) = bars {
        let fits = |bars: &usize| alike(plan, measure, (own, Vec::new()), Some(*bars)).is_some();
        if let Some(most) = (1..asked).rev().find(fits) {
            return Err(PageError::TooManyBars { asked, most, paper: plan.options.paper });
        }
    }
    let has_room = |own: &[Layout<'_>]| alike(plan, measure, (own, Vec::new()), None).is_some();
    let crowded = own.chunks(1).position(|own| !has_room(own)).unwrap_or(0);
    Err(PageError::NoRoom { key: scores[crowded].key, paper: plan.options.paper, nearest: None })
}

/// Sheets with the music of their scores, measured, all set alike and like those of the scores beyond, on as
/// few pages each as hold every one of them; and how many these are. `None` where a bar is larger
/// than a page.
fn alike(
    plan: &DocumentPlan<'_>,
    (header, rungs): (&Header, usize),
    (layouts, sheets): (&[Layout<'_>], Vec<KeySheet>),
    bars: Option<usize>,
) -> Option<(Vec<KeySheet>, usize)> {
    let look = header.look;
    let scores = || layouts.iter().map(Layout::score);
    let feet = parallel::map(scores(), |score| {
        foot_of(plan, header, &[&KeySheet::bare(score, look, 0)], rungs)
    });
    let mut music = Alike::new(layouts, plan.staves, bars);
    let most = scores().map(|score| score.bars.len()).max().unwrap_or(1);
    let (sets, pages) = (1..=most).find_map(|pages| {
        let rooms = |foot| (0..pages).map(|nth| room(plan, header, foot, (nth, pages))).collect();
        Some((music.best(feet.iter().map(rooms).collect())?, pages))
    })?;
    Some((sheets.into_iter().zip(sets).map(|(sheet, set)| sheet.with(set)).collect(), pages))
}

/// The room for music on a page; the same whatever side it lies on, but for its left end.
pub(super) fn room(
    plan: &DocumentPlan<'_>,
    header: &Header,
    foot: &SheetFoot,
    place: (usize, usize),
) -> Size {
    let Parts { room, .. } = parts(plan, header, foot, plan.live(0), place);
    Rect::size(&room)
}

/// The foot of a page with sheets, its words set.
pub(super) fn foot_of(
    plan: &DocumentPlan<'_>,
    header: &Header,
    sheets: &[&KeySheet],
    rungs: usize,
) -> SheetFoot {
    let remarks = remark::lines(plan, &remarkable(sheets)).len();
    let signs = CountSigns::joined(sheets.iter().map(|sheet| sheet.signs));
    let keys: Vec<Key> = sheets.iter().map(|sheet| sheet.key).collect();
    let slip = header.slip.as_ref().map(|slip| slip.of(plan, &keys));
    SheetFoot::new(plan, rungs, (signs, header.look.counts), (sheets.len(), remarks)).over(slip)
}

/// What there is to say about sheets.
pub(super) fn remarkable(sheets: &[&KeySheet]) -> Remarkable {
    Remarkable::joined(sheets.iter().map(|sheet| &sheet.remarkable))
}

impl Sheets {
    /// The lines of each key, each with its bars and whether a page begins with it.
    pub(crate) fn lines(&self) -> Vec<Vec<(Range<usize>, bool)>> {
        let of = |(index, sheet): (usize, &KeySheet)| {
            let firsts: Vec<usize> = sheet.pages.iter().map(|page| page.range.start).collect();
            let shares = !index.is_multiple_of(self.allotment.keys.max(1));
            let line = |(nth, bars): (usize, &Range<usize>)| {
                (bars.clone(), firsts.contains(&nth) && !(nth == 0 && shares))
            };
            sheet.cut.systems.iter().enumerate().map(line).collect()
        };
        self.sheets.iter().enumerate().map(of).collect()
    }
}

impl KeySheet {
    /// A sheet without its music.
    fn bare(score: &Score, look: Look, index: usize) -> Self {
        Self {
            key: score.key,
            feel: score.feel,
            remarkable: Remarkable::of(score),
            signs: CountSigns::of(score, look.counts),
            space: 0.0,
            pages: Vec::new(),
            cut: Cut::default(),
            look,
            index,
        }
    }

    /// The same with music that shares its page.
    fn sharing(self, key: SharedKey, space: f64) -> Self {
        let SharedKey { cut, systems, heading, origins } = key;
        let range = 0..systems.len();
        let music =
            PageMusic { heading: Some(heading), origins, range, drawn: Mutex::new(systems) };
        Self { pages: vec![music], cut, space, ..self }
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
            PageMusic { heading: None, origins, range, drawn }
        });
        Self { pages: pages.collect(), cut, space, ..self }
    }

    /// The systems of one of its pages: those that measuring drew, or drawn once more.
    ///
    /// What `look` leaves out changes nothing about where the rest stands.
    pub(super) fn systems(&self, chapter: &Chapter<'_>, nth: usize, look: Look) -> Vec<System> {
        let music = &self.pages[nth];
        if look != self.look {
            return self.drawn_anew(chapter, nth, look);
        }
        let drawn = music.drawn.lock().map(|mut drawn| mem::take(&mut *drawn));
        let drawn = drawn.unwrap_or_default();
        if drawn.len() == music.range.len() {
            return drawn;
        }
        self.drawn_anew(chapter, nth, look)
    }

    /// The systems of one of its pages, drawn in a look.
    fn drawn_anew(&self, chapter: &Chapter<'_>, nth: usize, look: Look) -> Vec<System> {
        let exercise: &Exercise = chapter.exercise;
        let score = exercise.score(&exercise.drill(), exercise.keys[self.index]);
        let mut systems = engrave::draw(&score, look, &self.cut);
        systems.drain(self.pages[nth].range.clone()).collect()
    }
}
