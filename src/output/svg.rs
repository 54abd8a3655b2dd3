//! Pages as SVG (SVG 1.1, W3C 2011): drawings that any browser shows, block by block, with the
//! words that describe each.
//!
//! Letters and signs are drawn as outlines, each written once and used where it occurs, so that a
//! page looks alike wherever no face of ours is installed; `inline` has them as text. Lengths are points; the page's y is turned over once, by the outermost group.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use kurbo::{Affine, BezPath, Point};

use super::png;
use crate::canvas::{About, Ink, Mark, Page, Picture, Trace};
use crate::glyphs::{MusicFace, Sign};
use crate::typeset::{self, TextFace};

/// A page of a document as an SVG file.
///
/// # Errors
///
/// If a picture cannot be encoded.
pub fn svg(about: &About, page: &Page) -> Result<String, png::PngError> {
    let mut drawing = SvgFile::default();
    for block in &page.blocks {
        let _ = write!(drawing.body, "<g class=\"{}\">", block.kind.word());
        if !block.words.is_empty() {
            let _ = write!(drawing.body, "<title>{}</title>", escaped(&block.words));
        }
        for mark in &block.marks {
            drawing.mark(about, mark)?;
        }
        drawing.body.push_str("</g>\n");
    }
    Ok(drawing.file(about, page))
}

/// An outline that is written once: a sign, or a letter by its face and number.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Shape {
    Sign(Sign),
    Letter(TextFace, u16),
}

/// A file in the making.
#[derive(Default)]
struct SvgFile {
    body: String,
    /// The number of each outline.
    outlines: BTreeMap<Shape, usize>,
}

impl SvgFile {
    fn mark(&mut self, about: &About, mark: &Mark) -> Result<(), png::PngError> {
        match mark {
            Mark::Trace(trace, ink) => self.trace(trace, *ink),
            Mark::Picture { index, frame } => {
                let place = Affine::new([1.0, 0.0, 0.0, -1.0, frame.x0, frame.y1]);
                let size = (frame.width(), frame.height());
                self.body.push_str(&image(about, *index, &matrix(place), size)?);
            }
        }
        Ok(())
    }

    fn trace(&mut self, trace: &Trace, ink: Ink) {
        match trace {
            Trace::Sign { sign, at, size } => {
                self.place(Shape::Sign(*sign), *at, size / 4.0, ink);
            }
            Trace::Text { text, face, at, size } => {
                for (gid, at) in typeset::shape(*face, text).placed(*at, *size) {
                    self.place(Shape::Letter(*face, gid), at, *size, ink);
                }
            }
            Trace::Line { from, to, width } => {
                let mut path = BezPath::new();
                path.move_to(*from);
                path.line_to(*to);
                self.stroke(&path, *width, ink);
            }
            Trace::Slab { .. } | Trace::Wedge { .. } | Trace::Crescent { .. } | Trace::Fill(_) => {
                let data = data(&trace.filled());
                let _ = write!(self.body, "<path d=\"{data}\"{}/>", fill(ink));
            }
            Trace::Stroke { path, width } => self.stroke(path, *width, ink),
        }
    }

    /// Uses an outline at a place; nothing where it has no ink.
    fn place(&mut self, outline: Shape, at: Point, scale: f64, ink: Ink) {
        if path_of(outline).elements().is_empty() {
            return;
        }
        let next = self.outlines.len();
        let id = *self.outlines.entry(outline).or_insert(next);
        let place = Affine::new([scale, 0.0, 0.0, scale, at.x, at.y]);
        let _ = write!(
            self.body,
            "<use href=\"#o{id}\" transform=\"{}\"{}/>",
            matrix(place),
            fill(ink)
        );
    }

    fn stroke(&mut self, path: &BezPath, width: f64, ink: Ink) {
        let _ = write!(self.body, "<path d=\"{}\"{}/>", data(path), stroked(width, ink));
    }

    /// The whole file.
    fn file(self, about: &About, page: &Page) -> String {
        let (width, height) = (number(page.size.width), number(page.size.height));
        let mut file = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}pt\" height=\"{height}pt\" \
             viewBox=\"0 0 {width} {height}\" xml:lang=\"{}\">\n<title>{}, page {}</title>\n<defs>\n",
            escaped(&about.language),
            escaped(&about.title),
            page.label,
        );
        let mut outlines: Vec<(usize, Shape)> =
            self.outlines.into_iter().map(|(outline, id)| (id, outline)).collect();
        outlines.sort_unstable();
        for (id, outline) in outlines {
            let _ = writeln!(file, "<path id=\"o{id}\" d=\"{}\"/>", fine(path_of(outline)));
        }
        let _ = write!(
            file,
            "</defs>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n\
             <g transform=\"matrix(1 0 0 -1 0 {height})\">\n{}</g>\n</svg>\n",
            self.body,
        );
        file
    }
}

fn path_of(outline: Shape) -> &'static BezPath {
    match outline {
        Shape::Sign(sign) => MusicFace::get().outline(sign),
        Shape::Letter(face, gid) => typeset::outline(face, gid),
    }
}

/// A picture of a document at a place, which a transformation says; nothing where there is none.
pub(super) fn image(
    about: &About,
    index: usize,
    place: &str,
    (width, height): (f64, f64),
) -> Result<String, png::PngError> {
    let Some(picture) = about.pictures.get(index) else { return Ok(String::new()) };
    Ok(format!(
        "<image transform=\"{place}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" \
         href=\"data:image/png;base64,{}\"/>",
        number(width),
        number(height),
        STANDARD.encode(file_of(picture)?),
    ))
}

/// How a line is drawn.
pub(super) fn stroked(width: f64, ink: Ink) -> String {
    format!(
        " fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
        colour(ink),
        number(width),
    )
}

/// A picture as a PNG file.
fn file_of(picture: &Picture) -> Result<Vec<u8>, png::PngError> {
    let mut file = Vec::new();
    let mut encoder = ::png::Encoder::new(&mut file, picture.width, picture.height);
    encoder.set_color(::png::ColorType::Rgb);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&picture.rgb)?;
    writer.finish()?;
    Ok(file)
}

/// The data of a path on the page.
pub(super) fn data(path: &BezPath) -> String {
    written(path, 100.0)
}

/// The data of an outline that is yet to be enlarged.
fn fine(path: &BezPath) -> String {
    written(path, 10_000.0)
}

/// The data of a path, its coordinates to so many parts of a unit.
fn written(path: &BezPath, parts: f64) -> String {
    let rounded = |value: f64| (value * parts).round() / parts + 0.0;
    let mut path = path.clone();
    for element in path.elements_mut() {
        let rounded = |point: Point| Point::new(rounded(point.x), rounded(point.y));
        use kurbo::PathEl as El;
        *element = match *element {
            El::MoveTo(a) => El::MoveTo(rounded(a)),
            El::LineTo(a) => El::LineTo(rounded(a)),
            El::QuadTo(a, b) => El::QuadTo(rounded(a), rounded(b)),
            El::CurveTo(a, b, c) => El::CurveTo(rounded(a), rounded(b), rounded(c)),
            El::ClosePath => El::ClosePath,
        };
    }
    path.to_svg()
}

pub(super) fn matrix(place: Affine) -> String {
    let numbers = place.as_coeffs().map(number);
    format!("matrix({})", numbers.join(" "))
}

/// A number to four decimals, without needless noughts.
pub(super) fn number(value: f64) -> String {
    format!("{}", (value * 10_000.0).round() / 10_000.0 + 0.0)
}

pub(super) fn fill(ink: Ink) -> String {
    match ink {
        Ink::Black => String::new(),
        Ink::Grey(_) => format!(" fill=\"{}\"", colour(ink)),
    }
}

fn colour(ink: Ink) -> String {
    let level = match ink {
        Ink::Black => 0.0,
        Ink::Grey(level) => level.clamp(0.0, 1.0),
    };
    let level = (level * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}

/// Words as XML text.
pub(super) fn escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
