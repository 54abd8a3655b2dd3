//! Saying what was done or what went wrong.

use std::io::{self, ErrorKind, Write as _};

use super::{CliError, words};
use crate::desk;
use crate::source::{Advice, plain};

/// What a command has to hand over.
#[derive(Debug, PartialEq, Eq)]
pub struct Report {
    /// What goes to stdout: what was asked for, or else what is said of it.
    pub out: Vec<u8>,
    /// What is said on stderr, since stdout has better to carry.
    pub aside: String,
}

impl Report {
    /// What the desk has made, with a word on it unless it is to be `quiet`.
    pub(super) fn of(made: desk::Answer, quiet: bool) -> Self {
        let line = |said: &Advice| format!("{}\n", plain::line(&said.told(words::typed)));
        let said = if quiet { String::new() } else { made.said.iter().map(line).collect() };
        let wrong = |complaint| format!("left out: {}\n", plain::line(&words::in_list(complaint)));
        let left_out: String = made.left_out.iter().map(wrong).collect();
        match made.sheet {
            Some(out) => Self { out, aside: said },
            None => Self { out: said.into_bytes(), aside: left_out },
        }
    }
}

impl From<String> for Report {
    fn from(said: String) -> Self {
        Self { out: said.into_bytes(), aside: String::new() }
    }
}

/// Hands a report over on stdout and stderr. A reader who has read enough and gone is no error.
pub(super) fn answer(report: &Report) -> Result<(), CliError> {
    let mut stdout = io::stdout().lock();
    match stdout.write_all(&report.out).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(CliError::Stdout(error)),
        _ => {
            // With stderr gone too, there is nobody left to tell.
            let _ = io::stderr().lock().write_all(report.aside.as_bytes());
            Ok(())
        }
    }
}

/// Says on stderr why a command was not done: one line, or one for each mistake of a drill file.
pub(super) fn complain(error: &CliError) {
    let mut stderr = io::stderr().lock();
    for line in error.lines() {
        // With stderr gone too, there is nobody left to tell.
        let _ = writeln!(stderr, "error: {}", plain::line(&line));
    }
}
