//! Elements, one inside another.

use std::borrow::Cow;
use std::fmt::Display;

use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};

/// The attributes of an element: names and values, which are escaped here.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

/// A text of elements in the making.
pub(super) struct Xml(Writer<Vec<u8>>);

impl Xml {
    /// An empty one.
    pub(super) fn new() -> Self {
        Self(Writer::new_with_indent(Vec::new(), b' ', 1))
    }

    /// The text.
    pub(super) fn finish(self) -> Vec<u8> {
        self.0.into_inner()
    }

    /// An element that holds a text.
    pub(super) fn leaf(&mut self, name: &str, attributes: Attributes<'_>, text: impl Display) {
        self.put(Event::Start(start(name, attributes)));
        self.put(Event::Text(BytesText::new(&legal(&text.to_string()))));
        self.put(Event::End(BytesEnd::new(name)));
    }

    /// An element that holds others, which `inner` writes.
    pub(super) fn group(
        &mut self,
        name: &str,
        attributes: Attributes<'_>,
        inner: impl FnOnce(&mut Self),
    ) {
        self.put(Event::Start(start(name, attributes)));
        inner(self);
        self.put(Event::End(BytesEnd::new(name)));
    }

    /// An element that holds nothing.
    pub(super) fn empty(&mut self, name: &str, attributes: Attributes<'_>) {
        self.put(Event::Empty(start(name, attributes)));
    }

    /// Elements that were written elsewhere.
    pub(super) fn written(&mut self, elements: &[u8]) {
        let inner = self.0.get_mut();
        inner.push(b'\n');
        inner.extend_from_slice(elements);
    }

    fn put(&mut self, event: Event<'_>) {
        // Memory takes every byte, so there is nothing to go wrong.
        let _ = self.0.write_event(event);
    }
}

fn start<'a>(name: &'a str, attributes: Attributes<'a>) -> BytesStart<'a> {
    let mut element = BytesStart::new(name);
    for (name, value) in attributes {
        element.push_attribute((*name, &*legal(value)));
    }
    element
}

/// A text without the characters that no XML may hold, escaped or not (XML 1.0, 2.2).
fn legal(text: &str) -> Cow<'_, str> {
    let may_stand = |c: char| matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    if text.chars().all(may_stand) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().filter(|c| may_stand(*c)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whatever_is_written_is_escaped() {
        let mut xml = Xml::new();
        xml.group("a", &[("b", "1 < \"2\"\u{1}")], |xml| {
            xml.leaf("c", &[], "R&B <\u{0}\u{ffff}> ♭");
            xml.empty("d", &[]);
        });
        let text = String::from_utf8(xml.finish()).unwrap();
        assert_eq!(text, "<a b=\"1 &lt; &quot;2&quot;\">\n <c>R&amp;B &lt;&gt; ♭</c>\n <d/>\n</a>");
    }
}
