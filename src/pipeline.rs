//! The whole line: from a recipe to a finished document.

use thiserror::Error;

use crate::drill::{self, Choices, Template, library};

use crate::recipe::Recipe;
use crate::score::Score;
use crate::toml_source::SourceError;

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
    /// The drill template is wrong.
    #[error(transparent)]
    Template(#[from] SourceError),
}

/// The template of a recipe: the text it carries, or the library drill it names.
pub fn template(recipe: &Recipe) -> Result<Template, PipelineError> {
    if let Some(text) = &recipe.template {
        return Ok(Template::parse(text, &recipe.drill)?);
    }
    let name = recipe.drill.as_str();
    let text = library::find(name).ok_or_else(|| PipelineError::UnknownDrill {
        name: name.to_owned(),
        mend: library::advice(name),
    })?;
    Ok(Template::parse(text, name)?)
}

/// The score of every key of a recipe.
pub fn scores(recipe: &Recipe, template: &Template) -> Vec<Score> {
    let choices = Choices { feel: recipe.feel, fingering: recipe.fingering };
    recipe.keys.iter().map(|key| drill::realise(template, *key, choices)).collect()
}
