//! How large words come out.

use std::sync::Arc;

use kurbo::{BezPath, Rect};

use crate::typeset::face::{self, TextFace};
use crate::typeset::shape::{self, ShapedRun};

/// The glyphs of `text` with kerning and ligatures, in the order they are drawn.
pub fn shape(face: TextFace, text: &str) -> Arc<ShapedRun> {
    shape::cached(face, text)
}

/// The advance width of `text`: where the next run would begin.
pub fn width(face: TextFace, text: &str, size: f64) -> f64 {
    shape::read(face, text, |run| run.advance()) * size
}

/// The ink of `text`, from the true curves of its glyphs; [`Rect::ZERO`] where nothing is inked.
pub fn ink_bounds(face: TextFace, text: &str, size: f64) -> Rect {
    shape::read(face, text, |run| run.ink()).scale_from_origin(size)
}

/// The height of a flat capital.
pub fn cap_height(face: TextFace, size: f64) -> f64 {
    face::loaded(face).metrics.cap_height * size
}

/// The height of a flat small letter.
pub fn x_height(face: TextFace, size: f64) -> f64 {
    face::loaded(face).metrics.x_height * size
}

/// How far the face reaches above the baseline for spacing lines.
pub fn ascent(face: TextFace, size: f64) -> f64 {
    face::loaded(face).metrics.ascent * size
}

/// How far the face reaches below the baseline for spacing lines; positive.
pub fn descent(face: TextFace, size: f64) -> f64 {
    face::loaded(face).metrics.descent * size
}

/// The first character of `text` that the face cannot show.
///
/// Control characters, the line feed among them, count as such.
pub fn missing(face: TextFace, text: &str) -> Option<char> {
    shape(face, text).missing()
}

/// The outline of a glyph, the em being 1; empty for a glyph without ink or out of range.
pub fn outline(face: TextFace, gid: u16) -> &'static BezPath {
    face::loaded(face).outline(gid)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn measures_grow_in_proportion_to_the_size() {
        for face in TextFace::ALL {
            let (small, large) = (width(face, "Cmaj7", 10.0), width(face, "Cmaj7", 25.0));
            assert!((large - 2.5 * small).abs() < 1e-9, "{face:?}");
            let (small, large) = (ink_bounds(face, "Cmaj7", 10.0), ink_bounds(face, "Cmaj7", 25.0));
            assert!((large.width() - 2.5 * small.width()).abs() < 1e-9, "{face:?}");
        }
    }

    #[test]
    fn letters_stand_as_high_as_the_measures_say() {
        for face in TextFace::ALL {
            let ink = ink_bounds(face, "H", 1000.0);
            assert!((ink.y1 - cap_height(face, 1000.0)).abs() <= 1e-9, "{face:?} {ink:?}");
            let ink = ink_bounds(face, "x", 1000.0);
            assert!((ink.y1 - x_height(face, 1000.0)).abs() <= 1e-9, "{face:?} {ink:?}");
            assert!((0.6..0.7).contains(&cap_height(face, 1.0)), "{face:?}");
            assert!((0.4..0.5).contains(&x_height(face, 1.0)), "{face:?}");
            assert!(ascent(face, 1.0) > cap_height(face, 1.0));
            assert!(-ink_bounds(face, "gjpqy", 1.0).y0 <= descent(face, 1.0));
        }
    }

    #[test]
    fn ink_of_a_run_covers_the_ink_of_its_letters_where_they_stand() {
        let face = TextFace::Regular;
        let (n, o) = (ink_bounds(face, "n", 100.0), ink_bounds(face, "o", 100.0));
        let both = ink_bounds(face, "no", 100.0);
        assert_eq!(both.x0, n.x0);
        assert!((both.x1 - (width(face, "n", 100.0) + o.x1)).abs() < 1.0);
        assert_eq!(both.y0, n.y0.min(o.y0));
        assert_eq!(ink_bounds(face, " ", 100.0), Rect::ZERO);
        assert_eq!(ink_bounds(face, "", 100.0), Rect::ZERO);
    }

    #[test]
    fn characters_outside_the_face_are_named() {
        assert_eq!(missing(TextFace::Regular, "Ana Müller, Łódź — ’90"), None);
        assert_eq!(missing(TextFace::Regular, "e\u{301}"), None);
        assert_eq!(missing(TextFace::Regular, "Keys 鍵盤"), Some('鍵'));
        assert_eq!(missing(TextFace::Regular, "a\nb"), Some('\n'));
        assert_eq!(missing(TextFace::Bold, "a\u{E050}b"), Some('\u{E050}'));
    }
}
