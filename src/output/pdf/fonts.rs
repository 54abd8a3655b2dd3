//! The faces of a document, cut down to the glyphs in use.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, OnceLock, PoisonError};

use ecow::EcoString;
use kurbo::{Line, ParamCurve, Point};
use lopdf::{Dictionary, Object};
use subsetter::GlyphRemapper;

use crate::canvas::{Mark, Page, Trace};
use crate::glyphs::MusicFace;
use crate::output::OutputError;
use crate::output::pdf::deflate;
use crate::typeset::{self, LentRun, TextFace};

/// One of the faces that a document may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum PdfFace {
    Music,
    Text(TextFace),
}

impl PdfFace {
    pub(crate) const ALL: [Self; 5] = [
        Self::Music,
        Self::Text(TextFace::Regular),
        Self::Text(TextFace::Italic),
        Self::Text(TextFace::Semibold),
        Self::Text(TextFace::Bold),
    ];

    const fn index(self) -> usize {
        match self {
            Self::Music => 0,
            Self::Text(face) => 1 + face as usize,
        }
    }

    /// The name under which pages call the font.
    pub(crate) const fn resource(self) -> &'static str {
        match self {
            Self::Music => "M",
            Self::Text(TextFace::Regular) => "R",
            Self::Text(TextFace::Italic) => "I",
            Self::Text(TextFace::Semibold) => "S",
            Self::Text(TextFace::Bold) => "B",
        }
    }

    const fn postscript_name(self) -> &'static str {
        match self {
            Self::Music => "Quintfall",
            Self::Text(face) => face.postscript_name(),
        }
    }

    fn bytes(self) -> &'static [u8] {
        match self {
            Self::Music => MusicFace::BYTES,
            Self::Text(face) => face.bytes(),
        }
    }
}

/// The shaped words of a page, one run for each text mark, in order.
pub(crate) fn shape_words(page: &Page) -> Vec<LentRun> {
    // Most pages have fewer words.
    let mut words = Vec::with_capacity(512);
    page.marks().for_each(|mark| {
        if let Mark::Trace(Trace::Text { text, face, .. }, _) = mark {
            words.push(typeset::lend(*face, text));
        }
    });
    words
}

/// The advance of a glyph in thousandths of the em.
pub(crate) fn advance(face: PdfFace, gid: u16) -> i32 {
    static ADVANCES: [OnceLock<Vec<i32>>; 5] = [const { OnceLock::new() }; 5];
    let advances = ADVANCES[face.index()].get_or_init(|| {
        let Ok(face) = ttf_parser::Face::parse(face.bytes(), 0) else { return Vec::new() };
        let em = i32::from(face.units_per_em());
        let advance = |gid| face.glyph_hor_advance(ttf_parser::GlyphId(gid)).unwrap_or(0);
        (0..face.number_of_glyphs()).map(|gid| i32::from(advance(gid)) * 1000 / em).collect()
    });
    advances.get(usize::from(gid)).copied().unwrap_or_default()
}

/// For each face, the glyphs that a page shows, each once or, where it stands for nothing at first,
/// twice; and what each stands for.
#[derive(Clone, Debug, Default)]
pub(crate) struct Uses([Vec<(u16, EcoString)>; 5]);

impl Uses {
    /// The use that a page makes of all faces, `words` being its shaped runs.
    pub(crate) fn of(page: &Page, words: &[LentRun]) -> Self {
        // Most pages show fewer glyphs of a face.
        let mut uses = Self(std::array::from_fn(|_| Vec::with_capacity(64)));
        let mut known = KnownGlyphs::default();
        let mut runs = words.iter();
        page.marks().for_each(|mark| match mark {
            Mark::Trace(Trace::Sign { sign, .. }, _) => {
                let gid = MusicFace::get().glyph_id(*sign);
                let of = known.of(PdfFace::Music, gid);
                if *of != Meaning::Known {
                    *of = Meaning::Known;
                    uses.add(PdfFace::Music, gid, &sign.code().to_string());
                }
            }
            Mark::Trace(Trace::Text { face, .. }, _) => {
                let Some(run) = runs.next() else { return };
                let face = PdfFace::Text(*face);
                for glyph in run.glyphs() {
                    let of = known.of(face, glyph.gid);
                    if *of == Meaning::Known {
                        continue;
                    }
                    let meaning = run.source(glyph);
                    if !meaning.is_empty() {
                        *of = Meaning::Known;
                        uses.add(face, glyph.gid, meaning);
                    } else if *of == Meaning::Unmet {
                        *of = Meaning::None;
                        uses.add(face, glyph.gid, meaning);
                    }
                }
            }
            _ => {}
        });
        uses
    }

    fn add(&mut self, face: PdfFace, gid: u16, meaning: &str) {
        self.0[face.index()].push((gid, meaning.into()));
    }
}

/// What is known of a glyph.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Meaning {
    /// It has not been met yet.
    #[default]
    Unmet,
    /// It is in use and has stood for nothing yet.
    None,
    /// What it stands for.
    Known,
}

/// What is known of each glyph of each face: asked for every glyph of every word.
#[derive(Default)]
struct KnownGlyphs([Vec<Meaning>; 5]);

impl KnownGlyphs {
    fn of(&mut self, face: PdfFace, gid: u16) -> &mut Meaning {
        let (known, place) = (&mut self.0[face.index()], usize::from(gid));
        if known.len() <= place {
            known.resize((place + 1).next_multiple_of(512), Meaning::Unmet);
        }
        &mut known[place]
    }
}

/// The use that a document makes of one face.
#[derive(Clone, Debug, Default)]
pub(crate) struct FontUse {
    /// The glyphs in use and what each stands for.
    meanings: BTreeMap<u16, String>,
    /// For each glyph of the face, its code in the file; 0 for a glyph not in use.
    codes: Vec<u16>,
}

/// The use that a document makes of all faces.
#[derive(Clone, Debug)]
pub(crate) struct Fonts {
    uses: [FontUse; 5],
}

impl Fonts {
    /// What a document uses that is yet to be written.
    pub(crate) fn none() -> Self {
        Self { uses: Default::default() }
    }

    /// Adds what another page uses; a glyph that is new gets the next code.
    pub(crate) fn learn(&mut self, Uses(page): &Uses) {
        for (known, met) in self.uses.iter_mut().zip(page) {
            for (gid, meaning) in met {
                known.learn(*gid, meaning);
            }
        }
    }

    /// The code of a glyph in the file.
    pub(crate) fn code(&self, face: PdfFace, gid: u16) -> u16 {
        let codes = &self.uses[face.index()].codes;
        codes.get(usize::from(gid)).copied().unwrap_or_default()
    }

    /// The faces in use.
    pub(crate) fn in_use(&self) -> impl Iterator<Item = PdfFace> {
        PdfFace::ALL.into_iter().filter(|face| !self.uses[face.index()].meanings.is_empty())
    }

    /// The codes of a face in ascending order, with what each stands for.
    pub(crate) fn meanings(&self, face: PdfFace) -> impl Iterator<Item = (u16, &str)> {
        let font = &self.uses[face.index()];
        let meaning = |gid: u16| font.meanings.get(&gid).map_or("", String::as_str);
        font.by_code().into_iter().map(move |(code, gid)| (code, meaning(gid)))
    }

    /// Cuts a face down to the glyphs in use.
    pub(crate) fn subset(&self, face: PdfFace) -> Result<Subset, OutputError> {
        let gids: Vec<u16> =
            self.uses[face.index()].by_code().into_iter().map(|(_, gid)| gid).collect();
        let cut = KNOWN_CUTS[face.index()].cut(face, &gids)?;
        let tag = tag(self.uses[face.index()].meanings.keys().copied());
        Ok(Subset { face, name: format!("{tag}+{}", face.postscript_name()), cut })
    }
}

/// What a face is with some of its glyphs alone.
pub(crate) struct CutFace {
    /// The font file.
    pub(crate) program: Vec<u8>,
    /// The embedded part of the font file, deflated.
    packed: Vec<u8>,
}

impl CutFace {
    /// A face with glyphs in the order of their codes.
    fn of(face: PdfFace, gids: &[u16]) -> Result<Self, OutputError> {
        let mut remapper = GlyphRemapper::new();
        for gid in gids {
            remapper.remap(*gid);
        }
        let program = subsetter::subset(face.bytes(), 0, &remapper).map_err(|error| {
            let face = face.postscript_name().to_owned();
            OutputError::Font { face, reason: error.to_string() }
        })?;
        let packed = deflate(embedded_part(&program));
        Ok(Self { program, packed })
    }
}

impl FontUse {
    /// Gives a glyph the next code, unless it has one, and its first meaning that is no empty one.
    fn learn(&mut self, gid: u16, meaning: &str) {
        let place = usize::from(gid);
        if self.codes.len() <= place {
            self.codes.resize(place + 1, 0);
        }
        if self.codes[place] == 0 {
            // A face has no more glyphs than there are numbers for them.
            self.codes[place] = u16::try_from(self.meanings.len() + 1).unwrap_or(u16::MAX);
        }
        let known = self.meanings.entry(gid).or_default();
        if known.is_empty() {
            meaning.clone_into(known);
        }
    }

    /// The codes in ascending order, with their glyphs.
    fn by_code(&self) -> Vec<(u16, u16)> {
        let pairs = self.meanings.keys().map(|gid| (self.codes[usize::from(*gid)], *gid));
        let mut pairs: Vec<(u16, u16)> = pairs.collect();
        pairs.sort_unstable();
        pairs
    }
}

/// The last cut faces of one kind, each with its glyphs in the order of their codes: the sheets of a
/// class, and what a page in a browser asks for again, differ in a name at the most, and cutting takes
/// a tenth of a workbook.
struct KnownCuts(Mutex<Vec<(Vec<u16>, Arc<CutFace>)>>);

static KNOWN_CUTS: [KnownCuts; 5] = [const { KnownCuts::none() }; 5];

impl KnownCuts {
    /// How many are kept.
    const MOST: usize = 8;

    const fn none() -> Self {
        Self(Mutex::new(Vec::new()))
    }

    /// A face with these glyphs, kept for the next document.
    fn cut(&self, face: PdfFace, gids: &[u16]) -> Result<Arc<CutFace>, OutputError> {
        if let Some(known) = self.known(gids) {
            return Ok(known);
        }
        // Not under the lock: other documents need not wait.
        let cut = Arc::new(CutFace::of(face, gids)?);
        let mut cuts = self.lock();
        cuts.truncate(Self::MOST - 1);
        cuts.insert(0, (gids.to_vec(), Arc::clone(&cut)));
        Ok(cut)
    }

    /// One that is kept, which then is the last to be forgotten.
    fn known(&self, gids: &[u16]) -> Option<Arc<CutFace>> {
        let mut cuts = self.lock();
        let place = cuts.iter().position(|(own, _)| own == gids)?;
        cuts[..=place].rotate_right(1);
        Some(Arc::clone(&cuts[0].1))
    }

    fn lock(&self) -> MutexGuard<'_, Vec<(Vec<u16>, Arc<CutFace>)>> {
        // Whoever panicked with the lock left whole entries.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A face cut down to the glyphs in use.
pub(crate) struct Subset {
    pub(crate) face: PdfFace,
    /// Its name with the tag that marks a subset (ISO 32000-1, 9.6.4).
    pub(crate) name: String,
    pub(crate) cut: Arc<CutFace>,
}

impl Subset {
    /// Completes what the PDF says about the font: its descriptor and its packed program.
    pub(crate) fn complete(
        self,
        file: &mut lopdf::Document,
        font: lopdf::ObjectId,
    ) -> Result<(), OutputError> {
        let descendants = file.get_dictionary(font)?.get(b"DescendantFonts")?.as_array()?;
        let descendant = descendants.first().ok_or_else(|| {
            OutputError::Structure(format!("the font {} lacks a descendant", self.name))
        })?;
        let descriptor = descendant.as_dict()?.get(b"FontDescriptor")?.as_reference()?;
        let descriptor = file.get_dictionary_mut(descriptor)?;
        self.describe(descriptor);
        let program = descriptor.get(b"FontFile2").or_else(|_| descriptor.get(b"FontFile3"));
        let program = program?.as_reference()?;
        let stream = file.get_object_mut(program)?.as_stream_mut()?;
        stream.dict.set("Filter", "FlateDecode");
        stream.set_content(self.cut.packed.clone());
        Ok(())
    }

    fn describe(&self, descriptor: &mut Dictionary) {
        const SERIF: i64 = 1 << 1;
        const SYMBOLIC: i64 = 1 << 2;
        const NONSYMBOLIC: i64 = 1 << 5;
        const ITALIC: i64 = 1 << 6;
        let thousandths = |ems: f64| Object::Integer(rounded(ems * 1000.0));
        match self.face {
            PdfFace::Music => {
                descriptor.set("Flags", SYMBOLIC);
                let box_top = descriptor.get(b"FontBBox").and_then(Object::as_array);
                let top = box_top.ok().and_then(|sides| sides.get(3)).cloned();
                descriptor.set("CapHeight", top.unwrap_or(Object::Integer(1000)));
                // 0 stands for unknown (ISO 32000-2, table 120): signs have no common stem.
                descriptor.set("StemV", 0);
            }
            PdfFace::Text(face) => {
                let slant = if face == TextFace::Italic { ITALIC } else { 0 };
                descriptor.set("Flags", SERIF | NONSYMBOLIC | slant);
                descriptor.set("CapHeight", thousandths(typeset::cap_height(face, 1.0)));
                descriptor.set("XHeight", thousandths(typeset::x_height(face, 1.0)));
                descriptor.set("StemV", thousandths(stem(face)));
            }
        }
    }
}

/// The thickness of the stem of a capital I half way up, the em being 1.
fn stem(face: TextFace) -> f64 {
    let run = typeset::shape(face, "I");
    let Some(glyph) = run.glyphs().first() else { return 0.0 };
    let half = typeset::cap_height(face, 0.5);
    let across = Line::new(Point::new(-1.0, half), Point::new(2.0, half));
    let crossings = typeset::outline(face, glyph.gid).segments().flat_map(|segment| {
        segment.intersect_line(across).into_iter().map(|hit| across.eval(hit.line_t).x)
    });
    let (low, high) = crossings
        .fold((f64::MAX, f64::MIN), |(low, high): (f64, f64), x| (low.min(x), high.max(x)));
    (high - low).max(0.0)
}

fn rounded(value: f64) -> i64 {
    value.round() as i64
}

/// The part of a font file that goes into the PDF: of an OpenType file with CFF outlines only
/// the table of outlines, as `printpdf` embeds it.
fn embedded_part(program: &[u8]) -> &[u8] {
    let face = ttf_parser::RawFace::parse(program, 0).ok();
    let outlines = face.and_then(|face| face.table(ttf_parser::Tag::from_bytes(b"CFF ")));
    outlines.unwrap_or(program)
}

/// Six capital letters that depend on the glyphs in use (ISO 32000-1, 9.6.4).
fn tag(gids: impl Iterator<Item = u16>) -> String {
    let bytes: Vec<u8> = gids.flat_map(u16::to_be_bytes).collect();
    let mut hash = crate::output::pdf::fingerprint(&bytes);
    let letters = (0..6).map(|_| {
        let letter = b'A' + (hash % 26) as u8;
        hash /= 26;
        char::from(letter)
    });
    letters.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stems_grow_with_the_weight() {
        let stems = [TextFace::Regular, TextFace::Semibold, TextFace::Bold].map(stem);
        assert!(stems.windows(2).all(|pair| pair[0] + 0.01 < pair[1]), "{stems:?}");
        assert!((0.06..0.11).contains(&stems[0]), "{stems:?}");
    }

    #[test]
    fn a_face_is_cut_once_for_the_same_glyphs_in_the_same_order() {
        let face = PdfFace::Text(TextFace::Italic);
        let known = KnownCuts::none();
        let cut = |gids: &[u16]| known.cut(face, gids).unwrap();
        let first = cut(&[40, 41, 42]);
        assert!(Arc::ptr_eq(&first, &cut(&[40, 41, 42])));
        assert_ne!(first.program, cut(&[42, 41, 40]).program);
        for other in 50..50 + KnownCuts::MOST as u16 {
            assert!(Arc::ptr_eq(&cut(&[other]), &cut(&[other])));
        }
        assert_eq!(known.lock().len(), KnownCuts::MOST);
        let again = cut(&[40, 41, 42]);
        assert!(!Arc::ptr_eq(&first, &again));
        assert_eq!(first.program, again.program);
    }

    #[test]
    fn a_tag_depends_on_the_glyphs_alone() {
        assert_eq!(tag([1, 2, 3].into_iter()), tag([1, 2, 3].into_iter()));
        assert_ne!(tag([1, 2, 3].into_iter()), tag([1, 2, 4].into_iter()));
        assert!(tag([7].into_iter()).bytes().all(|letter| letter.is_ascii_uppercase()));
    }
}
