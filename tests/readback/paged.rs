//! Systems put on a page by themselves, so that scores without a drill can be printed.

use kurbo::{Point, Size};
use quintfall::canvas::{About, Block, Document, Ink, Kind, Label, Mark, Page};
use quintfall::engrave::System;

/// A staff space in points: staves of 7 mm.
const SPACE: f64 = 7.0 / 25.4 * 72.0 / 4.0;
/// White round the music, in points.
const MARGIN: f64 = 30.0;

/// A document of one page with these systems, one below another.
pub(crate) fn document(systems: &[System]) -> Document {
    let right = systems.iter().flat_map(|system| &system.marks).map(|mark| mark.bounds().x1);
    let width = 2.0 * MARGIN + SPACE * (right.fold(0.0, f64::max) + 4.0);
    let height: f64 = systems.iter().map(|system| system.top - system.bottom + system.apart).sum();
    let size = Size::new(width, height * SPACE + 2.0 * MARGIN);
    let mut y = size.height - MARGIN;
    let mut blocks = Vec::new();
    for system in systems {
        let origin = Point::new(MARGIN + 3.0 * SPACE, y - system.top * SPACE);
        let mut block = Block::new(Kind::System);
        let marks = system
            .marks
            .iter()
            .map(|mark| Mark::Trace(mark.trace.clone().placed(origin, SPACE), Ink::Black));
        block.marks.extend(marks);
        blocks.push(block);
        y -= (system.top - system.bottom + system.apart) * SPACE;
    }
    let page = Page { size, blocks, links: Vec::new(), label: Label::default() };
    let about = About {
        title: "Signs".to_owned(),
        author: None,
        language: "en".to_owned(),
        outline: Vec::new(),
        pictures: Vec::new(),
        recipe: "{}".to_owned(),
    };
    Document { about, pages: vec![page] }
}
