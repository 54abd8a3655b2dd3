//! `quintfall review`: boxes that ask for drills in keys, with the answers overleaf.

use std::path::PathBuf;

use clap::Args;

use super::options::SheetOptions;
use super::{CliError, Report};
use crate::recipe::DocumentForm;

/// Make a review: boxes that ask for drills in keys, drawn by lot, with the answers overleaf
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall review --drill solid,pushed --keys C,F,Bb --seed 3
  quintfall review --course --boxes 24 --student Mira
  quintfall review first.pdf second.pdf third.pdf --seed 4
The last asks for each drill in the keys that it has in any of the sheets.")]
pub(super) struct ReviewOrder {
    #[command(flatten)]
    choices: SheetOptions,

    /// More of them, whose drills are asked for too
    #[arg(value_name = "MORE")]
    more: Vec<PathBuf>,

    /// The same behind an option
    #[arg(long, value_name = "RECIPE", num_args = 1.., requires = "recipe", hide = true)]
    also: Vec<PathBuf>,
}

impl ReviewOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        self.choices.make_with(DocumentForm::Review, &[&self.more[..], &self.also].concat())
    }
}
