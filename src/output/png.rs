//! Pages as pictures, drawn straight from the marks, with no PDF in between.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder as _};
use kurbo::{Affine, BezPath, PathEl, Rect};
use thiserror::Error;
use tiny_skia::{
    FillRule, FilterQuality, LineJoin, Paint, PathBuilder, Pixmap, PixmapPaint, Stroke, Transform,
};

use crate::canvas::{About, Ink, Mark, Page, Picture, Trace};
use crate::glyphs::MusicFace;
use crate::typeset;

/// Why a page cannot become a picture.
#[derive(Debug, Error)]
pub enum PngError {
    /// The resolution makes no picture, or one too large to hold.
    #[error("{dpi} dots an inch make no picture of this page; ask for {} to {}", RESOLUTIONS.start(), RESOLUTIONS.end())]
    Resolution {
        /// The resolution asked for.
        dpi: u32,
    },
    /// The encoder failed.
    #[error("the picture cannot be encoded: {0}")]
    Encode(#[from] image::ImageError),
}

/// Resolutions that make a picture, in dots an inch.
pub const RESOLUTIONS: std::ops::RangeInclusive<u32> = 20..=1200;

/// A page of a document as a PNG at `dpi` dots an inch, in shades of grey unless it bears a
/// picture.
pub fn png(about: &About, page: &Page, dpi: u32) -> Result<Vec<u8>, PngError> {
    let pixmap = draw(about, page, dpi)?;
    let (width, height) = (pixmap.width(), pixmap.height());
    let has_picture = page.marks().any(|mark| matches!(mark, Mark::Picture { .. }));
    let pixels = pixmap.pixels().iter();
    let (bytes, colour): (Vec<u8>, _) = if has_picture {
        let rgb = pixels.flat_map(|pixel| [pixel.red(), pixel.green(), pixel.blue()]);
        (rgb.collect(), ExtendedColorType::Rgb8)
    } else {
        (pixels.map(|pixel| pixel.green()).collect(), ExtendedColorType::L8)
    };
    let mut file = Vec::new();
    PngEncoder::new_with_quality(&mut file, CompressionType::Default, FilterType::Up)
        .write_image(&bytes, width, height, colour)?;
    Ok(file)
}

fn draw(about: &About, page: &Page, dpi: u32) -> Result<Pixmap, PngError> {
    let refused = PngError::Resolution { dpi };
    if !RESOLUTIONS.contains(&dpi) {
        return Err(refused);
    }
    let scale = f64::from(dpi) / 72.0;
    let pixels = |length: f64| (length * scale).round() as u32;
    let mut pixmap =
        Pixmap::new(pixels(page.size.width), pixels(page.size.height)).ok_or(refused)?;
    pixmap.fill(tiny_skia::Color::WHITE);
    let to_pixels = Affine::new([scale, 0.0, 0.0, -scale, 0.0, page.size.height * scale]);
    let mut canvas = Canvas { pixmap, to_pixels };
    for mark in page.marks() {
        canvas.draw(about, mark);
    }
    Ok(canvas.pixmap)
}

struct Canvas {
    pixmap: Pixmap,
    /// From points on the page, y upward, to pixels, y downward.
    to_pixels: Affine,
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
                let run = typeset::shape(*face, text);
                let mut pen = *at;
                for glyph in run.glyphs() {
                    let em = size / 1000.0;
                    let offset =
                        kurbo::Vec2::new(f64::from(glyph.dx) * em, f64::from(glyph.dy) * em);
                    let place = Affine::translate(pen.to_vec2() + offset) * Affine::scale(*size);
                    self.fill(typeset::outline(*face, glyph.gid), place, ink);
                    pen.x += f64::from(glyph.advance) * em;
                }
            }
            Trace::Line { from, to, width } => {
                let mut path = BezPath::new();
                path.move_to(*from);
                path.line_to(*to);
                self.stroke(&path, *width, ink);
            }
            Trace::Fill(path) => self.fill(path, Affine::IDENTITY, ink),
            Trace::Stroke { path, width } => self.stroke(path, *width, ink),
        }
    }

    fn fill(&mut self, path: &BezPath, place: Affine, ink: Ink) {
        if let Some(path) = skia_path(path, self.to_pixels * place) {
            let rule = FillRule::Winding;
            self.pixmap.fill_path(&path, &paint(ink), rule, Transform::identity(), None);
        }
    }

    fn stroke(&mut self, path: &BezPath, width: f64, ink: Ink) {
        let width = (width * self.to_pixels.as_coeffs()[0]) as f32;
        let stroke = Stroke { width, line_join: LineJoin::Round, ..Stroke::default() };
        if let Some(path) = skia_path(path, self.to_pixels) {
            self.pixmap.stroke_path(&path, &paint(ink), &stroke, Transform::identity(), None);
        }
    }

    fn picture(&mut self, picture: &Picture, frame: Rect) {
        let Some(mut source) = Pixmap::new(picture.width, picture.height) else { return };
        for (pixel, rgb) in source.pixels_mut().iter_mut().zip(picture.rgb.chunks_exact(3)) {
            let opaque = tiny_skia::PremultipliedColorU8::from_rgba(rgb[0], rgb[1], rgb[2], 255);
            *pixel = opaque.unwrap_or(*pixel);
        }
        let frame = self.to_pixels.transform_rect_bbox(frame);
        let transform = Transform::from_row(
            (frame.width() / f64::from(picture.width)) as f32,
            0.0,
            0.0,
            (frame.height() / f64::from(picture.height)) as f32,
            frame.x0 as f32,
            frame.y0 as f32,
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
