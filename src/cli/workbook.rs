//! `quintfall workbook`: cover, contents, a page for each key, and a practice log.

use clap::Args;

use super::options::SheetOptions;
use super::{CliError, Report};
use crate::recipe::DocumentForm;

/// Make a workbook: cover, contents, a page for each key, and a practice log
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall workbook
  quintfall workbook --student Mira --tempo 72 --goal 120 --paper letter
  quintfall workbook --drill on-the-beat,pushed --level beginner
  quintfall workbook --course --order shuffled --seed 7
  quintfall workbook spring.toml --keys C,F,Bb -o spring.pdf")]
pub(super) struct WorkbookOrder {
    #[command(flatten)]
    choices: SheetOptions,
}

impl WorkbookOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        self.choices.make(DocumentForm::Workbook)
    }
}
