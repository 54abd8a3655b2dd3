//! A whole document: which pages, in which order, and how they refer to one another.

use kurbo::{Rect, Size};

use super::board::Board;
use super::canvas::{Bookmark, Document, Page, Picture};
use super::error::PageError;
use super::{
    PageTemplate, booklet, chord_table, contents, cover, how_to, ladder, log, paper, sheet,
};
use crate::drill::Template;
use crate::logo;
use crate::recipe::{Binding, Form, Recipe, StaffSize};
use crate::theory::{Key, Spelling};

/// The language of every word of ours.
const LANGUAGE: &str = "en";

/// The index of each page of a workbook before its keys.
pub(super) const COVER: usize = 0;
pub(super) const CONTENTS: usize = 1;
pub(super) const HOW_TO: usize = 2;
pub(super) const CHORDS: usize = 3;
/// How many pages stand before the keys of a workbook.
const FRONT: usize = 4;

/// The titles of pages, as their headings, the contents and the outline give them.
pub(super) const CONTENTS_TITLE: &str = "Contents";
pub(super) const HOW_TO_TITLE: &str = "How to practise";
pub(super) const CHORDS_TITLE: &str = "The chords, spelled";
pub(super) const LOG_TITLE: &str = "Practice log";

/// A picture of the document.
#[derive(Clone, Copy, Debug)]
pub(super) struct Logo {
    /// Its index among the pictures.
    pub(super) index: usize,
    /// Width over height.
    aspect: f64,
}

impl Logo {
    /// The largest width and height of it inside a box.
    pub(super) fn within(self, width: f64, height: f64) -> (f64, f64) {
        let wide = height * self.aspect;
        if wide <= width { (wide, height) } else { (width, width / self.aspect) }
    }
}

/// The key that follows, and the page it stands on where the document has it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Next {
    pub(super) key: Key,
    pub(super) page: Option<usize>,
}

/// What every page of a document needs to know.
#[derive(Clone, Debug)]
pub(super) struct Plan<'a> {
    pub(super) recipe: &'a Recipe,
    pub(super) drill: &'a Template,
    pub(super) page: &'static PageTemplate,
    /// The title, after the name of the field it comes from.
    pub(super) title: (&'static str, &'a str),
    pub(super) logo: Option<Logo>,
    /// The index of the page of the first key.
    pub(super) first_key_page: usize,
    /// Height of a staff in points, and what it may shrink to.
    pub(super) staff: f64,
    pub(super) least_staff: f64,
    /// Whether each key takes two facing pages.
    pub(super) spread: bool,
    /// The tempi of the ladder.
    pub(super) rungs: Vec<u16>,
}

impl Plan<'_> {
    pub(super) fn sheet(&self) -> Size {
        paper::size(self.recipe.paper, self.recipe.orientation)
    }

    /// The part of a page inside the margins.
    pub(super) fn live(&self, page: usize) -> Rect {
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
    pub(super) fn width(&self) -> f64 {
        self.live(0).width()
    }

    /// The staff space, in points.
    pub(super) fn space(&self) -> f64 {
        self.staff / 4.0
    }

    /// An empty page.
    pub(super) fn board(&self, page: usize) -> Board {
        Board::new(self.sheet(), self.live(page), self.label(page))
    }

    /// The number of the page at an index: the front of a workbook in roman figures, then from
    /// 1.
    pub(super) fn label(&self, page: usize) -> String {
        const ROMAN: [&str; FRONT] = ["i", "ii", "iii", "iv"];
        match self.recipe.form {
            Form::Handout => (page + 1).to_string(),
            Form::Workbook => match ROMAN.get(page) {
                Some(roman) => (*roman).to_owned(),
                None => (page - FRONT + 1).to_string(),
            },
        }
    }

    /// How many pages each key takes.
    pub(super) fn pages_per_key(&self) -> usize {
        if self.spread { 2 } else { 1 }
    }

    /// The index of the first page of the key at an index.
    pub(super) fn key_page(&self, index: usize) -> usize {
        self.first_key_page + index * self.pages_per_key()
    }

    /// The index of the practice log of a workbook: behind the keys, or before them where it
    /// lets spreads begin on a left page.
    pub(super) fn log_page(&self) -> usize {
        if self.spread { FRONT } else { self.key_page(self.recipe.keys.len()) }
    }

    /// The index of the page of a key that sounds like `key`.
    pub(super) fn page_of(&self, key: Key) -> Option<usize> {
        let place = key.place_in_round();
        let index = self.recipe.keys.iter().position(|own| own.place_in_round() == place)?;
        Some(self.key_page(index))
    }

    /// The key that follows the one at an index: the document's next one; after its last, the
    /// next of the round.
    pub(super) fn next(&self, index: usize) -> Next {
        let keys = &self.recipe.keys;
        let key = keys.get(index + 1).copied().unwrap_or_else(|| {
            let next = keys[index].next_in_round(Spelling::Customary);
            let own = keys.iter().find(|own| own.place_in_round() == next.place_in_round());
            own.copied().unwrap_or(next)
        });
        Next { key, page: self.page_of(key).filter(|_| keys.len() > 1) }
    }
}

impl<'a> Plan<'a> {
    fn new(recipe: &'a Recipe, drill: &'a Template, picture: Option<&Picture>) -> Self {
        let is_workbook = recipe.form == Form::Workbook;
        let page = PageTemplate::of(recipe.paper);
        let chosen = recipe.staff.map(|staff| staff.mm() * paper::MM);
        Self {
            recipe,
            drill,
            page,
            staff: chosen.unwrap_or(page.staff),
            least_staff: chosen.unwrap_or(page.least_staff),
            spread: false,
            title: match &recipe.title {
                Some(title) => ("title", title),
                None => ("the drill's `title`", &drill.title),
            },
            logo: picture.map(|picture| Logo {
                index: 0,
                aspect: f64::from(picture.width) / f64::from(picture.height),
            }),
            first_key_page: if is_workbook { FRONT } else { 0 },
            rungs: ladder::of(recipe),
        }
    }
}

/// Lays out the document of a recipe; its own recipe is left empty.
///
/// Errors where words, picture or music cannot stand on the page.
pub fn lay_out(recipe: &Recipe, drill: &Template) -> Result<Document, PageError> {
    let picture = recipe.logo_data.as_deref().map(logo::picture).transpose()?;
    let is_workbook = recipe.form == Form::Workbook;
    let mut plan = Plan::new(recipe, drill, picture.as_ref());
    let (mut sheets, mut before) = sheets_and_front(&plan);
    if recipe.staff.is_some() && matches!(sheets, Err(PageError::NoRoom { .. })) {
        plan.spread = true;
        plan.first_key_page += usize::from(is_workbook);
        (sheets, before) = sheets_and_front(&plan);
    }
    let mut pages = before?;
    pages.extend(sheets.map_err(|error| with_nearest(error, &plan))?);
    if is_workbook && !plan.spread {
        pages.push(log::lay_out(&plan));
    }
    let document = Document {
        title: plan.title.1.to_owned(),
        author: recipe.studio.clone(),
        language: LANGUAGE.to_owned(),
        pages,
        outline: outline(&plan),
        pictures: picture.into_iter().collect(),
        recipe: String::new(),
    };
    Ok(if recipe.booklet { booklet::impose(document) } else { document })
}

/// The pages of the keys, and those before them.
fn sheets_and_front(
    plan: &Plan<'_>,
) -> (Result<Vec<Page>, PageError>, Result<Vec<Page>, PageError>) {
    let (front, sheets) = sheet::lay_out_beside(plan, || front(plan));
    (sheets, front)
}

/// The pages of a workbook before its keys; none of a handout.
fn front(plan: &Plan<'_>) -> Result<Vec<Page>, PageError> {
    if plan.recipe.form == Form::Handout {
        return Ok(Vec::new());
    }
    let mut pages = vec![
        cover::lay_out(plan)?,
        contents::lay_out(plan),
        how_to::lay_out(plan)?,
        chord_table::lay_out(plan),
    ];
    if plan.spread {
        pages.push(log::lay_out(plan));
    }
    Ok(pages)
}

/// A refusal for want of room, with the largest staff that the drill would have room with.
fn with_nearest(error: PageError, plan: &Plan<'_>) -> PageError {
    let PageError::NoRoom { key, paper, .. } = error else { return error };
    let fits = |staff: &StaffSize| {
        let recipe = Recipe { staff: Some(*staff), ..plan.recipe.clone() };
        let mut other = Plan { recipe: &recipe, staff: staff.mm() * paper::MM, ..plan.clone() };
        other.least_staff = other.staff;
        sheet::lay_out_all(&other).is_ok()
    };
    let smaller = StaffSize::all().rev().filter(|staff| staff.mm() * paper::MM < plan.staff - 0.1);
    PageError::NoRoom { key, paper, nearest: smaller.into_iter().find(fits) }
}

fn outline(plan: &Plan<'_>) -> Vec<Bookmark> {
    let entry =
        |title: &str, page| Bookmark { title: title.to_owned(), page, children: Vec::new() };
    let keys: Vec<Bookmark> = plan
        .recipe
        .keys
        .iter()
        .enumerate()
        .map(|(index, key)| entry(&format!("{key} major"), plan.key_page(index)))
        .collect();
    if plan.recipe.form == Form::Handout {
        return keys;
    }
    let mut entries = vec![
        entry("Cover", COVER),
        entry(CONTENTS_TITLE, CONTENTS),
        entry(HOW_TO_TITLE, HOW_TO),
        entry(CHORDS_TITLE, CHORDS),
        Bookmark { children: keys, ..entry("Keys", plan.first_key_page) },
        entry(LOG_TITLE, plan.log_page()),
    ];
    entries.sort_by_key(|entry| entry.page);
    entries
}

/// A plan for the tests of pages.
#[cfg(test)]
pub(super) fn test_plan<'a>(recipe: &'a Recipe, drill: &'a Template) -> Plan<'a> {
    Plan::new(recipe, drill, None)
}
