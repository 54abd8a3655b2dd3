//! `quintfall help`: what `--help` says, for those who write it as a word.

use std::ffi::OsString;

use clap::Args;

/// Show what there is to type, of all commands or of one
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall help
  quintfall help workbook")]
pub(super) struct HelpOrder {
    /// The command to explain
    #[arg(value_name = "COMMAND")]
    command: Vec<OsString>,
}

impl HelpOrder {
    /// The same question in the other way of asking it.
    pub(super) fn asked(self) -> Vec<OsString> {
        let words = [OsString::from("quintfall")].into_iter().chain(self.command);
        words.chain([OsString::from("--help")]).collect()
    }
}
