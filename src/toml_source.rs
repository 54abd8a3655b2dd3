//! Reading TOML that a teacher wrote, with errors that know file, line and field.

use std::ops::Range;

use serde::de::DeserializeOwned;
use thiserror::Error;

/// What is wrong in a TOML file, where, and how to mend it.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{origin}{}: {problem}{}", .line.map(|line| format!(", line {line}")).unwrap_or_default(),
    .mend.as_ref().map(|mend| format!("; {mend}")).unwrap_or_default())]
pub struct SourceError {
    /// The file's path, or what else the text came from.
    pub origin: String,
    /// The line, from 1, where it is known.
    pub line: Option<usize>,
    /// What was found and why it cannot stand.
    pub problem: String,
    /// How to mend it.
    pub mend: Option<String>,
}

impl SourceError {
    /// An error at a byte range of `text`.
    pub fn at(origin: &str, text: &str, span: Option<Range<usize>>, problem: String) -> Self {
        let line = span.map(|span| {
            let end = span.start.min(text.len());
            text.as_bytes()[..end].iter().filter(|byte| **byte == b'\n').count() + 1
        });
        Self { origin: origin.to_owned(), line, problem, mend: None }
    }

    /// The same error with a way to mend it.
    #[must_use]
    pub fn mend(mut self, mend: impl Into<String>) -> Self {
        self.mend = Some(mend.into());
        self
    }
}

/// Reads `text` as a `T`. `origin` names the text in errors.
pub fn from_toml<T: DeserializeOwned>(text: &str, origin: &str) -> Result<T, SourceError> {
    toml::from_str(text).map_err(|error| {
        let message = error.message().trim().to_owned();
        let whole = SourceError::at(origin, text, error.span(), message.clone());
        match unknown_field(&message) {
            Some((found, known)) => {
                let known: Vec<&str> = known.iter().map(String::as_str).collect();
                let mend = advice(&found, &known);
                SourceError { problem: format!("unknown field `{found}`"), ..whole }.mend(mend)
            }
            None => whole,
        }
    })
}

/// How to mend a word that is not among the known ones.
pub(crate) fn advice(found: &str, known: &[&str]) -> String {
    match nearest(found, known.iter().copied()) {
        Some(name) => format!("did you mean `{name}`?"),
        None => format!("write one of {}", known.join(", ")),
    }
}

/// The name nearest to `found`, if one is near enough to be a slip of the fingers.
pub fn nearest<'a>(found: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    /// Jaro-Winkler similarity below which a suggestion would puzzle more than help.
    const NEAR_ENOUGH: f64 = 0.75;
    known
        .map(|name| (strsim::jaro_winkler(&found.to_lowercase(), name), name))
        .filter(|(similarity, _)| *similarity >= NEAR_ENOUGH)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// Splits serde's "unknown field" message into the field found and the ones it knows.
fn unknown_field(message: &str) -> Option<(String, Vec<String>)> {
    let rest = message.strip_prefix("unknown field ")?;
    let mut names = rest.split('`').skip(1).step_by(2).map(str::to_owned);
    Some((names.next()?, names.collect()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, serde::Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only its errors are looked at")]
    struct Sample {
        tempo: u16,
        title: String,
    }

    #[test]
    fn a_misspelled_field_is_named_with_its_line_and_its_neighbour() {
        let error = from_toml::<Sample>("title = \"x\"\ntempoo = 4\n", "my.toml").unwrap_err();
        assert_eq!(
            error.to_string(),
            "my.toml, line 2: unknown field `tempoo`; did you mean `tempo`?"
        );
    }

    #[test]
    fn a_wrong_type_is_named_with_its_line() {
        let error =
            from_toml::<Sample>("title = \"x\"\ntempo = \"fast\"\n", "my.toml").unwrap_err();
        assert_eq!(error.line, Some(2));
        assert!(error.problem.contains("expected u16"), "{}", error.problem);
    }
}
