//! The numbers of pages.

use std::fmt;

/// What a page is counted with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Numerals {
    /// 1, 2, 3: the pages of drills.
    Arabic,
    /// i, ii, iii: what stands before them.
    SmallRoman,
}

/// The number of a page as it is printed; a reader program shows the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PageNumber {
    /// What it is written with.
    pub numerals: Numerals,
    /// The number, from 1.
    pub number: usize,
}

impl PageNumber {
    /// A number in Arabic figures.
    pub const fn arabic(number: usize) -> Self {
        Self { numerals: Numerals::Arabic, number }
    }

    /// A number in small Roman figures.
    pub const fn roman(number: usize) -> Self {
        Self { numerals: Numerals::SmallRoman, number }
    }

    /// The number that a reader program would count to next.
    #[must_use]
    pub const fn next(self) -> Self {
        Self { number: self.number + 1, ..self }
    }
}

impl fmt::Display for PageNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.numerals {
            Numerals::Arabic => write!(f, "{}", self.number),
            Numerals::SmallRoman => f.write_str(&roman(self.number)),
        }
    }
}

/// What a side of paper is called: by its page, or by both where two stand side by side.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Label(Vec<PageNumber>);

impl Label {
    /// The label of two pages side by side, of which one may be blank.
    pub fn joined(pages: impl IntoIterator<Item = Self>) -> Self {
        Self(pages.into_iter().flat_map(|label| label.0).collect())
    }

    /// The numbers of its pages, from left to right.
    pub fn numbers(&self) -> &[PageNumber] {
        &self.0
    }
}

impl From<PageNumber> for Label {
    fn from(number: PageNumber) -> Self {
        Self(vec![number])
    }
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, number) in self.0.iter().enumerate() {
            let gap = if index > 0 { " " } else { "" };
            write!(f, "{gap}{number}")?;
        }
        Ok(())
    }
}

/// A number in small roman figures.
fn roman(mut number: usize) -> String {
    const FIGURES: [(usize, &str); 13] = [
        (1000, "m"),
        (900, "cm"),
        (500, "d"),
        (400, "cd"),
        (100, "c"),
        (90, "xc"),
        (50, "l"),
        (40, "xl"),
        (10, "x"),
        (9, "ix"),
        (5, "v"),
        (4, "iv"),
        (1, "i"),
    ];
    let mut numeral = String::new();
    for (value, figure) in FIGURES {
        while number >= value {
            numeral.push_str(figure);
            number -= value;
        }
    }
    numeral
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roman_figures_are_those_of_the_trade() {
        let found: Vec<String> = [1, 4, 6, 9, 14, 39, 48, 90, 1999].map(roman).to_vec();
        assert_eq!(found, ["i", "iv", "vi", "ix", "xiv", "xxxix", "xlviii", "xc", "mcmxcix"]);
    }

    #[test]
    fn two_pages_on_a_side_are_both_named() {
        let pages = [PageNumber::roman(4), PageNumber::arabic(13)];
        assert_eq!(Label::joined(pages.map(Label::from)).to_string(), "iv 13");
        assert_eq!(Label::from(PageNumber::arabic(7)).to_string(), "7");
        assert_eq!(Label::default().to_string(), "");
    }
}
