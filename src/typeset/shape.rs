//! Shaping: characters to glyphs, with kerning and ligatures.

use std::ops::{Deref, Range};
use std::sync::{Arc, OnceLock};

use kurbo::{Point, Rect, Vec2};
use rustybuzz::{BufferClusterLevel, Direction, GlyphBuffer, UnicodeBuffer, script};

use crate::typeset::face::{self, Loaded, TextFace};
use crate::typeset::store::{Lent, TextStore};

/// One glyph of a shaped run. Lengths in thousandths of the em.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ShapedGlyph {
    /// The glyph in its font file.
    pub gid: u16,
    /// How far the next glyph stands, kerning included.
    pub advance: i32,
    /// Where the glyph is drawn, right of its place in the run.
    pub dx: i32,
    /// Where the glyph is drawn, above the baseline.
    pub dy: i32,
    /// The bytes of the run's text that the glyph stands for; empty for the second and later
    /// glyphs of a group.
    source: Range<usize>,
}

/// A shaped run of text.
#[derive(Debug)]
pub struct ShapedRun {
    face: TextFace,
    text: Box<str>,
    glyphs: Box<[ShapedGlyph]>,
    advance: i32,
    ink: OnceLock<Rect>,
}

impl ShapedRun {
    /// The text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The glyphs in drawing order.
    pub fn glyphs(&self) -> &[ShapedGlyph] {
        &self.glyphs
    }

    /// Where each glyph is drawn, given where the run begins and its em, in any unit.
    pub fn placed(&self, at: Point, em: f64) -> impl Iterator<Item = (u16, Point)> {
        let thousandth = em / 1000.0;
        let mut pen = at;
        self.glyphs.iter().map(move |glyph| {
            let off = Vec2::new(f64::from(glyph.dx), f64::from(glyph.dy)) * thousandth;
            let place = pen + off;
            pen.x += f64::from(glyph.advance) * thousandth;
            (glyph.gid, place)
        })
    }

    /// What a glyph of this run stands for: one character, the letters of a ligature, or
    /// nothing for the second and later glyphs of a group.
    pub fn source(&self, glyph: &ShapedGlyph) -> &str {
        self.text.get(glyph.source.clone()).unwrap_or_default()
    }

    /// The advance width, the em being 1.
    pub fn advance(&self) -> f64 {
        f64::from(self.advance) / 1000.0
    }

    /// The ink, the em being 1.
    pub(crate) fn ink(&self) -> Rect {
        *self.ink.get_or_init(|| {
            let face = face::loaded(self.face);
            let mut x = 0;
            let mut all: Option<Rect> = None;
            for glyph in &self.glyphs {
                if let Some(ink) = face.ink(glyph.gid) {
                    let at = (f64::from(x + glyph.dx) / 1000.0, f64::from(glyph.dy) / 1000.0);
                    let ink = ink + kurbo::Vec2::from(at);
                    all = Some(all.map_or(ink, |all| all.union(ink)));
                }
                x += glyph.advance;
            }
            all.unwrap_or(Rect::ZERO)
        })
    }

    /// The first character that the face has no glyph for.
    pub fn missing(&self) -> Option<char> {
        let face = &face::loaded(self.face).shaper;
        let gap = self.glyphs.iter().filter(|glyph| glyph.gid == 0);
        let start = gap.map(|glyph| glyph.source.start).min()?;
        let rest = self.text.get(start..).unwrap_or_default();
        rest.chars().find(|&c| face.glyph_index(c).is_none()).or_else(|| rest.chars().next())
    }
}

/// The shaped run of a text, kept for the next call.
pub(crate) fn cached(face: TextFace, text: &str) -> Arc<ShapedRun> {
    read(face, text, Arc::clone)
}

static STORES: [TextStore<ShapedRun>; 4] = [const { TextStore::new() }; 4];

/// What `look` reads off the shaped run of a text, which is kept for the next call. Threads that
/// only measure need not fight for the count of a run's owners.
pub(crate) fn read<T>(face: TextFace, text: &str, look: impl FnOnce(&Arc<ShapedRun>) -> T) -> T {
    STORES[face as usize].read(text, || fresh(face, text), look)
}

/// A shaped run, lent where it is kept.
pub(crate) struct LentRun(Lent<'static, ShapedRun>);

impl Deref for LentRun {
    type Target = ShapedRun;

    fn deref(&self) -> &ShapedRun {
        &self.0
    }
}

/// The shaped run of a text, which is kept for the next call.
pub(crate) fn lend(face: TextFace, text: &str) -> LentRun {
    LentRun(STORES[face as usize].lend(text, || fresh(face, text)))
}

/// The shaped run of a text, not kept.
pub(crate) fn fresh(face: TextFace, text: &str) -> ShapedRun {
    let loaded = face::loaded(face);
    let shaped = shape(loaded, text);
    let per_mille = |units: i32| {
        let em = loaded.shaper.units_per_em();
        if em == 1000 { units } else { (units * 1000 + em / 2).div_euclid(em) }
    };
    let infos = shaped.glyph_infos();
    let mut starts: Vec<usize> = infos.iter().map(|info| info.cluster as usize).collect();
    starts.sort_unstable();
    starts.dedup();
    starts.push(text.len());
    let mut seen = None;
    let mut advance = 0;
    let glyphs = infos
        .iter()
        .zip(shaped.glyph_positions())
        .map(|(info, position)| {
            let start = info.cluster as usize;
            let end = starts[starts.partition_point(|&other| other <= start)];
            let again = seen.replace(start) == Some(start);
            let glyph = ShapedGlyph {
                // A glyph id of an OpenType face has 16 bits.
                gid: u16::try_from(info.glyph_id).unwrap_or(0),
                advance: per_mille(position.x_advance),
                dx: per_mille(position.x_offset),
                dy: per_mille(position.y_offset),
                source: if again { end..end } else { start..end },
            };
            advance += glyph.advance;
            glyph
        })
        .collect();
    ShapedRun { face, text: text.into(), glyphs, advance, ink: OnceLock::new() }
}

fn shape(face: &Loaded, text: &str) -> GlyphBuffer {
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    buffer.set_cluster_level(BufferClusterLevel::Characters);
    buffer.guess_segment_properties();
    let plain = matches!(buffer.script(), script::LATIN | script::COMMON | script::UNKNOWN);
    if plain {
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        rustybuzz::shape_with_plan(&face.shaper, &face.latin, buffer)
    } else {
        rustybuzz::shape(&face.shaper, &[], buffer)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sources(face: TextFace, text: &str) -> Vec<String> {
        let run = fresh(face, text);
        run.glyphs().iter().map(|glyph| run.source(glyph).to_owned()).collect()
    }

    #[test]
    fn a_ligature_stands_for_all_its_letters() {
        assert_eq!(sources(TextFace::Regular, "office"), ["o", "ffi", "c", "e"]);
        assert_eq!(sources(TextFace::Italic, "final"), ["fi", "n", "a", "l"]);
        assert_eq!(sources(TextFace::Bold, "Cm7"), ["C", "m", "7"]);
    }

    #[test]
    fn sources_put_together_give_the_text_back() {
        for text in ["Well-tuned: 1–3–5–7 “swing”", "e\u{301}tude", "Łódź ffi ffl", "", " "]
        {
            for face in TextFace::ALL {
                assert_eq!(sources(face, text).concat(), text, "{face:?} {text}");
            }
        }
    }

    #[test]
    fn a_decomposed_accent_looks_like_the_composed_letter() {
        let (one, two) = (fresh(TextFace::Regular, "\u{E9}"), fresh(TextFace::Regular, "e\u{301}"));
        assert_eq!(one.glyphs().len(), 1);
        assert_eq!(one.glyphs()[0].gid, two.glyphs()[0].gid);
        assert_eq!(one.advance(), two.advance());
    }

    #[test]
    fn pairs_are_kerned() {
        for face in TextFace::ALL {
            let alone = fresh(face, "A").advance() + fresh(face, "V").advance();
            assert!(fresh(face, "AV").advance() < alone - 0.02, "{face:?}");
        }
    }

    #[test]
    fn threads_see_the_same_run() {
        let words: Vec<String> = (0..200).map(|n| format!("Word {n} fi AV")).collect();
        let runs = std::thread::scope(|scope| {
            let tasks: Vec<_> = (0..4)
                .map(|_| {
                    scope.spawn(|| {
                        let run = |word: &String| cached(TextFace::Regular, word);
                        words.iter().map(run).map(|run| run.glyphs().to_vec()).collect::<Vec<_>>()
                    })
                })
                .collect();
            tasks.into_iter().map(|task| task.join().expect("no panic")).collect::<Vec<_>>()
        });
        assert!(runs.windows(2).all(|pair| pair[0] == pair[1]));
    }
}
