//! `quintfall recipe`: what a sheet was made from.

use std::path::PathBuf;

use clap::Args;

use super::CliError;
use crate::desk::source::Source;

/// Show the recipe inside a sheet as TOML, to be edited and fed back
#[derive(Args)]
#[command(after_help = "\
Example:
  quintfall recipe workbook-pushed.pdf > spring.toml
then edit spring.toml, and
  quintfall workbook spring.toml")]
pub(super) struct RecipeOrder {
    /// A PDF that Quintfall made
    #[arg(value_name = "SHEET.pdf")]
    sheet: PathBuf,
}

impl RecipeOrder {
    pub(super) fn show(&self) -> Result<String, CliError> {
        Ok(Source::sheet(&self.sheet)?.recipe.to_toml())
    }
}
