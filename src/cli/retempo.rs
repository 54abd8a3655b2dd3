//! `quintfall retempo`: an earlier sheet made anew at another tempo.

use std::path::PathBuf;

use clap::Args;

use super::CliError;
use super::options::{Choices, goal, tempo};
use crate::desk::commission::Ready;
use crate::desk::place::Place;
use crate::desk::source::Source;

/// Make an earlier sheet anew at another tempo, from the PDF alone
///
/// A goal that the new tempo has passed moves up, so that there is as far to go as before,
/// unless --goal says otherwise.
#[derive(Args)]
#[command(after_help = "\
Example:
  quintfall retempo workbook-pushed.pdf --tempo 112
writes workbook-pushed-112.pdf beside it.")]
pub(super) struct Order {
    /// A PDF that Quintfall made
    #[arg(value_name = "SHEET.pdf")]
    sheet: PathBuf,

    /// The new first tempo, in beats a minute
    #[arg(long, value_name = "BEATS", value_parser = tempo, allow_negative_numbers = true)]
    tempo: u16,

    /// The tempo to arrive at
    #[arg(long, value_name = "BEATS", value_parser = goal, allow_negative_numbers = true)]
    goal: Option<u16>,

    /// The PDF to write; it may be the sheet itself
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

impl Order {
    pub(super) fn make(&self) -> Result<String, CliError> {
        let source = Source::sheet(&self.sheet)?;
        let choices = Choices::of_tempo(self.tempo, self.goal);
        let recipe = choices.laid_over(source.recipe.clone());
        let ready = Ready::new(recipe, &source, &choices)?;
        let stem = self.sheet.file_stem().unwrap_or_default().to_string_lossy();
        let name = self.sheet.with_file_name(format!("{stem}-{}.pdf", self.tempo));
        let place = Place::find(self.output.as_deref(), name, source.path())?;
        let said = ready.print(&place)?;
        Ok(if self.quiet { String::new() } else { said })
    }
}
