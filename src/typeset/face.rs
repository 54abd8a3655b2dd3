//! The four font files, parsed once, with their metrics and outlines.

use std::sync::{LazyLock, OnceLock};

use kurbo::{BezPath, Rect, Shape};
use rustybuzz::ShapePlan;
use ttf_parser::{GlyphId, OutlineBuilder};

/// The cuts of the text family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TextFace {
    /// Upright, for running text.
    Regular,
    /// Italic, for asides.
    Italic,
    /// Upright semibold, for chord symbols and labels.
    Semibold,
    /// Upright bold, for headings.
    Bold,
}

impl TextFace {
    /// Every cut.
    pub const ALL: [Self; 4] = [Self::Regular, Self::Italic, Self::Semibold, Self::Bold];

    /// The whole font file of this cut, from the crate `typst-assets`.
    pub fn bytes(self) -> &'static [u8] {
        loaded(self).bytes
    }

    /// The PostScript name of this cut, as its font file gives it.
    pub const fn postscript_name(self) -> &'static str {
        match self {
            Self::Regular => "LibertinusSerif-Regular",
            Self::Italic => "LibertinusSerif-Italic",
            Self::Semibold => "LibertinusSerif-Semibold",
            Self::Bold => "LibertinusSerif-Bold",
        }
    }
}

/// Vertical measures of a face, the em being 1.
pub(crate) struct Metrics {
    pub(crate) ascent: f64,
    pub(crate) descent: f64,
    pub(crate) cap_height: f64,
    pub(crate) x_height: f64,
}

/// A face as it is kept in memory while the program runs.
pub(crate) struct Loaded {
    pub(crate) bytes: &'static [u8],
    pub(crate) shaper: rustybuzz::Face<'static>,
    /// How Latin text is shaped; by far the most frequent case.
    pub(crate) latin: ShapePlan,
    pub(crate) metrics: Metrics,
    glyphs: Vec<OnceLock<(BezPath, Option<Rect>)>>,
}

/// The face of a cut; parsed at the first call.
pub(crate) fn loaded(face: TextFace) -> &'static Loaded {
    static REGULAR: LazyLock<Loaded> = LazyLock::new(|| Loaded::new(TextFace::Regular));
    static ITALIC: LazyLock<Loaded> = LazyLock::new(|| Loaded::new(TextFace::Italic));
    static SEMIBOLD: LazyLock<Loaded> = LazyLock::new(|| Loaded::new(TextFace::Semibold));
    static BOLD: LazyLock<Loaded> = LazyLock::new(|| Loaded::new(TextFace::Bold));
    match face {
        TextFace::Regular => &REGULAR,
        TextFace::Italic => &ITALIC,
        TextFace::Semibold => &SEMIBOLD,
        TextFace::Bold => &BOLD,
    }
}

/// The font file of a cut, as `build.rs` found it.
fn file(face: TextFace) -> &'static [u8] {
    macro_rules! taken {
        ($name:literal) => {
            include_bytes!(concat!(env!("OUT_DIR"), "/", $name, ".otf"))
        };
    }
    match face {
        TextFace::Regular => taken!("LibertinusSerif-Regular"),
        TextFace::Italic => taken!("LibertinusSerif-Italic"),
        TextFace::Semibold => taken!("LibertinusSerif-Semibold"),
        TextFace::Bold => taken!("LibertinusSerif-Bold"),
    }
}

impl Loaded {
    fn new(face: TextFace) -> Self {
        let bytes = file(face);
        let shaper = rustybuzz::Face::from_slice(bytes, 0)
            .expect("the build took a face, which the tests of this module read");
        let latin = ShapePlan::new(
            &shaper,
            rustybuzz::Direction::LeftToRight,
            Some(rustybuzz::script::LATIN),
            None,
            &[],
        );
        let em = f64::from(shaper.units_per_em());
        let glyphs = (0..shaper.number_of_glyphs()).map(|_| OnceLock::new()).collect();
        let metrics = Metrics {
            ascent: f64::from(shaper.ascender()) / em,
            descent: -f64::from(shaper.descender()) / em,
            cap_height: 0.0,
            x_height: 0.0,
        };
        let mut face = Self { bytes, shaper, latin, metrics, glyphs };
        // Measured, since the heights that the OS/2 table gives can be off by 0.03 em.
        face.metrics.cap_height = face.top_of('H');
        face.metrics.x_height = face.top_of('x');
        face
    }

    fn top_of(&self, letter: char) -> f64 {
        let gid = self.shaper.glyph_index(letter);
        gid.and_then(|gid| self.ink(gid.0)).map_or(0.0, |ink| ink.y1)
    }

    /// The em in font units.
    pub(crate) fn units_per_em(&self) -> f64 {
        f64::from(self.shaper.units_per_em())
    }

    /// The outline of a glyph, the em being 1.
    pub(crate) fn outline(&'static self, gid: u16) -> &'static BezPath {
        static EMPTY: LazyLock<BezPath> = LazyLock::new(BezPath::new);
        self.glyph(gid).map_or(&EMPTY, |(path, _)| path)
    }

    /// The true ink of a glyph, the em being 1; `None` for a glyph without ink.
    pub(crate) fn ink(&self, gid: u16) -> Option<Rect> {
        self.glyph(gid).and_then(|(_, ink)| *ink)
    }

    fn glyph(&self, gid: u16) -> Option<&(BezPath, Option<Rect>)> {
        let slot = self.glyphs.get(usize::from(gid))?;
        Some(slot.get_or_init(|| {
            let mut pen = Pen { path: BezPath::new(), scale: 1.0 / self.units_per_em() };
            self.shaper.outline_glyph(GlyphId(gid), &mut pen);
            let ink = (!pen.path.elements().is_empty()).then(|| pen.path.bounding_box());
            (pen.path, ink)
        }))
    }
}

struct Pen {
    path: BezPath,
    scale: f64,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> (f64, f64) {
        (f64::from(x) * self.scale, f64::from(y) * self.scale)
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.point(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.point(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path.quad_to(self.point(x1, y1), self.point(x, y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.path.curve_to(self.point(x1, y1), self.point(x2, y2), self.point(x, y));
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_cut_is_found_under_its_name() {
        for face in TextFace::ALL {
            let loaded = loaded(face);
            assert!(loaded.shaper.number_of_glyphs() > 1000, "{face:?}");
            assert_eq!(loaded.shaper.is_italic(), face == TextFace::Italic, "{face:?}");
            let weight = loaded.shaper.weight().to_number();
            let expected = match face {
                TextFace::Regular | TextFace::Italic => 400,
                TextFace::Semibold => 600,
                TextFace::Bold => 700,
            };
            assert_eq!(weight, expected, "{face:?}");
        }
    }

    #[test]
    fn outlines_are_in_ems_and_none_lies_out_of_range() {
        let face = loaded(TextFace::Regular);
        let gid = face.shaper.glyph_index('H').map_or(0, |id| id.0);
        let ink = face.ink(gid).expect("H is inked");
        assert!(ink.y0.abs() < 0.02 && (0.6..0.72).contains(&ink.y1), "{ink:?}");
        assert!(face.outline(u16::MAX).elements().is_empty());
        assert_eq!(face.ink(u16::MAX), None);
    }
}
