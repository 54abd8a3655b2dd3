//! `quintfall handout`: the pages of one key or a few, to be handed out in a lesson.

use std::path::Path;

use clap::Args;

use super::CliError;
use super::options::Choices;
use crate::desk::Answer;
use crate::desk::commission as sheet;
use crate::recipe::{Form, Recipe};
use crate::theory::Key;

/// Make a handout: the page of one key, or of each of a few
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall handout --key Eb
  quintfall handout --keys Eb,Ab --drill my-drill.toml --feel even
  quintfall handout --key F --hands right --fingering all
  quintfall handout last-spring.pdf --key Db --student Mira")]
pub(super) struct Order {
    #[command(flatten)]
    choices: Choices,
}

impl Order {
    pub(super) fn make(&self) -> Result<Answer, CliError> {
        if self.choices.keys.is_empty() {
            match &self.choices.recipe {
                None => return Err(CliError::NoKey),
                Some(recipe) if !recipe.exists() && is_key(recipe) => {
                    return Err(CliError::KeyAsRecipe(recipe.to_owned()));
                }
                Some(_) => {}
            }
        }
        sheet::make(&self.choices, |recipe| Recipe { form: Form::Handout, ..recipe })
    }
}

/// Whether what stands in the place of a recipe is a key: an easy slip.
fn is_key(path: &Path) -> bool {
    path.to_str().is_some_and(|word| word.parse::<Key>().is_ok())
}
