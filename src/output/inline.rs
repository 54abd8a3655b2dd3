//! Pages as drawings within a page of the web, made to be painted fast: a browser's time goes by the
//! number of elements and of places that are moved, not by the ink.
//!
//! Words and signs are text, since the style sheet there has our faces: half the bytes of outlines,
//! and it can be searched. Within a block, marks of one colour that follow each other may be drawn in
//! any order, since nothing shows through: all signs of a size are one text with a place for each,
//! all lines of a width one path, and so are shapes that do not touch each other.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use kurbo::{Affine, BezPath, Point, Rect, Shape as _};

use super::png;
use super::svg::{data, escaped, fill, image, number, stroked};
use crate::canvas::{About, Block, Ink, Mark, Page, Trace};

/// A page, or some blocks of it within a part, as a drawing within a page of the web.
///
/// Words and signs are text. The style sheet there gives the classes `cut-0` to `cut-3` the faces
/// of [`crate::typeset::TextFace::ALL`], and `cut-music` the music face; letters must be neither
/// hinted nor wrapped (`text-rendering: geometricPrecision`, `white-space: pre`), so that all stands
/// as it is printed. `label` tells what it shows to those who cannot see it.
///
/// # Errors
///
/// If a picture cannot be encoded.
pub fn inline_svg(
    about: &About,
    page: &Page,
    part: Option<(&[Block], Rect)>,
    label: &str,
) -> Result<String, png::PngError> {
    let (blocks, frame) = part.unwrap_or((&page.blocks, page.size.to_rect()));
    let height = page.size.height;
    let mut drawing = InlineDrawing {
        turned: Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, height]),
        body: String::new(),
    };
    for block in blocks {
        drawing.block(about, block)?;
    }
    let [x, y] = [number(frame.x0), number(height - frame.y1)];
    let [width, height] = [number(frame.width()), number(frame.height())];
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{x} {y} {width} {height}\" \
         role=\"img\" aria-label=\"{}\">\n\
         <rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n\
         {}</svg>\n",
        escaped(label),
        drawing.body,
    ))
}

/// A drawing in the making, whose y grows downwards.
struct InlineDrawing {
    /// From the page, whose y grows upwards.
    turned: Affine,
    body: String,
}

/// Marks of one colour that follow each other.
#[derive(Default)]
struct Batch {
    /// The lines of each width, by how they are drawn.
    lines: BTreeMap<String, String>,
    /// Shapes that do not touch each other, with where they are.
    shapes: Vec<(Vec<Rect>, String)>,
    /// The signs of each size, by its number: places across, places down, signs.
    signs: BTreeMap<String, [String; 3]>,
    words: String,
}

impl InlineDrawing {
    fn block(&mut self, about: &About, block: &Block) -> Result<(), png::PngError> {
        let mut rest = block.marks.as_slice();
        while let Some(first) = rest.first() {
            match first {
                Mark::Picture { index, frame } => {
                    let place =
                        format!("translate({} {})", number(frame.x0), number(self.down(frame.y1)));
                    let size = (frame.width(), frame.height());
                    self.body.push_str(&image(about, *index, &place, size)?);
                    rest = &rest[1..];
                }
                Mark::Trace(_, ink) => {
                    let mut batch = Batch::default();
                    while let Some((Mark::Trace(trace, own), after)) = rest.split_first()
                        && own == ink
                    {
                        self.add(trace, *ink, &mut batch);
                        rest = after;
                    }
                    batch.write(*ink, &mut self.body);
                }
            }
        }
        Ok(())
    }

    /// How far down the page something is.
    fn down(&self, y: f64) -> f64 {
        (self.turned * Point::new(0.0, y)).y
    }

    fn add(&self, trace: &Trace, ink: Ink, batch: &mut Batch) {
        match trace {
            Trace::Sign { sign, at, size } => {
                let at = self.turned * *at;
                let [across, down, signs] = batch.signs.entry(number(*size)).or_default();
                let _ = write!(across, "{} ", number(at.x));
                let _ = write!(down, "{} ", number(at.y));
                signs.push(sign.code());
            }
            Trace::Text { text, face, at, size } => {
                let at = self.turned * *at;
                let _ = write!(
                    batch.words,
                    "<text class=\"cut-{}\" font-size=\"{}\" x=\"{}\" y=\"{}\"{}>{}</text>",
                    *face as usize,
                    number(*size),
                    number(at.x),
                    number(at.y),
                    fill(ink),
                    escaped(text),
                );
            }
            Trace::Line { from, to, width } => {
                let mut path = BezPath::new();
                path.move_to(*from);
                path.line_to(*to);
                self.line(&path, *width, ink, batch);
            }
            Trace::Stroke { path, width } => self.line(path, *width, ink, batch),
            Trace::Slab { .. } | Trace::Wedge { .. } | Trace::Crescent { .. } | Trace::Fill(_) => {
                let path = self.turned * trace.filled().into_owned();
                let place = path.bounding_box();
                let is_free = |(places, _): &&mut (Vec<Rect>, String)| {
                    places.iter().all(|other| !other.overlaps(place))
                };
                match batch.shapes.iter_mut().find(is_free) {
                    Some((places, shapes)) => {
                        places.push(place);
                        shapes.push_str(&data(&path));
                    }
                    None => batch.shapes.push((vec![place], data(&path))),
                }
            }
        }
    }

    fn line(&self, path: &BezPath, width: f64, ink: Ink, batch: &mut Batch) {
        let lines = batch.lines.entry(stroked(width, ink)).or_default();
        lines.push_str(&data(&(self.turned * path.clone())));
    }
}

impl Batch {
    fn write(self, ink: Ink, body: &mut String) {
        for (drawn, lines) in self.lines {
            let _ = write!(body, "<path d=\"{lines}\"{drawn}/>");
        }
        for (_, shapes) in self.shapes {
            let _ = write!(body, "<path d=\"{shapes}\"{}/>", fill(ink));
        }
        for (size, [across, down, signs]) in self.signs {
            let _ = write!(
                body,
                "<text class=\"cut-music\" font-size=\"{size}\" x=\"{}\" y=\"{}\"{}>{signs}</text>",
                across.trim_end(),
                down.trim_end(),
                fill(ink),
            );
        }
        body.push_str(&self.words);
        body.push('\n');
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Size;

    use super::*;
    use crate::canvas::{Kind, PageNumber};
    use crate::glyphs::Sign;
    use crate::typeset::TextFace;

    fn sign(sign: Sign, x: f64) -> Mark {
        Mark::Trace(Trace::Sign { sign, at: Point::new(x, 100.0), size: 20.0 }, Ink::Black)
    }

    fn square(x: f64, side: f64, ink: Ink) -> Mark {
        let square = Rect::new(x, 0.0, x + side, side);
        Mark::Trace(Trace::Fill(square.to_path(0.1)), ink)
    }

    fn drawn(marks: Vec<Mark>) -> String {
        let about = About {
            title: String::new(),
            author: None,
            language: "en".to_owned(),
            outline: vec![],
            pictures: vec![],
            recipe: String::new(),
        };
        let block = Block { kind: Kind::System, words: String::new(), marks };
        let page = Page {
            size: Size::new(200.0, 300.0),
            blocks: vec![block],
            links: vec![],
            label: PageNumber::arabic(1).into(),
        };
        inline_svg(&about, &page, None, "it").unwrap()
    }

    /// Nothing is moved by itself, and what looks the same is one element.
    #[test]
    fn marks_of_one_colour_are_few_elements() {
        let line = |x: f64| {
            let [from, to] = [Point::new(x, 10.0), Point::new(x, 50.0)];
            Mark::Trace(Trace::Line { from, to, width: 0.5 }, Ink::Black)
        };
        let marks = (0..50).map(f64::from).flat_map(|x| {
            [sign(Sign::NoteheadBlack, 3.0 * x), line(x), square(4.0 * x, 2.0, Ink::Black)]
        });
        let drawing = drawn(marks.collect());
        assert_eq!(drawing.matches("<text").count(), 1, "{drawing}");
        assert_eq!(drawing.matches("<path").count(), 2, "{drawing}");
        assert!(!drawing.contains("transform"), "{drawing}");
        let signs = drawing.chars().filter(|sign| *sign == Sign::NoteheadBlack.code()).count();
        assert_eq!(signs, 50);
        assert!(drawing.contains("y=\"200 200 "), "{drawing}");
    }

    /// What is covered by another colour stays below it, and shapes that meet do not open each other.
    #[test]
    fn the_order_of_colours_is_kept() {
        let white = Ink::Grey(1.0);
        let drawing = drawn(vec![
            square(0.0, 9.0, Ink::Black),
            square(1.0, 9.0, Ink::Black),
            square(0.0, 9.0, white),
            square(2.0, 2.0, Ink::Black),
            Mark::Trace(
                Trace::Text {
                    text: "a<b".into(),
                    face: TextFace::Bold,
                    at: Point::new(1.0, 1.0),
                    size: 9.0,
                },
                Ink::Black,
            ),
        ]);
        assert_eq!(drawing.matches("<path").count(), 4, "{drawing}");
        let over = drawing.find("fill=\"#ffffff\"").unwrap();
        assert_eq!(drawing[over..].matches("<path").count(), 1, "{drawing}");
        assert!(drawing.contains(">a&lt;b</text>"), "{drawing}");
    }
}
