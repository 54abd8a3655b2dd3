//! The packed face, read back: what layout measures is what the page shows.

use super::Sign;
use super::anchors::{self, Anchor};
use kurbo::{BezPath, Point, Rect, Shape};
use std::sync::LazyLock;
use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// Font units to the staff space: SMuFL makes the em, of 1000 units here, four spaces.
pub(super) const UNITS_PER_SPACE: f64 = 250.0;

/// The bytes cannot be read as the music face.
#[derive(Debug, thiserror::Error)]
pub enum FaceError {
    /// Not an OpenType face.
    #[error("not an OpenType face: {0}")]
    Unreadable(#[from] ttf_parser::FaceParsingError),
    /// A sign has no glyph, or one without an outline.
    #[error(
        "the face has no outline for `{0}`; draw it anew with `cargo run --features draw --bin build_face`"
    )]
    Missing(&'static str),
}

/// The music face, read once. Lengths are in sp, y up, origins as SMuFL registers them.
#[derive(Debug)]
pub struct MusicFace {
    /// In the order of [`Sign::ALL`].
    glyphs: Vec<ReadGlyph>,
}

#[derive(Debug)]
struct ReadGlyph {
    id: u16,
    advance: f64,
    bounds: Rect,
    outline: BezPath,
}

static FACE: LazyLock<MusicFace> = LazyLock::new(|| match MusicFace::read(MusicFace::BYTES) {
    Ok(face) => face,
    Err(error) => panic!("fonts/Quintfall.otf: {error}"),
});

impl MusicFace {
    /// The OpenType file.
    pub const BYTES: &'static [u8] = include_bytes!("../../fonts/Quintfall.otf");

    /// The face that comes with the program.
    pub fn get() -> &'static Self {
        &FACE
    }

    /// Reads a face that has every sign.
    ///
    /// # Errors
    ///
    /// If the bytes are not an OpenType face, or a sign is missing or empty.
    pub fn read(bytes: &[u8]) -> Result<Self, FaceError> {
        let face = Face::parse(bytes, 0)?;
        let mut glyphs = Vec::with_capacity(Sign::ALL.len());
        for &sign in Sign::ALL {
            let missing = || FaceError::Missing(sign.smufl_name());
            let id = face.glyph_index(sign.code()).ok_or_else(missing)?;
            glyphs.push(read_glyph(&face, id).ok_or_else(missing)?);
        }
        Ok(Self { glyphs })
    }

    /// Number of the glyph in the file.
    pub fn glyph_id(&self, sign: Sign) -> u16 {
        self.glyph(sign).id
    }

    /// Advance width, in sp.
    pub fn advance(&self, sign: Sign) -> f64 {
        self.glyph(sign).advance
    }

    /// The box round the ink, in sp.
    pub fn bounds(&self, sign: Sign) -> Rect {
        self.glyph(sign).bounds
    }

    /// The outline, in sp; fill it by the nonzero rule.
    pub fn outline(&self, sign: Sign) -> &BezPath {
        &self.glyph(sign).outline
    }

    /// Where an anchor of the sign is, in sp from its origin; `None` if it has no such anchor.
    pub fn anchor(&self, sign: Sign, anchor: Anchor) -> Option<Point> {
        anchors::find(sign, anchor, self.outline(sign), self.bounds(sign))
    }

    fn glyph(&self, sign: Sign) -> &ReadGlyph {
        // `read` let no face through that lacks a sign.
        &self.glyphs[sign as usize]
    }
}

fn read_glyph(face: &Face<'_>, id: GlyphId) -> Option<ReadGlyph> {
    let mut pen = SpacePen::default();
    face.outline_glyph(id, &mut pen)?;
    let advance = f64::from(face.glyph_hor_advance(id)?) / UNITS_PER_SPACE;
    Some(ReadGlyph { id: id.0, advance, bounds: pen.0.bounding_box(), outline: pen.0 })
}

/// Takes an outline down in sp.
#[derive(Default)]
struct SpacePen(BezPath);

fn at(x: f32, y: f32) -> Point {
    Point::new(f64::from(x) / UNITS_PER_SPACE, f64::from(y) / UNITS_PER_SPACE)
}

impl OutlineBuilder for SpacePen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to(at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to(at(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.0.quad_to(at(x1, y1), at(x, y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.0.curve_to(at(x1, y1), at(x2, y2), at(x, y));
    }

    fn close(&mut self) {
        self.0.close_path();
    }
}
