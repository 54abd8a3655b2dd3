//! Page labels: the numbers printed on the pages, told to the reader program
//! (ISO 32000-1, 12.4.2).

use lopdf::{Dictionary, Object, text_string};

/// What a label counts with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Style {
    Decimal,
    SmallRoman,
    LargeRoman,
}

/// A label taken apart: words, then perhaps a number.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Label<'a> {
    prefix: &'a str,
    number: Option<(Style, u32)>,
}

impl<'a> Label<'a> {
    fn parse(label: &'a str) -> Self {
        let digits = label.bytes().rev().take_while(u8::is_ascii_digit).count();
        let (prefix, number) = label.split_at(label.len() - digits);
        if !number.starts_with('0')
            && let Ok(number) = number.parse()
        {
            return Self { prefix, number: Some((Style::Decimal, number)) };
        }
        for style in [Style::SmallRoman, Style::LargeRoman] {
            if let Some(number) = from_roman(label, style) {
                return Self { prefix: "", number: Some((style, number)) };
            }
        }
        Self { prefix: label, number: None }
    }

    /// Whether this label is the one that a reader program would count to after `before`.
    fn follows(&self, before: &Self) -> bool {
        self.prefix == before.prefix
            && match (self.number, before.number) {
                (Some((style, number)), Some((old, before))) => {
                    style == old && Some(number) == before.checked_add(1)
                }
                // A run without numbers repeats its prefix.
                (None, None) => true,
                _ => false,
            }
    }

    fn dictionary(&self) -> Dictionary {
        let mut entry = Dictionary::new();
        if let Some((style, number)) = self.number {
            let name = match style {
                Style::Decimal => "D",
                Style::SmallRoman => "r",
                Style::LargeRoman => "R",
            };
            entry.set("S", name);
            if number != 1 {
                entry.set("St", i64::from(number));
            }
        }
        if !self.prefix.is_empty() {
            entry.set("P", text_string(self.prefix));
        }
        entry
    }
}

/// The number tree of the labels of all pages.
pub(crate) fn page_labels<'a>(labels: impl Iterator<Item = &'a str>) -> Dictionary {
    let mut tree = vec![];
    let mut before: Option<Label<'_>> = None;
    for (index, label) in (0_i64..).zip(labels.map(Label::parse)) {
        if !before.is_some_and(|before| label.follows(&before)) {
            tree.push(Object::Integer(index));
            tree.push(label.dictionary().into());
        }
        before = Some(label);
    }
    Dictionary::from_iter([("Nums", Object::Array(tree))])
}

const ROMAN: [(u32, &str); 13] = [
    (1000, "M"),
    (900, "CM"),
    (500, "D"),
    (400, "CD"),
    (100, "C"),
    (90, "XC"),
    (50, "L"),
    (40, "XL"),
    (10, "X"),
    (9, "IX"),
    (5, "V"),
    (4, "IV"),
    (1, "I"),
];

fn to_roman(mut number: u32) -> String {
    let mut numeral = String::new();
    for (value, letters) in ROMAN {
        while number >= value {
            numeral += letters;
            number -= value;
        }
    }
    numeral
}

/// The number of a numeral spelled as a reader program would; `None` for any other text.
fn from_roman(label: &str, style: Style) -> Option<u32> {
    let same_case = match style {
        Style::SmallRoman => label.bytes().all(|letter| letter.is_ascii_lowercase()),
        _ => label.bytes().all(|letter| letter.is_ascii_uppercase()),
    };
    let numeral = label.to_ascii_uppercase();
    let mut rest = numeral.as_str();
    let mut number: u32 = 0;
    for (value, letters) in ROMAN {
        while let Some(shorter) = rest.strip_prefix(letters) {
            number = number.checked_add(value).filter(|&sum| sum < 4000)?;
            rest = shorter;
        }
    }
    (same_case && number > 0 && to_roman(number) == numeral).then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn starts(labels: &[&str]) -> Vec<i64> {
        let tree = page_labels(labels.iter().copied());
        let tree = tree.get(b"Nums").and_then(Object::as_array).expect("a number tree");
        tree.iter().step_by(2).map(|start| start.as_i64().expect("an index")).collect()
    }

    #[test]
    fn one_entry_starts_each_run_of_labels() {
        assert_eq!(starts(&["i", "ii", "iii", "iv", "1", "2", "3"]), [0, 4]);
        assert_eq!(starts(&["Cover", "1", "2", "5", "A-1", "A-2"]), [0, 1, 3, 4]);
        assert_eq!(starts(&["7"]), [0]);
    }

    #[test]
    fn labels_are_taken_apart() {
        let decimal = |prefix, number| Label { prefix, number: Some((Style::Decimal, number)) };
        assert_eq!(Label::parse("12"), decimal("", 12));
        assert_eq!(Label::parse("A-1"), decimal("A-", 1));
        assert_eq!(Label::parse("xiv").number, Some((Style::SmallRoman, 14)));
        assert_eq!(Label::parse("XL").number, Some((Style::LargeRoman, 40)));
        for plain in ["Cover", "iiii", "Iv", "007", "", "99999999999"] {
            assert_eq!(Label::parse(plain), Label { prefix: plain, number: None }, "{plain}");
        }
    }

    #[test]
    fn roman_numerals_return() {
        for number in 1..4000 {
            assert_eq!(from_roman(&to_roman(number), Style::LargeRoman), Some(number));
        }
    }
}
