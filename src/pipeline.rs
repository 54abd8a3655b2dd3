//! The whole line: from a recipe to a finished document.

use thiserror::Error;

use crate::drill::{Template, library};
use crate::page::canvas::Document;
use crate::page::{self, PageError};
use crate::recipe::Recipe;
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
    /// The pages cannot be laid out.
    #[error(transparent)]
    Page(#[from] PageError),
}

/// The template of a recipe: the text it carries, or the library drill it names.
pub fn template(recipe: &Recipe) -> Result<Template, PipelineError> {
    Ok(Template::parse(template_text(recipe)?, &recipe.drill)?)
}

/// The text of a recipe's template.
fn template_text(recipe: &Recipe) -> Result<&str, PipelineError> {
    if let Some(text) = &recipe.template {
        return Ok(text);
    }
    let name = recipe.drill.as_str();
    library::find(name).ok_or_else(|| PipelineError::UnknownDrill {
        name: name.to_owned(),
        mend: library::advice(name),
    })
}

/// The finished document of a recipe. It carries the recipe with the drill's template in it, so
/// that the document alone is enough to make it again.
pub fn document(recipe: &Recipe) -> Result<Document, PipelineError> {
    let text = template_text(recipe)?;
    let template = Template::parse(text, &recipe.drill)?;
    let mut document = page::lay_out(recipe, &template)?;
    document.recipe = Recipe { template: Some(text.to_owned()), ..recipe.clone() }.to_json();
    Ok(document)
}
