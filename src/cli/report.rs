//! Saying what was done or what went wrong.

use std::io::{self, ErrorKind, Write as _};

use super::CliError;

/// Says `text` on stdout. A reader who has read enough and gone is no error.
pub(super) fn say(text: &str) -> Result<(), CliError> {
    let mut stdout = io::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(CliError::Stdout(error)),
        _ => Ok(()),
    }
}

/// Says on stderr why a command was not done: one line, or one for each mistake of a drill file.
pub(super) fn complain(error: &CliError) {
    let message = error.to_string();
    let lines: Vec<&str> = match error {
        CliError::Drill(_) => message.lines().collect(),
        _ => vec![&message],
    };
    let mut stderr = io::stderr().lock();
    for line in lines {
        // Control characters of a file name or a file's text must not steer the terminal.
        let line: String = line
            .chars()
            .map(|c| if c.is_control() { char::REPLACEMENT_CHARACTER } else { c })
            .collect();
        // With stderr gone too, there is nobody left to tell.
        let _ = writeln!(stderr, "error: {line}");
    }
}
