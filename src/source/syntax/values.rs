//! Values without their quotation marks, or written otherwise than they can be read.

use toml::de::DeTable;

use super::nesting::Inside;
use super::stumble::{Finding, Stumble, finding, is_name, quoted};
use crate::source::plain::shortened;

impl Stumble<'_> {
    /// A value that should stand in quotation marks, or be written otherwise.
    pub(super) fn value_without_quotes(&self) -> Option<Finding> {
        let value = self.value.unwrap_or(self.whole);
        let value = value.split('#').next().unwrap_or(value).trim();
        self.value.filter(|_| !value.starts_with(['"', '\'', '[']))?;
        let key = self.key;
        if ["yes", "no", "on", "off", "true", "false"].contains(&value.to_lowercase().as_str()) {
            let meant = matches!(value.to_lowercase().as_str(), "yes" | "on" | "true");
            let problem = format!("`{value}` is not how yes and no are written");
            return Some((problem, format!("write {key} = {meant} (or {})", !meant)));
        }
        if let Some(finding) = self.list_without_brackets(value) {
            return Some(finding);
        }
        if let Some(bare) = value.strip_suffix([',', ';', '.']) {
            let problem = format!("the line ends with `{}`", &value[bare.len()..]);
            return Some((problem, "leave it out; a field ends with its line".to_owned()));
        }
        if key == "beats" && !value.contains(',') {
            let digits: String = value.chars().take_while(char::is_ascii_digit).collect();
            let number = digits.trim_start_matches('0');
            let example = if number.is_empty() { "4" } else { number };
            let problem = format!("`{value}` is no whole number");
            return Some((problem, format!("write it in figures alone, as in beats = {example}")));
        }
        if let Some(number) = without_zeros(value) {
            let problem = format!("the number `{value}` begins with a zero");
            return Some((problem, format!("write {key} = {number}")));
        }
        if value.contains(',') && value.bytes().all(|b| b.is_ascii_digit() || b == b',') {
            let point = value.replacen(',', ".", 1);
            let problem = format!("the number `{value}` has a comma");
            let mend = if key == "beats" {
                "write a whole number, as in beats = 2".to_owned()
            } else {
                format!("write {key} = {point}")
            };
            return Some((problem, mend));
        }
        if value.contains('"') {
            let problem = format!("the value of `{key}` does not begin with its quotation mark");
            return Some(finding(problem, "write one before the words and one after them"));
        }
        (!is_readable(value)).then(|| {
            let problem = format!("the value of `{key}` has no quotation marks");
            finding(problem, format!("write {key} = {}", quoted(value)))
        })
    }

    /// A list that is written without its brackets, or in others.
    pub(super) fn list_without_brackets(&self, value: &str) -> Option<Finding> {
        let takes_list = ["degrees", "keys", "course"].contains(&self.key);
        if !takes_list && !value.starts_with('(') {
            return None;
        }
        let items = value.trim_matches(['(', ')', '{', '}', ' ']);
        let items: Vec<String> =
            items.split([',', ' ']).filter(|item| !item.is_empty()).map(quoted).collect();
        let problem = format!("the list after `{}` has no square brackets", self.key);
        Some((problem, format!("write {} = [{}]", self.key, items.join(", "))))
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
