//! A whole document: which pages, in which order, and how they refer to one another.

use std::borrow::Cow;

use kurbo::{Rect, Size};

use super::matter::{chord_table, contents, cover, how_to, log, opening};
use super::{PageTemplate, booklet, sheet};
use crate::book::error::PageError;
use crate::book::matter::chord_table::ChordTable;
use crate::book::sheet::Worked;
use crate::canvas::board::Board;
use crate::canvas::paper;
use crate::canvas::{Bookmark, Document, Page, Picture, picture as raster};
use crate::drill::Template;
use crate::parallel;
use crate::recipe::{Binding, Form, Hands, KeyOrder, Orientation, Recipe, StaffSize};
use crate::score;
use crate::theory::{Key, Spelling};

/// The language of every word of ours.
const LANGUAGE: &str = "en";

/// The index of the cover, and of the first page of the contents.
pub(crate) const COVER: usize = 0;
pub(crate) const CONTENTS: usize = 1;

/// The titles of pages, as their headings, the contents and the outline give them.
pub(crate) const CONTENTS_TITLE: &str = "Contents";
pub(crate) const HOW_TO_TITLE: &str = "How to practise";
pub(crate) const LOG_TITLE: &str = "Practice log";

/// A picture of the document.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Logo {
    /// Its index among the pictures.
    pub(crate) index: usize,
    /// Width over height.
    aspect: f64,
}

impl Logo {
    /// The largest width and height of it inside a box.
    pub(crate) fn within(self, width: f64, height: f64) -> (f64, f64) {
        let wide = height * self.aspect;
        if wide <= width { (wide, height) } else { (width, width / self.aspect) }
    }
}

/// The key that follows, and the page it stands on where the document has it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Next {
    pub(crate) key: Key,
    pub(crate) page: Option<usize>,
    /// Whether that page stands before this one: the keys of the document are done.
    pub(crate) is_again: bool,
    /// Whether an arrow leads there: not from a last page to one that is not there.
    pub(crate) has_arrow: bool,
    /// The index of the drill that follows, after the last key of a drill of a course; the page
    /// is then the one that this drill begins on.
    pub(crate) part: Option<usize>,
}

/// A drill of the document, in all its keys.
#[derive(Clone, Debug)]
pub(crate) struct Part<'a> {
    /// Its place in the document.
    pub(crate) index: usize,
    pub(crate) drill: &'a Template,
    /// The index of the page that says what it is, in the workbook of a course.
    pub(crate) opening: Option<usize>,
    /// The index of the page of its first key.
    pub(crate) first_page: usize,
    /// Whether each key takes two facing pages.
    pub(crate) spread: bool,
}

impl Part<'_> {
    /// Its number, from 1.
    pub(crate) fn number(&self) -> usize {
        self.index + 1
    }

    /// How many pages each key takes.
    pub(crate) fn pages_per_key(&self) -> usize {
        if self.spread { 2 } else { 1 }
    }

    /// The index of the first page of the key at an index.
    pub(crate) fn key_page(&self, index: usize) -> usize {
        self.first_page + index * self.pages_per_key()
    }

    /// The index of its very first page.
    pub(crate) fn start(&self) -> usize {
        self.opening.unwrap_or(self.first_page)
    }
}

/// What every page of a document needs to know.
#[derive(Clone, Debug)]
pub(crate) struct Plan<'a> {
    pub(crate) recipe: &'a Recipe,
    pub(crate) parts: Vec<Part<'a>>,
    pub(crate) page: &'static PageTemplate,
    /// The same for the sheets of keys, whose type grows with large staves, and how much.
    pub(crate) grown: PageTemplate,
    pub(crate) growth: f64,
    /// The title, after the name of the field it comes from.
    pub(crate) title: (&'static str, Cow<'a, str>),
    pub(crate) logo: Option<Logo>,
    /// How many pages the contents take.
    pub(crate) contents: usize,
    /// The height of a row of their table of drills, in ems.
    pub(crate) contents_row: f64,
    /// The tables of spelled chords, one page each.
    pub(crate) tables: Vec<ChordTable>,
    /// The indices of the pages of the practice log of a workbook: behind the keys, or before
    /// them where it lets spreads begin on a left page.
    pub(crate) logs: Vec<usize>,
    /// Height of a staff in points, and what it may shrink to.
    pub(crate) staff: f64,
    pub(crate) least_staff: f64,
    /// The tempi of the ladder.
    pub(crate) rungs: Vec<u16>,
}

/// Pages.
impl Plan<'_> {
    pub(crate) fn sheet(&self) -> Size {
        paper::size(self.recipe.paper, self.recipe.orientation)
    }

    /// Whether pages are wider than they are high.
    pub(crate) fn is_wide(&self) -> bool {
        self.recipe.orientation == Orientation::Landscape
    }

    /// The part of a page inside the margins.
    pub(crate) fn live(&self, page: usize) -> Rect {
        let mut live = self.page.live(self.sheet());
        // Pages with an even index lie on the right of the book, its first one among them.
        let is_right = page.is_multiple_of(2);
        match (self.recipe.binding, is_right) {
            (Binding::None, _) => {}
            (Binding::Left, _) | (Binding::Duplex, true) => live.x0 += paper::GUTTER,
            // The brace needs its room at the left here too.
            (Binding::Duplex, false) => live.x1 -= paper::GUTTER,
        }
        live
    }

    /// The width inside the margins: the same on every page.
    pub(crate) fn width(&self) -> f64 {
        self.live(0).width()
    }

    /// The staff space, in points.
    pub(crate) fn space(&self) -> f64 {
        self.staff / 4.0
    }

    /// An empty page.
    pub(crate) fn board(&self, page: usize) -> Board {
        Board::new(self.sheet(), self.live(page), self.label(page))
    }

    /// The number of the page at an index: the front of a workbook in roman figures, then from
    /// 1.
    pub(crate) fn label(&self, page: usize) -> String {
        match page.checked_sub(self.front()) {
            Some(page) => (page + 1).to_string(),
            None => roman(page + 1),
        }
    }

    pub(crate) fn is_workbook(&self) -> bool {
        self.recipe.form == Form::Workbook
    }

    /// How many pages stand before the drills of a workbook: an even number, so that their first
    /// page, numbered 1, lies on the right.
    fn front(&self) -> usize {
        self.words_before().next_multiple_of(2)
    }

    /// How many of these are full of words, not a practice log.
    fn words_before(&self) -> usize {
        if self.is_workbook() { self.chords_page(self.tables.len()) } else { 0 }
    }

    pub(crate) fn how_to_page(&self) -> usize {
        CONTENTS + self.contents
    }

    /// The page of the table of chords at an index.
    pub(crate) fn chords_page(&self, table: usize) -> usize {
        self.how_to_page() + 1 + table
    }
}

/// Drills and keys.
impl Plan<'_> {
    /// The title at the head of a drill's sheets, after the name of the field it comes from.
    pub(crate) fn sheet_title(&self, part: &Part<'_>) -> (&'static str, String) {
        let (field, title) = if self.recipe.is_course() {
            (DRILL_TITLE, part.drill.title.as_str())
        } else {
            (self.title.0, &*self.title.1)
        };
        let alone = match self.recipe.hands {
            Hands::Together => "",
            Hands::Right => ", right hand alone",
            Hands::Left => ", left hand alone",
        };
        (field, format!("{title}{alone}"))
    }

    /// The keys of a drill, major or minor as it has them.
    pub(crate) fn keys(&self, part: &Part<'_>) -> Vec<Key> {
        self.recipe.keys.iter().map(|key| key.in_mode(part.drill.mode)).collect()
    }

    /// The index of the page of a key of a drill that sounds like `key`.
    pub(crate) fn page_of(&self, part: &Part<'_>, key: Key) -> Option<usize> {
        let place = key.place_in_round();
        let index = self.recipe.keys.iter().position(|own| own.place_in_round() == place)?;
        Some(part.key_page(index))
    }

    /// What follows the key at an index of a drill: the document's next key; after its last, the
    /// next drill, and after the last of all, the next key of the round.
    pub(crate) fn next(&self, part: &Part<'_>, index: usize) -> Next {
        let keys = self.keys(part);
        let following = keys.get(index + 1).copied();
        let key = following.unwrap_or_else(|| {
            if !matches!(self.recipe.order, None | Some(KeyOrder::FallingFifths)) {
                return keys[0];
            }
            let next = keys[index].next_in_round(Spelling::Customary).in_mode(part.drill.mode);
            let own = keys.iter().find(|own| own.place_in_round() == next.place_in_round());
            own.copied().unwrap_or(next)
        });
        if let (None, Some(after)) = (following, self.parts.get(part.index + 1)) {
            let (page, part) = (Some(after.start()), Some(after.index));
            return Next { key, page, part, is_again: false, has_arrow: true };
        }
        let page = self.page_of(part, key).filter(|_| keys.len() > 1);
        let is_again = page.is_some() && following.is_none();
        Next { key, page, part: None, is_again, has_arrow: page.is_some() || keys.len() == 1 }
    }
}

/// The rungs of the ladder of a recipe.
fn rungs_of(recipe: &Recipe) -> Vec<u16> {
    let goal = recipe.goal.unwrap_or_else(|| score::default_goal(recipe.tempo));
    score::rungs(recipe.tempo, goal, score::MOST_RUNGS)
}

/// The name of the field that a drill's title comes from.
pub(crate) const DRILL_TITLE: &str = "the drill's `title`";

/// A number in small roman figures.
fn roman(mut number: usize) -> String {
    const FIGURES: [(usize, &str); 7] =
        [(50, "l"), (40, "xl"), (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i")];
    let mut numeral = String::new();
    for (value, figure) in FIGURES {
        while number >= value {
            numeral.push_str(figure);
            number -= value;
        }
    }
    numeral
}

/// Making the plan.
impl<'a> Plan<'a> {
    fn new(recipe: &'a Recipe, drills: &'a [Template], picture: Option<&Picture>) -> Self {
        let page = PageTemplate::of(recipe.paper);
        let chosen = recipe.staff.map(|staff| staff.mm() * paper::MM);
        let staff = chosen.unwrap_or(page.staff);
        let growth = page.growth(staff);
        let part =
            |(index, drill)| Part { index, drill, opening: None, first_page: 0, spread: false };
        let mut plan = Self {
            recipe,
            parts: drills.iter().enumerate().map(part).collect(),
            page,
            grown: page.grown(growth),
            growth,
            staff,
            least_staff: chosen.unwrap_or(page.least_staff),
            title: match (&recipe.title, drills) {
                (Some(title), _) => ("title", Cow::Borrowed(title)),
                (None, [drill]) => (DRILL_TITLE, Cow::Borrowed(&drill.title)),
                (None, _) => ("title", Cow::Owned(format!("A course of {} drills", drills.len()))),
            },
            logo: picture.map(|picture| Logo {
                index: 0,
                aspect: f64::from(picture.width) / f64::from(picture.height),
            }),
            contents: 1,
            contents_row: 1.0,
            tables: chord_table::of(drills),
            logs: Vec::new(),
            rungs: rungs_of(recipe),
        };
        (plan.contents_row, plan.contents) = contents::fitted(&plan);
        plan.place();
        plan
    }

    /// Gives every drill its pages.
    fn place(&mut self) {
        let (is_workbook, keys) = (self.is_workbook(), self.recipe.keys.len());
        let has_openings = is_workbook && self.recipe.is_course();
        let mut page = self.front();
        self.logs.clear();
        self.logs.extend(self.words_before()..page);
        for part in &mut self.parts {
            // A spread begins on a left page, which has an odd index.
            let first = page + usize::from(has_openings);
            if is_workbook && part.spread && first.is_multiple_of(2) {
                self.logs.push(page);
                page += 1;
            }
            part.opening = has_openings.then_some(page);
            part.first_page = page + usize::from(has_openings);
            page = part.key_page(keys);
        }
        if is_workbook && (has_openings || self.logs.is_empty()) {
            self.logs.push(page);
        }
    }
}

/// Lays out the document of a recipe in these drills; its own recipe is left empty.
///
/// Errors where words, picture or music cannot stand on the page.
pub fn lay_out(recipe: &Recipe, drills: &[Template]) -> Result<Document, PageError> {
    lay_out_each(recipe, drills, &|_| ()).map(|(document, _)| document)
}

/// Lays out the document of a recipe in these drills, as [`lay_out`] does, and gives what `work`
/// makes of each page, in order. `work` has a page as soon as it is done, and may take its marks
/// off it to keep memory small.
///
/// Errors as [`lay_out`] does.
pub fn lay_out_each<R: Send>(
    recipe: &Recipe,
    drills: &[Template],
    work: &(impl Fn(&mut Page) -> R + Sync),
) -> Result<(Document, Vec<R>), PageError> {
    let picture = recipe.logo_data.as_deref().map(raster::picture).transpose()?;
    let mut plan = Plan::new(recipe, drills, picture.as_ref());
    // Pages of a booklet are done only when they have been put together in pairs.
    let at_once = |page: &mut Page| (!recipe.booklet).then(|| work(page));
    let (mut sheets, mut before) = parallel::both(|| sheets(&plan, &at_once), || front(&plan));
    let crowded = |result: &Result<_, PageError>| matches!(result, Err(PageError::NoRoom { .. }));
    if sheets.iter().any(crowded) {
        for (part, result) in plan.parts.iter_mut().zip(&sheets) {
            part.spread = crowded(result);
        }
        plan.place();
        (sheets, before) = parallel::both(|| self::sheets(&plan, &at_once), || front(&plan));
    }
    let (mut pages, mut results): (Vec<Page>, Vec<Option<R>>) =
        in_order(&plan, before?, sheets)?.into_iter().unzip();
    let document = |pages| Document {
        title: plan.title.1.to_string(),
        author: recipe.studio.clone(),
        language: LANGUAGE.to_owned(),
        pages,
        outline: outline(&plan),
        pictures: picture.into_iter().collect(),
        recipe: String::new(),
    };
    if recipe.booklet {
        let mut document = booklet::impose(document(pages));
        let results = parallel::map(document.pages.iter_mut(), work);
        return Ok((document, results));
    }
    let all = pages.iter_mut().zip(&mut results);
    let left: Vec<(&mut Page, &mut Option<R>)> =
        all.filter(|(_, result)| result.is_none()).collect();
    parallel::map(left, |(page, result)| *result = Some(work(page)));
    Ok((document(pages), results.into_iter().flatten().collect()))
}

/// All pages in their order, with what has been made of them so far.
fn in_order<R>(
    plan: &Plan<'_>,
    before: Vec<Page>,
    sheets: Vec<Result<Vec<Worked<R>>, PageError>>,
) -> Result<Vec<Worked<R>>, PageError> {
    let mut pages: Vec<Worked<R>> = before.into_iter().map(|page| (page, None)).collect();
    let mut logs = plan.logs.iter().map(|page| (log::lay_out(plan, *page), None));
    for (part, sheets) in plan.parts.iter().zip(sheets) {
        let sheets = sheets.map_err(|error| with_nearest(error, plan, part));
        let in_drill = |error: PageError| in_drill(error, plan, part);
        let opening = part.opening.map(|page| opening::lay_out(plan, part, page)).transpose();
        if pages.len() < part.start() {
            pages.extend(logs.next());
        }
        pages.extend(opening.map_err(in_drill)?.map(|page| (page, None)));
        pages.extend(sheets.map_err(in_drill)?);
    }
    pages.extend(logs);
    Ok(pages)
}

/// The pages of the keys of each drill, and what `work` makes of each.
fn sheets<R: Send>(
    plan: &Plan<'_>,
    work: &(impl Fn(&mut Page) -> Option<R> + Sync),
) -> Vec<Result<Vec<Worked<R>>, PageError>> {
    parallel::map(&plan.parts, |part| sheet::lay_out(plan, part, work))
}

/// The pages of a workbook before its drills; none of a handout.
fn front(plan: &Plan<'_>) -> Result<Vec<Page>, PageError> {
    if !plan.is_workbook() {
        return Ok(Vec::new());
    }
    let mut pages = vec![cover::lay_out(plan)?];
    pages.extend(contents::lay_out(plan)?);
    pages.push(how_to::lay_out(plan)?);
    pages.extend((0..plan.tables.len()).map(|index| chord_table::lay_out(plan, index)));
    Ok(pages)
}

/// A refusal for want of room, with the largest staff that the drill would have room with.
fn with_nearest(error: PageError, plan: &Plan<'_>, part: &Part<'_>) -> PageError {
    let PageError::NoRoom { key, paper, .. } = error else { return error };
    let fits = |staff: &StaffSize| {
        let recipe = Recipe { staff: Some(*staff), ..plan.recipe.clone() };
        let mut other = Plan { recipe: &recipe, staff: staff.mm() * paper::MM, ..plan.clone() };
        other.least_staff = other.staff;
        other.growth = plan.page.growth(other.staff);
        other.grown = plan.page.grown(other.growth);
        sheet::lay_out(&other, part, &|_| None::<()>).is_ok()
    };
    let smaller = StaffSize::all().rev().filter(|staff| staff.mm() * paper::MM < plan.staff - 0.1);
    PageError::NoRoom { key, paper, nearest: smaller.into_iter().find(fits) }
}

/// The same refusal with the name of its drill, in a document that has several.
pub(crate) fn in_drill(error: PageError, plan: &Plan<'_>, part: &Part<'_>) -> PageError {
    if plan.recipe.is_course() {
        PageError::InDrill { drill: part.drill.name.clone(), error: Box::new(error) }
    } else {
        error
    }
}

fn outline(plan: &Plan<'_>) -> Vec<Bookmark> {
    let entry = |title: &str, page| Bookmark {
        title: title.to_owned(),
        page,
        open: true,
        children: Vec::new(),
    };
    let keys = |part: &Part<'_>| -> Vec<Bookmark> {
        let keys = plan.keys(part).into_iter().enumerate();
        keys.map(|(index, key)| entry(&key.words(), part.key_page(index))).collect()
    };
    let drills: Vec<Bookmark> = match plan.parts.as_slice() {
        [part] if !plan.recipe.is_course() => {
            if !plan.is_workbook() {
                return keys(part);
            }
            vec![Bookmark { children: keys(part), ..entry("Keys", part.first_page) }]
        }
        parts => {
            let titled = |part: &Part<'_>| {
                let title = format!("{}. {}", part.number(), part.drill.title);
                // A reader program would show hundreds of lines.
                let open = parts.len() == 1;
                Bookmark { children: keys(part), open, ..entry(&title, part.start()) }
            };
            parts.iter().map(titled).collect()
        }
    };
    if !plan.is_workbook() {
        return drills;
    }
    let mut entries = vec![
        entry("Cover", COVER),
        entry(CONTENTS_TITLE, CONTENTS),
        entry(HOW_TO_TITLE, plan.how_to_page()),
    ];
    let tables = plan.tables.iter().enumerate();
    entries.extend(tables.map(|(index, table)| entry(&table.title, plan.chords_page(index))));
    entries.extend(drills);
    entries.extend(plan.logs.iter().map(|page| entry(LOG_TITLE, *page)));
    entries.sort_by_key(|entry| entry.page);
    entries
}

/// A plan for the tests of pages.
#[cfg(test)]
pub(crate) fn test_plan<'a>(recipe: &'a Recipe, drill: &'a Template) -> Plan<'a> {
    Plan::new(recipe, std::slice::from_ref(drill), None)
}

#[cfg(test)]
mod tests {
    use super::roman;

    #[test]
    fn roman_figures_are_those_of_the_trade() {
        let found: Vec<String> = [1, 4, 6, 9, 14, 39, 48].map(roman).to_vec();
        assert_eq!(found, ["i", "iv", "vi", "ix", "xiv", "xxxix", "xlviii"]);
    }
}
