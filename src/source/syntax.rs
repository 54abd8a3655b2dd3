//! What is wrong with a line that TOML cannot read, in a teacher's words.
//!
//! A parser says where it stumbled and what it expected next; the text itself shows better what was
//! meant, so that is all that is looked at, and what the parser says is not.

mod names;
mod nesting;
mod signs;
mod stumble;
mod values;

use std::ops::Range;

use crate::source::plain::shortened;
use crate::source::{Complaint, Place};

use nesting::Inside;
pub(crate) use nesting::Nesting;
use stumble::{Finding, Stumble, finding, floor};

/// A stumble of the parser in our words, and whether nothing below it was read as it was meant.
/// `span` is where it stumbled; `nesting` runs through the same text.
pub(crate) fn explain(
    name: &str,
    text: &str,
    span: Option<Range<usize>>,
    nesting: &mut Nesting<'_>,
) -> (Complaint, bool) {
    let complaint = |at: usize, (problem, mend): Finding| {
        Complaint::new(problem).at(Place::at(name, text, &(at..at))).mend(mend)
    };
    // Only what is nested without end has no place.
    let Some(span) = span else {
        let problem = "lists stand in lists, or names in names, too deep to be read";
        return (complaint(0, finding(problem, "write it in fewer brackets and dots")), true);
    };
    let line = Stumble::around(text, &span, nesting);
    if line.is_after_open_list() || line.is_in_open_list() {
        let end = if line.is_in_open_list() { line.start } else { line.at };
        let last = floor(text, text[..end].trim_end().len().saturating_sub(1));
        let unclosed = finding("the list is not closed", "write ] after its last item");
        return (complaint(last, unclosed), true);
    }
    let found = line.unclosed().or_else(|| line.repeated()).or_else(|| line.wrong());
    (complaint(line.at, found.unwrap_or_else(|| line.misplaced())), line.is_open_heading())
}

impl Stumble<'_> {
    /// Something else that the text ends in.
    fn unclosed(&self) -> Option<Finding> {
        match self.here {
            Inside::Words(quote) if quote.is_long && self.is_end() => Some(finding(
                "a text of several lines is not closed",
                "write its three quotation marks again after its last line",
            )),
            Inside::Braces if self.is_end() => Some(finding(
                "the braces { are not closed",
                "write } after the last field inside them",
            )),
            _ => None,
        }
    }

    fn wrong(&self) -> Option<Finding> {
        let within = || self.sign().or_else(|| self.escape());
        if matches!(self.before, Inside::Words(_)) {
            return within();
        }
        let is_field = self.before == Inside::Nothing && !self.has_braces();
        let field = || self.naming().or_else(|| self.value_without_quotes());
        self.foreign()
            .or_else(|| self.odd_space())
            .or_else(within)
            .or_else(|| self.quotation())
            .or_else(|| if is_field { self.follows() } else { None })
            .or_else(|| self.brackets())
            .or_else(|| self.word_of_list())
            .or_else(|| if is_field { field() } else { None })
    }

    /// What cannot stand where the parser stumbled, and no more is known.
    fn misplaced(&self) -> Finding {
        let mend = "write each field on a line of its own, as in name = \"value\"";
        let rest = self.rest().lines().next().unwrap_or_default().trim();
        let found = if self.word.is_empty() { rest } else { self.word };
        match found.is_empty() {
            true => {
                finding(format!("something is missing after `{}`", shortened(self.whole)), mend)
            }
            false => finding(format!("`{}` cannot stand here", shortened(found)), mend),
        }
    }
}

#[cfg(test)]
mod tests;
