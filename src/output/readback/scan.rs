//! A small reader of PDF syntax (ISO 32000-1, 7.2 and 7.3) for files that nobody vouches for.
//!
//! It never trusts a table of contents or a length: it walks the file from front to back, so a
//! damaged file gives what is whole in it. Time and memory stay in proportion to the file.

use std::borrow::Cow;
use std::ops::Range;

/// How deep arrays and dictionaries may nest.
const DEEPEST: usize = 24;

/// The longest value that is looked at, in bytes; what we look for is far shorter.
const LONGEST: usize = 1 << 16;

/// A value, as far as anybody here asks.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Value<'a> {
    Dictionary(Vec<(Cow<'a, [u8]>, Self)>),
    Array(Vec<Self>),
    Name(Cow<'a, [u8]>),
    Text(Vec<u8>),
    Integer(i64),
    Reference(u32),
    Other,
}

impl Value<'_> {
    /// The entry of a dictionary; `None` if there is none or this is no dictionary.
    pub(crate) fn get(&self, key: &[u8]) -> Option<&Self> {
        let Self::Dictionary(entries) = self else { return None };
        entries.iter().find(|(name, _)| **name == *key).map(|(_, value)| value)
    }

    pub(crate) fn is_name(&self, wanted: &[u8]) -> bool {
        matches!(self, Self::Name(name) if **name == *wanted)
    }
}

/// Something met on the walk through a file.
#[derive(Debug)]
pub(crate) enum Found<'a> {
    /// An object with its number and, for a stream, its packed bytes.
    Object(u32, Value<'a>, Option<&'a [u8]>),
    /// The dictionary at the end of the file.
    Trailer(Value<'a>),
}

/// The walk through a file.
pub(crate) struct Walk<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Bytes that may still be parsed, counting those parsed twice after a fault.
    work: usize,
}

impl<'a> Walk<'a> {
    pub(crate) fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, work: bytes.len().saturating_mul(4).saturating_add(LONGEST) }
    }

    fn parse(&mut self, at: usize) -> Option<(Value<'a>, usize)> {
        let mut parser = Parser::new(self.bytes, at..at.saturating_add(LONGEST));
        let value = parser.value(DEEPEST);
        self.work = self.work.saturating_sub(parser.at - at);
        value.map(|value| (value, parser.at))
    }

    /// The packed bytes of the stream whose dictionary ends at `at`; `None` if it is no stream.
    fn stream(&self, dictionary: &Value<'_>, at: usize) -> Option<Range<usize>> {
        let rest = self.bytes.get(at..)?;
        let space = rest.iter().take_while(|byte| byte.is_ascii_whitespace()).count();
        let rest = rest[space..].strip_prefix(b"stream")?;
        let rest = rest.strip_prefix(b"\r").unwrap_or(rest);
        let rest = rest.strip_prefix(b"\n").unwrap_or(rest);
        let start = self.bytes.len() - rest.len();
        if let Some(&Value::Integer(length)) = dictionary.get(b"Length")
            && let Ok(length) = usize::try_from(length)
            && let Some(after) = rest.get(length..)
        {
            let space = after.iter().take(2).take_while(|byte| byte.is_ascii_whitespace()).count();
            if after[space..].starts_with(b"endstream") {
                return Some(start..start + length);
            }
        }
        let length = rest.windows(9).position(|word| word == b"endstream").unwrap_or(rest.len());
        Some(start..start + length)
    }
}

impl<'a> Iterator for Walk<'a> {
    type Item = Found<'a>;

    fn next(&mut self) -> Option<Found<'a>> {
        while self.work > 0 {
            let rest = self.bytes.get(self.at..)?;
            let is_keyword = |word: &[u8]| word == b"obj" || word == b"tra";
            let keyword = self.at + rest.windows(3).position(is_keyword)?;
            self.at = keyword + 3;
            let tail = &self.bytes[keyword..];
            if tail.starts_with(b"trailer") {
                if let Some((value, end)) = self.parse(keyword + 7) {
                    self.at = end;
                    return Some(Found::Trailer(value));
                }
            } else if tail.starts_with(b"obj")
                && let Some(number) = number_before(&self.bytes[..keyword])
                && let Some((value, end)) = self.parse(keyword + 3)
            {
                let stream = self.stream(&value, end);
                self.at = stream.as_ref().map_or(end, |stream| stream.end);
                let stream = stream.and_then(|stream| self.bytes.get(stream));
                return Some(Found::Object(number, value, stream));
            }
        }
        None
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

/// The value that starts at `at`, if it is whole.
pub(crate) fn value_at(bytes: &[u8], at: usize) -> Option<Value<'_>> {
    Parser::new(bytes, at..at.saturating_add(LONGEST)).value(DEEPEST)
}

struct Parser<'a> {
    /// The file up to the end of the stretch that may be read.
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Parser<'a> {
    fn new(bytes: &'a [u8], stretch: Range<usize>) -> Self {
        let end = stretch.end.min(bytes.len());
        Self { bytes: &bytes[..end], at: stretch.start.min(end) }
    }

    fn rest(&self) -> &'a [u8] {
        &self.bytes[self.at..]
    }

    fn eat(&mut self, token: &[u8]) -> bool {
        let found = self.rest().starts_with(token);
        if found {
            self.at += token.len();
        }
        found
    }

    fn skip_space(&mut self) {
        while let Some(&byte) = self.rest().first() {
            match byte {
                b'%' => {
                    let line = self.rest().iter().position(|byte| b"\r\n".contains(byte));
                    self.at += line.unwrap_or(self.rest().len());
                }
                b'\0' | b'\t' | b'\n' | b'\x0C' | b'\r' | b' ' => self.at += 1,
                _ => break,
            }
        }
    }

    fn value(&mut self, depth: usize) -> Option<Value<'a>> {
        let depth = depth.checked_sub(1)?;
        self.skip_space();
        if self.eat(b"<<") {
            return self.dictionary(depth);
        }
        match self.rest().first()? {
            b'[' => {
                self.at += 1;
                self.array(depth)
            }
            b'/' => self.name().map(Value::Name),
            b'(' => self.literal().map(Value::Text),
            b'<' => self.hexadecimal().map(Value::Text),
            b'>' | b']' | b')' | b'{' | b'}' => None,
            _ => self.word(),
        }
    }

    fn dictionary(&mut self, depth: usize) -> Option<Value<'a>> {
        let mut entries = vec![];
        loop {
            self.skip_space();
            if self.eat(b">>") {
                return Some(Value::Dictionary(entries));
            }
            let name = self.name()?;
            entries.push((name, self.value(depth)?));
        }
    }

    fn array(&mut self, depth: usize) -> Option<Value<'a>> {
        let mut values = vec![];
        loop {
            self.skip_space();
            if self.eat(b"]") {
                return Some(Value::Array(values));
            }
            values.push(self.value(depth)?);
        }
    }

    /// The bytes up to the next space or delimiter.
    fn regular(&mut self) -> &'a [u8] {
        let rest = self.rest();
        let end = rest.iter().position(|byte| b"\0\t\n\x0C\r ()<>[]{}/%".contains(byte));
        let word = &rest[..end.unwrap_or(rest.len())];
        self.at += word.len();
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
    fn word(&mut self) -> Option<Value<'a>> {
        let word = self.regular();
        if word.is_empty() {
            return None;
        }
        let Some(number) = integer(word) else { return Some(Value::Other) };
        let after = self.at;
        self.skip_space();
        let generation = integer(self.regular());
        self.skip_space();
        if generation.is_some()
            && self.regular() == b"R"
            && let Ok(number) = u32::try_from(number)
        {
            return Some(Value::Reference(number));
        }
        self.at = after;
        Some(Value::Integer(number))
    }

    fn literal(&mut self) -> Option<Vec<u8>> {
        let mut text = vec![];
        let mut depth = 0_usize;
        loop {
            let byte = *self.rest().first()?;
            self.at += 1;
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
        self.at += 1;
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
                    self.at += 1;
                }
                text.push(code.to_le_bytes()[0]);
            }
            _ => text.push(byte),
        }
        Some(())
    }

    fn hexadecimal(&mut self) -> Option<Vec<u8>> {
        self.at += 1;
        let length = self.rest().iter().position(|&byte| byte == b'>')?;
        let digits: Vec<u8> = self.rest()[..length].iter().filter_map(|&byte| hex(byte)).collect();
        self.at += length + 1;
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

    #[test]
    fn values_are_read() {
        let value = value_at(b"  << /A#42 [1 (a(b)\\051\\n) <4 1 6>] % c\n /R 12 0 R /T true>>", 0);
        let value = value.expect("a whole value");
        let Some(Value::Array(list)) = value.get(b"AB") else { panic!("{value:?}") };
        let texts = [Value::Text(b"a(b))\n".to_vec()), Value::Text(b"A\x60".to_vec())];
        assert_eq!(list[0], Value::Integer(1));
        assert_eq!(list[1..], texts);
        assert_eq!(value.get(b"R"), Some(&Value::Reference(12)));
        assert_eq!(value.get(b"T"), Some(&Value::Other));
    }

    #[test]
    fn broken_values_are_refused() {
        let deep = [b'['; 1000];
        for broken in [&b"<< /A"[..], b"[1 2", b"(abc", b"<41", b"<</A>>", b"]", b"", &deep] {
            assert_eq!(value_at(broken, 0), None, "{}", String::from_utf8_lossy(broken));
        }
    }

    #[test]
    fn the_walk_steps_over_what_streams_contain() {
        let file = b"%PDF-1.7\n1 0 obj\n<</Length 7>>stream\n9 0 obj\nendstream\nendobj\n\
            2 0 obj [3] endobj 3 0 obj <</Length 99>> stream\n8 0 obj\nendstream endobj\n\
            trailer <</Size 4>>";
        let numbers: Vec<Option<u32>> = Walk::new(file)
            .map(|found| match found {
                Found::Object(number, ..) => Some(number),
                Found::Trailer(_) => None,
            })
            .collect();
        assert_eq!(numbers, [Some(1), Some(2), Some(3), None]);
    }

    #[test]
    fn a_file_of_faults_takes_time_in_proportion() {
        // Each of these objects is a comment that runs to the end of the file.
        let file = b"1 0 obj%".repeat(500_000);
        assert_eq!(Walk::new(&file).count(), 0);
    }
}
