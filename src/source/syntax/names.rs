//! Names of fields and headings that are none, or that stand twice.

use super::nesting::Inside;
use super::signs::CURLY;
use super::stumble::{Finding, Stumble, closed_heading, finding, is_name, is_quoted_name};
use crate::source::plain::shortened;

impl Stumble<'_> {
    /// A field or a heading that stands twice.
    pub(super) fn repeated(&self) -> Option<Finding> {
        if let Some(heading) = self.heading() {
            let is_field =
                |line: &str| line.split_once('=').is_some_and(|(name, _)| name.trim() == heading);
            if let Some(index) = self.text[..self.start].lines().position(is_field)
                && self.closed_heading() == Some(heading)
            {
                let first = format!(", first on line {}", index + 1);
                let problem = format!("field `{}` is written twice{first}", shortened(heading));
                return Some(finding(problem, "keep one of them"));
            }
            let earlier = self.text[..self.start].lines();
            let is_twice = self.closed_heading() == Some(heading)
                && earlier.filter_map(closed_heading).any(|other| other == heading);
            return is_twice.then(|| {
                if let Some(found) = self.instead_of_heading(heading) {
                    return found;
                }
                let mend = format!("write each heading with double brackets, as in [[{heading}]]");
                finding(format!("the heading `{heading}` stands twice"), mend)
            });
        }
        // A name in its place is nothing to stumble over, unless it was there before.
        let after = self.rest().strip_prefix(self.word)?.trim_start_matches([' ', '\t']);
        let is_key = match after.strip_prefix('=') {
            Some(value) => !value.starts_with('='),
            None => after.starts_with('.'),
        };
        let is_name = is_name(self.word.trim_matches(['"', '\'']));
        let is_place = matches!(self.here, Inside::Nothing | Inside::Braces);
        if !(is_key && is_name && is_place) {
            return None;
        }
        let earlier = self.text[..self.start].lines().enumerate().filter(|(_, line)| {
            self.here == Inside::Nothing
                && line.split_once('=').is_some_and(|(name, _)| name.trim() == self.word)
        });
        let first = earlier.last().map(|(index, _)| format!(", first on line {}", index + 1));
        let word = shortened(self.word);
        let problem = format!("field `{word}` is written twice{}", first.unwrap_or_default());
        Some(finding(problem, "keep one of them"))
    }

    /// A line without equals sign, or with a name that is none.
    pub(super) fn naming(&self) -> Option<Finding> {
        let name = self.name;
        if name.contains(CURLY) {
            let problem = "the name of a field has no quotation marks";
            return Some(finding(problem, "leave them out before the equals sign"));
        }
        let Some(value) = self.value else { return self.lost() };
        let named = shortened(name);
        if name.is_empty() {
            let problem = "nothing stands before the equals sign";
            return Some(finding(problem, "write the name of the field there"));
        }
        if value.starts_with('=') {
            let problem = format!("after `{named}` there are two equals signs");
            return Some(finding(problem, "keep one of them"));
        }
        if !name.contains(['[', ' ']) && !name.split('.').all(is_quoted_name) {
            let problem = format!("`{named}` cannot be the name of a field");
            return Some(finding(problem, "write the letters a to z and hyphens alone"));
        }
        if value.is_empty() {
            let problem = format!("after `{named} =` there is nothing");
            return Some(finding(problem, "write a value, or leave the line out"));
        }
        if name.contains(char::is_whitespace) && !name.contains(['"', '[']) {
            let joined = name.split_whitespace().collect::<Vec<_>>().join("-");
            let problem = format!("the name `{named}` has a space");
            return Some(finding(problem, format!("write {} = ...", shortened(&joined))));
        }
        None
    }

    /// A line that has no equals sign.
    pub(super) fn lost(&self) -> Option<Finding> {
        if self.whole.is_empty() {
            return None;
        }
        if let Some((name, value)) = self.whole.split_once(':').filter(|(name, _)| is_name(name)) {
            let (name, value) = (name.trim(), value.trim());
            let problem = format!("`{name}:` has a colon in place of an equals sign");
            return Some(finding(problem, format!("write {}", self.field(name, value))));
        }
        if let Some((name, value)) = self.whole.split_once(' ').filter(|(name, _)| {
            let is_known = self.sort(name).is_some();
            is_name(name)
                && name.starts_with(char::is_alphabetic)
                && (is_known || !self.has_prose())
        }) {
            let value = value.trim_start_matches(['-', '\u{2013}', '>', '~', ' ']);
            let mend = format!("write {}", self.field(name, value.trim()));
            return Some(finding(format!("`{name}` has no equals sign after it"), mend));
        }
        let problem = format!("`{}` is no field and no heading", shortened(self.whole));
        if self.whole.contains('|') {
            let mend = "bars stand between the quotes, above the \"\"\" that ends them";
            return Some(finding(problem, mend));
        }
        Some(finding(problem, "write it as name = \"value\"; a remark begins with #"))
    }

    /// Whether the line reads like a sentence.
    pub(super) fn has_prose(&self) -> bool {
        self.whole.split_whitespace().count() > 2 && !self.whole.contains('"')
    }

    /// The name of a field in brackets or braces that cannot stand there.
    pub(super) fn named_within(&self, name: &str) -> Finding {
        // Behind a value whose comma is missing the name is the last word.
        let name = name.rsplit(' ').next().unwrap_or(name);
        let named = shortened(name);
        if !is_quoted_name(name) {
            let problem = format!("`{named}` cannot be the name of a field");
            return finding(problem, "write the letters a to z and hyphens alone");
        }
        if self.here == Inside::List {
            let problem = format!("the field `{named}` stands in a list without braces");
            return finding(problem, format!("write {{ before {named} and }} after its value"));
        }
        if name.starts_with(self.head().trim()) {
            let problem = "the braces { above are not closed";
            return finding(problem, "write } after the last field inside them");
        }
        let problem = format!("a comma is missing before `{named}`");
        finding(problem, "write one after each field inside the braces")
    }
}
