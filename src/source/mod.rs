//! Reading TOML that a teacher wrote, with errors that know file, line and field.

pub(crate) mod fields;
pub(crate) mod syntax;

use std::ops::Range;

use serde::de::DeserializeOwned;
use thiserror::Error;
use toml::de::DeTable;

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
        if let Err(error) = DeTable::parse(text) {
            return syntax::explain(origin, text, error.span(), error.message());
        }
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
    match near(found, known).as_slice() {
        [] => format!("write one of {}", known.join(", ")),
        names => format!("did you mean {}?", either(names)),
    }
}

/// The same where something else may be written too.
pub(crate) fn advice_or(found: &str, known: &[&str], other: &str) -> String {
    match near(found, known).as_slice() {
        [] => format!("write one of {}, or {other}", known.join(", ")),
        names => format!("did you mean {}? Or {other}", either(names)),
    }
}

/// Names in words: `a`, `b` or `c`.
fn either(names: &[&str]) -> String {
    let names: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} or {last}", others.join(", ")),
        None => String::new(),
    }
}

/// The names that a word may have been meant for: those that it is a part of, as `rootless` is
/// of `rootless-a`, or else those that are as near as can be.
fn near<'a>(found: &str, known: &[&'a str]) -> Vec<&'a str> {
    let word = found.trim().to_lowercase();
    let is_part = |name: &str| {
        let name = format!("-{}-", name.to_lowercase());
        !word.is_empty() && name.contains(&format!("-{word}-"))
    };
    let whole: Vec<&str> = known.iter().copied().filter(|name| is_part(name)).collect();
    if !whole.is_empty() {
        return whole;
    }
    // Figures have no slips of the fingers: 7/4 is as far from 5/4 as from 3/4.
    if !word.contains(char::is_alphabetic) {
        return Vec::new();
    }
    let Some(best) = nearest(&word, known.iter().copied()) else { return Vec::new() };
    let as_near = |name: &&str| likeness(&word, name) >= likeness(&word, best);
    known.iter().copied().filter(as_near).collect()
}

/// The name nearest to `found`, if one is near enough to be a slip of the fingers.
pub fn nearest<'a>(found: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    /// Likeness below which a suggestion would puzzle more than help.
    const NEAR_ENOUGH: f64 = 0.75;
    known
        .map(|name| (likeness(found, name), name))
        .filter(|(likeness, _)| *likeness >= NEAR_ENOUGH)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}

/// How much two words are alike in small letters, from 0 to 1 (Jaro-Winkler).
fn likeness(one: &str, other: &str) -> f64 {
    strsim::jaro_winkler(&one.to_lowercase(), &other.to_lowercase())
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
    fn several_names_that_are_equally_near_are_all_named() {
        let known = ["major", "natural-minor", "harmonic-minor"];
        assert_eq!(advice("minor", &known), "did you mean `natural-minor` or `harmonic-minor`?");
        assert_eq!(advice("Major", &known), "did you mean `major`?");
        let known = ["drop-2", "drop-2-inverted"];
        assert_eq!(advice_or("drop2", &known, "write 1+5"), "did you mean `drop-2`? Or write 1+5");
        assert_eq!(advice_or("zz", &known, "3"), "write one of drop-2, drop-2-inverted, or 3");
        assert_eq!(advice("7/4", &["3/4", "5/4"]), "write one of 3/4, 5/4");
        assert_eq!(advice("", &["3/4", "5/4"]), "write one of 3/4, 5/4");
    }

    #[test]
    fn a_wrong_type_is_named_with_its_line() {
        let error =
            from_toml::<Sample>("title = \"x\"\ntempo = \"fast\"\n", "my.toml").unwrap_err();
        assert_eq!(error.line, Some(2));
        assert!(error.problem.contains("expected u16"), "{}", error.problem);
    }
}
