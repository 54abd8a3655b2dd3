//! Clap's findings about the command line, in our words and in one line.

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::CliError;

/// What clap has to say: help as text for stdout, anything else as an error.
///
/// `no_command` says that options came where a command was expected.
pub(super) fn explain(error: &Error, no_command: bool) -> Result<String, CliError> {
    let line = match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            return Ok(error.render().to_string());
        }
        ErrorKind::UnknownArgument if no_command => {
            let found = word(error, ContextKind::InvalidArg);
            match near(error, ContextKind::SuggestedArg) {
                Some(name) => format!("unknown option `{found}`; did you mean `{name}`?"),
                None => format!(
                    "`{found}` stands before any command; begin with one, as in `quintfall workbook`"
                ),
            }
        }
        ErrorKind::UnknownArgument => unknown_argument(error),
        ErrorKind::InvalidSubcommand => {
            let found = word(error, ContextKind::InvalidSubcommand);
            match near(error, ContextKind::SuggestedSubcommand) {
                Some(name) => format!("unknown command `{found}`; did you mean `{name}`?"),
                None => format!("unknown command `{found}`; `quintfall --help` lists them"),
            }
        }
        ErrorKind::ValueValidation => {
            let option = option(error);
            match std::error::Error::source(error) {
                Some(problem) => format!("{option}: {problem}"),
                None => format!("{option}: not a value it takes"),
            }
        }
        ErrorKind::InvalidValue => {
            format!("{} has no value; write one after it", option(error))
        }
        ErrorKind::TooManyValues => format!("{} takes no value; write it alone", option(error)),
        ErrorKind::MissingRequiredArgument => {
            format!("{} missing; `--help` shows an example", missing(error))
        }
        ErrorKind::ArgumentConflict => conflict(error),
        ErrorKind::InvalidUtf8 => "an option is not Unicode text; write it in Unicode".to_owned(),
        _ => first_line(error),
    };
    Err(CliError::usage(line))
}

fn conflict(error: &Error) -> String {
    let (one, other) = (option(error), near(error, ContextKind::PriorArg).unwrap_or_default());
    let other = other.split(' ').next().unwrap_or_default();
    if other.is_empty() || other == one {
        format!("{one} is given twice; keep one of them")
    } else {
        format!("{one} and {other} do not go together; keep one of them")
    }
}

fn unknown_argument(error: &Error) -> String {
    let found = word(error, ContextKind::InvalidArg);
    if !found.starts_with('-') {
        return format!("`{found}` is one word too many; put texts with spaces in quotes");
    }
    match near(error, ContextKind::SuggestedArg) {
        Some(name) => format!("unknown option `{found}`; did you mean `{name}`?"),
        None => format!("unknown option `{found}`; `--help` after the command lists them"),
    }
}

/// What was not given, without the names of values, and the verb that goes with it.
fn missing(error: &Error) -> String {
    let Some(ContextValue::Strings(words)) = error.get(ContextKind::InvalidArg) else {
        return "an argument is".to_owned();
    };
    let names: Vec<&str> = words
        .iter()
        .map(|word| word.split(" <").next().unwrap_or(word).trim_matches(['<', '>']))
        .collect();
    format!("{} {}", names.join(" and "), if names.len() == 1 { "is" } else { "are" })
}

/// The option a finding is about, without the name of its value: `--tempo`.
fn option(error: &Error) -> String {
    let whole = word(error, ContextKind::InvalidArg);
    whole.split(' ').next().unwrap_or_default().to_owned()
}

/// The words that clap found at fault.
fn word(error: &Error, kind: ContextKind) -> String {
    match error.get(kind) {
        Some(ContextValue::String(word)) => word.clone(),
        _ => String::new(),
    }
}

/// The word that was probably meant.
fn near(error: &Error, kind: ContextKind) -> Option<String> {
    match error.get(kind)? {
        ContextValue::String(word) => Some(word.clone()),
        ContextValue::Strings(words) => words.first().cloned(),
        _ => None,
    }
}

/// Clap's own first line, for findings that have no words of ours.
fn first_line(error: &Error) -> String {
    let text = error.render().to_string();
    let line = text.lines().next().unwrap_or_default();
    line.trim_start_matches("error: ").to_owned()
}
