//! Several documents as one PDF for the printer, written sheet by sheet: whatever their number,
//! only those that are being added are in memory.
//!
//! A glyph gets its code when it is first met, so the operators of a page are finished before it
//! is known what later pages show; the faces are cut down and embedded at the end.

use std::collections::BTreeMap;
use std::io::{self, Write};

use kurbo::Size;
use lopdf::{Dictionary, Object, Stream, StringFormat, text_string};

use super::fonts::Fonts;
use super::labels::label_entries;
use super::{Inked, check_inked, deflate, fingerprint, points, syntax, whole_frame};
use crate::canvas::{About, Label, Page, Picture};
use crate::output::OutputError;
use crate::parallel;

/// The root of the tree of pages, and the fonts that all pages share: known before all else.
const PAGES: u32 = 1;
const FONTS: u32 = 2;

/// Why a stack cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum StackError {
    /// A page cannot be drawn.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// The file takes no more.
    #[error(transparent)]
    File(#[from] io::Error),
}

/// A document that is to lie in a stack.
pub struct StackPart {
    /// What it is called in the outline and in the labels of its pages.
    pub name: String,
    /// Its pages, in order.
    pub pages: Vec<Inked>,
    /// Pictures that its pages refer to.
    pub pictures: Vec<Picture>,
}

/// A stack in the making.
pub struct Stack<W> {
    file: W,
    /// Bytes written so far, and a number that stands for them.
    written: u64,
    print: u128,
    /// Where each object begins, by its number; 0 for one that is yet to come.
    offsets: Vec<u64>,
    pages: Vec<u32>,
    last_size: Option<Size>,
    labels: Vec<Object>,
    /// The name of each part and the index of its first page.
    parts: Vec<(String, usize)>,
    fonts: Fonts,
    pictures: BTreeMap<u128, u32>,
}

impl<W: Write> Stack<W> {
    /// Begins a stack in a file, which wants a buffer.
    ///
    /// # Errors
    ///
    /// If the file takes nothing.
    pub fn begin(file: W) -> Result<Self, StackError> {
        let mut stack = Self {
            file,
            written: 0,
            print: 0,
            offsets: vec![0; 1 + FONTS as usize],
            pages: Vec::new(),
            last_size: None,
            labels: Vec::new(),
            parts: Vec::new(),
            fonts: Fonts::none(),
            pictures: BTreeMap::new(),
        };
        // The second line tells programs that there is more in it than text (7.5.2).
        stack.write(b"%PDF-1.7\n%\xE2\xE3\xCF\xD3\n")?;
        Ok(stack)
    }

    /// Lays documents on the stack, each from a right page on: a blank page comes before it where
    /// the one before ends on a right page.
    ///
    /// # Errors
    ///
    /// If a page cannot be drawn, or if the file takes no more.
    pub fn add(&mut self, parts: Vec<StackPart>) -> Result<(), StackError> {
        let mut frames = Vec::new();
        let mut contents = Vec::new();
        for part in parts {
            check_inked(&part.pages, part.pictures.len())?;
            let mut pages = Vec::new();
            for inked in part.pages {
                self.fonts.learn(&inked.uses);
                pages.push(inked.frame);
                contents.push(inked.content);
            }
            frames.push((part.name, pages, part.pictures));
        }
        let fonts = &self.fonts;
        let packed = parallel::map(contents, |content| deflate(&content.coded(fonts)));
        let mut packed = packed.into_iter();
        for (name, pages, pictures) in frames {
            let contents = packed.by_ref().take(pages.len()).collect();
            self.part(name, &pages, contents, &pictures)?;
        }
        Ok(())
    }

    /// Completes the file. Gives how many pages it has.
    ///
    /// # Errors
    ///
    /// As [`Stack::add`], and if there are no pages.
    pub fn finish(mut self, about: &About) -> Result<usize, StackError> {
        let Some(size) = self.last_size else { return Err(OutputError::NoPages.into()) };
        // Fonts and metadata come from a document of one page, which itself is left out.
        let page = Page { size, blocks: Vec::new(), links: Vec::new(), label: Label::default() };
        let mut frame = whole_frame(about, &[page], &self.fonts)?;
        frame.renumber_objects_with(self.next());
        let left_out = self.take_fonts(&mut frame)?;
        let outline = self.outline()?;
        self.page_tree()?;
        let lost = |_| OutputError::Structure("the frame has no catalog".to_owned());
        let catalog = frame.catalog_mut().map_err(lost)?;
        catalog.set("Pages", (PAGES, 0));
        catalog.set("Outlines", outline);
        catalog.set("PageMode", "UseOutlines");
        let labels = std::mem::take(&mut self.labels);
        catalog.set("PageLabels", Dictionary::from_iter([("Nums", Object::Array(labels))]));
        for ((number, _), object) in &frame.objects {
            if !left_out.contains(number) {
                self.object(*number, object)?;
            }
        }
        self.end(&frame.trailer)?;
        Ok(self.pages.len())
    }
}

/// Parts.
impl<W: Write> Stack<W> {
    fn part(
        &mut self,
        name: String,
        pages: &[Page],
        contents: Vec<Vec<u8>>,
        pictures: &[Picture],
    ) -> Result<(), StackError> {
        if let Some(size) = self.last_size.filter(|_| !self.pages.len().is_multiple_of(2)) {
            let index = i64::try_from(self.pages.len()).unwrap_or(i64::MAX);
            self.labels.push(Object::Integer(index));
            self.labels.push(Dictionary::from_iter([("P", text_string("blank"))]).into());
            let blank = self.number();
            self.pages.push(blank);
            let dictionary = frame(size);
            self.object(blank, &dictionary.into())?;
        }
        let start = self.pages.len();
        let labels = pages.iter().map(|page| &page.label);
        self.labels.extend(label_entries(start, &format!("{name} "), labels));
        self.parts.push((name, start));
        let mut resources = Dictionary::from_iter([("Font", Object::from((FONTS, 0)))]);
        if !pictures.is_empty() {
            resources.set("XObject", self.pictures(pictures)?);
        }
        let numbers: Vec<u32> = pages.iter().map(|_| self.number()).collect();
        for ((page, number), content) in pages.iter().zip(&numbers).zip(contents) {
            let filter = Dictionary::from_iter([("Filter", Object::from("FlateDecode"))]);
            let stream = self.number();
            self.object(stream, &Stream::new(filter, content).into())?;
            let mut dictionary = frame(page.size);
            dictionary.set("Resources", resources.clone());
            dictionary.set("Contents", (stream, 0));
            if !page.links.is_empty() {
                let mut own = Vec::new();
                for link in links(page, pages, &numbers) {
                    let number = self.number();
                    self.object(number, &link.into())?;
                    own.push(Object::from((number, 0)));
                }
                dictionary.set("Annots", own);
            }
            self.object(*number, &dictionary.into())?;
        }
        self.pages.extend(numbers);
        self.last_size = pages.last().map(|page| page.size).or(self.last_size);
        Ok(())
    }

    /// Writes the pictures that are not in the file yet; gives all by their names.
    fn pictures(&mut self, pictures: &[Picture]) -> Result<Dictionary, StackError> {
        let mut names = Dictionary::new();
        for (index, picture) in pictures.iter().enumerate() {
            let print = fingerprint(&picture.rgb) ^ u128::from(picture.width);
            let number = match self.pictures.get(&print) {
                Some(number) => *number,
                None => {
                    let number = self.number();
                    self.object(number, &super::picture(picture).into())?;
                    self.pictures.insert(print, number);
                    number
                }
            };
            names.set(super::content::picture_resource(index), (number, 0));
        }
        Ok(names)
    }
}

/// A page as far as its size says it.
fn frame(size: Size) -> Dictionary {
    let sides = [0.0, 0.0, size.width, size.height].map(|side| Object::Real(points(side).0));
    Dictionary::from_iter([
        ("Type", Object::from("Page")),
        ("Parent", (PAGES, 0).into()),
        ("MediaBox", Object::Array(sides.to_vec())),
        ("TrimBox", Object::Array(sides.to_vec())),
        ("Resources", Dictionary::new().into()),
    ])
}

/// The links of a page to others of its part, which have these numbers.
fn links(page: &Page, pages: &[Page], numbers: &[u32]) -> Vec<Dictionary> {
    let id = |target: usize| numbers.get(target).map(|number| (*number, 0));
    let dest = |target| super::finish::top(id(target), pages.get(target));
    page.links.iter().map(|link| super::finish::link(link, dest)).collect()
}

/// The end of the file.
impl<W: Write> Stack<W> {
    /// Gives the fonts of a frame the number that all pages know. Gives the objects that are of no
    /// use here.
    fn take_fonts(&mut self, frame: &mut lopdf::Document) -> Result<Vec<u32>, OutputError> {
        let page = frame.page_iter().next().ok_or(OutputError::NoPages)?;
        let dictionary = frame.get_dictionary(page)?;
        let resources = dictionary.get(b"Resources")?.as_reference()?;
        let contents = dictionary.get(b"Contents")?.as_reference()?;
        let root = dictionary.get(b"Parent")?.as_reference()?;
        let shared = frame.get_dictionary(resources)?;
        let fonts = shared.get(b"Font").cloned().unwrap_or_else(|_| Dictionary::new().into());
        for number in frame.objects.keys().map(|(number, _)| *number) {
            let most = number as usize + 1;
            self.offsets.resize(self.offsets.len().max(most), 0);
        }
        frame.objects.insert((FONTS, 0), fonts);
        Ok([page, resources, contents, root].map(|(number, _)| number).to_vec())
    }

    fn page_tree(&mut self) -> Result<(), StackError> {
        let kids: Vec<Object> = self.pages.iter().map(|number| (*number, 0).into()).collect();
        let count = i64::try_from(kids.len()).unwrap_or(i64::MAX);
        let tree = Dictionary::from_iter([
            ("Type", Object::from("Pages")),
            ("Count", count.into()),
            ("Kids", Object::Array(kids)),
        ]);
        self.object(PAGES, &tree.into())
    }

    /// Writes the outline, an entry a part; gives its root.
    fn outline(&mut self) -> Result<Object, StackError> {
        let root = self.number();
        let parts = std::mem::take(&mut self.parts);
        let numbers: Vec<u32> = parts.iter().map(|_| self.number()).collect();
        for (index, (name, page)) in parts.iter().enumerate() {
            let page = self.pages.get(*page).map(|number| Object::from((*number, 0)));
            let dest = vec![page.unwrap_or(Object::Null), "Fit".into()];
            let mut entry = Dictionary::from_iter([
                ("Title", text_string(name)),
                ("Parent", (root, 0).into()),
                ("Dest", Object::Array(dest)),
            ]);
            if let Some(before) = index.checked_sub(1) {
                entry.set("Prev", (numbers[before], 0));
            }
            if let Some(next) = numbers.get(index + 1) {
                entry.set("Next", (*next, 0));
            }
            self.object(numbers[index], &entry.into())?;
        }
        let mut outline = Dictionary::from_iter([("Type", Object::from("Outlines"))]);
        if let (Some(first), Some(last)) = (numbers.first(), numbers.last()) {
            outline.set("First", (*first, 0));
            outline.set("Last", (*last, 0));
            outline.set("Count", i64::try_from(numbers.len()).unwrap_or(i64::MAX));
        }
        self.object(root, &outline.into())?;
        Ok((root, 0).into())
    }

    /// The table of objects and the trailer (7.5.4 and 7.5.5).
    fn end(&mut self, given: &Dictionary) -> Result<(), StackError> {
        let start = self.written;
        let offsets = std::mem::take(&mut self.offsets);
        let mut table = format!("xref\n0 {}\n0000000000 65535 f \n", offsets.len());
        for offset in &offsets[1..] {
            match offset {
                0 => table.push_str("0000000000 65535 f \n"),
                offset => table.push_str(&format!("{offset:010} 00000 n \n")),
            }
        }
        self.write(table.as_bytes())?;
        let id = Object::String(self.print.to_be_bytes().to_vec(), StringFormat::Hexadecimal);
        let mut trailer = Dictionary::new();
        for name in ["Root", "Info"] {
            if let Ok(value) = given.get(name.as_bytes()) {
                trailer.set(name, value.clone());
            }
        }
        trailer.set("Size", i64::try_from(offsets.len()).unwrap_or(i64::MAX));
        trailer.set("ID", Object::Array(vec![id.clone(), id]));
        let mut end = b"trailer\n".to_vec();
        syntax::write(&mut end, &trailer.into())?;
        end.extend(format!("\nstartxref\n{start}\n%%EOF\n").bytes());
        self.write(&end)?;
        self.file.flush()?;
        Ok(())
    }
}

/// Objects.
impl<W: Write> Stack<W> {
    /// The number that the next new object gets.
    fn next(&self) -> u32 {
        u32::try_from(self.offsets.len()).unwrap_or(u32::MAX)
    }

    /// A number for a new object.
    fn number(&mut self) -> u32 {
        let number = self.next();
        self.offsets.push(0);
        number
    }

    fn object(&mut self, number: u32, object: &Object) -> Result<(), StackError> {
        self.offsets[number as usize] = self.written;
        let mut bytes = format!("{number} 0 obj\n").into_bytes();
        syntax::write(&mut bytes, object)?;
        bytes.extend_from_slice(b"\nendobj\n");
        self.write(&bytes)
    }

    fn write(&mut self, bytes: &[u8]) -> Result<(), StackError> {
        self.file.write_all(bytes)?;
        self.written += bytes.len() as u64;
        self.print = self.print.rotate_left(1) ^ fingerprint(bytes);
        Ok(())
    }
}
