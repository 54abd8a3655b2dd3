//! A small reader of PDF syntax (ISO 32000-1, 7.2 and 7.3) for files that nobody vouches for.
//!
//! It never trusts a table of contents or a length: it walks the file from front to back, so a
//! damaged file gives what is whole in it. Every byte that is looked at is paid for.

use std::borrow::Cow;
use std::ops::Range;

use memchr::memmem;

use super::ReadBackError;
use super::budget::{Budget, LOOKED_AT, PARSED, SEARCHED};

/// How deep arrays and dictionaries may nest.
const DEEPEST: usize = 24;

/// The longest value that is looked at, in bytes; what we look for is far shorter.
const LONGEST: usize = 1 << 16;

/// A value, as far as anybody here asks.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum ScanValue<'a> {
    Dictionary(Vec<(Cow<'a, [u8]>, Self)>),
    Array(Vec<Self>),
    Name(Cow<'a, [u8]>),
    Text(Vec<u8>),
    Integer(i64),
    Reference(u32),
    Other,
}

impl ScanValue<'_> {
    /// The entry of a dictionary; `None` if there is none or this is no dictionary.
    pub(crate) fn get(&self, wanted: &[u8]) -> Option<&Self> {
        let Self::Dictionary(entries) = self else { return None };
        entries.iter().find(|(name, _)| **name == *wanted).map(|(_, value)| value)
    }

    pub(crate) fn is_name(&self, wanted: &[u8]) -> bool {
        matches!(self, Self::Name(name) if **name == *wanted)
    }
}

/// Something met on the walk through a file.
#[derive(Debug)]
pub(crate) enum Landmark<'a> {
    /// An object with its number and, for a stream, its packed bytes.
    Object(u32, ScanValue<'a>, Option<&'a [u8]>),
    /// The dictionary at the end of the file.
    Trailer(ScanValue<'a>),
}

/// The walk through a file.
pub(crate) struct FileWalk<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> FileWalk<'a> {
    pub(super) fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0 }
    }

    /// What is met next; `None` at the end of the file. Errors if the budget is spent.
    pub(super) fn next(
        &mut self,
        budget: &mut Budget,
    ) -> Result<Option<Landmark<'a>>, ReadBackError> {
        loop {
            let Some(keyword) = self.keyword(budget)? else { return Ok(None) };
            self.at = keyword + 3;
            let tail = &self.bytes[keyword..];
            if tail.starts_with(b"trailer") {
                if let (Some(value), end) = value_at(self.bytes, keyword + 7, budget)? {
                    self.at = end;
                    return Ok(Some(Landmark::Trailer(value)));
                }
            } else if tail.starts_with(b"obj")
                && let Some(number) = number_before(&self.bytes[..keyword])
                && let (Some(value), end) = value_at(self.bytes, keyword + 3, budget)?
            {
                let stream = self.stream(&value, end, budget)?;
                self.at = stream.as_ref().map_or(end, |stream| stream.end);
                let stream = stream.and_then(|stream| self.bytes.get(stream));
                return Ok(Some(Landmark::Object(number, value, stream)));
            }
        }
    }

    /// Where the next word stands that may be "obj" or "trailer".
    fn keyword(&self, budget: &mut Budget) -> Result<Option<usize>, ReadBackError> {
        let rest = self.bytes.get(self.at..).unwrap_or_default();
        let place = rest.windows(3).position(|word| word == b"obj" || word == b"tra");
        budget.pay(place.unwrap_or(rest.len()), SEARCHED)?;
        budget.pay(1, LOOKED_AT)?;
        Ok(place.map(|place| self.at + place))
    }

    /// Where the packed bytes stand of the stream whose dictionary ends at `at`; `None` if it is
    /// no stream.
    fn stream(
        &self,
        dictionary: &ScanValue<'_>,
        at: usize,
        budget: &mut Budget,
    ) -> Result<Option<Range<usize>>, ReadBackError> {
        let rest = self.bytes.get(at..).unwrap_or_default();
        let space = rest.iter().take_while(|byte| byte.is_ascii_whitespace()).count();
        budget.pay(space, SEARCHED)?;
        let Some(rest) = rest[space..].strip_prefix(b"stream") else { return Ok(None) };
        let rest = rest.strip_prefix(b"\r").unwrap_or(rest);
        let rest = rest.strip_prefix(b"\n").unwrap_or(rest);
        let start = self.bytes.len() - rest.len();
        if let Some(&ScanValue::Integer(length)) = dictionary.get(b"Length")
            && let Ok(length) = usize::try_from(length)
            && let Some(after) = rest.get(length..)
        {
            let space = after.iter().take(2).take_while(|byte| byte.is_ascii_whitespace()).count();
            if after[space..].starts_with(b"endstream") {
                return Ok(Some(start..start + length));
            }
        }
        let length = memmem::find(rest, b"endstream").unwrap_or(rest.len());
        budget.pay(length, SEARCHED)?;
        Ok(Some(start..start + length))
    }
}

/// The object number in "12 0 " at the end of `before`.
fn number_before(before: &[u8]) -> Option<u32> {
    let tail = &before[before.len().saturating_sub(24)..];
    let tail = std::str::from_utf8(tail.get(first_ascii(tail)..)?).ok()?;
    if !tail.ends_with(|c: char| c.is_ascii_whitespace()) {
        return None;
    }
    let mut words = tail.split_ascii_whitespace().rev();
    let generation = words.next()?;
    generation.parse::<u16>().ok()?;
    let number = words.next()?;
    let digits = number.bytes().rev().take_while(u8::is_ascii_digit).count();
    number[number.len() - digits..].parse().ok()
}

/// Where the run of ASCII at the end of `bytes` starts.
fn first_ascii(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|byte| !byte.is_ascii()).map_or(0, |last| last + 1)
}

/// The value that starts at `at`, if it is whole, and the place up to which was read. Errors if
/// the budget is spent.
pub(super) fn value_at<'a>(
    bytes: &'a [u8],
    at: usize,
    budget: &mut Budget,
) -> Result<(Option<ScanValue<'a>>, usize), ReadBackError> {
    let mut parser = Parser::new(bytes, at..at.saturating_add(LONGEST));
    let value = parser.value(DEEPEST);
    budget.pay(1, LOOKED_AT)?;
    budget.pay(parser.work, PARSED)?;
    Ok((value, parser.at))
}

struct Parser<'a> {
    /// The file up to the end of the stretch that may be read.
    bytes: &'a [u8],
    at: usize,
    /// How many bytes were looked at, counting those that were looked at again.
    work: usize,
}

impl<'a> Parser<'a> {
    fn new(bytes: &'a [u8], stretch: Range<usize>) -> Self {
        let end = stretch.end.min(bytes.len());
        Self { bytes: &bytes[..end], at: stretch.start.min(end), work: 0 }
    }

    fn rest(&self) -> &'a [u8] {
        &self.bytes[self.at..]
    }

    fn step(&mut self, bytes: usize) {
        self.at += bytes;
        self.work += bytes;
    }

    fn eat(&mut self, token: &[u8]) -> bool {
        let found = self.rest().starts_with(token);
        if found {
            self.step(token.len());
        }
        found
    }

    fn skip_space(&mut self) {
        while let Some(&byte) = self.rest().first() {
            match byte {
                b'%' => {
                    let line = self.rest().iter().position(|byte| b"\r\n".contains(byte));
                    self.step(line.unwrap_or(self.rest().len()));
                }
                b'\0' | b'\t' | b'\n' | b'\x0C' | b'\r' | b' ' => self.step(1),
                _ => break,
            }
        }
    }

    fn value(&mut self, depth: usize) -> Option<ScanValue<'a>> {
        let depth = depth.checked_sub(1)?;
        self.skip_space();
        if self.eat(b"<<") {
            return self.dictionary(depth);
        }
        match self.rest().first()? {
            b'[' => {
                self.step(1);
                self.array(depth)
            }
            b'/' => self.name().map(ScanValue::Name),
            b'(' => self.literal().map(ScanValue::Text),
            b'<' => self.hexadecimal().map(ScanValue::Text),
            b'>' | b']' | b')' | b'{' | b'}' => None,
            _ => self.word(),
        }
    }

    fn dictionary(&mut self, depth: usize) -> Option<ScanValue<'a>> {
        let mut entries = vec![];
        loop {
            self.skip_space();
            if self.eat(b">>") {
                return Some(ScanValue::Dictionary(entries));
            }
            let name = self.name()?;
            entries.push((name, self.value(depth)?));
        }
    }

    fn array(&mut self, depth: usize) -> Option<ScanValue<'a>> {
        let mut values = vec![];
        loop {
            self.skip_space();
            if self.eat(b"]") {
                return Some(ScanValue::Array(values));
            }
            values.push(self.value(depth)?);
        }
    }

    /// The bytes up to the next space or delimiter.
    fn regular(&mut self) -> &'a [u8] {
        let rest = self.rest();
        let end = rest.iter().position(|byte| b"\0\t\n\x0C\r ()<>[]{}/%".contains(byte));
        let word = &rest[..end.unwrap_or(rest.len())];
        self.step(word.len());
        word
    }

    fn name(&mut self) -> Option<Cow<'a, [u8]>> {
        if !self.eat(b"/") {
            return None;
        }
        let word = self.regular();
        if !word.contains(&b'#') {
            return Some(Cow::Borrowed(word));
        }
        let mut name = vec![];
        let mut rest = word;
        while let Some((&byte, after)) = rest.split_first() {
            let escaped =
                (byte == b'#').then(|| Some((hex(*after.first()?)?, hex(*after.get(1)?)?)));
            if let Some(Some((high, low))) = escaped {
                name.push(high << 4 | low);
                rest = &after[2..];
            } else {
                name.push(byte);
                rest = after;
            }
        }
        Some(Cow::Owned(name))
    }

    /// A number, a reference, or a word such as `true`.
    fn word(&mut self) -> Option<ScanValue<'a>> {
        let word = self.regular();
        if word.is_empty() {
            return None;
        }
        let Some(number) = integer(word) else { return Some(ScanValue::Other) };
        let after = self.at;
        self.skip_space();
        let generation = integer(self.regular());
        self.skip_space();
        if generation.is_some()
            && self.regular() == b"R"
            && let Ok(number) = u32::try_from(number)
        {
            return Some(ScanValue::Reference(number));
        }
        self.at = after;
        Some(ScanValue::Integer(number))
    }

    fn literal(&mut self) -> Option<Vec<u8>> {
        let mut text = vec![];
        let mut depth = 0_usize;
        loop {
            let byte = *self.rest().first()?;
            self.step(1);
            match byte {
                b'(' => {
                    if depth > 0 {
                        text.push(byte);
                    }
                    depth += 1;
                }
                b')' => {
                    depth = depth.checked_sub(1)?;
                    if depth == 0 {
                        return Some(text);
                    }
                    text.push(byte);
                }
                b'\\' => self.escape(&mut text)?,
                _ => text.push(byte),
            }
        }
    }

    fn escape(&mut self, text: &mut Vec<u8>) -> Option<()> {
        let byte = *self.rest().first()?;
        self.step(1);
        match byte {
            b'n' => text.push(b'\n'),
            b'r' => text.push(b'\r'),
            b't' => text.push(b'\t'),
            b'b' => text.push(8),
            b'f' => text.push(12),
            b'\n' => {}
            b'\r' => {
                self.eat(b"\n");
            }
            b'0'..=b'7' => {
                let mut code = u16::from(byte - b'0');
                for _ in 0..2 {
                    let Some(&digit @ b'0'..=b'7') = self.rest().first() else { break };
                    code = code * 8 + u16::from(digit - b'0');
                    self.step(1);
                }
                text.push(code.to_le_bytes()[0]);
            }
            _ => text.push(byte),
        }
        Some(())
    }

    fn hexadecimal(&mut self) -> Option<Vec<u8>> {
        self.step(1);
        let rest = self.rest();
        let end = rest.iter().position(|&byte| byte == b'>');
        self.step(end.map_or(rest.len(), |end| end + 1));
        let digits: Vec<u8> = rest[..end?].iter().filter_map(|&byte| hex(byte)).collect();
        let pair = |pair: &[u8]| pair[0] << 4 | pair.get(1).copied().unwrap_or(0);
        Some(digits.chunks(2).map(pair).collect())
    }
}

fn integer(word: &[u8]) -> Option<i64> {
    std::str::from_utf8(word).ok()?.parse().ok()
}

fn hex(byte: u8) -> Option<u8> {
    char::from(byte).to_digit(16).and_then(|digit| u8::try_from(digit).ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whole_value(bytes: &[u8]) -> Option<ScanValue<'_>> {
        value_at(bytes, 0, &mut Budget::of_a_file()).expect("cheap").0
    }

    /// The numbers of the objects in a file, `None` for a trailer.
    fn numbers(file: &[u8], budget: &mut Budget) -> Result<Vec<Option<u32>>, ReadBackError> {
        let mut walk = FileWalk::new(file);
        let mut numbers = vec![];
        while let Some(found) = walk.next(budget)? {
            numbers.push(match found {
                Landmark::Object(number, ..) => Some(number),
                Landmark::Trailer(_) => None,
            });
        }
        Ok(numbers)
    }

    #[test]
    fn values_are_read() {
        let value = whole_value(b"  << /A#42 [1 (a(b)\\051\\n) <4 1 6>] % c\n /R 12 0 R /T true>>");
        let value = value.expect("a whole value");
        let Some(ScanValue::Array(list)) = value.get(b"AB") else { panic!("{value:?}") };
        let texts = [ScanValue::Text(b"a(b))\n".to_vec()), ScanValue::Text(b"A\x60".to_vec())];
        assert_eq!(list[0], ScanValue::Integer(1));
        assert_eq!(list[1..], texts);
        assert_eq!(value.get(b"R"), Some(&ScanValue::Reference(12)));
        assert_eq!(value.get(b"T"), Some(&ScanValue::Other));
    }

    #[test]
    fn broken_values_are_refused() {
        let deep = [b'['; 1000];
        for broken in [&b"<< /A"[..], b"[1 2", b"(abc", b"<41", b"<</A>>", b"]", b"", &deep] {
            assert_eq!(whole_value(broken), None, "{}", String::from_utf8_lossy(broken));
        }
    }

    #[test]
    fn the_walk_steps_over_what_streams_contain() {
        let file = b"%PDF-1.7\n1 0 obj\n<</Length 7>>stream\n9 0 obj\nendstream\nendobj\n\
            2 0 obj [3] endobj 3 0 obj <</Length 99>> stream\n8 0 obj\nendstream endobj\n\
            trailer <</Size 4>>";
        let found = numbers(file, &mut Budget::of_a_file());
        assert_eq!(found, Ok(vec![Some(1), Some(2), Some(3), None]));
    }

    #[test]
    fn values_that_run_on_are_paid_for_as_often_as_they_are_read() {
        // A comment, a text and a text in figures that run to the end of the file.
        for start in ["1 0 obj%", "1 0 obj(", "1 0 obj<"] {
            let file = start.repeat(500_000);
            let found = numbers(file.as_bytes(), &mut Budget::of_a_file());
            assert_eq!(found, Err(ReadBackError::TooInvolved), "{start}");
            let mut budget = Budget::of_a_file();
            let file = start.repeat(1000);
            assert_eq!(numbers(file.as_bytes(), &mut budget), Ok(vec![]), "{start}");
            // Every start but the last reads all that follows it.
            let read = (0..1000).map(|left| left * start.len() as u64).sum::<u64>();
            assert!(budget.paid() > read, "{start}: {} for {read} bytes", budget.paid());
        }
    }
}
