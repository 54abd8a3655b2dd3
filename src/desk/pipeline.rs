//! The whole line: from a recipe to a finished document.

use thiserror::Error;

use crate::book::{self, Book, PageError};
use crate::canvas::{Document, picture};
use crate::drill::{Choices, Course, Exercise, Tempi, Template, library};
use crate::engrave::Look;
use crate::output::{self, OutputError};
use crate::parallel;
use crate::recipe::{CourseDrill, KeyOrder, Recipe, WHOLE_LIBRARY};
use crate::source::Complaint;
use crate::theory::Key;

/// Why a recipe cannot be printed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PipelineError {
    /// The drill's name is not in the library.
    #[error("unknown drill `{name}`; {mend}")]
    UnknownDrill {
        /// The name.
        name: String,
        /// How to mend it.
        mend: String,
    },
    /// Two drills of one name.
    #[error("two drills are named `{0}`; keep one of them, or name the other one anew")]
    SameName(String),
    /// The drill template is wrong.
    #[error(transparent)]
    Template(#[from] Complaint),
    /// The pages cannot be laid out.
    #[error(transparent)]
    Page(#[from] PageError),
    /// The document cannot be written.
    #[error(transparent)]
    Output(#[from] OutputError),
}

/// The templates of a recipe, in the order in which they are printed: the texts it carries, or
/// the library drills it names.
///
/// Errors with the first drill that is unknown or wrong.
pub fn templates(recipe: &Recipe) -> Result<Vec<Template>, PipelineError> {
    let read = parallel::map(drills(recipe)?, |drill| Template::parse(drill.text, drill.name));
    let mut templates: Vec<Template> = Vec::with_capacity(read.len());
    for template in read {
        let template = template?;
        if templates.iter().any(|other| other.name == template.name) {
            return Err(PipelineError::SameName(template.name));
        }
        templates.push(template);
    }
    Ok(templates)
}

/// A drill that a recipe asks for.
struct Drill<'a> {
    name: &'a str,
    text: &'a str,
}

/// The drills of a recipe with their texts.
fn drills(recipe: &Recipe) -> Result<Vec<Drill<'_>>, PipelineError> {
    if !recipe.is_course() {
        return Ok(vec![drill(&recipe.drill, recipe.template.as_deref())?]);
    }
    let mut drills = Vec::new();
    for part in &recipe.course {
        if part.drill == WHOLE_LIBRARY && part.template.is_none() {
            drills.extend(library::all().map(|(name, text)| Drill { name, text }));
        } else {
            drills.push(drill(&part.drill, part.template.as_deref())?);
        }
    }
    Ok(drills)
}

fn drill<'a>(name: &'a str, carried: Option<&'a str>) -> Result<Drill<'a>, PipelineError> {
    let unknown =
        || PipelineError::UnknownDrill { name: name.to_owned(), mend: library::advice(name) };
    let text = match carried {
        Some(text) => text,
        None => library::find(name).ok_or_else(unknown)?,
    };
    Ok(Drill { name, text })
}

/// What a recipe asks for, ready to be made into pages or into sound.
pub struct Commission {
    /// The drills in their keys.
    pub course: Course,
    /// What the teacher chose about the book.
    pub book: book::Options,
}

impl Commission {
    /// Measures and plans the book.
    ///
    /// Errors where music or words have no room.
    pub fn book(&self) -> Result<Book<'_>, PipelineError> {
        Ok(Book::measure(&self.course, &self.book)?)
    }
}

/// What a recipe says that changes the score itself.
pub fn choices(recipe: &Recipe) -> Choices {
    Choices {
        feel: recipe.feel,
        fingering: recipe.fingering,
        hand: recipe.hand,
        spans: recipe.spans,
        hands: recipe.hands,
    }
}

/// Reads what a recipe asks for. It carries the recipe with the drills' templates in it, so that
/// a document alone is enough to make it again.
///
/// Errors with the first drill that is unknown or wrong, or with the picture that cannot be used.
pub fn commission(recipe: &Recipe) -> Result<Commission, PipelineError> {
    let choices = choices(recipe);
    let tempi = Tempi { tempo: recipe.tempo, goal: recipe.goal };
    let keys: Vec<Key> = recipe.keys.iter().map(|key| key.key()).collect();
    let exercise = |template| Exercise::new(template, &keys, tempi, choices);
    let course = Course { exercises: templates(recipe)?.into_iter().map(exercise).collect() };
    let picture = recipe.logo_data.as_deref().map(picture::picture);
    let picture = picture.transpose().map_err(PageError::from)?;
    let mut carried = recipe.clone();
    let drills = drills(recipe)?;
    if recipe.is_course() {
        let part = |drill: &Drill<'_>| CourseDrill {
            drill: drill.name.to_owned(),
            template: Some(drill.text.to_owned()),
        };
        carried.course = drills.iter().map(part).collect();
    } else {
        carried.template = drills.first().map(|drill| drill.text.to_owned());
    }
    let book = book::Options {
        form: recipe.form,
        title: recipe.title.clone(),
        student: recipe.student.clone(),
        studio: recipe.studio.clone(),
        picture,
        paper: recipe.paper,
        orientation: recipe.orientation,
        binding: recipe.binding,
        booklet: recipe.booklet,
        staff: recipe.staff,
        bars: recipe.bars.map(|bars| bars.max(1) as usize),
        keys_a_page: recipe.keys_a_page.map(|keys| keys.max(1) as usize),
        look: Look { symbols: recipe.symbols, counts: recipe.counts },
        hands: recipe.hands,
        keys,
        in_round: matches!(recipe.order, None | Some(KeyOrder::FallingFifths)),
        is_course: recipe.is_course(),
        carried: carried.to_json(),
    };
    Ok(Commission { course, book })
}

/// The finished document of a recipe, all its pages drawn.
///
/// Errors as [`commission`] and [`Commission::book`] do.
pub fn document(recipe: &Recipe) -> Result<Document, PipelineError> {
    Ok(commission(recipe)?.book()?.document()?)
}

/// A document as it is written to a file.
pub struct Printed {
    /// The PDF.
    pub bytes: Vec<u8>,
    /// How many pages it has, or sides of a booklet.
    pub pages: usize,
}

/// The same as a PDF, its pages turned into operators as soon as each is drawn, so that a long
/// document need not be held in marks as a whole.
///
/// Errors as [`document`] and [`output::bind`] do.
pub fn pdf(recipe: &Recipe) -> Result<Printed, PipelineError> {
    let commission = commission(recipe)?;
    let book = commission.book()?;
    let pages =
        parallel::map(0..book.pages(), |index| book.page(index).map(|page| output::ink(&page)));
    let pages = pages.into_iter().collect::<Result<Vec<_>, _>>()?;
    let count = pages.len();
    Ok(Printed { bytes: output::bind(&book.about(), pages)?, pages: count })
}
