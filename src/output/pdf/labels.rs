//! Page labels: the numbers printed on the pages, told to the reader program
//! (ISO 32000-1, 12.4.2).

use lopdf::{Dictionary, Object, text_string};

use crate::canvas::{Label, Numerals, PageNumber};

/// A label as a reader program makes it: words, then a number that it counts on from.
#[derive(Clone, Debug, PartialEq, Eq)]
struct CountedLabel {
    prefix: String,
    number: Option<PageNumber>,
}

impl CountedLabel {
    /// Of pages side by side, the last one's number counts.
    fn of(label: &Label) -> Self {
        let Some((last, before)) = label.numbers().split_last() else {
            return Self { prefix: String::new(), number: None };
        };
        let prefix = before.iter().map(|number| format!("{number} ")).collect();
        Self { prefix, number: Some(*last) }
    }

    /// Whether this label is the one that a reader program would count to after `before`.
    fn follows(&self, before: &Self) -> bool {
        self.prefix == before.prefix && self.number == before.number.map(PageNumber::next)
    }

    fn dictionary(&self) -> Dictionary {
        let mut entry = Dictionary::new();
        if let Some(PageNumber { numerals, number }) = self.number {
            let name = match numerals {
                Numerals::Arabic => "D",
                Numerals::SmallRoman => "r",
            };
            entry.set("S", name);
            if number != 1 {
                entry.set("St", i64::try_from(number).unwrap_or(i64::MAX));
            }
        }
        if !self.prefix.is_empty() {
            entry.set("P", text_string(&self.prefix));
        }
        entry
    }
}

/// The number tree of the labels of all pages.
pub(crate) fn page_labels<'a>(labels: impl Iterator<Item = &'a Label>) -> Dictionary {
    Dictionary::from_iter([("Nums", Object::Array(label_entries(0, "", labels)))])
}

/// Its entries for pages from the one at an index on, each label with words before it.
pub(crate) fn label_entries<'a>(
    start: usize,
    words: &str,
    labels: impl Iterator<Item = &'a Label>,
) -> Vec<Object> {
    let mut tree = vec![];
    let mut before: Option<CountedLabel> = None;
    let start = i64::try_from(start).unwrap_or(i64::MAX);
    let labels = labels
        .map(CountedLabel::of)
        .map(|label| CountedLabel { prefix: format!("{words}{}", label.prefix), ..label });
    for (index, run) in (start..).zip(labels) {
        if !before.is_some_and(|before| run.follows(&before)) {
            tree.push(Object::Integer(index));
            tree.push(run.dictionary().into());
        }
        before = Some(run);
    }
    tree
}

#[cfg(test)]
mod tests {
    use super::*;

    fn starts(labels: &[Label]) -> Vec<i64> {
        let tree = page_labels(labels.iter());
        let tree = tree.get(b"Nums").and_then(Object::as_array).expect("a number tree");
        tree.iter().step_by(2).map(|start| start.as_i64().expect("an index")).collect()
    }

    #[test]
    fn one_entry_starts_each_run_of_labels() {
        let roman = (1..=4).map(PageNumber::roman);
        let arabic = (1..=3).map(PageNumber::arabic);
        let labels: Vec<Label> = roman.chain(arabic).map(Label::from).collect();
        assert_eq!(starts(&labels), [0, 4]);
        let jump = [1, 2, 5].map(|number| Label::from(PageNumber::arabic(number)));
        assert_eq!(starts(&jump), [0, 2]);
    }

    #[test]
    fn sides_of_two_pages_are_labelled_by_both() {
        let pair = |left, right| {
            Label::joined([PageNumber::arabic(left), PageNumber::arabic(right)].map(Label::from))
        };
        let sides = [pair(12, 1), pair(2, 11), pair(10, 3)];
        assert_eq!(starts(&sides), [0, 1, 2]);
        let told = CountedLabel::of(&sides[0]).dictionary();
        assert_eq!(told.get(b"P").unwrap(), &text_string("12 "));
        assert_eq!(told.get(b"S").unwrap().as_name().unwrap(), b"D");
    }
}
