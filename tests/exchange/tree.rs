//! Files of notes as trees of elements, read by a reader that knows no music.

use std::collections::BTreeMap;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

/// An element.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Node {
    pub(crate) name: String,
    pub(crate) attributes: BTreeMap<String, String>,
    pub(crate) text: String,
    pub(crate) children: Vec<Node>,
}

impl Node {
    /// The children of a name.
    pub(crate) fn all(&self, name: &str) -> impl Iterator<Item = &Self> {
        self.children.iter().filter(move |child| child.name == name)
    }

    /// What is found going down by names, the first of each.
    pub(crate) fn find(&self, path: &[&str]) -> Option<&Self> {
        path.iter().try_fold(self, |node, name| node.all(name).next())
    }

    /// Whether there is such an element.
    pub(crate) fn has(&self, path: &[&str]) -> bool {
        self.find(path).is_some()
    }

    /// The text of what is found.
    pub(crate) fn text(&self, path: &[&str]) -> Option<&str> {
        self.find(path).map(|node| &*node.text)
    }

    /// The number that is found.
    pub(crate) fn number(&self, path: &[&str]) -> Option<i32> {
        self.text(path).map(|text| text.parse().expect("a number"))
    }

    /// An attribute.
    pub(crate) fn attribute(&self, name: &str) -> Option<&str> {
        self.attributes.get(name).map(String::as_str)
    }

    /// All elements of a name, however deep.
    pub(crate) fn deep(&self, name: &str) -> Vec<&Self> {
        let mut found: Vec<&Self> = self.all(name).collect();
        found.extend(self.children.iter().flat_map(|child| child.deep(name)));
        found
    }
}

fn begun(start: &BytesStart<'_>) -> Node {
    let name = start.name().as_ref().to_owned();
    let attribute = |attribute: Result<quick_xml::events::attributes::Attribute<'_>, _>| {
        let attribute = attribute.expect("a sound attribute");
        let value = quick_xml::escape::unescape(&attribute.value).expect("a value").into_owned();
        (attribute.key.as_ref().to_owned(), value)
    };
    Node { name, attributes: start.attributes().map(attribute).collect(), ..Node::default() }
}

/// The root of a file. Panics if it is not well formed.
pub(crate) fn parse(file: &[u8]) -> Node {
    let mut reader = Reader::from_reader(file);
    let mut open = vec![Node::default()];
    loop {
        match reader.read_event().expect("well formed") {
            Event::Start(start) => open.push(begun(&start)),
            Event::Empty(start) => open.last_mut().expect("inside").children.push(begun(&start)),
            Event::End(_) => {
                let node = open.pop().expect("an open element");
                open.last_mut().expect("inside").children.push(node);
            }
            Event::Text(text) => {
                open.last_mut().expect("inside").text.push_str(&text);
            }
            Event::GeneralRef(name) => {
                let text = format!("&{};", &*name);
                let text = quick_xml::escape::unescape(&text).expect("a known name");
                open.last_mut().expect("inside").text.push_str(&text);
            }
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(open.len(), 1, "every element ends");
    let mut root = open.remove(0);
    assert_eq!(root.children.len(), 1, "one root");
    root.children.remove(0)
}
