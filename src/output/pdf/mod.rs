//! PDF: `printpdf` makes the document with its fonts and pictures, our own streams draw the
//! pages, and `lopdf` adds what `printpdf` lacks.

mod content;
mod finish;
mod fonts;
mod in_use;
mod labels;
mod metadata;
mod number;
mod stack;
mod syntax;

use std::cell::RefCell;

use flate2::{Compress, Compression, FlushCompress, Status};
use kurbo::Shape;
use lopdf::{Dictionary, Object, Stream};
use printpdf::serialize::{PdfSaveOptions, to_lopdf_doc};
use printpdf::{
    Codepoint, FontId, Op, ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage, Pt, RawImage,
    RawImageData, RawImageFormat, TextItem, XObject, XObjectId,
};

use self::content::{PageContent, picture_resource};
use crate::canvas::{About, Bookmark, Document, Mark, Page, Picture, Trace};
use crate::output::LARGEST_RECIPE;
use crate::output::OutputError;
use crate::output::pdf::fonts::{Fonts, Subset, Uses, shape_words};
use crate::parallel;
use crate::typeset::LentRun;

pub use self::stack::{Stack, StackError, StackPart};

/// How hard streams are deflated, from 1 (fast) to 9 (small).
///
/// Past 5, time grows much and size shrinks little: on 18 dense pages, level 6 takes 30 % longer
/// for 2 % less, level 9 takes four times as long for 4 % less.
pub const DEFLATE_LEVEL: u32 = 5;

/// A page turned into the operators that draw it.
#[derive(Clone)]
pub struct Inked {
    /// The page without its blocks.
    frame: Page,
    content: PageContent,
    uses: Uses,
    /// The highest index of a picture that it shows.
    picture: Option<usize>,
    fault: Option<OutputError>,
}

/// Turns a page into the operators that draw it. They take less memory than its marks, so a long
/// document is drawn and inked page by page.
pub fn ink(page: &Page) -> Inked {
    let words = shape_words(page);
    let pictures = page.marks().filter_map(|mark| match mark {
        Mark::Picture { index, .. } => Some(*index),
        _ => None,
    });
    Inked {
        frame: Page {
            size: page.size,
            blocks: Vec::new(),
            links: page.links.clone(),
            label: page.label.clone(),
        },
        content: content::write(page, &words),
        uses: Uses::of(page, &words),
        picture: pictures.max(),
        fault: check_page(page).and_then(|()| check_words(page, &words)).err(),
    }
}

/// The document as a PDF file.
///
/// The same document gives the same bytes, in any thread and any process.
///
/// # Errors
///
/// If the document refers to pages, pictures or characters that are not there, or has no pages.
pub fn pdf(document: &Document) -> Result<Vec<u8>, OutputError> {
    bind(&document.about, parallel::map(&document.pages, ink))
}

/// The PDF file of pages that have been turned into operators by [`ink`], in order.
///
/// # Errors
///
/// As [`pdf`].
pub fn bind(about: &About, pages: Vec<Inked>) -> Result<Vec<u8>, OutputError> {
    PdfInMaking::begin(about).finish(pages)
}

/// A PDF file in the making, to which pages are added some at a time, so that the operators of a long
/// document are never in memory as a whole. A glyph gets its code when it is first met.
pub struct PdfInMaking<'a> {
    about: &'a About,
    fonts: Fonts,
    /// The pages without their blocks.
    frames: Vec<Page>,
    /// What they show, deflated.
    contents: Vec<Vec<u8>>,
}

impl<'a> PdfInMaking<'a> {
    /// Begins a file without pages.
    pub fn begin(about: &'a About) -> Self {
        Self { about, fonts: Fonts::none(), frames: Vec::new(), contents: Vec::new() }
    }

    /// Adds the next pages, and does something else beside.
    ///
    /// # Errors
    ///
    /// If a page could not be drawn, or shows a picture that is not there.
    pub fn add<R: Send>(
        &mut self,
        pages: Vec<Inked>,
        beside: impl FnOnce() -> R + Send,
    ) -> Result<R, OutputError> {
        let contents = self.learn(pages)?;
        let (deflated, done) = parallel::both(|| self.deflated(contents), beside);
        self.contents.extend(deflated);
        Ok(done)
    }

    /// Adds the last pages and completes the file.
    ///
    /// # Errors
    ///
    /// As [`PdfInMaking::add`], and if the document refers to pages or characters that are not there, or
    /// has no pages.
    pub fn finish(mut self, pages: Vec<Inked>) -> Result<Vec<u8>, OutputError> {
        let contents = self.learn(pages)?;
        check(self.about, &self.frames)?;
        let (frame, deflated) = parallel::both(
            || whole_frame(self.about, &self.frames, &self.fonts),
            || self.deflated(contents),
        );
        self.contents.extend(deflated);
        finish::finish(frame?, self.contents)
    }

    /// Takes on pages; gives what they show.
    fn learn(&mut self, pages: Vec<Inked>) -> Result<Vec<PageContent>, OutputError> {
        check_inked(&pages, self.about.pictures.len())?;
        let mut contents = Vec::with_capacity(pages.len());
        for Inked { frame, content, uses, .. } in pages {
            self.fonts.learn(&uses);
            self.frames.push(frame);
            contents.push(content);
        }
        Ok(contents)
    }

    fn deflated(&self, contents: Vec<PageContent>) -> Vec<Vec<u8>> {
        parallel::map(contents, |content| deflate(&content.coded(&self.fonts)))
    }
}

/// Errors with the first page that could not be drawn, or that shows none of so many pictures.
fn check_inked(pages: &[Inked], pictures: usize) -> Result<(), OutputError> {
    for inked in pages {
        if let Some(fault) = &inked.fault {
            return Err(fault.clone());
        }
        if let Some(index) = inked.picture.filter(|index| *index >= pictures) {
            let page = inked.frame.label.to_string();
            return Err(OutputError::NoSuchPicture { page, index, pictures });
        }
    }
    Ok(())
}

/// The operators that draw each page, before they are deflated.
pub fn content_streams(document: &Document) -> Vec<Vec<u8>> {
    let pages = parallel::map(&document.pages, ink);
    let mut fonts = Fonts::none();
    pages.iter().for_each(|inked| fonts.learn(&inked.uses));
    parallel::map(pages, |inked| inked.content.coded(&fonts))
}

/// The file but for what its pages show.
fn whole_frame(
    about: &About,
    pages: &[Page],
    fonts: &Fonts,
) -> Result<lopdf::Document, OutputError> {
    let subsets = fonts.in_use().map(|face| fonts.subset(face)).collect::<Result<Vec<_>, _>>()?;
    let frame = frame(about, pages, fonts, &subsets)?;
    finish::complete(frame, about, pages, subsets)
}

/// The document with fonts and pictures, its pages still empty.
///
/// `printpdf` numbers fonts and pictures by a counter of the whole process; ours have names of
/// their own, so that a second document gets the same bytes as a first.
fn frame(
    about: &About,
    pages: &[Page],
    fonts: &Fonts,
    subsets: &[Subset],
) -> Result<lopdf::Document, OutputError> {
    let mut frame = PdfDocument::new(&about.title);
    let mut uses = vec![];
    for subset in subsets {
        let failed = |reason: String| OutputError::Font { face: subset.name.clone(), reason };
        let mut parsed = ParsedFont::from_bytes(&subset.cut.program, 0, &mut vec![])
            .ok_or_else(|| failed("the cut-down face is unreadable".to_owned()))?;
        parsed.font_name = Some(subset.name.clone());
        let id = FontId(subset.face.resource().to_owned());
        frame.resources.fonts.map.insert(id.clone(), PdfFont::new(parsed));
        let glyphs = fonts.meanings(subset.face);
        let glyphs = glyphs.map(|(code, meaning)| Codepoint::with_cid(code, 0.0, meaning.into()));
        uses.push(Op::SetFont { font: PdfFontHandle::External(id), size: Pt(1.0) });
        uses.push(Op::ShowText { items: vec![TextItem::GlyphIds(glyphs.collect())] });
    }
    for (index, picture) in about.pictures.iter().enumerate() {
        let id = XObjectId(picture_resource(index));
        frame.resources.xobjects.map.insert(id, XObject::Image(raw_image(picture)));
    }
    // The first page tells `printpdf` which glyphs the fonts show; its content is replaced.
    let mut uses = Some(uses);
    frame.pages = pages
        .iter()
        .map(|page| {
            let paper = printpdf::Rect::from_wh(points(page.size.width), points(page.size.height));
            let ops = uses.take().unwrap_or_default();
            let (media_box, trim_box, crop_box) = (paper.clone(), paper.clone(), paper);
            PdfPage { media_box, trim_box, crop_box, ops }
        })
        .collect();
    Ok(to_lopdf_doc(&frame, &PdfSaveOptions::default(), &mut vec![]))
}

/// A length in points to two decimals.
pub(crate) fn points(length: f64) -> Pt {
    Pt(((length * 100.0).round() / 100.0) as f32)
}

/// The pixels of a picture, and whether they are grey: in one channel if it has no colour, so that
/// it prints in black.
fn pixels(picture: &Picture) -> (Vec<u8>, bool) {
    let colourless = picture.rgb.chunks_exact(3).all(|px| px[0] == px[1] && px[1] == px[2]);
    let pixels = match colourless {
        true => picture.rgb.iter().copied().step_by(3).collect(),
        false => picture.rgb.clone(),
    };
    (pixels, colourless)
}

/// A picture as an object of a file.
fn picture(picture: &Picture) -> Stream {
    let (pixels, is_grey) = pixels(picture);
    let entries = Dictionary::from_iter([
        ("Type", Object::from("XObject")),
        ("Subtype", "Image".into()),
        ("Width", i64::from(picture.width).into()),
        ("Height", i64::from(picture.height).into()),
        ("ColorSpace", if is_grey { "DeviceGray" } else { "DeviceRGB" }.into()),
        ("BitsPerComponent", 8.into()),
        ("Filter", "FlateDecode".into()),
    ]);
    Stream::new(entries, deflate(&pixels))
}

/// A picture for `printpdf`.
fn raw_image(picture: &Picture) -> RawImage {
    let (pixels, is_grey) = pixels(picture);
    let data_format = if is_grey { RawImageFormat::R8 } else { RawImageFormat::RGB8 };
    RawImage {
        pixels: RawImageData::U8(pixels),
        width: picture.width as usize,
        height: picture.height as usize,
        data_format,
        tag: vec![],
    }
}

fn check(about: &About, pages: &[Page]) -> Result<(), OutputError> {
    if pages.is_empty() {
        return Err(OutputError::NoPages);
    }
    if about.recipe.len() > LARGEST_RECIPE {
        return Err(OutputError::LargeRecipe { found: about.recipe.len() });
    }
    for (index, picture) in about.pictures.iter().enumerate() {
        let (width, height) = (picture.width, picture.height);
        let found = picture.rgb.len();
        if u64::from(width) * u64::from(height) * 3 != found as u64 || found == 0 {
            return Err(OutputError::PictureSize { index, width, height, found });
        }
    }
    let count = pages.len();
    let check_target = |what: &str, target: usize| {
        if target < count {
            return Ok(());
        }
        Err(OutputError::NoSuchPage { what: what.to_owned(), target: target + 1, pages: count })
    };
    for page in pages {
        for link in &page.links {
            check_target(&link.about, link.target)?;
        }
    }
    fn check_outline(
        entries: &[Bookmark],
        check_target: &impl Fn(&str, usize) -> Result<(), OutputError>,
    ) -> Result<(), OutputError> {
        entries.iter().try_for_each(|entry| {
            check_target(&entry.title, entry.page)?;
            check_outline(&entry.children, check_target)
        })
    }
    check_outline(&about.outline, &check_target)
}

fn check_page(page: &Page) -> Result<(), OutputError> {
    let is_finite = |drawn: &Mark| match drawn {
        Mark::Trace(Trace::Sign { at, size, .. } | Trace::Text { at, size, .. }, _) => {
            at.is_finite() && size.is_finite()
        }
        Mark::Trace(Trace::Line { from, to, width }, _) => {
            from.is_finite() && to.is_finite() && width.is_finite()
        }
        Mark::Trace(Trace::Slab { from, to, height }, _) => {
            from.is_finite() && to.is_finite() && height.is_finite()
        }
        Mark::Trace(Trace::Wedge { base, width, rise }, _) => {
            base.is_finite() && width.is_finite() && rise.is_finite()
        }
        Mark::Trace(Trace::Crescent { from, length, handles, tip }, _) => {
            let handles = handles.iter().all(|handle| handle.is_finite());
            from.is_finite() && length.is_finite() && handles && tip.is_finite()
        }
        Mark::Trace(Trace::Fill(path), _) => path.is_finite(),
        Mark::Trace(Trace::Stroke { path, width }, _) => path.is_finite() && width.is_finite(),
        Mark::Picture { frame, .. } => frame.is_finite(),
    };
    if let Some(mark) = page.marks().position(|drawn| !is_finite(drawn)) {
        return Err(OutputError::NotFinite { page: page.label.to_string(), mark });
    }
    let sides = [page.size.width, page.size.height];
    let areas = page.links.iter().flat_map(|link| {
        let area = link.area.bounding_box();
        [area.x0, area.y0, area.x1, area.y1]
    });
    if sides.into_iter().chain(areas).all(f64::is_finite) {
        return Ok(());
    }
    Err(OutputError::NotFinite { page: page.label.to_string(), mark: page.marks().count() })
}

fn check_words(page: &Page, words: &[LentRun]) -> Result<(), OutputError> {
    for run in words {
        if let Some(character) = run.missing() {
            let (page, text) = (page.label.to_string(), run.text().to_owned());
            return Err(OutputError::NoGlyph { page, character, text });
        }
    }
    Ok(())
}

/// Deflated bytes for a stream with the filter `FlateDecode`.
pub(crate) fn deflate(bytes: &[u8]) -> Vec<u8> {
    /// Room that is kept: more than a page takes, and less than a picture may.
    const ROOM: usize = 256 * 1024;
    thread_local! {
        // Setting one up costs as much as deflating a short stream; `reset` makes it as new. Beside it
        // is room for what it makes, which is copied out of it at its size.
        static DEFLATER: RefCell<(Compress, Vec<u8>)> =
            RefCell::new((Compress::new(Compression::new(DEFLATE_LEVEL), true), Vec::new()));
    }
    DEFLATER.with_borrow_mut(|(deflater, packed)| {
        deflater.reset();
        packed.reserve(bytes.len() / 2 + 64);
        loop {
            let read = deflater.total_in() as usize;
            let status = deflater
                .compress_vec(&bytes[read..], packed, FlushCompress::Finish)
                .expect("deflating from memory to memory needs nothing but room");
            if status == Status::StreamEnd {
                let exact = packed.to_vec();
                packed.clear();
                packed.shrink_to(ROOM);
                return exact;
            }
            packed.reserve(packed.capacity().max(64));
        }
    })
}

/// A number that stands for the bytes: the step of FNV-1a with 128 bits (G. Fowler, L. C. Noll,
/// K.-P. Vo, D. Eastlake, *The FNV Non-Cryptographic Hash Algorithm*, RFC 9923), taken over
/// words of eight bytes, and over single ones at the end; by the byte it would be the slowest
/// part of finishing a file.
pub(crate) fn fingerprint(bytes: &[u8]) -> u128 {
    const BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    let step = |hash: u128, word: u64| (hash ^ u128::from(word)).wrapping_mul(PRIME);
    let (words, rest) = bytes.as_chunks::<8>();
    let hash = words.iter().fold(BASIS, |hash, word| step(hash, u64::from_le_bytes(*word)));
    rest.iter().fold(hash, |hash, byte| step(hash, u64::from(*byte)))
}
