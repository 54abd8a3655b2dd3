//! The whole line: from a recipe to a finished document.

use thiserror::Error;

use crate::book::{self, PageError};
use crate::canvas::{Document, Page};
use crate::drill::{Template, library};
use crate::parallel;
use crate::recipe::{CourseDrill, Recipe, WHOLE_LIBRARY};
use crate::source::SourceError;

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
    Template(#[from] SourceError),
    /// The pages cannot be laid out.
    #[error(transparent)]
    Page(#[from] PageError),
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

/// The finished document of a recipe. It carries the recipe with the drills' templates in it, so
/// that the document alone is enough to make it again.
pub fn document(recipe: &Recipe) -> Result<Document, PipelineError> {
    document_each(recipe, &|_| ()).map(|(document, _)| document)
}

/// The same, with what `work` makes of each page as soon as it is done; see
/// [`book::lay_out_each`].
pub fn document_each<R: Send>(
    recipe: &Recipe,
    work: &(impl Fn(&mut Page) -> R + Sync),
) -> Result<(Document, Vec<R>), PipelineError> {
    let (mut document, results) = book::lay_out_each(recipe, &templates(recipe)?, work)?;
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
    document.recipe = carried.to_json();
    Ok((document, results))
}
