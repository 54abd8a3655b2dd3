//! `quintfall retempo`: an earlier sheet made anew at another tempo.

use std::path::PathBuf;

use clap::Args;

use super::options::{Beats, files};
use super::{CliError, Report};
use crate::desk::commission::remake;
use crate::desk::many;
use crate::desk::outlet::Outlet;
use crate::source::Complaint;

/// Make an earlier sheet anew at another tempo, from the PDF alone
///
/// A goal that the new tempo has passed moves up, so that there is as far to go as before,
/// unless --goal says otherwise.
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall retempo workbook-pushed-80.pdf --tempo 112
  quintfall retempo monday/*/*.pdf --tempo 112
The first writes workbook-pushed-112.pdf beside it, or workbook-pushed-112-2.pdf
if there is another sheet of that name.")]
pub(super) struct RetempoOrder {
    /// A PDF that Quintfall made, or several: none is written unless all can be
    #[arg(value_name = "SHEET.pdf", required = true)]
    sheets: Vec<PathBuf>,

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
        let made = match (self.sheets.as_slice(), &self.output) {
            ([sheet], output) => remake(sheet, beats, output.as_ref(), self.force)?,
            (sheets, None) => many::remake(sheets, beats, self.force).map_err(CliError::Judged)?,
            (_, Some(_)) => {
                let problem = "-o names one file, and there are several sheets";
                let mend = "leave it out: each goes beside the old one";
                return Err(Complaint::new(problem).mend(mend).into());
            }
        };
        Ok(Report::of(made, self.quiet))
    }
}
