//! What a place of a text in TOML lies inside of.
//!
//! A look at brackets and quotation marks alone, which goes on where a parser stops, so that what a
//! line means can be told from the text and from where the parser stumbled.

/// What a place lies inside of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Inside {
    /// Neither brackets nor quotation marks.
    Nothing,
    /// A list, whose bracket is open.
    List,
    /// Fields in braces.
    Braces,
    /// Quotation marks.
    Words(Quote),
}

/// Quotation marks that are open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Quote {
    /// The straight mark or the apostrophe.
    sign: u8,
    /// Whether there are three of them, so that the text may run over lines.
    pub(super) is_long: bool,
}

impl Quote {
    /// Whether a backslash stands for something else between them.
    pub(super) fn has_escapes(self) -> bool {
        self.sign == b'"'
    }
}

/// A walk through a text, from place to place. It begins anew only where a place lies before the
/// last one.
#[derive(Clone, Debug)]
pub(crate) struct Nesting<'a> {
    text: &'a [u8],
    at: usize,
    brackets: Vec<u8>,
    /// Whether an equals sign stands before this place, so that brackets make no heading.
    is_value: bool,
    is_remark: bool,
    quote: Option<Quote>,
}

impl<'a> Nesting<'a> {
    /// At the start of a text.
    pub(crate) fn of(text: &'a str) -> Self {
        Self::start(text.as_bytes())
    }

    fn start(text: &'a [u8]) -> Self {
        let brackets = Vec::new();
        Self { text, at: 0, brackets, is_value: false, is_remark: false, quote: None }
    }

    /// Goes to a place and says what it lies inside of.
    pub(super) fn to(&mut self, place: usize) -> Inside {
        if place < self.at {
            *self = Self::start(self.text);
        }
        let place = place.min(self.text.len());
        while self.at < place {
            match self.quote {
                Some(quote) => self.step_in_words(quote, place),
                None => self.step(place),
            }
        }
        match (self.quote, self.brackets.last()) {
            (Some(quote), _) => Inside::Words(quote),
            (None, Some(b'[')) => Inside::List,
            (None, Some(_)) => Inside::Braces,
            (None, None) => Inside::Nothing,
        }
    }

    /// A step outside quotation marks.
    fn step(&mut self, place: usize) {
        if self.is_remark {
            let rest = &self.text[self.at..place];
            let end = memchr::memchr(b'\n', rest);
            self.is_remark = end.is_none();
            self.at += end.unwrap_or(rest.len());
            return;
        }
        let sign = self.text[self.at];
        match sign {
            b'\n' => self.is_value &= !self.brackets.is_empty(),
            b'#' => self.is_remark = true,
            b'"' | b'\'' => {
                let is_long = self.signs(sign) >= 3;
                self.quote = Some(Quote { sign, is_long });
                self.at += if is_long { 3 } else { 1 };
                return;
            }
            b'=' => self.is_value = true,
            b'[' | b'{' if self.is_value => self.brackets.push(sign),
            // The closing ones stand two behind the opening ones in ASCII.
            b']' | b'}' if self.brackets.last() == Some(&(sign - 2)) => {
                self.brackets.pop();
            }
            _ => {}
        }
        self.at += 1;
    }

    /// A step, or many, inside quotation marks.
    fn step_in_words(&mut self, quote: Quote, place: usize) {
        let rest = &self.text[self.at..place];
        let Some(next) = memchr::memchr3(quote.sign, b'\\', b'\n', rest) else {
            self.at = place;
            return;
        };
        self.at += next;
        match self.text[self.at] {
            b'\n' if !quote.is_long => self.quote = None,
            b'\\' if quote.has_escapes() && self.text.get(self.at + 1) != Some(&b'\n') => {
                self.at += 2;
            }
            sign if sign == quote.sign => {
                // Two more may stand before the three that close.
                let signs = self.signs(sign).min(5);
                let closes = !quote.is_long || signs >= 3;
                self.at += if quote.is_long { signs } else { 1 };
                if closes {
                    self.quote = None;
                }
            }
            _ => self.at += 1,
        }
    }

    /// How many times a sign stands here.
    fn signs(&self, sign: u8) -> usize {
        self.text[self.at..].iter().take_while(|other| **other == sign).count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the place of the first `^`, taken out, lies inside of.
    fn inside(marked: &str) -> Inside {
        let place = marked.find('^').expect("a marked place");
        Nesting::of(&marked.replacen('^', "", 1)).to(place)
    }

    #[test]
    fn a_place_lies_inside_what_is_open() {
        let words = |sign, is_long| Inside::Words(Quote { sign, is_long });
        for (marked, expected) in [
            ("a = 1\n^", Inside::Nothing),
            ("a = [1, ^2]", Inside::List),
            ("a = [1, [2], ^", Inside::List),
            ("a = [1, [2]]^", Inside::Nothing),
            ("a = [\n  1,\n^", Inside::List),
            ("a = [{ b = ^1 }]", Inside::Braces),
            ("a = [{ b = 1 }^]", Inside::List),
            ("[heading^]", Inside::Nothing),
            ("a = \"[\"^", Inside::Nothing),
            ("a = \"[^\"", words(b'"', false)),
            ("a = \"x\\\"^\"", words(b'"', false)),
            ("a = 'x\\'^", Inside::Nothing),
            ("a = \"open\n^", Inside::Nothing),
            ("a = '''\n[ ' '' ^", words(b'\'', true)),
            ("a = '''\n[ '''^", Inside::Nothing),
            ("a = \"\"\"x\"\"\"\"\"^", Inside::Nothing),
            ("# it's [\nb = ^", Inside::Nothing),
            ("a = [ # it's\n^", Inside::List),
        ] {
            assert_eq!(inside(marked), expected, "{marked}");
        }
    }

    #[test]
    fn a_walk_to_and_fro_finds_what_walks_from_the_start_find() {
        let text = "a = [1, \"x\\\"]\", '''\n]''', { b = 2 }] # [\nc = \"\\\\\"\n[d]\n";
        let mut nesting = Nesting::of(text);
        for turn in 0..text.len() {
            let place = turn * 7 % text.len();
            assert_eq!(nesting.to(place), Nesting::of(text).to(place), "{place}");
        }
    }
}
