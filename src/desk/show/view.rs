//! A sheet that is looked at: its pages as drawings and in words, and the file that it becomes.

use std::path::PathBuf;

use super::told;
use crate::canvas::{About, Kind, Mark, Page};
use crate::desk::commission::{Ready, asked};
use crate::desk::errand::{Origin, Typed};
use crate::desk::pipeline;
use crate::desk::product::Product;
use crate::desk::source::Source;
use crate::output;
use crate::recipe::Recipe;
use crate::source::{Advice, Complaint};

/// White round a line of music that is shown by itself, in points.
const ROUND_LINE: f64 = 4.0;

/// A sheet that can be made.
pub(crate) struct SheetView<'a>(Ready<'a>);

/// A page of it.
#[derive(Debug)]
pub(crate) struct Shown {
    /// The page as a drawing whose letters are text.
    pub(crate) drawing: String,
    /// Which page it is, from 0, and how many there are.
    pub(crate) page: usize,
    /// How many there are.
    pub(crate) pages: usize,
    /// The number that is printed on it.
    pub(crate) label: String,
    /// What stands on it, in words.
    pub(crate) words: Vec<String>,
    /// What became otherwise than it was chosen.
    pub(crate) remarks: Vec<Advice>,
}

impl Shown {
    /// A page at an index of so many, with what its music says; nothing became otherwise.
    pub(super) fn of(
        about: &About,
        page: &Page,
        (index, pages): (usize, usize),
        music: Vec<String>,
    ) -> Result<Self, Complaint> {
        let title = format!("{}, page {} of {pages}", about.title, index + 1);
        let drawing = output::inline_svg(about, page, None, &title)?;
        let (label, words) = (page.label.to_string(), told::page(page, music));
        Ok(Self { drawing, page: index, pages, label, words, remarks: Vec::new() })
    }
}

impl<'a> SheetView<'a> {
    /// The sheet of what was chosen, over that of a source. Errors where it cannot stand.
    pub(crate) fn of(source: &'a Source, typed: &'a Typed) -> Result<Self, Complaint> {
        let form = typed.settings.over(source.recipe.clone()).form;
        let origin = Origin { source, typed };
        Ready::new(asked(form, source.recipe.clone(), origin)?, origin).map(Self)
    }

    /// The sheet of a recipe from such a source.
    pub(in crate::desk) fn ready(recipe: Recipe, origin: Origin<'a>) -> Result<Self, Complaint> {
        Ready::new(recipe, origin).map(Self)
    }

    /// The recipe with all it holds.
    pub(crate) fn recipe(&self) -> &Recipe {
        self.0.recipe()
    }

    /// What the file is called.
    pub(crate) fn name(&self) -> PathBuf {
        self.0.name()
    }

    /// The tempi from the first one to the goal, of its first drill.
    pub(crate) fn rungs(&self) -> Vec<u16> {
        self.0.course().exercises.first().map(crate::drill::Exercise::rungs).unwrap_or_default()
    }

    /// How much a sheet of so many pages is.
    pub(crate) fn about(&self, pages: usize) -> String {
        self.0.about(pages)
    }

    /// The page at an index, or the last one.
    pub(crate) fn shown(&self, index: usize) -> Result<Shown, Complaint> {
        let book = self.0.book()?;
        let pages = book.pages();
        let index = index.min(pages.saturating_sub(1));
        let page = book.page(index).map_err(|error| self.0.refused(error.into()))?;
        let is_whole = self.recipe().leave_out.is_empty();
        let look = (self.0.symbols(), is_whole);
        let music = told::music(self.0.course(), &book.music(index), look);
        let shown = Shown::of(&book.about(), &page, (index, pages), music)?;
        Ok(Shown { remarks: self.0.told(&book), ..shown })
    }

    /// The first line of music on its first page, if there is one.
    pub(crate) fn line(&self) -> Result<Option<String>, Complaint> {
        let book = self.0.book()?;
        let page = book.page(0).map_err(|error| self.0.refused(error.into()))?;
        let is_line = |block: &&crate::canvas::Block| block.kind == Kind::System;
        let Some(line) = page.blocks.iter().find(is_line) else { return Ok(None) };
        let bounds = line.marks.iter().map(Mark::bounds).reduce(|all, one| all.union(one));
        let Some(bounds) = bounds else { return Ok(None) };
        let frame = bounds.inflate(ROUND_LINE, ROUND_LINE);
        let part = (std::slice::from_ref(line), frame);
        Ok(Some(output::inline_svg(&book.about(), &page, Some(part), &line.words)?))
    }

    /// The signs before notes that stand on its pages with each key's music: what makes a key hard
    /// to read.
    pub(crate) fn signs(&self) -> Result<usize, Complaint> {
        let book = self.0.book()?;
        let mut signs = 0;
        for index in 0..book.pages() {
            let page = book.page(index).map_err(|error| self.0.refused(error.into()))?;
            signs += page.marks().filter(|mark| told::is_accidental(mark)).count();
        }
        Ok(signs)
    }

    /// The file: the same bytes as a command makes of the same choices.
    pub(crate) fn printed(&self) -> Result<Vec<u8>, Complaint> {
        let book = self.0.book()?;
        let printed = pipeline::printed(&book).map_err(|error| self.0.refused(error))?;
        Ok(printed.bytes)
    }

    /// The file of its notes: the same bytes as a command makes of the same choices.
    ///
    /// Errors where there are none to write down.
    pub(crate) fn notes(&self, product: Product) -> Result<Vec<u8>, Complaint> {
        self.0.notes(&self.0.book()?, product)
    }
}
