//! `quintfall handout`: the pages of one key or a few, to be handed out in a lesson.

use std::path::Path;

use clap::Args;

use super::options::SheetOptions;
use super::{Answer, CliError};
use crate::recipe::Form;
use crate::theory::AskedKey;

/// Make a handout: the page of one key, or of each of a few
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall handout --key Eb
  quintfall handout --keys Eb,Ab --drill my-drill.toml --feel even
  quintfall handout --key F --hands right --fingering all
  quintfall handout --key \"G minor\" --drill natural-minor
  quintfall handout last-spring.pdf --key Db --student Mira")]
pub(super) struct HandoutOrder {
    #[command(flatten)]
    choices: SheetOptions,
}

impl HandoutOrder {
    pub(super) fn make(&self) -> Result<Answer, CliError> {
        if !self.choices.gives_keys() {
            let recipe = self.choices.recipe();
            let Some(recipe) = recipe else {
                return Err(CliError::usage(
                    "a handout needs a key; write --key Eb, or name a recipe",
                ));
            };
            if !recipe.exists() && is_key(recipe) {
                let key = recipe.display();
                return Err(CliError::usage(format!(
                    "there is no recipe {key}; for a handout in {key} write --key {key}"
                )));
            }
        }
        self.choices.make(Form::Handout)
    }
}

/// Whether what stands in the place of a recipe is a key: an easy slip.
fn is_key(path: &Path) -> bool {
    path.to_str().is_some_and(|word| word.parse::<AskedKey>().is_ok())
}
