//! Saying what was done or what went wrong.

use std::io::{self, ErrorKind, Write as _};

use super::{Answer, CliError};
use crate::source::plain;

/// Hands an answer over on stdout and stderr. A reader who has read enough and gone is no error.
pub(super) fn answer(answer: &Answer) -> Result<(), CliError> {
    let mut stdout = io::stdout().lock();
    match stdout.write_all(&answer.out).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(CliError::Stdout(error)),
        _ => {
            // With stderr gone too, there is nobody left to tell.
            let _ = io::stderr().lock().write_all(answer.aside.as_bytes());
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
