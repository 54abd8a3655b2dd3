//! `quintfall retempo`: an earlier sheet made anew at another tempo.

use std::path::PathBuf;

use clap::Args;

use super::options::{Beats, files};
use super::{CliError, Report};
use crate::desk::commission::remake;
use crate::desk::outlet::Outlet;

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
pub(super) struct RetempoOrder {
    /// A PDF that Quintfall made
    #[arg(value_name = "SHEET.pdf")]
    sheet: PathBuf,

    #[command(flatten)]
    beats: Beats,

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

impl RetempoOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        let Beats(beats) = &self.beats;
        let made = remake(&self.sheet, beats, self.output.as_ref(), self.force)?;
        Ok(Report::of(made, self.quiet))
    }
}
