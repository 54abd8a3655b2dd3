//! Clap's findings about the command line, in our words and in one line.

use std::ffi::OsString;

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::{CliError, slips};
use crate::source::advice;

/// The option that an earlier sheet is made anew with.
const TEMPO: &str = "--tempo";

/// What clap has to say: help as text for stdout, anything else as an error.
///
/// `args` is what was typed.
pub(super) fn explain(error: &Error, args: &[OsString]) -> Result<String, CliError> {
    let no_command = args.get(1).is_some_and(|first| first.as_encoded_bytes().starts_with(b"-"));
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
        ErrorKind::UnknownArgument => unknown_argument(error, args),
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
        ErrorKind::InvalidValue if !word(error, ContextKind::InvalidValue).is_empty() => {
            let found = word(error, ContextKind::InvalidValue);
            let known = all(error, ContextKind::ValidValue);
            let known: Vec<&str> = known.iter().map(String::as_str).collect();
            format!("{}: unknown word `{found}`; {}", option(error), advice(&found, &known))
        }
        ErrorKind::InvalidValue => {
            format!("{} has no value; write one after it", option(error))
        }
        ErrorKind::TooManyValues => format!("{} takes no value; write it alone", option(error)),
        ErrorKind::MissingRequiredArgument => {
            let missing = missing(error);
            // A tempo without its option is taken for one sheet more.
            let words = || args.iter().skip(2).filter_map(|word| word.to_str());
            let tempo = missing.starts_with(TEMPO).then(|| words().find_map(slips::tempo));
            match tempo.flatten() {
                Some(mend) => format!("{missing} missing; {mend}"),
                None => format!("{missing} missing; `--help` shows an example"),
            }
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

fn unknown_argument(error: &Error, args: &[OsString]) -> String {
    let found = word(error, ContextKind::InvalidArg);
    if !found.starts_with('-') {
        // An option that is taken for a word leaves its value over.
        let dashed = args.iter().skip(2).find_map(|word| {
            let word = word.to_str()?;
            Some(format!("`{word}` begins with a dash; {}", slips::long_dash(word)?))
        });
        let command = args.get(1).and_then(|command| command.to_str()).unwrap_or_default();
        let has_tempo = ["workbook", "handout", "playalong", "retempo"].contains(&command);
        let tempo = slips::tempo(&found).filter(|_| has_tempo);
        let mend = tempo.unwrap_or_else(|| "put texts with spaces in quotes".to_owned());
        return dashed.unwrap_or_else(|| format!("`{found}` is one word too many; {mend}"));
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
        .map(|word| word.split(" <").next().unwrap_or(word).trim_matches(['<', '>', '.']))
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

/// All the words that might have been written.
fn all(error: &Error, kind: ContextKind) -> Vec<String> {
    match error.get(kind) {
        Some(ContextValue::Strings(words)) => words.clone(),
        _ => Vec::new(),
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
