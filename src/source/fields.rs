//! Reading TOML field by field, gathering every mistake instead of stopping at the first.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::source::{SourceError, advice, nearest, syntax};

/// The mistakes found in a text so far.
#[derive(Debug)]
pub(crate) struct Mistakes<'a> {
    origin: &'a str,
    text: &'a str,
    found: Vec<SourceError>,
}

impl<'a> Mistakes<'a> {
    /// None yet. `origin` names the text.
    pub(crate) fn of(origin: &'a str, text: &'a str) -> Self {
        Self { origin, text, found: Vec::new() }
    }

    /// Adds a mistake at a byte range, with a way to mend it.
    pub(crate) fn add(
        &mut self,
        span: Range<usize>,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let error = SourceError::at(self.origin, self.text, Some(span), problem.into());
        self.found.push(error.mend(mend));
    }

    /// Whether there is none.
    pub(crate) fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// Where a word stands inside a quoted text, as far as it can be found again.
    pub(crate) fn within(&self, span: &Range<usize>, word: &str) -> Range<usize> {
        let quoted = self.text.get(span.clone()).unwrap_or_default();
        match quoted.find(word) {
            Some(offset) => span.start + offset..span.start + offset + word.len(),
            None => span.clone(),
        }
    }

    /// All of them, each once, from the first line to the last.
    pub(crate) fn into_sorted(mut self) -> Vec<SourceError> {
        self.found.sort_by_key(|error| error.line);
        let mut told: Vec<SourceError> = Vec::new();
        for mistake in self.found {
            if !told.contains(&mistake) {
                told.push(mistake);
            }
        }
        told
    }

    /// The outermost table of the text, with whatever could be read of it.
    pub(crate) fn table(&mut self) -> Spanned<DeTable<'a>> {
        let (table, errors) = DeTable::parse_recoverable(self.text);
        for error in errors {
            let mistake = syntax::explain(self.origin, self.text, error.span(), error.message());
            // What comes after the first stumble on a line, and after a list without end, is
            // mostly its echo.
            if self.found.last().is_some_and(syntax::runs_on) {
                break;
            }
            if self.found.iter().all(|other| other.line != mistake.line) {
                self.found.push(mistake);
            }
        }
        table
    }
}

/// A table whose fields are asked for one after another.
pub(crate) struct Fields<'a> {
    table: &'a DeTable<'a>,
    span: Range<usize>,
    asked: Vec<&'static str>,
    /// Fields that must be there and are not, each with a way to mend it.
    missing: Vec<(&'static str, String)>,
}

impl<'a> Fields<'a> {
    /// The fields of a table that stands at a byte range.
    pub(crate) fn of(table: &'a DeTable<'a>, span: Range<usize>) -> Self {
        Self { table, span, asked: Vec::new(), missing: Vec::new() }
    }

    /// Where the table stands.
    pub(crate) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// A field of any type.
    pub(crate) fn value(&mut self, name: &'static str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.asked.push(name);
        self.table.iter().find(|(key, _)| key.get_ref() == name).map(|(_, value)| value)
    }

    /// A field that must be there; `example` shows how to write it.
    pub(crate) fn required(
        &mut self,
        name: &'static str,
        example: &str,
    ) -> Option<&'a Spanned<DeValue<'a>>> {
        let value = self.value(name);
        if value.is_none() {
            self.missing.push((name, format!("write {name} = {example}")));
        }
        value
    }

    /// A text, if the field is there.
    pub(crate) fn text(
        &mut self,
        name: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Spanned<&'a str>> {
        let value = self.value(name)?;
        as_text(name, value, mistakes)
    }

    /// Yes or no, if the field is there.
    pub(crate) fn flag(
        &mut self,
        name: &'static str,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Spanned<bool>> {
        let value = self.value(name)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            let problem = format!("field `{name}` is a {}", value.get_ref().type_str());
            mistakes.add(value.span(), problem, "write true or false");
        }
        Some(Spanned::new(value.span(), flag?))
    }

    /// Errors for every field that nobody asked for, and for those that are missing, unless
    /// one was only misspelled.
    pub(crate) fn finish(mut self, mistakes: &mut Mistakes<'_>) {
        for key in self.table.keys() {
            let found = key.get_ref().as_ref();
            if self.asked.contains(&found) {
                continue;
            }
            let meant = nearest(found, self.asked.iter().copied());
            let mend = advice(found, &self.asked);
            self.missing.retain(|(name, _)| Some(*name) != meant);
            mistakes.add(key.span(), format!("unknown field `{found}`"), mend);
        }
        for (name, mend) in self.missing {
            mistakes.add(self.span.clone(), format!("field `{name}` is missing"), mend);
        }
    }
}

/// The text of a value.
pub(crate) fn as_text<'a>(
    name: &str,
    value: &'a Spanned<DeValue<'a>>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Spanned<&'a str>> {
    let text = value.get_ref().as_str();
    if text.is_none() {
        let problem = format!("field `{name}` is a {}", value.get_ref().type_str());
        mistakes.add(value.span(), problem, "write it in quotation marks");
    }
    Some(Spanned::new(value.span(), text?))
}

/// A whole number.
pub(crate) fn as_whole(value: &DeValue<'_>) -> Option<i64> {
    let integer = value.as_integer()?;
    i64::from_str_radix(integer.as_str(), integer.radix()).ok()
}

/// One of the words of a table of words; errors name the nearest.
pub(crate) fn one_of<T: Copy>(
    what: &str,
    found: &Spanned<&str>,
    words: &[(&str, T)],
    mistakes: &mut Mistakes<'_>,
) -> Option<T> {
    let word = found.get_ref().trim();
    let row = words.iter().find(|(known, _)| *known == word);
    if row.is_none() {
        let known: Vec<&str> = words.iter().map(|(known, _)| *known).collect();
        mistakes.add(found.span(), format!("unknown {what} `{word}`"), advice(word, &known));
    }
    row.map(|(_, value)| *value)
}
