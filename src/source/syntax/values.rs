//! Values without their quotation marks, or written otherwise than they can be read.

use toml::de::DeTable;

use super::nesting::Inside;
use super::stumble::{Finding, Stumble, finding, is_name};
use crate::source::plain::shortened;
use crate::source::usual::{Sort, list, yes_or_no};

impl Stumble<'_> {
    /// A value that should stand in quotation marks, or be written otherwise.
    pub(super) fn value_without_quotes(&self) -> Option<Finding> {
        let value = self.value.unwrap_or(self.whole);
        let value = value.split('#').next().unwrap_or(value).trim();
        self.value.filter(|_| !value.starts_with(['"', '\'', '[']))?;
        let (name, sort) = (self.name, self.sort(self.name));
        if let Some(meant) = yes_or_no(value).filter(|_| sort.is_none_or(|s| s == Sort::Flag)) {
            let problem = format!("`{value}` is not how yes and no are written");
            return Some((problem, format!("write {name} = {meant} (or {})", !meant)));
        }
        if let Some(finding) = self.list_without_brackets(value) {
            return Some(finding);
        }
        if let Some(bare) = value.strip_suffix([',', ';', '.']) {
            let problem = format!("the line ends with `{}`", &value[bare.len()..]);
            return Some((problem, "leave it out; a field ends with its line".to_owned()));
        }
        let has_comma =
            value.contains(',') && value.bytes().all(|b| b.is_ascii_digit() || b == b',');
        match sort {
            _ if without_zeros(value).is_some() => {
                let problem = format!("the number `{value}` begins with a zero");
                let number = without_zeros(value).unwrap_or_default();
                return Some((problem, format!("write {name} = {number}")));
            }
            Some(Sort::Whole) if has_comma => {
                let example = (self.usual_of)(name).map_or(String::new(), |usual| usual.example);
                let problem = format!("the number `{value}` has a comma");
                return Some((problem, format!("write a whole number, as in {name} = {example}")));
            }
            Some(Sort::Number) | None if has_comma => {
                let problem = format!("the number `{value}` has a comma");
                return Some((problem, format!("write {name} = {}", value.replacen(',', ".", 1))));
            }
            Some(Sort::Whole | Sort::Number) => {
                let whole = if sort == Some(Sort::Whole) { "whole " } else { "" };
                let problem = format!("`{}` is no {whole}number", shortened(value));
                let field = self.field(name, value);
                return Some((problem, format!("write it in figures alone, as in {field}")));
            }
            Some(Sort::Flag) => {
                let problem = format!("`{}` is neither yes nor no", shortened(value));
                return Some((problem, format!("write {name} = true (or false)")));
            }
            _ => {}
        }
        if value.contains('"') {
            let problem = format!("the value of `{name}` does not begin with its quotation mark");
            return Some(finding(problem, "write one before the words and one after them"));
        }
        (!is_readable(value)).then(|| {
            let problem = format!("the value of `{name}` has no quotation marks");
            finding(problem, format!("write {}", self.field(name, value)))
        })
    }

    /// A list that is written without its brackets, or in others.
    pub(super) fn list_without_brackets(&self, value: &str) -> Option<Finding> {
        let takes_list = match self.sort(self.name) {
            Some(sort) => matches!(sort, Sort::List | Sort::Figures | Sort::ListOrHeadings),
            None => value.starts_with('('),
        };
        takes_list.then(|| {
            let problem = format!("the list after `{}` has no square brackets", self.name);
            let list = match self.sort(self.name) {
                Some(Sort::Figures) => self.field(self.name, value),
                _ => format!("{} = {}", self.name, list(value)),
            };
            (problem, format!("write {list}"))
        })
    }

    /// An item of a list, or a value in braces, that should stand in quotation marks.
    pub(super) fn word_of_list(&self) -> Option<Finding> {
        let place = match self.here {
            Inside::List => "in the list",
            Inside::Braces => "in the braces",
            Inside::Nothing | Inside::Words(_) => return None,
        };
        let ends = [',', '[', ']', '{', '}', '=', '#', '\n'];
        let start = self.head().rfind(ends).map_or(self.start, |end| self.start + end + 1);
        let length = self.rest().find(ends).unwrap_or(self.rest().len());
        let word = self.text[start..self.at + length].trim();
        let next = self.rest()[..length].trim();
        if is_name(next) && self.rest()[length..].starts_with('=') {
            return Some(self.named_within(next));
        }
        if word.is_empty() || word.starts_with(['"', '\'']) || is_readable(word) {
            return None;
        }
        if self.rest()[length..].starts_with('=') {
            return Some(self.named_within(word));
        }
        if word.contains('"') {
            let problem =
                format!("`{}` {place} does not begin with its quotation mark", shortened(word));
            return Some(finding(problem, "write one before the words and one after them"));
        }
        let word = shortened(word);
        if let Some(number) = without_zeros(&word) {
            let problem = format!("the number `{word}` {place} begins with a zero");
            return Some(finding(problem, format!("write {number}")));
        }
        let mend = format!("write \"{word}\"");
        Some(finding(format!("`{word}` {place} has no quotation marks"), mend))
    }
}

/// Whether a value can be read as it stands.
fn is_readable(value: &str) -> bool {
    DeTable::parse(&format!("value = {value}")).is_ok()
}

/// A number in figures that begins with zeros which it does not need, without them.
fn without_zeros(value: &str) -> Option<String> {
    let (sign, figures) = match value.strip_prefix('-') {
        Some(figures) => ("-", figures),
        None => ("", value),
    };
    let is_number = figures.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let rest = figures.strip_prefix('0')?.trim_start_matches('0');
    let begins = rest.starts_with(|c: char| c.is_ascii_digit());
    (is_number && begins).then(|| format!("{sign}{rest}"))
}
