//! What is wrong with a line that TOML cannot read, in a teacher's words.
//!
//! A parser says what it expected next; the line itself shows better what was meant, so that is
//! what is looked at. The parser's own words are the last resort.

use std::ops::Range;

use crate::source::plain::shortened;
use crate::source::{Complaint, Place};

/// A finding of the parser in our words, and whether nothing below it was read as it was meant.
/// `span` is where it stumbled.
pub(crate) fn explain(
    name: &str,
    text: &str,
    span: Option<Range<usize>>,
    message: &str,
) -> (Complaint, bool) {
    let message = message.trim().replace('\n', ", ");
    let at = span.clone().unwrap_or(0..0);
    let start = floor(text, at.start);
    let line = Line::around(text, start);
    let complaint = |at: usize, problem: &str, mend: &str| {
        let complaint = Complaint::new(problem).at(Place::at(name, text, &(at..at)));
        if mend.is_empty() { complaint } else { complaint.mend(mend) }
    };
    if line.is_in_open_list(start, &message) || line.is_after_open_list(&message) {
        let end = text[..line.start].trim_end().len();
        let last = floor(text, end.saturating_sub(1));
        return (complaint(last, UNCLOSED_LIST, CLOSE_LIST), true);
    }
    let word = text.get(at.clone()).unwrap_or_default();
    let (problem, mend) = line
        .repeated(text, word, &message)
        .unwrap_or_else(|| line.wrong(&message).unwrap_or((message.clone(), String::new())));
    (complaint(start, &problem, &mend), message.starts_with(UNCLOSED))
}

/// The nearest place at or before `at` where a character begins.
fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|place| text.is_char_boundary(*place)).unwrap_or(0)
}

/// Quotation marks that are none in TOML.
const CURLY: [char; 6] = ['\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}', '\u{ab}', '\u{bb}'];
/// The same that may stand for an apostrophe.
const CURLY_SINGLE: [char; 5] = ['\u{2018}', '\u{2019}', '\u{201a}', '\u{b4}', '`'];

/// How the parser begins to speak of a list without end.
const UNCLOSED: &str = "unclosed array";
const UNCLOSED_LIST: &str = "the list is not closed";
const CLOSE_LIST: &str = "write ] after its last item";

/// What is wrong, and how to mend it.
type Finding = (String, String);

/// A line of the file, and what stands on either side of its first equals sign.
struct Line<'a> {
    start: usize,
    /// All of it, with the spaces around.
    raw: &'a str,
    whole: &'a str,
    key: &'a str,
    value: Option<&'a str>,
    /// What stands outside complete quotation marks, up to a remark.
    bare: String,
    /// Whether a straight quotation mark is opened and not closed.
    is_open: bool,
}

impl<'a> Line<'a> {
    fn around(text: &'a str, at: usize) -> Self {
        let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
        let end = text[at..].find('\n').map_or(text.len(), |length| at + length);
        let raw = &text[start..end];
        let whole = raw.trim();
        let (key, value) = match whole.split_once('=') {
            Some((key, value)) => (key.trim(), Some(value.trim())),
            None => (whole, None),
        };
        let (bare, is_open) = outside_quotes(value.unwrap_or(whole));
        Self { start, raw, whole, key, value, bare, is_open }
    }

    /// Whether the line is a field of its own that the parser, at `at`, still takes for the inside
    /// of a list above it.
    fn is_in_open_list(&self, at: usize, message: &str) -> bool {
        let stands_at_name = at < self.start + self.key.len().max(1);
        stands_at_name && self.value.is_some() && is_name(self.key) && message.contains("array")
    }

    /// Whether the parser came to the end of the text, on an empty line, in search of the end of
    /// a list.
    fn is_after_open_list(&self, message: &str) -> bool {
        self.whole.is_empty() && message.starts_with(UNCLOSED)
    }

    /// A field or a heading that stands twice.
    fn repeated(&self, text: &str, word: &str, message: &str) -> Option<Finding> {
        if message != "duplicate key" {
            return None;
        }
        if let Some(heading) = self.heading() {
            let mend = format!("write each heading with double brackets, as in [[{heading}]]");
            return Some((format!("the heading `{heading}` stands twice"), mend));
        }
        let earlier = text[..self.start]
            .lines()
            .enumerate()
            .filter(|(_, line)| line.split_once('=').is_some_and(|(key, _)| key.trim() == word));
        let first = earlier.last().map(|(index, _)| format!(", first on line {}", index + 1));
        let problem = format!("field `{word}` is written twice{}", first.unwrap_or_default());
        Some((problem, "keep one of them".to_owned()))
    }

    /// The heading that the line is, without its brackets.
    fn heading(&self) -> Option<&'a str> {
        let is_heading = self.value.is_none() && self.whole.starts_with('[');
        let name = self.whole.split(']').next().unwrap_or_default();
        is_heading.then(|| name.trim_matches(['[', ' ']))
    }

    fn wrong(&self, message: &str) -> Option<Finding> {
        self.foreign()
            .or_else(|| self.odd_space())
            .or_else(|| self.quotation(message))
            .or_else(|| self.brackets(message))
            .or_else(|| self.naming(message))
            .or_else(|| self.unquoted(message))
    }

    /// A file of another kind.
    fn foreign(&self) -> Option<Finding> {
        self.whole.starts_with("{\\rtf").then(|| {
            let problem = "the file is that of a word processor, with its codes among the words";
            (problem.to_owned(), "save it as plain text".to_owned())
        })
    }

    /// A sign that looks like a space and is none to a parser.
    fn odd_space(&self) -> Option<Finding> {
        let (bare, is_open) = outside_quotes(self.raw);
        let is_odd = |c: &char| {
            matches!(
                c,
                '\u{a0}' | '\u{2000}'
                    ..='\u{200d}' | '\u{202f}' | '\u{205f}' | '\u{2060}' | '\u{3000}' | '\u{feff}'
            )
        };
        let odd = bare.chars().find(is_odd).filter(|_| !is_open)?;
        let what = match odd {
            '\u{a0}' | '\u{202f}' => "a no-break space",
            '\u{200b}'..='\u{200d}' | '\u{2060}' | '\u{feff}' => "a sign that cannot be seen",
            _ => "a space of another width",
        };
        let problem = format!("{what} (U+{:04X}) stands outside the quotation marks", odd as u32);
        Some((problem, "take it out, and type a plain space where there should be one".to_owned()))
    }

    /// Quotation marks of the wrong kind, too few or too many, and signs that texts cannot hold.
    fn quotation(&self, message: &str) -> Option<Finding> {
        let has_curled = self.bare.contains(CURLY)
            || (!self.bare.contains('"') && self.bare.contains(CURLY_SINGLE));
        if has_curled {
            let problem = "the quotation marks are curly or slanted ones";
            return Some((problem.to_owned(), "write straight ones: \"".to_owned()));
        }
        if message.contains("escape") {
            let problem = "the text has a backslash `\\`, which stands for something else here";
            return Some((problem.to_owned(), "leave it out, or write it twice: \\\\".to_owned()));
        }
        if self.is_open
            || message.contains("basic string")
            || message.starts_with("invalid literal string")
        {
            let problem = "a quotation mark is missing";
            let mend = "write one before the words and one after them, on the same line";
            return Some((problem.to_owned(), mend.to_owned()));
        }
        let rest = self.value.filter(|value| value.starts_with('"')).map(|value| {
            let (bare, _) = outside_quotes(value);
            bare.trim().to_owned()
        });
        let rest = rest.filter(|_| message.starts_with("unexpected"))?;
        if rest.is_empty() {
            let mend = "keep one of them, or write a list, as in [\"one\", \"other\"]";
            return Some(("there are two texts on one line".to_owned(), mend.to_owned()));
        }
        let inner = self.value.is_some_and(|value| value.matches('"').count() > 2);
        let inner = inner && !rest.contains('=');
        let mend = if inner {
            "for quotation marks within a text write single ones: '"
        } else {
            "put it within the quotation marks or on a line of its own; a remark begins with #"
        };
        Some((format!("after the closing quotation mark follows `{rest}`"), mend.to_owned()))
    }

    /// Lists and headings whose brackets or commas do not hold together.
    fn brackets(&self, message: &str) -> Option<Finding> {
        if let Some(heading) = self.heading().filter(|_| !message.contains("array el")) {
            let problem = "the heading does not have two brackets on each side and nothing else";
            let mend = format!("write [[{heading}]] on a line of its own");
            return Some((problem.to_owned(), mend));
        }
        let is_list = self.value.is_some_and(|value| value.starts_with('['));
        let mut items = self.bare.trim_matches(['[', ']', ' ']).split([',', ';']).map(str::trim);
        let runs_together = is_list && items.any(|item| item.contains(' '));
        if runs_together || message.starts_with("missing comma between array") {
            let problem = "a comma is missing between the items of the list".to_owned();
            return Some((problem, "write one after each item, as in [2, 5, 1]".to_owned()));
        }
        if let Some(sign) = self.bare.chars().find(|c| *c == ';').filter(|_| is_list) {
            let problem = format!("the items of a list stand apart by commas, without `{sign}`");
            return Some((problem, "write it as in [2, 5, 1]".to_owned()));
        }
        if message.starts_with("extra comma") {
            let problem = "the list has a comma too many".to_owned();
            return Some((problem, "leave one of them out".to_owned()));
        }
        if message.starts_with(UNCLOSED) {
            return Some((UNCLOSED_LIST.to_owned(), CLOSE_LIST.to_owned()));
        }
        None
    }

    /// A line without equals sign, or with a name that is none.
    fn naming(&self, message: &str) -> Option<Finding> {
        if self.key.contains(CURLY) {
            let problem = "the name of a field has no quotation marks".to_owned();
            return Some((problem, "leave them out before the equals sign".to_owned()));
        }
        let Some(value) = self.value else {
            let is_lost = message.starts_with("key with no value")
                || message.starts_with("invalid unquoted key")
                || message.starts_with("invalid key-value pair");
            if !is_lost {
                return None;
            }
            if let Some((key, value)) = self.whole.split_once(':').filter(|(key, _)| is_name(key)) {
                let (key, value) = (key.trim(), value.trim());
                let problem = format!("`{key}:` has a colon in place of an equals sign");
                return Some((problem, format!("write {key} = {}", quoted(value))));
            }
            if let Some((key, value)) = self.whole.split_once(' ').filter(|(key, _)| {
                is_name(key) && key.starts_with(char::is_alphabetic) && !self.has_prose()
            }) {
                let value = value.trim_start_matches(['-', '\u{2013}', '>', '~', ' ']);
                let mend = format!("write {key} = {}", quoted(value.trim()));
                return Some((format!("`{key}` has no equals sign after it"), mend));
            }
            let problem = format!("`{}` is no field and no heading", shortened(self.whole));
            let mend = "write it as name = \"value\"; a remark begins with #";
            return Some((problem, mend.to_owned()));
        };
        if self.key.is_empty() {
            let problem = "nothing stands before the equals sign".to_owned();
            return Some((problem, "write the name of the field there".to_owned()));
        }
        if value.starts_with('=') {
            let problem = format!("after `{}` there are two equals signs", self.key);
            return Some((problem, "keep one of them".to_owned()));
        }
        if !self.key.contains(['"', '\'', '.', '[', ' ']) && !is_name(self.key) {
            let problem = format!("`{}` cannot be the name of a field", self.key);
            return Some((problem, "write the letters a to z and hyphens alone".to_owned()));
        }
        if value.is_empty() {
            let problem = format!("after `{} =` there is nothing", self.key);
            return Some((problem, "write a value, or leave the line out".to_owned()));
        }
        if self.key.contains(char::is_whitespace) && !self.key.contains(['"', '[']) {
            let joined = self.key.split_whitespace().collect::<Vec<_>>().join("-");
            let problem = format!("the name `{}` has a space", self.key);
            return Some((problem, format!("write {joined} = ...")));
        }
        None
    }

    /// Whether the line reads like a sentence.
    fn has_prose(&self) -> bool {
        self.whole.split_whitespace().count() > 2 && !self.whole.contains('"')
    }

    /// A value that should stand in quotation marks, or be written otherwise.
    fn unquoted(&self, message: &str) -> Option<Finding> {
        let value = self.value.unwrap_or(self.whole);
        let value = value.split('#').next().unwrap_or(value).trim();
        if let Some(word) = self.word_of_list(value, message) {
            let problem = format!("`{word}` in the list has no quotation marks");
            return Some((problem, format!("write \"{word}\"")));
        }
        self.value.filter(|_| !value.starts_with(['"', '[']))?;
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
        let is_word = message.starts_with("string values must be quoted")
            || message.starts_with("unexpected")
            || message.starts_with("invalid")
            || message.contains("number")
            || message.contains("leading zero");
        is_word.then(|| {
            let problem = format!("the value of `{key}` has no quotation marks");
            (problem, format!("write {key} = {}", quoted(value)))
        })
    }

    /// A list that is written without its brackets, or in others.
    fn list_without_brackets(&self, value: &str) -> Option<Finding> {
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

    /// The first word of a list that has no quotation marks.
    fn word_of_list(&self, value: &str, message: &str) -> Option<String> {
        let is_list = value.starts_with('[') || self.value.is_none();
        let is_word = message.starts_with("string values") || message.starts_with("invalid");
        if !is_list || !is_word {
            return None;
        }
        let (bare, _) = outside_quotes(value);
        let mut words = bare.split(['[', ']', ',', ' ']).map(str::trim);
        let is_number = |word: &str| word.bytes().all(|byte| byte.is_ascii_digit());
        words.find(|word| !is_number(word)).map(str::to_owned)
    }
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

/// Whether a word could be the name of a field.
fn is_name(word: &str) -> bool {
    let word = word.trim();
    !word.is_empty() && word.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
}

/// Words in quotation marks, which they may have already.
fn quoted(words: &str) -> String {
    let is_number = !words.is_empty() && words.bytes().all(|byte| byte.is_ascii_digit());
    let is_ready =
        is_number || words.starts_with(['"', '[']) || words == "true" || words == "false";
    if is_ready {
        words.to_owned()
    } else {
        format!("\"{}\"", words.trim_matches(['"', '\'', '`', '\u{b4}']))
    }
}

/// What stands outside complete pairs of straight quotation marks, up to a remark; and whether
/// the last pair is not complete, in which case its words are among what is given.
fn outside_quotes(line: &str) -> (String, bool) {
    let (mut bare, mut inside, mut is_inside, mut is_escaped) =
        (String::new(), String::new(), false, false);
    for c in line.chars() {
        if is_inside {
            inside.push(c);
            if c == '"' && !is_escaped {
                is_inside = false;
                inside.clear();
            }
            is_escaped = c == '\\' && !is_escaped;
        } else if c == '"' {
            is_inside = true;
            inside.push(c);
        } else if c == '#' {
            break;
        } else {
            bare.push(c);
        }
    }
    bare.push_str(&inside);
    (bare, is_inside)
}

#[cfg(test)]
mod tests;
