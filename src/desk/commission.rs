//! From an errand to a finished sheet: what all commands that make one share.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use super::errand::{Errand, Origin, Pictures, Typed};
use super::had::WrittenKey;
use super::outlet::Outlet;
use super::pipeline::{self, Commission, KnownDrill, PipelineError, Printed};
use super::place::{Spots, Taken};
use super::pool::{self, Pool};
use super::prepared::{DrawnPictures, Prepared, PreparedFile};
use super::product::Product;
use super::remarks::{of_log, remarks};
use super::repertoire::{Repertoire, file_name};
use super::source::Source;
use super::spot::Spot;
use super::{Answer, had, keys, logo, naming, trial};
use crate::book::{Book, PageError};
use crate::canvas::picture::picture;
use crate::canvas::{Label, Page};
use crate::drill::Course;
use crate::output::StackPart;
use crate::parallel;
use crate::recipe::{DocumentForm, Recipe, idle};
use crate::source::plain::shortened;
use crate::source::{Advice, Complaint, Place, RecipeField as Field};
use crate::theory::ChordStyle;
use crate::typeset::{self, TextFace};

/// A key that is named as an example.
const EXAMPLE_KEY: &str = "Eb";

/// Makes the sheet of an errand, its pictures or both.
pub(crate) fn make(errand: &Errand<'_>) -> Result<Answer, Complaint> {
    Ok(prepared(errand)?.put()?)
}

/// The same, before any of it is in its place.
pub(super) fn prepared(errand: &Errand<'_>) -> Result<Prepared, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let origin = Origin { source: &source, typed: errand.typed };
    let mut pool = Pool::of(&source);
    for path in errand.also {
        pool.add(&Source::open(Some(path))?);
    }
    let of_several = pool.remark(origin.is_typed(Field::Student));
    let from = pool.recipe(source.recipe.clone());
    let mut ready = Ready::new(asked(errand.form, from, origin)?, origin)?;
    ready.remarks.extend(of_several);
    let name = ready.name();
    // Pictures of a sheet that goes nowhere are no reason to begin with them, nor is anything else.
    let is_beside = errand.pictures.is_some() || !errand.companions.is_empty();
    let spot = match errand.output {
        None if is_beside => None,
        output => Some(Spot::find(output, &name, errand.force)?),
    };
    check_stdout(errand)?;
    let beside = |companion| Spot::beside(companion, errand.force);
    let spots = errand.companions.iter().map(beside).collect::<Result<Vec<_>, _>>()?;
    let book = ready.book()?;
    let mut prepared = Prepared { remarks: ready.told(&book), ..Prepared::default() };
    for (companion, spot) in errand.companions.iter().zip(spots) {
        prepared.notes.push(ready.note_down(&book, companion.product, spot)?);
    }
    if let Some(pictures) = &errand.pictures {
        let file = errand.output.and_then(Outlet::file);
        let stem = file.unwrap_or(&name).file_stem().unwrap_or_default();
        let taken = Taken::as_typed(file.is_some(), errand.force);
        prepared.pictures = Some(ready.draw(&book, pictures, stem, taken)?);
    }
    if let Some(spot) = spot {
        prepared.sheet = Some(ready.print(&book, spot)?);
    }
    Ok(prepared)
}

/// Errors if more than one file is to go to standard output.
fn check_stdout(errand: &Errand<'_>) -> Result<(), Complaint> {
    let outlets = errand.companions.iter().map(|companion| &companion.outlet);
    let to_stdout = errand.output.into_iter().chain(outlets).filter(|it| it.file().is_none());
    if to_stdout.count() < 2 {
        return Ok(());
    }
    let complaint = Complaint::new("standard output takes one file, and two are to go there");
    Err(complaint.mend("give one of them a name"))
}

/// The recipe that was asked for in a form, from one that what was typed wins over, yet to be
/// checked.
pub(super) fn asked(
    form: DocumentForm,
    from: Recipe,
    origin: Origin<'_>,
) -> Result<Recipe, Complaint> {
    if let Some(field) = idle(form).iter().find(|field| origin.is_typed(**field)) {
        let complaint =
            Complaint::of(*field, format!("{field} changes nothing in a {}", form.word()));
        let others = DocumentForm::ALL.iter().filter(|other| !idle(**other).contains(field));
        let others: Vec<String> = others.map(|other| format!("a {}", other.word())).collect();
        let others = others.join(" or ");
        return Err(origin.located(complaint.mend(format!("leave it out, or make {others}"))));
    }
    let from = match form {
        DocumentForm::Review => pool::for_review(from, origin.source.is_sheet()),
        DocumentForm::Workbook | DocumentForm::Handout => from,
    };
    let over = pool::joined(&from, origin.typed.settings.over(from.clone()));
    let recipe = Recipe { form, ..over };
    let needs_key = recipe.shares_keys() && !origin.gives(Field::Keys);
    if form == DocumentForm::Handout && needs_key {
        let place = origin.source.place();
        let complaint = Complaint::of(Field::Keys, "a handout needs a key").at(place);
        return Err(complaint.mend(Advice::words("write ").give(Field::Keys, EXAMPLE_KEY)));
    }
    Ok(recipe)
}

/// Makes an earlier sheet anew with other beats; without an output, beside it.
pub(crate) fn remake(
    sheet: &Path,
    beats: &Typed,
    output: Option<&Outlet>,
    force: bool,
) -> Result<Answer, Complaint> {
    let source = Source::sheet(sheet)?;
    let recipe = beats.settings.over(source.recipe.clone());
    let ready = Ready::new(recipe, Origin { source: &source, typed: beats })?;
    let new = ready.commission.recipe.tempo;
    let name = naming::at_tempo(sheet, source.recipe.tempo, new);
    let spot = Spot::find(output, &name, force)?;
    let book = ready.book()?;
    let sheet = Some(ready.print(&book, spot)?);
    Ok(Prepared { sheet, remarks: ready.told(&book), ..Prepared::default() }.put()?)
}

/// What a recipe comes to, as far as that is known before its notes are.
pub(super) struct RecipeSketch {
    /// The recipe as it was asked for, and its keys as the drills can have them.
    recipe: Recipe,
    repertoire: Repertoire,
}

impl RecipeSketch {
    /// Checks a recipe and fetches its drills.
    fn new(recipe: Recipe, origin: Origin<'_>) -> Result<Self, Complaint> {
        let located = |complaint| origin.located(complaint);
        let recipe = recipe.checked().map_err(located)?;
        check_characters(&recipe).map_err(located)?;
        let repertoire = Repertoire::of(&recipe, origin)?;
        Ok(Self { recipe, repertoire })
    }

    /// The same with its keys as the drills can have them. Errors if they cannot.
    pub(super) fn settled(recipe: Recipe, origin: Origin<'_>) -> Result<Self, Complaint> {
        let mut sketch = Self::new(recipe, origin)?;
        let sharing = pipeline::sharing(&sketch.repertoire.known());
        let keys = keys::settled(&sketch.recipe.keys, &sharing);
        sketch.recipe.keys = keys.map_err(|complaint| origin.located(complaint))?;
        Ok(sketch)
    }

    /// The recipe.
    pub(super) fn recipe(&self) -> &Recipe {
        &self.recipe
    }

    /// What a sheet of it is called.
    pub(super) fn name(&self) -> PathBuf {
        named(&self.recipe, &self.repertoire)
    }

    /// What it practises: its title or the titles of its drills, of many the first ones, with a hand
    /// that plays alone and what is left out to be written in.
    pub(super) fn title(&self) -> String {
        /// Drills that are named one by one, and how many of more.
        const MOST: usize = 3;
        const OF_MORE: usize = 2;
        if let Some(title) = self.recipe.title.as_ref().filter(|_| self.recipe.is_course()) {
            return title.clone();
        }
        let drills = self.repertoire.known();
        let with_hand = |drill: &KnownDrill| {
            let hands = drill.own.hands_in(&self.recipe);
            format!("{}{}", drill.template.title, hands.alone())
        };
        let titles: Vec<String> = drills.iter().map(with_hand).collect();
        let mut titles: Vec<&str> = titles.iter().map(String::as_str).collect();
        let more = format!("and {} more", drills.len().saturating_sub(OF_MORE));
        if drills.len() > MOST {
            titles.truncate(OF_MORE);
            titles.push(&more);
        }
        let parts: Vec<&str> = self.recipe.leave_out.iter().map(naming::part_word).collect();
        let without = if parts.is_empty() { "" } else { "; without " };
        format!("{}{without}{}", titles.join("; "), parts.join(", "))
    }

    /// Its keys in words: the tonics alone of those that are major or both.
    pub(super) fn keys(&self) -> String {
        let keys = written(&self.recipe, &self.repertoire);
        keys.iter().map(WrittenKey::words).collect::<Vec<_>>().join(", ")
    }
}

/// The keys as the pages have them.
fn written(recipe: &Recipe, repertoire: &Repertoire) -> Vec<WrittenKey> {
    had::written(&recipe.keys, &pipeline::keyed(&repertoire.known()))
}

fn named(recipe: &Recipe, repertoire: &Repertoire) -> PathBuf {
    naming::name(recipe, repertoire.name(), &written(recipe, repertoire))
}

/// A recipe that holds all it names and can stand.
pub(super) struct Ready<'a> {
    origin: Origin<'a>,
    repertoire: Repertoire,
    commission: Commission,
    /// What is to be said beside what was made, as far as no page need be planned for it.
    pub(super) remarks: Vec<Advice>,
}

impl<'a> Ready<'a> {
    /// Fetches what `recipe` names and checks all of it. `origin` is where the recipe came from,
    /// and what was laid over it.
    pub(super) fn new(recipe: Recipe, origin: Origin<'a>) -> Result<Self, Complaint> {
        let located = |complaint| origin.located(complaint);
        let RecipeSketch { recipe, repertoire } = RecipeSketch::new(recipe, origin)?;
        let recipe = with_picture(recipe, origin)?;
        let drills = repertoire.known();
        let sharing = pipeline::sharing(&drills);
        let own: Vec<_> = drills.iter().filter_map(KnownDrill::asked_alone).collect();
        let commission = pipeline::commission_of(&recipe, drills).map_err(|error| match error {
            PipelineError::Keys(complaint) => located(complaint),
            error => located(Complaint::from(error).at(Place::of(origin.source.name()))),
        })?;
        let remarks = remarks(origin, &recipe, (&sharing, &own), &commission);
        Ok(Self { origin, repertoire, commission, remarks })
    }

    /// Its first tempo.
    pub(super) fn tempo(&self) -> u16 {
        self.commission.recipe.tempo
    }

    /// What its sheet is called.
    pub(super) fn name(&self) -> PathBuf {
        named(&self.commission.recipe, &self.repertoire)
    }

    /// What its tracks are called before their tempi.
    pub(super) fn name_of_tracks(&self) -> String {
        let recipe = &self.commission.recipe;
        naming::track(recipe, self.repertoire.name(), &written(recipe, &self.repertoire))
    }

    /// The drills in their keys.
    pub(super) fn course(&self) -> &Course {
        &self.commission.course
    }

    /// The recipe as it was settled.
    pub(super) fn recipe(&self) -> &Recipe {
        &self.commission.recipe
    }

    /// What is to be said beside its `book`.
    pub(super) fn told(&self, book: &Book<'_>) -> Vec<Advice> {
        let of_book = of_log(self.origin, &self.commission, book);
        self.remarks.iter().cloned().chain(of_book).collect()
    }

    /// Makes the sheet. Gives its pages too, for a stack of several, with what they show, and what is
    /// to be said beside it.
    pub(super) fn sheet(&self) -> Result<(Printed, StackPart, Vec<Advice>), Complaint> {
        let refused = |error| self.refused(error);
        let book = self.book()?;
        let pages = pipeline::inked(&book).map_err(refused)?;
        let name = self.commission.recipe.student.clone().unwrap_or_default();
        let part = StackPart { name, pages: pages.clone(), pictures: book.about().pictures };
        Ok((pipeline::bound(&book, pages).map_err(refused)?, part, self.told(&book)))
    }

    /// How its chords are written.
    pub(super) fn symbols(&self) -> ChordStyle {
        self.commission.book.look.symbols
    }

    /// Measures the book, once for all that is made of it.
    pub(super) fn book(&self) -> Result<Book<'_>, Complaint> {
        self.commission.book().map_err(|error| self.refused(error))
    }

    /// A refusal, with the file and line of the drill where it is about a field of one.
    pub(super) fn refused(&self, error: PipelineError) -> Complaint {
        let own = match &error {
            PipelineError::Page(PageError::InDrill { drill, .. }) => {
                self.repertoire.own(Some(drill))
            }
            PipelineError::Page(_) => self.repertoire.own(None),
            PipelineError::UnknownDrill { .. }
            | PipelineError::SameName(_)
            | PipelineError::Keys(_)
            | PipelineError::NoSuchBar { .. }
            | PipelineError::Template(_)
            | PipelineError::Output(_) => None,
        };
        let file = own.and_then(|own| Some((&*own.known.text, own.file.as_ref()?)));
        if let Some((text, file)) = file {
            let located = trial::located(error.clone(), text, &file.display().to_string());
            if located.line().is_some() {
                return located;
            }
        }
        self.origin.located(Complaint::from(error).at(Place::of(self.origin.source.name())))
    }

    /// Makes the sheet for a spot.
    fn print(&self, book: &Book<'_>, spot: Spot) -> Result<PreparedFile, Complaint> {
        let printed = pipeline::printed(book).map_err(|error| self.refused(error))?;
        let about = self.about(printed.pages);
        Ok(PreparedFile { spot, bytes: printed.bytes, what: "the sheet".to_owned(), about })
    }

    /// A file of the notes. Errors where there are none to write down.
    pub(super) fn notes(&self, book: &Book<'_>, product: Product) -> Result<Vec<u8>, Complaint> {
        let piece = self.commission.piece(book);
        let file = product.of_notes(&piece).filter(|_| !piece.movements.is_empty());
        file.ok_or_else(|| {
            let place = Place::of(self.origin.source.name());
            let complaint = Complaint::new("a review has no notes to write down").at(place);
            complaint.mend("make a workbook or a handout of its drills")
        })
    }

    /// Makes a file of the notes for a spot.
    fn note_down(
        &self,
        book: &Book<'_>,
        product: Product,
        spot: Spot,
    ) -> Result<PreparedFile, Complaint> {
        let bytes = self.notes(book, product)?;
        let what = format!("the {}", product.row().word);
        Ok(PreparedFile { spot, bytes, what, about: self.amount() })
    }

    /// How much a sheet of so many pages is.
    pub(super) fn about(&self, pages: usize) -> String {
        let recipe = &self.commission.recipe;
        let (amount, paper) = (self.amount(), recipe.paper);
        if recipe.booklet {
            // A sheet has two sides.
            let sheets = counted(pages / 2, "sheet");
            let (word, from) = (paper.word(), paper.folded_from());
            format!(
                "{sheets} of {from}, to be printed on both sides and folded to {word}, {amount}"
            )
        } else {
            format!("{}, {amount}, {}", counted(pages, "page"), paper.word())
        }
    }

    /// How many drills and keys it has.
    fn amount(&self) -> String {
        let recipe = &self.commission.recipe;
        let own = self.commission.course.own_keys();
        let keys = own.unwrap_or_else(|| written(recipe, &self.repertoire).len());
        let keys = counted(keys, "key");
        match recipe.course.len() {
            0 => keys,
            count => format!("{}, {keys}", counted(count, "drill")),
        }
    }

    /// Makes a picture of each page for a folder that can take all of them.
    fn draw(
        &self,
        book: &Book<'_>,
        pictures: &Pictures,
        stem: &OsStr,
        taken: Taken,
    ) -> Result<DrawnPictures, Complaint> {
        let &Pictures { ref folder, product } = pictures;
        let document = book.document().map_err(|error| self.refused(error.into()))?;
        let labels: Vec<&Label> = document.pages.iter().map(|page| &page.label).collect();
        let spots = Spots::of_pages(folder, stem, labels.into_iter(), (product, taken))?;
        let draw = |page: &Page| product.of_page(&document.about, page);
        let drawn = parallel::map(&document.pages, draw);
        let drawn: Vec<Option<Vec<u8>>> = drawn.into_iter().collect::<Result<_, _>>()?;
        let files: Vec<Vec<u8>> = drawn.into_iter().flatten().collect();
        let count = counted(document.pages.len(), "picture");
        let about = match product {
            Product::Png { dots } => format!("{count} at {dots} dots an inch"),
            _ => count,
        };
        Ok(DrawnPictures { spots, files, about })
    }
}

/// So many of something.
pub(super) fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// Errors if a text that will be printed has a character without a glyph.
fn check_characters(recipe: &Recipe) -> Result<(), Complaint> {
    let texts = [
        (Field::Title, &recipe.title),
        (Field::Student, &recipe.student),
        (Field::Studio, &recipe.studio),
        (Field::Note, &recipe.note),
        (Field::Date, &recipe.date),
        (Field::Tracks, &recipe.tracks),
    ];
    for (field, words) in texts {
        let words = words.as_deref().unwrap_or_default();
        let mut lines = words.lines();
        let in_line = |words| TextFace::ALL.iter().find_map(|face| typeset::missing(*face, words));
        let missing = lines.find_map(in_line);
        if let Some(found) = missing {
            let code = format!("`{found}` (U+{:04X})", found as u32);
            let problem = format!("the text face cannot show {code} in {field}");
            return Err(Complaint::of(field, problem).mend("write it in other letters"));
        }
    }
    Ok(())
}

/// The recipe with its picture in it.
fn with_picture(recipe: Recipe, origin: Origin<'_>) -> Result<Recipe, Complaint> {
    if let Some(data) = &recipe.logo_data {
        let place = || origin.source.place_of(Field::LogoData);
        picture(data).map_err(|error| Complaint::from(error).at(place()))?;
        return Ok(recipe);
    }
    let Some(path) = &recipe.logo else { return Ok(recipe) };
    if origin.source.is_closed() {
        let problem = format!("logo is `{}`, a file that is not here", shortened(path));
        let complaint = Complaint::of(Field::Logo, problem).mend("hand in the picture itself");
        return Err(complaint.at(origin.place_of(Field::Logo)));
    }
    let read = logo::read(&origin.path(Field::Logo, path));
    let logo_data = Some(read.map_err(|complaint| origin.named_in(Field::Logo, complaint))?);
    Ok(Recipe { logo: Some(file_name(path)), logo_data, ..recipe })
}
