//! The line on which a parser stumbled, cut up for those who look for what is wrong with it.

use std::ops::Range;

use super::nesting::{Inside, Nesting};
use crate::source::usual::{Sort, UsualOf, quoted};

/// What is wrong, and how to mend it.
pub(super) type Finding = (String, String);

pub(super) fn finding(problem: impl Into<String>, mend: impl Into<String>) -> Finding {
    (problem.into(), mend.into())
}

/// The line on which the parser stumbled, and what stands on either side of its first equals sign.
pub(super) struct Stumble<'a> {
    pub(super) text: &'a str,
    /// Where the parser stumbled, and over which words, if over any.
    pub(super) at: usize,
    pub(super) word: &'a str,
    /// What that place lies inside of, and what the beginning of the line does.
    pub(super) here: Inside,
    pub(super) before: Inside,
    pub(super) start: usize,
    /// All of it, with the spaces around.
    pub(super) raw: &'a str,
    pub(super) whole: &'a str,
    pub(super) name: &'a str,
    pub(super) value: Option<&'a str>,
    pub(super) outside: Outside,
    pub(super) usual_of: UsualOf,
}

impl<'a> Stumble<'a> {
    pub(super) fn around(
        text: &'a str,
        span: &Range<usize>,
        nesting: &mut Nesting<'_>,
        usual_of: UsualOf,
    ) -> Self {
        let at = floor(text, span.start);
        let word = text.get(span.clone()).unwrap_or_default().trim();
        let start = text[..at].rfind('\n').map_or(0, |end| end + 1);
        let end = text[at..].find('\n').map_or(text.len(), |length| at + length);
        let raw = &text[start..end];
        let whole = raw.trim();
        let (name, value) = match whole.split_once('=') {
            Some((name, value)) => (name.trim(), Some(value.trim())),
            None => (whole, None),
        };
        let outside = Outside::of(value.unwrap_or(whole));
        let (before, here) = (nesting.to(start), nesting.to(at));
        Self { text, at, word, here, before, start, raw, whole, name, value, outside, usual_of }
    }

    /// How values of the sort of a field are written, if there is such a field.
    pub(super) fn sort(&self, name: &str) -> Option<Sort> {
        (self.usual_of)(name.trim()).map(|usual| usual.sort)
    }

    /// A field as it was probably meant to be written.
    pub(super) fn field(&self, name: &str, value: &str) -> String {
        let usual = (self.usual_of)(name);
        let value = usual.map_or_else(|| quoted(value), |usual| usual.written(value));
        format!("{name} = {value}")
    }

    /// A field whose value stands under a heading where it should stand behind an equals sign.
    pub(super) fn instead_of_heading(&self, heading: &str) -> Option<Finding> {
        let usual = (self.usual_of)(heading)?;
        if matches!(usual.sort, Sort::Headings | Sort::ListOrHeadings) {
            return None;
        }
        let mend = format!("write {heading} = {} in its place", usual.example);
        Some(finding(format!("`{heading}` is a field and no heading"), mend))
    }

    /// What stands on the line before the place where the parser stumbled.
    pub(super) fn head(&self) -> &'a str {
        &self.text[self.start..self.at]
    }

    /// What stands in the text after that place.
    pub(super) fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    /// Whether nothing but remarks follows in the text.
    pub(super) fn is_end(&self) -> bool {
        let is_bare = |line: &str| line.trim().is_empty() || line.trim().starts_with('#');
        self.rest().lines().all(is_bare)
    }

    /// Whether the parser stumbled where the line ends.
    pub(super) fn is_line_end(&self) -> bool {
        let rest = self.rest();
        rest.is_empty() || rest.starts_with('\n') || rest.starts_with("\r\n")
    }

    /// Whether the line is a field of its own that the parser still takes for the inside of a list
    /// above it.
    pub(super) fn is_in_open_list(&self) -> bool {
        let stands_at_name = self.name.starts_with(self.head().trim());
        let is_field = self.value.is_some() && is_name(self.name);
        self.before == Inside::List && stands_at_name && is_field
    }

    /// Whether the parser came to the end of the text in search of the end of a list.
    pub(super) fn is_after_open_list(&self) -> bool {
        self.here == Inside::List && self.is_end()
    }

    /// The heading that the line is, without its brackets.
    pub(super) fn heading(&self) -> Option<&'a str> {
        let is_heading =
            self.value.is_none() && self.before == Inside::Nothing && self.whole.starts_with('[');
        let name = self.whole.split(']').next().unwrap_or_default();
        is_heading.then(|| name.trim_matches(['[', ' ']))
    }

    /// The same, if its brackets are what they should be.
    pub(super) fn closed_heading(&self) -> Option<&'a str> {
        closed_heading(self.whole).filter(|_| self.before == Inside::Nothing)
    }

    /// Whether the line is a heading without end, so that what follows is not read as it was meant.
    pub(super) fn is_open_heading(&self) -> bool {
        let count = |sign| self.whole.matches(sign).count();
        self.heading().is_some() && count('[') > count(']')
    }

    /// Whether fields stand in braces on the line, so that its first equals sign says little.
    pub(super) fn has_braces(&self) -> bool {
        self.here == Inside::Braces || self.outside.bare.contains('{')
    }
}

/// What stands outside the quotation marks of a line.
pub(super) struct Outside {
    /// What stands outside complete pairs of straight ones, up to a remark; where the last pair is
    /// not complete, its words are among it.
    pub(super) bare: String,
    /// Whether the last pair is not complete.
    pub(super) is_open: bool,
    /// How many pairs are.
    pub(super) texts: usize,
}

impl Outside {
    pub(super) fn of(line: &str) -> Self {
        let (mut bare, mut inside, mut texts) = (String::new(), String::new(), 0);
        let (mut is_inside, mut is_escaped) = (false, false);
        for c in line.chars() {
            if is_inside {
                inside.push(c);
                if c == '"' && !is_escaped {
                    is_inside = false;
                    texts += 1;
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
        Self { bare, is_open: is_inside, texts }
    }
}

/// The nearest place at or before `at` where a character begins.
pub(super) fn floor(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|place| text.is_char_boundary(*place)).unwrap_or(0)
}

/// The name in a heading whose brackets are what they should be.
pub(super) fn closed_heading(line: &str) -> Option<&str> {
    let line = line.split('#').next().unwrap_or_default().trim();
    let inner = line.strip_prefix('[').and_then(|rest| rest.strip_suffix(']'))?;
    let inner = inner.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')).unwrap_or(inner);
    Some(inner.trim()).filter(|name| is_name(name))
}

/// Whether a word could be the name of a field.
pub(super) fn is_name(word: &str) -> bool {
    let word = word.trim();
    !word.is_empty() && word.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'_')
}

/// The same, or a word in quotation marks, which may be anything.
pub(super) fn is_quoted_name(word: &str) -> bool {
    let is_between = |sign: char| {
        let inner = word.trim().strip_prefix(sign).and_then(|rest| rest.strip_suffix(sign));
        inner.is_some_and(|inner| !inner.contains(sign))
    };
    is_name(word) || is_between('"') || is_between('\'')
}
