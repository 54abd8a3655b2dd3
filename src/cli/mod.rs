//! The command line: the only user of clap, of stdout and of stderr.
//!
//! Each command turns what was typed into a line or a text for stdout, or into one error that
//! says what is wrong, where, and how to mend it.

mod chart;
mod class;
mod desk;
mod drills;
mod error;
mod handout;
mod help;
mod options;
mod playalong;
mod recipe;
mod report;
mod retempo;
mod review;
mod signals;
mod slips;
mod study;
mod usage;
mod words;
mod workbook;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser, Subcommand};

pub use error::CliError;
pub use report::Report;

/// Piano drills on seventh chords, computed, engraved and printed in every key.
#[derive(Parser)]
#[command(
    name = "quintfall",
    version,
    max_term_width = 100,
    disable_help_subcommand = true,
    after_help = "Begin with `quintfall workbook`: the pushed drill in all twelve keys.\n\n\
                  Example: quintfall handout --key Eb --student Mira --tempo 72"
)]
struct CommandLine {
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Subcommand)]
enum Command {
    Workbook(workbook::WorkbookOrder),
    Handout(handout::HandoutOrder),
    Class(class::ClassOrder),
    Desk(desk::DeskOrder),
    Review(review::ReviewOrder),
    Playalong(playalong::PlayalongOrder),
    Chart(chart::ChartOrder),
    Study(study::StudyOrder),
    Retempo(retempo::RetempoOrder),
    Recipe(recipe::RecipeOrder),
    Drills(drills::DrillsOrder),
    Help(help::HelpOrder),
}

/// Does what was typed, reports on stdout or stderr, and picks the exit code: 0, or 2 for
/// anything that kept a sheet from being made.
pub fn main(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    signals::heed();
    match run(args).and_then(|answer| report::answer(&answer)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            report::complain(&error);
            ExitCode::from(2)
        }
    }
}

/// Does what was typed. Gives what is to be said; nothing may be.
pub fn run(args: impl IntoIterator<Item = OsString>) -> Result<Report, CliError> {
    let args: Vec<OsString> = args.into_iter().collect();
    let typed = match CommandLine::try_parse_from(&args) {
        Ok(typed) => typed,
        Err(error) => return usage::explain(&error, &args).map(Report::from),
    };
    match typed.command {
        None => Ok(CommandLine::command().render_help().to_string().into()),
        Some(Command::Workbook(order)) => order.make(),
        Some(Command::Handout(order)) => order.make(),
        Some(Command::Class(order)) => order.make(),
        Some(Command::Desk(order)) => order.serve(),
        Some(Command::Review(order)) => order.make(),
        Some(Command::Playalong(order)) => order.make(),
        Some(Command::Chart(order)) => order.make(),
        Some(Command::Study(order)) => order.make(),
        Some(Command::Retempo(order)) => order.make(),
        Some(Command::Recipe(order)) => order.show().map(Report::from),
        Some(Command::Drills(order)) => order.show().map(Report::from),
        Some(Command::Help(order)) => run(order.asked()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_hangs_together_and_every_word_of_it_is_explained() {
        let mut line = CommandLine::command();
        line.build();
        line.clone().debug_assert();
        for command in line.get_subcommands() {
            assert!(command.get_about().is_some(), "{}", command.get_name());
            assert!(command.get_after_help().is_some(), "{}", command.get_name());
            for argument in command.get_arguments() {
                assert!(argument.get_help().is_some(), "{} {argument}", command.get_name());
            }
        }
    }
}
