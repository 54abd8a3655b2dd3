//! Reading TOML field by field, gathering every mistake instead of stopping at the first.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::plain::shortened;
use super::syntax::Nesting;
use super::usual::{Sort, UsualOf};
use super::{Complaint, Field, Place, advice, nearest, syntax};

/// Most mistakes of one text that are told; whoever has mended them will ask again.
const MOST_MISTAKES: usize = 100;

/// The mistakes found in a text so far, up to [`MOST_MISTAKES`].
#[derive(Debug)]
pub(crate) struct Mistakes<'a> {
    origin: &'a str,
    text: &'a str,
    usual_of: UsualOf,
    found: Vec<Complaint>,
}

impl<'a> Mistakes<'a> {
    /// None yet. `origin` names the text.
    pub(crate) fn of(origin: &'a str, text: &'a str) -> Self {
        Self { origin, text, usual_of: |_| None, found: Vec::new() }
    }

    /// The same of a text whose fields are known.
    pub(crate) fn knowing(self, usual_of: UsualOf) -> Self {
        Self { usual_of, ..self }
    }

    /// Adds a mistake at a byte range, with a way to mend it.
    pub(crate) fn add(
        &mut self,
        span: Range<usize>,
        problem: impl Into<String>,
        mend: impl Into<String>,
    ) {
        if self.is_full() {
            return;
        }
        let place = Place::at(self.origin, self.text, &span);
        self.found.push(Complaint::new(problem).at(place).mend(mend));
    }

    /// Adds what is wrong with a value at a byte range.
    pub(crate) fn add_at(&mut self, span: &Range<usize>, complaint: Complaint) {
        if !self.is_full() {
            self.found.push(complaint.at(Place::at(self.origin, self.text, span)));
        }
    }

    /// Adds what is wrong with the value of a field.
    fn add_value(&mut self, field: Field, value: &Spanned<DeValue<'_>>, mend: impl Into<String>) {
        let problem = format!("field `{field}` is {}", described(value.get_ref()));
        let mend = self.without_heading(field, value.get_ref()).unwrap_or_else(|| mend.into());
        self.add_at(&value.span(), Complaint::of(field, problem).mend(mend));
    }

    /// How to write a field whose value is a table, most often for want of an equals sign, or a list
    /// where there should be one value.
    fn without_heading(&self, field: Field, value: &DeValue<'_>) -> Option<String> {
        let usual = (self.usual_of)(field.name())?;
        let is_list = matches!(usual.sort, Sort::List | Sort::Figures | Sort::ListOrHeadings);
        match value {
            DeValue::Table(_) => Some(format!("write {field} = {} in its place", usual.example)),
            DeValue::Array(_) if !is_list => {
                Some(format!("write one alone, as in {field} = {}", usual.example))
            }
            _ => None,
        }
    }

    /// Whether no more are told, so that nobody needs to look for them.
    fn is_full(&self) -> bool {
        self.found.len() >= MOST_MISTAKES
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
    pub(crate) fn into_sorted(mut self) -> Vec<Complaint> {
        let is_full = self.is_full();
        self.found.sort_by_key(Complaint::line);
        let mut told: Vec<Complaint> = Vec::new();
        for mistake in self.found {
            if !told.contains(&mistake) {
                told.push(mistake);
            }
        }
        if is_full {
            let more = Complaint::new("there are more mistakes than these");
            told.push(more.at(Place::of(self.origin)).mend("mend these first"));
        }
        told
    }

    /// The outermost table of the text, with whatever could be read of it.
    pub(crate) fn table(&mut self) -> Spanned<DeTable<'a>> {
        let (table, errors) = DeTable::parse_recoverable(self.text);
        // Where the parser stumbled last, and on which line that is.
        let (mut stumbled, mut line) = (0, 0);
        let mut told = BTreeSet::new();
        let mut nesting = Nesting::of(self.text);
        for error in errors {
            if self.is_full() {
                break;
            }
            // Errors come in the order of the text but for a few, for which it is counted anew.
            let at = error.span().map_or(0, |span| span.start.min(self.text.len()));
            if at < stumbled {
                (stumbled, line) = (0, 0);
            }
            line += memchr::memchr_iter(b'\n', &self.text.as_bytes()[stumbled..at]).count();
            stumbled = at;
            if !told.insert(line) {
                continue;
            }
            let (mistake, runs_on) =
                syntax::explain(self.origin, self.text, error.span(), &mut nesting, self.usual_of);
            if self.found.iter().all(|other| other.line() != mistake.line()) {
                self.found.push(mistake);
            }
            // What comes after the first stumble on a line, and after a list without end, is
            // mostly its echo.
            if runs_on {
                break;
            }
        }
        table
    }
}

/// A table whose fields are asked for one after another.
pub(crate) struct Fields<'a> {
    table: &'a DeTable<'a>,
    span: Range<usize>,
    asked: Vec<Field>,
    passed: Vec<Field>,
    /// Fields that must be there and are not, each with a way to mend it.
    missing: Vec<(Field, String)>,
}

impl<'a> Fields<'a> {
    /// The fields of a table that stands at a byte range.
    pub(crate) fn of(table: &'a DeTable<'a>, span: Range<usize>) -> Self {
        Self { table, span, asked: Vec::new(), passed: Vec::new(), missing: Vec::new() }
    }

    /// Where the table stands.
    pub(crate) fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    /// Passes over a field of which something has been said already.
    pub(crate) fn pass(&mut self, field: impl Into<Field>) {
        self.passed.push(field.into());
    }

    /// A field of any type.
    pub(crate) fn value(&mut self, field: impl Into<Field>) -> Option<&'a Spanned<DeValue<'a>>> {
        let field = field.into();
        self.asked.push(field);
        self.table.iter().find(|(key, _)| key.get_ref() == field.name()).map(|(_, value)| value)
    }

    /// A field that must be there; `example` shows how to write it.
    pub(crate) fn required(
        &mut self,
        field: impl Into<Field>,
        example: &str,
    ) -> Option<&'a Spanned<DeValue<'a>>> {
        let field = field.into();
        let value = self.value(field);
        if value.is_none() {
            self.missing.push((field, format!("write {field} = {example}")));
        }
        value
    }

    /// A text, if the field is there.
    pub(crate) fn text(
        &mut self,
        field: impl Into<Field>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Spanned<&'a str>> {
        let field = field.into();
        let value = self.value(field)?;
        as_text(field, value, mistakes)
    }

    /// Yes or no, if the field is there.
    pub(crate) fn flag(
        &mut self,
        field: impl Into<Field>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<Spanned<bool>> {
        let field = field.into();
        let value = self.value(field)?;
        as_flag(field, value, mistakes)
    }

    /// Errors for every field that nobody asked for, and for those that are missing, unless
    /// one was only misspelled.
    pub(crate) fn finish(mut self, mistakes: &mut Mistakes<'_>) {
        let known: Vec<&str> = self.asked.iter().map(|field| field.name()).collect();
        for name in self.table.keys() {
            let found = name.get_ref().as_ref();
            let is_passed = self.passed.iter().any(|field| field.name() == found);
            if is_passed || known.contains(&found) {
                continue;
            }
            if mistakes.is_full() {
                break;
            }
            let meant = nearest(found, known.iter().copied());
            self.missing.retain(|(field, _)| Some(field.name()) != meant);
            let problem = format!("unknown field `{}`", shortened(found));
            mistakes.add(name.span(), problem, advice(found, &known));
        }
        for (field, mend) in self.missing {
            let problem = format!("field `{field}` is missing");
            mistakes.add_at(&self.span, Complaint::of(field, problem).mend(mend));
        }
    }
}

/// The text of a value.
pub(crate) fn as_text<'a>(
    field: impl Into<Field>,
    value: &'a Spanned<DeValue<'a>>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Spanned<&'a str>> {
    let text = value.get_ref().as_str();
    if text.is_none() {
        mistakes.add_value(field.into(), value, "write it in quotation marks");
    }
    Some(Spanned::new(value.span(), text?))
}

/// Yes or no.
pub(crate) fn as_flag(
    field: impl Into<Field>,
    value: &Spanned<DeValue<'_>>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Spanned<bool>> {
    let flag = value.get_ref().as_bool();
    if flag.is_none() {
        mistakes.add_value(field.into(), value, "write true or false, without quotation marks");
    }
    Some(Spanned::new(value.span(), flag?))
}

/// The items of a list; `example` shows how to write one.
pub(crate) fn as_list<'a>(
    field: impl Into<Field>,
    value: &'a Spanned<DeValue<'a>>,
    example: &str,
    mistakes: &mut Mistakes<'_>,
) -> Option<&'a [Spanned<DeValue<'a>>]> {
    let list = value.get_ref().as_array();
    if list.is_none() {
        mistakes.add_value(field.into(), value, format!("write a list, as in {example}"));
    }
    list.map(|list| list.as_ref())
}

/// A number, whole or not; `mend` says how to write it.
pub(crate) fn as_number(
    field: impl Into<Field>,
    value: &Spanned<DeValue<'_>>,
    mend: &str,
    mistakes: &mut Mistakes<'_>,
) -> Option<Spanned<f64>> {
    let whole = || as_whole(value.get_ref()).map(|whole| whole as f64);
    let float = value.get_ref().as_float().and_then(|float| float.as_str().parse().ok());
    let number = float.or_else(whole);
    if number.is_none() {
        mistakes.add_value(field.into(), value, mend);
    }
    Some(Spanned::new(value.span(), number?))
}

/// A whole number.
pub(crate) fn as_whole(value: &DeValue<'_>) -> Option<i64> {
    let integer = value.as_integer()?;
    i64::from_str_radix(integer.as_str(), integer.radix()).ok()
}

/// What a value is, in words.
pub(crate) fn described(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => format!("\"{}\"", shortened(text)),
        DeValue::Integer(number) => format!("the number {}", shortened(number.as_str())),
        DeValue::Float(number) => format!("the number {}", shortened(number.as_str())),
        DeValue::Boolean(flag) => flag.to_string(),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
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
        mistakes.add_at(&found.span(), unknown_word(what, word, &known));
    }
    row.map(|(_, value)| *value)
}

/// The complaint about a word that is not among the known ones.
pub(crate) fn unknown_word(what: &str, word: &str, known: &[&str]) -> Complaint {
    Complaint::new(format!("unknown {what} `{}`", shortened(word))).mend(advice(word, known))
}
