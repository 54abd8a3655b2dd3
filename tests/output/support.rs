//! Documents built by hand, to try the outputs on.

use kurbo::{BezPath, Circle, Point, Rect, Shape, Size};
use quintfall::canvas::{
    About, Block, Bookmark, Document, Ink, Kind, Link, Mark, Page, PageNumber, Picture, Trace,
};
use quintfall::glyphs::Sign;
use quintfall::typeset::TextFace;

/// A staff space, in points.
pub(crate) const SPACE: f64 = 4.96;

pub(crate) const A4: Size = Size::new(595.276, 841.89);

pub(crate) const RECIPE: &str = "{\"drill\": \"Up and down\", \"student\": \"Zoë ♭\"}";

pub(crate) fn sign(sign: Sign, x: f64, y: f64) -> Mark {
    Mark::Trace(Trace::Sign { sign, at: Point::new(x, y), size: 4.0 * SPACE }, Ink::Black)
}

pub(crate) fn words(face: TextFace, text: &str, x: f64, y: f64, size: f64) -> Mark {
    let trace = Trace::Text { text: text.into(), face, at: Point::new(x, y), size };
    Mark::Trace(trace, Ink::Black)
}

pub(crate) fn line(from: (f64, f64), to: (f64, f64), width: f64) -> Mark {
    Mark::Trace(Trace::Line { from: from.into(), to: to.into(), width }, Ink::Black)
}

pub(crate) fn page(number: PageNumber, marks: Vec<Mark>) -> Page {
    let block = Block { marks, ..Block::new(Kind::Paragraph) };
    Page { size: A4, blocks: vec![block], links: vec![], label: number.into() }
}

pub(crate) fn document(pages: Vec<Page>) -> Document {
    let about = About {
        title: "Sevenths & <fifths> (♭)".to_owned(),
        author: Some("Zoë".to_owned()),
        language: "en-GB".to_owned(),
        outline: vec![],
        pictures: vec![],
        recipe: RECIPE.to_owned(),
    };
    Document { about, pages }
}

/// A page as dense as a drill: `systems` staves of notes with words above and counts below.
pub(crate) fn dense_page(number: usize, systems: usize) -> Page {
    let mut marks = vec![words(TextFace::Bold, "Difficult affairs in E", 50.0, 790.0, 24.0)];
    for system in 0..systems {
        let foot = 720.0 - 80.0 * system as f64;
        for staff_line in 0..5 {
            let y = foot + f64::from(staff_line) * SPACE;
            marks.push(line((50.0, y), (545.0, y), 0.13 * SPACE));
        }
        marks.push(sign(Sign::GClef, 54.0, foot + SPACE));
        for note in 0..32 {
            let x = 90.0 + 14.0 * f64::from(note);
            let y = foot + f64::from(note % 9) * SPACE / 2.0;
            if note % 3 == 0 {
                marks.push(sign(Sign::AccidentalFlat, x - 6.0, y));
            }
            marks.push(sign(Sign::NoteheadBlack, x, y));
            marks.push(line((x + 5.7, y + 0.8), (x + 5.7, y + 17.4), 0.12 * SPACE));
            if note % 4 == 3 {
                let beam = Rect::new(x - 36.3, foot + 34.0, x + 6.0, foot + 36.5);
                marks.push(Mark::Trace(Trace::Fill(beam.to_path(0.1)), Ink::Black));
                let symbol = ["Cmaj7", "Dm7", "Em7", "G7"][note as usize / 4 % 4];
                marks.push(words(TextFace::Semibold, symbol, x - 40.0, foot + 45.0, 12.0));
            }
            let count = ["1", "and", "2", "and"][note as usize % 4];
            let at = Point::new(x, foot - 20.0);
            let (text, face) = (count.to_owned(), TextFace::Italic);
            marks.push(Mark::Trace(
                Trace::Text { text: text.into(), face, at, size: 8.0 },
                Ink::Grey(0.4),
            ));
        }
    }
    page(PageNumber::arabic(number), marks)
}

/// A document that uses everything a document can have.
pub(crate) fn full_document() -> Document {
    let mut cover =
        page(PageNumber::roman(1), vec![words(TextFace::Bold, "Office AV", 60.0, 700.0, 30.0)]);
    let ring = Circle::new((300.0, 400.0), 80.0).to_path(0.01);
    cover.blocks[0]
        .marks
        .push(Mark::Trace(Trace::Stroke { path: ring, width: 1.25 }, Ink::Grey(0.5)));
    cover.blocks[0]
        .marks
        .push(Mark::Picture { index: 0, frame: Rect::new(400.0, 100.0, 500.0, 150.0) });
    let area = Rect::new(60.0, 600.0, 260.0, 612.0);
    cover.links.push(Link { area, target: 2, about: "To the drill in F".to_owned() });
    let mut wedge = BezPath::new();
    wedge.move_to((300.0, 400.0));
    wedge.line_to((300.0, 480.0));
    wedge.quad_to((340.0, 480.0), (360.0, 440.0));
    wedge.close_path();
    cover.blocks[0].marks.push(Mark::Trace(Trace::Fill(wedge), Ink::Black));
    let pages = vec![cover, dense_page(1, 8), dense_page(2, 8)];
    let entry =
        |title: &str, page, children| Bookmark { title: title.into(), page, open: true, children };
    let keys = vec![entry("Key of C", 1, vec![]), entry("Key of F (B♭)", 2, vec![])];
    let outline = vec![entry("Cover", 0, vec![]), entry("Keys", 1, keys)];
    let rgb = (0..8_u8).flat_map(|n| [n * 30, 255 - n * 30, 128]).collect();
    let pictures = vec![Picture { width: 4, height: 2, rgb }];
    let Document { about, pages } = document(pages);
    Document { about: About { outline, pictures, ..about }, pages }
}
