//! Signs that cannot stand where they do, or are missing: spaces, quotation marks, brackets, commas.

use super::nesting::Inside;
use super::stumble::{Finding, Outside, Stumble, finding};
use crate::source::plain::shortened;

/// Quotation marks that are none in TOML.
pub(super) const CURLY: [char; 6] =
    ['\u{201c}', '\u{201d}', '\u{201e}', '\u{201f}', '\u{ab}', '\u{bb}'];
/// The same that may stand for an apostrophe.
const CURLY_SINGLE: [char; 5] = ['\u{2018}', '\u{2019}', '\u{201a}', '\u{b4}', '`'];

impl Stumble<'_> {
    /// A file of another kind.
    pub(super) fn foreign(&self) -> Option<Finding> {
        self.whole.starts_with("{\\rtf").then(|| {
            let problem = "the file is that of a word processor, with its codes among the words";
            finding(problem, "save it as plain text")
        })
    }

    /// A sign that looks like a space and is none to a parser.
    pub(super) fn odd_space(&self) -> Option<Finding> {
        let Outside { bare, is_open, .. } = Outside::of(self.raw);
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
        Some(finding(problem, "take it out, and type a plain space where there should be one"))
    }

    /// A control character, or a line end that is none.
    pub(super) fn sign(&self) -> Option<Finding> {
        if self.rest().starts_with('\r') || self.head().ends_with('\r') && !self.is_line_end() {
            let problem = "the line ends with a sign that ends no line (U+000D)";
            return Some(finding(problem, "save the file as plain text, with usual line ends"));
        }
        let found = self.rest().chars().next().filter(|c| c.is_control() && *c != '\n')?;
        let problem = format!("a sign that cannot be seen (U+{:04X}) stands here", found as u32);
        Some(finding(problem, "take it out"))
    }

    /// A backslash that the parser stumbled behind.
    pub(super) fn escape(&self) -> Option<Finding> {
        let Inside::Words(quote) = self.here else { return None };
        // Numbers of characters have up to eight figures.
        let code = self.head().trim_end_matches(|c: char| c.is_ascii_hexdigit());
        let is_cut = |before: &str| {
            let slashes = before.len() - before.trim_end_matches('\\').len();
            slashes % 2 == 1
        };
        let is_code = code.strip_suffix(['x', 'u', 'U']).is_some_and(is_cut) && !self.is_line_end();
        (quote.has_escapes() && (is_code || is_cut(self.head()))).then(|| {
            let problem = "the text has a backslash `\\`, which stands for something else here";
            finding(problem, "leave it out, or write it twice: \\\\")
        })
    }

    /// Quotation marks of the wrong kind, or too few.
    pub(super) fn quotation(&self) -> Option<Finding> {
        let bare = &self.outside.bare;
        let has_curled =
            bare.contains(CURLY) || (!bare.contains('"') && bare.contains(CURLY_SINGLE));
        if has_curled {
            let problem = "the quotation marks are curly or slanted ones";
            return Some(finding(problem, "write straight ones: \""));
        }
        let is_cut = matches!(self.here, Inside::Words(_)) && self.is_line_end();
        (self.outside.is_open || is_cut).then(|| {
            let mend = "write one before the words and one after them, on the same line";
            finding("a quotation mark is missing", mend)
        })
    }

    /// What follows a text that is closed already.
    pub(super) fn follows(&self) -> Option<Finding> {
        let value = self.value?;
        let (rest, inner) = if let Some(words) = value.strip_prefix('\'') {
            (words.split_once('\'')?.1.split('#').next()?.trim(), "\"")
        } else {
            value.strip_prefix('"')?;
            (self.outside.bare.trim(), "'")
        };
        if rest.is_empty() {
            let mend = "keep one of them, or write a list, as in [\"one\", \"other\"]";
            return (self.outside.texts > 1)
                .then(|| finding("there are two texts on one line", mend));
        }
        let is_within = value.matches(&value[..1]).count() > 2 && !rest.contains('=');
        let mend = if is_within && inner == "'" {
            "for quotation marks within a text write single ones: '"
        } else if is_within {
            "for apostrophes within a text write double marks around it: \""
        } else {
            "put it within the quotation marks or on a line of its own; a remark begins with #"
        };
        Some(finding(
            format!("after the closing quotation mark follows `{}`", shortened(rest)),
            mend,
        ))
    }

    /// Lists and headings whose brackets or commas do not hold together.
    pub(super) fn brackets(&self) -> Option<Finding> {
        if let Some(heading) = self.heading() {
            let problem = "the heading does not have two brackets on each side and nothing else";
            let mend = format!("write [[{}]] on a line of its own", shortened(heading));
            return Some(finding(problem, mend));
        }
        let rest = self.rest();
        let may_close = self.here == Inside::List || self.value.is_none();
        if !may_close && rest.starts_with(']') {
            let problem = "there is a bracket ] too many";
            return Some(finding(problem, "leave it out, or write [ before the first item"));
        }
        let bare = &self.outside.bare;
        let is_list = self.value.is_some_and(|value| value.starts_with('['));
        let mut items = bare.trim_matches(['[', ']', ' ']).split([',', ';']).map(str::trim);
        let is_plain = !self.has_braces() && !bare.contains('=');
        let runs_together = is_list && is_plain && items.any(|item| item.contains(' '));
        let last = self.text[..self.at].trim_end().chars().next_back();
        let is_first = last.is_none_or(|last| matches!(last, '[' | ',' | '{' | '='));
        let is_item = !rest.starts_with([',', ';', ']', '=', '#', ' ', '\n']);
        if runs_together || (self.here == Inside::List && !is_first && is_item) {
            let problem = "a comma is missing between the items of the list";
            return Some(finding(problem, "write one after each item, as in [2, 5, 1]"));
        }
        if is_list && bare.contains(';') {
            let problem = "the items of a list stand apart by commas, without `;`";
            return Some(finding(problem, "write it as in [2, 5, 1]"));
        }
        if self.here == Inside::List && rest.starts_with(',') {
            return Some(finding("the list has a comma too many", "leave one of them out"));
        }
        None
    }
}
