//! A whole document: which pages, in which order, and how they refer to one another.

use kurbo::{Rect, Size};

use super::board::Board;
use super::canvas::{Bookmark, Document, Page, Picture};
use super::error::PageError;
use super::{PageTemplate, chord_table, contents, cover, how_to, ladder, log, paper, sheet};
use crate::drill::Template;
use crate::logo;
use crate::parallel;
use crate::recipe::{Form, Recipe};
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
#[derive(Debug)]
pub(super) struct Plan<'a> {
    pub(super) recipe: &'a Recipe,
    pub(super) drill: &'a Template,
    pub(super) page: &'static PageTemplate,
    /// The title, after the name of the field it comes from.
    pub(super) title: (&'static str, &'a str),
    pub(super) logo: Option<Logo>,
    /// The index of the page of the first key.
    pub(super) first_key_page: usize,
    /// The tempi of the ladder.
    pub(super) rungs: Vec<u16>,
}

impl Plan<'_> {
    pub(super) fn sheet(&self) -> Size {
        paper::size(self.recipe.paper)
    }

    /// The part of a page inside the margins.
    pub(super) fn live(&self) -> Rect {
        self.page.live(self.sheet())
    }

    /// The staff space, in points.
    pub(super) fn space(&self) -> f64 {
        self.page.staff / 4.0
    }

    /// An empty page.
    pub(super) fn board(&self, page: usize) -> Board {
        Board::new(self.sheet(), self.live(), self.label(page))
    }

    /// The number of the page at an index: front matter in roman figures, then from 1.
    pub(super) fn label(&self, page: usize) -> String {
        const ROMAN: [&str; FRONT] = ["i", "ii", "iii", "iv"];
        match page.checked_sub(self.first_key_page) {
            Some(number) => (number + 1).to_string(),
            None => ROMAN[page].to_owned(),
        }
    }

    /// The index of the practice log of a workbook.
    pub(super) fn log_page(&self) -> usize {
        self.first_key_page + self.recipe.keys.len()
    }

    /// The index of the page of a key that sounds like `key`.
    pub(super) fn page_of(&self, key: Key) -> Option<usize> {
        let place = key.place_in_round();
        let index = self.recipe.keys.iter().position(|own| own.place_in_round() == place)?;
        Some(self.first_key_page + index)
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
        Self {
            recipe,
            drill,
            page: PageTemplate::of(recipe.paper),
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
    let plan = Plan::new(recipe, drill, picture.as_ref());
    let (sheets, front) = parallel::both(
        || sheet::lay_out_all(&plan),
        || if is_workbook { front(&plan) } else { Ok(Vec::new()) },
    );
    let mut pages = front?;
    pages.extend(sheets?);
    if is_workbook {
        pages.push(log::lay_out(&plan));
    }
    Ok(Document {
        title: plan.title.1.to_owned(),
        author: recipe.studio.clone(),
        language: LANGUAGE.to_owned(),
        pages,
        outline: outline(&plan),
        pictures: picture.into_iter().collect(),
        recipe: String::new(),
    })
}

/// The pages of a workbook before its keys.
fn front(plan: &Plan<'_>) -> Result<Vec<Page>, PageError> {
    Ok(vec![
        cover::lay_out(plan)?,
        contents::lay_out(plan),
        how_to::lay_out(plan)?,
        chord_table::lay_out(plan),
    ])
}

fn outline(plan: &Plan<'_>) -> Vec<Bookmark> {
    let entry =
        |title: &str, page| Bookmark { title: title.to_owned(), page, children: Vec::new() };
    let keys: Vec<Bookmark> = plan
        .recipe
        .keys
        .iter()
        .enumerate()
        .map(|(index, key)| entry(&format!("{key} major"), plan.first_key_page + index))
        .collect();
    if plan.recipe.form == Form::Handout {
        return keys;
    }
    vec![
        entry("Cover", COVER),
        entry(CONTENTS_TITLE, CONTENTS),
        entry(HOW_TO_TITLE, HOW_TO),
        entry(CHORDS_TITLE, CHORDS),
        Bookmark { children: keys, ..entry("Keys", plan.first_key_page) },
        entry(LOG_TITLE, plan.log_page()),
    ]
}

/// A plan for the tests of pages.
#[cfg(test)]
pub(super) fn test_plan<'a>(recipe: &'a Recipe, drill: &'a Template) -> Plan<'a> {
    Plan::new(recipe, drill, None)
}
