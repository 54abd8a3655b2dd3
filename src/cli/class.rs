//! `quintfall class`: the sheets of a whole class from a list, and next week's list.

use std::io::{self, IsTerminal as _, Write as _};
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};

use clap::Args;

use super::{CliError, Report};
use crate::desk::class::list::ClassList;
use crate::desk::class::make::{self, ClassErrand};
use crate::desk::class::next::{self, NextErrand};
use crate::desk::class::plan::Class;
use crate::desk::class::row::{RowDay, checked_date};
use crate::desk::source::Source;
use crate::source::{Complaint, Place};

/// Make the sheets of a whole class from a list, or the list of next week
///
/// The list is a table saved as CSV (commas, semicolons or tabs) whose first row names the columns,
/// or TOML with a table `[[student]]` for each. A column for the name must be there, and one for the
/// keys unless --recipe has them; drill, tempo, goal, hand, hands, level, paper and the other options
/// of a handout may be, named as they are, and also date and went-well. What a row leaves open has
/// the value that a handout has.
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall class monday.csv --date 2026-11-30
  quintfall class monday.csv -o sheets --recipe studio.toml
  quintfall class --next monday.csv --faster 8 --date 2026-12-07 -o next-monday.csv")]
pub(super) struct ClassOrder {
    /// The class list (CSV or TOML)
    #[arg(value_name = "CLASS.csv")]
    list: PathBuf,

    /// The folder for a folder of each student, the stack for the printer and the overview; without
    /// it, beside the list and named after it. With --next, the list to write
    #[arg(short, long, value_name = "FOLDER|NEXT.csv")]
    output: Option<PathBuf>,

    /// The day, which names of files begin with, in place of the column date
    #[arg(long, value_name = "DAY", value_parser = date)]
    date: Option<String>,

    /// A recipe (TOML), or an earlier sheet (PDF), for all that rows leave open
    #[arg(long, value_name = "RECIPE")]
    recipe: Option<PathBuf>,

    /// Print the rows that are right though others are not; those are told, and it is no error
    #[arg(long, conflicts_with = "next")]
    print_the_rest: bool,

    /// Write next week's list: tempi rise for those whose column went-well says yes, but not past
    /// their goal, and went-well is empty again
    #[arg(long, requires = "faster")]
    next: bool,

    /// By how many beats a minute they rise
    #[arg(long, value_name = "BEATS", value_parser = beats, requires = "next",
        allow_negative_numbers = true)]
    faster: Option<u16>,

    /// Replace files that have the names already, whatever they are
    #[arg(long)]
    force: bool,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

impl ClassOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        let base = Source::open(self.recipe.as_deref())?;
        let list = ClassList::read(&self.list)?;
        let day = self.date.as_deref().map(|text| RowDay { text, option: "--date" });
        let class = Class { list, base, day, own: Vec::new() };
        let made = match self.faster {
            Some(faster) => next::write(&NextErrand {
                class,
                faster,
                output: self.output.as_deref(),
                force: self.force,
            }),
            None => {
                let bar = ProgressBar {
                    is_quiet: self.quiet,
                    has_terminal: io::stderr().is_terminal(),
                    told: AtomicUsize::new(0),
                };
                let made = make::make(&ClassErrand {
                    class,
                    folder: self.output.as_deref(),
                    force: self.force,
                    the_rest: self.print_the_rest,
                    progress: &|done, total| bar.show(done, total),
                });
                bar.clear();
                made
            }
        };
        let made = made.map_err(|complaints| match self.next {
            true => CliError::OfList(complaints),
            false => refused(complaints, self.print_the_rest),
        })?;
        Ok(Report::of(made, self.quiet))
    }
}

/// The refusal of a list, with a word on what can be done without mending it.
fn refused(mut complaints: Vec<Complaint>, the_rest: bool) -> CliError {
    if complaints.iter().any(|complaint| matches!(complaint.place, Place::Typed(_))) && !the_rest {
        let nothing = Complaint::new("nothing was written");
        let mend = "mend the list, or write --print-the-rest for the rows that are right";
        complaints.push(nothing.mend(mend));
    }
    CliError::OfList(complaints)
}

/// How far the work is: on a terminal a line of stderr that is written anew; elsewhere a line after
/// every so many sheets, so that a long list is seen to go on.
struct ProgressBar {
    is_quiet: bool,
    has_terminal: bool,
    /// How many sheets were told last.
    told: AtomicUsize,
}

impl ProgressBar {
    fn show(&self, done: usize, total: usize) {
        /// Places for signs in the bar.
        const WIDTH: usize = 30;
        if self.is_quiet {
            return;
        }
        // With stderr gone, there is nobody left to tell.
        if self.has_terminal {
            let full = (WIDTH * done).checked_div(total).unwrap_or(WIDTH);
            let (full, rest) = ("#".repeat(full), ".".repeat(WIDTH - full));
            let _ = write!(io::stderr().lock(), "\r{full}{rest} {done} of {total} sheets");
        } else if is_due(self.told.swap(done, Ordering::Relaxed), done) {
            let _ = writeln!(io::stderr().lock(), "{done} of {total} sheets");
        }
    }

    fn clear(&self) {
        if !self.is_quiet && self.has_terminal {
            let _ = write!(io::stderr().lock(), "\r\u{1b}[K");
        }
    }
}

/// Whether there is to be a line, from how many sheets there were before to how many there are.
fn is_due(before: usize, done: usize) -> bool {
    /// After how many sheets there is one.
    const EVERY: usize = 1000;
    done / EVERY > before / EVERY
}

fn date(text: &str) -> Result<String, String> {
    checked_date(text).map_err(|complaint| complaint.to_string())
}

fn beats(text: &str) -> Result<u16, String> {
    /// More would be no step from week to week.
    const MOST: u16 = 100;
    text.trim().parse().ok().filter(|beats| (1..=MOST).contains(beats)).ok_or_else(|| {
        format!("faster is `{text}`; write a whole number of beats from 1 to {MOST}")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_list_is_seen_to_go_on() {
        for (step, total, lines) in [(8, 999, 0), (8, 1000, 1), (7, 10_000, 10), (1500, 4500, 3)] {
            let counts: Vec<usize> = (0..total).step_by(step).chain([total]).collect();
            let due = counts.windows(2).filter(|pair| is_due(pair[0], pair[1])).count();
            assert_eq!(due, lines, "{total} sheets, {step} at a time");
        }
    }
}
