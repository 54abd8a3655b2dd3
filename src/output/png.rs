//! Pages as pictures, drawn straight from the marks, with no PDF in between.

use std::io::Write as _;
use std::ops::Range;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use kurbo::{Affine, BezPath, PathEl, Rect};
use png::{ColorType, Encoder, EncodingError, chunk};
use thiserror::Error;
use tiny_skia::{
    FillRule, FilterQuality, LineJoin, Paint, PathBuilder, Pixmap, PixmapPaint,
    PremultipliedColorU8, Stroke, Transform,
};

use crate::canvas::{About, Ink, Mark, Page, Picture, Trace};
use crate::glyphs::MusicFace;
use crate::typeset;

/// Why a page cannot become a picture.
#[derive(Debug, Error)]
pub enum PngError {
    /// The resolution makes no picture, or one too large to hold.
    #[error("{dpi} dots an inch make no picture of this page")]
    Resolution {
        /// The resolution asked for.
        dpi: u32,
    },
    /// The encoder failed.
    #[error("the picture cannot be encoded: {0}")]
    Encode(#[from] EncodingError),
}

/// Resolutions that make a picture, in dots an inch.
pub const RESOLUTIONS: std::ops::RangeInclusive<u32> = 20..=1200;

/// Most pixels that are drawn at once, of four bytes each: an upright page of A4 at 300 dots an
/// inch in one piece.
const BAND: usize = 9_000_000;

/// PngRows drawn above and below those of a band that are kept, so that most marks of which a band has
/// some are drawn whole. The places of a curve's points still depend in their last bit on where
/// it lies in the band, which shows as one step of anti-aliasing in about one pixel of a million.
const MARGIN: u32 = 96;

/// A page of a document as a PNG at `dpi` dots an inch, in shades of grey unless it bears a
/// picture. Whatever the resolution, no more than nine million pixels are held at once.
pub fn png(about: &About, page: &Page, dpi: u32) -> Result<Vec<u8>, PngError> {
    in_bands(about, page, dpi, BAND)
}

fn in_bands(about: &About, page: &Page, dpi: u32, most: usize) -> Result<Vec<u8>, PngError> {
    let refused = || PngError::Resolution { dpi };
    if !RESOLUTIONS.contains(&dpi) {
        return Err(refused());
    }
    let scale = f64::from(dpi) / 72.0;
    let pixels = |length: f64| (length * scale).round() as u32;
    let (width, height) = (pixels(page.size.width), pixels(page.size.height));
    let has_picture = page.marks().any(|mark| matches!(mark, Mark::Picture { .. }));
    let mut rows = PngRows::of(width, height, has_picture);
    for kept in bands(width, height, most) {
        let drawn = kept.start.saturating_sub(MARGIN)..kept.end.saturating_add(MARGIN).min(height);
        let drawn = if kept == (0..height) { kept.clone() } else { drawn };
        let pixmap = Pixmap::new(width, drawn.end - drawn.start).ok_or_else(refused)?;
        let pixmap = draw(about, page, scale, drawn.start, pixmap);
        let first = (kept.start - drawn.start) as usize;
        let lines = pixmap.pixels().chunks_exact(width as usize).skip(first);
        for line in lines.take((kept.end - kept.start) as usize) {
            rows.add(line)?;
        }
    }
    rows.finish()
}

/// The rows of a picture in bands of at most `most` pixels, but of one row each at the least. Of a
/// picture without pixels there is one band, which cannot be drawn.
fn bands(width: u32, height: u32, most: usize) -> impl Iterator<Item = Range<u32>> {
    let rows = most / (width.max(1) as usize);
    let rows = u32::try_from(rows).unwrap_or(u32::MAX);
    // What is drawn but not kept counts too.
    let step = if rows >= height { height } else { rows.saturating_sub(2 * MARGIN) }.max(1);
    let starts = (0..height.max(1)).step_by(step as usize);
    starts.map(move |start| start..start.saturating_add(step).min(height))
}

/// The marks of a page that lie on `pixmap`, which begins `top` pixels below the page's upper edge.
fn draw(about: &About, page: &Page, scale: f64, top: u32, mut pixmap: Pixmap) -> Pixmap {
    pixmap.fill(tiny_skia::Color::WHITE);
    let to_pixels = Affine::new([scale, 0.0, 0.0, -scale, 0.0, page.size.height * scale]);
    // Marks are placed on the whole page first, since the places of points are rounded: so a mark
    // is the same in every band that has some of it.
    let to_band = Transform::from_translate(0.0, -(top as f32));
    let mut canvas = Canvas { pixmap, to_pixels, to_band };
    for mark in page.marks() {
        canvas.draw(about, mark);
    }
    canvas.pixmap
}

/// A PNG that is written row by row.
struct PngRows {
    width: u32,
    height: u32,
    colour: ColorType,
    last: Vec<u8>,
    packed: ZlibEncoder<Vec<u8>>,
}

impl PngRows {
    fn of(width: u32, height: u32, has_colour: bool) -> Self {
        let colour = if has_colour { ColorType::Rgb } else { ColorType::Grayscale };
        let last = vec![0; colour.samples() * width as usize];
        let packed = ZlibEncoder::new(Vec::new(), Compression::default());
        Self { width, height, colour, last, packed }
    }

    fn add(&mut self, pixels: &[PremultipliedColorU8]) -> Result<(), PngError> {
        /// Each row as its difference from the one above (ISO/IEC 15948, 9.2).
        const UP: u8 = 2;
        let mut row = Vec::with_capacity(self.last.len());
        match self.colour {
            ColorType::Grayscale => row.extend(pixels.iter().map(|pixel| pixel.green())),
            _ => row.extend(pixels.iter().flat_map(|p| [p.red(), p.green(), p.blue()])),
        }
        let mut coded = Vec::with_capacity(1 + row.len());
        coded.push(UP);
        coded.extend(row.iter().zip(&self.last).map(|(new, old)| new.wrapping_sub(*old)));
        self.packed.write_all(&coded).map_err(EncodingError::from)?;
        self.last = row;
        Ok(())
    }

    fn finish(self) -> Result<Vec<u8>, PngError> {
        let packed = self.packed.finish().map_err(EncodingError::from)?;
        let mut file = Vec::with_capacity(packed.len() + 128);
        let mut encoder = Encoder::new(&mut file, self.width, self.height);
        encoder.set_color(self.colour);
        let mut writer = encoder.write_header()?;
        writer.write_chunk(chunk::IDAT, &packed)?;
        writer.finish()?;
        Ok(file)
    }
}

struct Canvas {
    pixmap: Pixmap,
    /// From points on the page, y upward, to pixels, y downward.
    to_pixels: Affine,
    /// From pixels of the page to those of the band.
    to_band: Transform,
}

impl Canvas {
    fn draw(&mut self, about: &About, mark: &Mark) {
        match mark {
            Mark::Trace(trace, ink) => self.trace(trace, *ink),
            Mark::Picture { index, frame } => {
                if let Some(picture) = about.pictures.get(*index) {
                    self.picture(picture, *frame);
                }
            }
        }
    }

    fn trace(&mut self, trace: &Trace, ink: Ink) {
        match trace {
            Trace::Sign { sign, at, size } => {
                let place = Affine::translate(at.to_vec2()) * Affine::scale(size / 4.0);
                self.fill(MusicFace::get().outline(*sign), place, ink);
            }
            Trace::Text { text, face, at, size } => {
                for (gid, at) in typeset::shape(*face, text).placed(*at, *size) {
                    let place = Affine::translate(at.to_vec2()) * Affine::scale(*size);
                    self.fill(typeset::outline(*face, gid), place, ink);
                }
            }
            Trace::Line { from, to, width } => {
                let mut path = BezPath::new();
                path.move_to(*from);
                path.line_to(*to);
                self.stroke(&path, *width, ink);
            }
            Trace::Slab { .. } | Trace::Wedge { .. } | Trace::Crescent { .. } | Trace::Fill(_) => {
                self.fill(&trace.filled(), Affine::IDENTITY, ink);
            }
            Trace::Stroke { path, width } => self.stroke(path, *width, ink),
        }
    }

    fn fill(&mut self, path: &BezPath, place: Affine, ink: Ink) {
        if let Some(path) = skia_path(path, self.to_pixels * place) {
            let rule = FillRule::Winding;
            self.pixmap.fill_path(&path, &paint(ink), rule, self.to_band, None);
        }
    }

    fn stroke(&mut self, path: &BezPath, width: f64, ink: Ink) {
        let width = (width * self.to_pixels.as_coeffs()[0]) as f32;
        let stroke = Stroke { width, line_join: LineJoin::Round, ..Stroke::default() };
        if let Some(path) = skia_path(path, self.to_pixels) {
            self.pixmap.stroke_path(&path, &paint(ink), &stroke, self.to_band, None);
        }
    }

    fn picture(&mut self, picture: &Picture, frame: Rect) {
        let frame = self.to_pixels.transform_rect_bbox(frame);
        let top = f64::from(-self.to_band.ty);
        // A picture is too large to be got ready in vain.
        if frame.y1 < top || frame.y0 > top + f64::from(self.pixmap.height()) {
            return;
        }
        let Some(mut source) = Pixmap::new(picture.width, picture.height) else { return };
        for (pixel, rgb) in source.pixels_mut().iter_mut().zip(picture.rgb.chunks_exact(3)) {
            let opaque = PremultipliedColorU8::from_rgba(rgb[0], rgb[1], rgb[2], 255);
            *pixel = opaque.unwrap_or(*pixel);
        }
        let transform = Transform::from_row(
            (frame.width() / f64::from(picture.width)) as f32,
            0.0,
            0.0,
            (frame.height() / f64::from(picture.height)) as f32,
            frame.x0 as f32,
            frame.y0 as f32 + self.to_band.ty,
        );
        let paint = PixmapPaint { quality: FilterQuality::Bilinear, ..PixmapPaint::default() };
        self.pixmap.draw_pixmap(0, 0, source.as_ref(), &paint, transform, None);
    }
}

fn paint(ink: Ink) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    let level = match ink {
        Ink::Black => 0.0,
        Ink::Grey(level) => level.clamp(0.0, 1.0),
    };
    let level = (level * 255.0).round() as u8;
    paint.set_color_rgba8(level, level, level, 255);
    paint
}

fn skia_path(path: &BezPath, place: Affine) -> Option<tiny_skia::Path> {
    let mut builder = PathBuilder::new();
    let at = |point: kurbo::Point| {
        let point = place * point;
        (point.x as f32, point.y as f32)
    };
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                let (x, y) = at(p);
                builder.move_to(x, y);
            }
            PathEl::LineTo(p) => {
                let (x, y) = at(p);
                builder.line_to(x, y);
            }
            PathEl::QuadTo(a, p) => {
                let ((ax, ay), (x, y)) = (at(a), at(p));
                builder.quad_to(ax, ay, x, y);
            }
            PathEl::CurveTo(a, b, p) => {
                let ((ax, ay), (bx, by), (x, y)) = (at(a), at(b), at(p));
                builder.cubic_to(ax, ay, bx, by, x, y);
            }
            PathEl::ClosePath => builder.close(),
        }
    }
    builder.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::pipeline;
    use crate::recipe::{DocumentForm, Recipe};

    #[test]
    fn bands_follow_each_other_and_hold_no_more_than_they_may() {
        for (width, height, most) in [(100, 1000, 30_000), (100, 1000, 99_999), (7, 5, 35)] {
            let bands: Vec<Range<u32>> = bands(width, height, most).collect();
            assert_eq!((bands[0].start, bands[bands.len() - 1].end), (0, height));
            assert!(bands.windows(2).all(|two| two[0].end == two[1].start));
            for band in &bands {
                let edges = if bands.len() == 1 { 0 } else { 2 * MARGIN };
                assert!((band.len() + edges as usize) * width as usize <= most, "{band:?}");
            }
        }
        // A4 at 300 dots an inch.
        assert_eq!(bands(2480, 3508, BAND).count(), 1);
        assert_eq!(bands(0, 0, BAND).count(), 1);
    }

    #[test]
    fn a_page_drawn_in_bands_looks_as_if_drawn_whole() {
        let keys = vec!["Db".parse().unwrap()];
        let recipe = Recipe { form: DocumentForm::Handout, keys, ..Recipe::default() };
        let document = pipeline::document(&recipe).unwrap();
        let page = &document.pages[0];
        for dpi in [96, 300] {
            let pixels = |most| {
                let file = in_bands(&document.about, page, dpi, most).unwrap();
                image::load_from_memory(&file).unwrap().into_luma8()
            };
            let whole = pixels(usize::MAX);
            let rows = 2 * MARGIN + 50;
            let banded = pixels((rows * whole.width()) as usize);
            assert_eq!(whole.dimensions(), banded.dimensions());
            let apart = whole.pixels().zip(banded.pixels()).map(|(a, b)| a.0[0].abs_diff(b.0[0]));
            let apart: Vec<u8> = apart.filter(|apart| *apart > 0).collect();
            // One step of anti-aliasing, of which there are sixteen and which nobody sees, where an edge
            // lies on the border between two: that is chance, and falls on a few pixels in a million.
            let few = 1 + 4 * whole.len() / 1_000_000;
            let is_alike = apart.len() <= few && apart.iter().all(|apart| *apart <= 16);
            assert!(is_alike, "{dpi}: {} pixels differ: {apart:?}", apart.len());
        }
    }
}
