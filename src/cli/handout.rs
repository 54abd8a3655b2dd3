//! `quintfall handout`: the pages of one key or a few, to be handed out in a lesson.

use clap::Args;

use super::options::SheetOptions;
use super::{CliError, Report};
use crate::recipe::DocumentForm;

/// Make a handout: the page of one key, or of each of a few
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall handout --key Eb
  quintfall handout --keys Eb,Ab --drill my-drill.toml --feel even
  quintfall handout --key F --hands right --fingering all
  quintfall handout --key \"G minor\" --drill natural-minor
  quintfall handout last-spring.pdf --key Db --student Mira
  quintfall handout --key F --png pictures --dpi 300")]
pub(super) struct HandoutOrder {
    #[command(flatten)]
    choices: SheetOptions,
}

impl HandoutOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        self.choices.make(DocumentForm::Handout)
    }
}
