//! `quintfall retempo`: an earlier sheet made anew at another tempo.

use std::path::PathBuf;

use clap::Args;

use super::CliError;
use super::options::{Choices, files, goal, tempo};
use crate::desk::commission::Ready;
use crate::desk::outlet::Outlet;
use crate::desk::source::Source;
use crate::desk::spot::Spot;
use crate::desk::{Answer, naming};

/// Make an earlier sheet anew at another tempo, from the PDF alone
///
/// A goal that the new tempo has passed moves up, so that there is as far to go as before,
/// unless --goal says otherwise.
#[derive(Args)]
#[command(after_help = "\
Example:
  quintfall retempo workbook-pushed-80.pdf --tempo 112
writes workbook-pushed-112.pdf beside it, or workbook-pushed-112-2.pdf if there
is another sheet of that name.")]
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

    /// The PDF to write, in place of one of that name; it may be the sheet itself; - for standard
    /// output
    #[arg(short, long, value_name = "FILE.pdf", value_parser = files())]
    output: Option<Outlet>,

    /// Replace a file that has the name already, whatever it is
    #[arg(long)]
    force: bool,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

impl Order {
    pub(super) fn make(&self) -> Result<Answer, CliError> {
        let source = Source::sheet(&self.sheet)?;
        let choices = Choices::of_tempo(self.tempo, self.goal);
        let recipe = choices.laid_over(source.recipe.clone());
        let ready = Ready::new(recipe, &source, &choices)?;
        let name = naming::at_tempo(&self.sheet, source.recipe.tempo, self.tempo);
        let spot = Spot::find(self.output.as_ref(), &name, self.force)?;
        let (said, sheet) = ready.print(&spot)?;
        Ok(Answer::of(if self.quiet { String::new() } else { said }, sheet))
    }
}
