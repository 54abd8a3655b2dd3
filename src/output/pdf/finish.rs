//! What `printpdf` lacks: outline, page labels, links, the recipe, and a file that is the same
//! each time it is made.

use std::io;

use lopdf::{Dictionary, Object, ObjectId, Stream, StringFormat, text_string};

use crate::canvas::{About, Bookmark, Link, Page};
use crate::output::pdf::fonts::Subset;
use crate::output::pdf::labels::page_labels;
use crate::output::pdf::{deflate, fingerprint, in_use, points};
use crate::output::readback::RECIPE_NAME;
use crate::output::{OutputError, PRODUCER};
use crate::parallel;

/// The pages of a file: what they are, and the objects that stand for them.
#[derive(Clone, Copy)]
struct Leaves<'a> {
    pages: &'a [Page],
    ids: &'a [ObjectId],
}

impl Leaves<'_> {
    /// A destination: the top of a page, zoom as it is.
    fn top_of(self, target: usize) -> Object {
        top(self.ids.get(target).copied(), self.pages.get(target))
    }
}

/// A destination: the top of a page that an object stands for.
pub(crate) fn top(id: Option<ObjectId>, page: Option<&Page>) -> Object {
    let height = page.map_or(0.0, |page| page.size.height);
    let id = id.map_or(Object::Null, Object::from);
    Object::Array(vec![id, "XYZ".into(), 0.into(), points(height).0.into(), Object::Null])
}

/// A link as a page has it, `dest` being the destination of a page's index.
pub(crate) fn link(link: &Link, dest: impl Fn(usize) -> Object) -> Dictionary {
    /// The annotation is printed with the page (ISO 32000-1, table 165).
    const PRINT: i64 = 1 << 2;
    let area = link.area.abs();
    let sides = [area.x0, area.y0, area.x1, area.y1].map(|side| points(side).0.into());
    Dictionary::from_iter([
        ("Type", Object::from("Annot")),
        ("Subtype", "Link".into()),
        ("Rect", Object::Array(sides.to_vec())),
        ("Border", Object::Array(vec![0.into(), 0.into(), 0.into()])),
        ("F", PRINT.into()),
        ("Contents", text_string(&link.about)),
        ("Dest", dest(link.target)),
    ])
}

/// Completes the file, which has the fonts and pictures, in all but the contents of its pages.
pub(crate) fn complete(
    mut file: lopdf::Document,
    about: &About,
    pages: &[Page],
    subsets: Vec<Subset>,
) -> Result<lopdf::Document, OutputError> {
    // Since PDF 1.6 a font file may be an OpenType file; 1.7 is what ISO 32000-1 describes.
    "1.7".clone_into(&mut file.version);
    let ids: Vec<ObjectId> = file.page_iter().collect();
    let leaves = Leaves { pages, ids: &ids };
    let fonts = complete_pages(&mut file, leaves)?;
    for subset in subsets {
        let font = fonts.get(subset.face.resource().as_bytes())?.as_reference()?;
        subset.complete(&mut file, font)?;
    }
    complete_catalog(&mut file, about, leaves)?;
    let info = file.add_object(info(about));
    file.trailer.set("Info", info);
    in_use::keep(&mut file);
    pack_streams(&mut file);
    Ok(file)
}

/// The bytes of a complete file whose pages show `contents`, which are deflated streams.
pub(crate) fn finish(
    mut file: lopdf::Document,
    contents: Vec<Vec<u8>>,
) -> Result<Vec<u8>, OutputError> {
    let pages: Vec<ObjectId> = file.page_iter().collect();
    for (page, content) in pages.into_iter().zip(contents) {
        let stream = file.get_dictionary(page)?.get(b"Contents")?.as_reference()?;
        file.get_object_mut(stream)?.as_stream_mut()?.set_content(content);
    }
    save(file)
}

/// Gives each page an empty content, its links and the resources that all pages share; returns
/// the dictionary of fonts.
fn complete_pages(
    file: &mut lopdf::Document,
    leaves: Leaves<'_>,
) -> Result<Dictionary, OutputError> {
    let first = leaves.ids.first().ok_or(OutputError::NoPages)?;
    let given = file.get_dictionary(*first)?.get(b"Resources")?.as_reference()?;
    let given = file.get_dictionary(given)?.clone();
    let fonts = file.get_dictionary(given.get(b"Font")?.as_reference()?)?.clone();
    let pictures = file.get_dictionary(given.get(b"XObject")?.as_reference()?)?.clone();
    let mut shared = Dictionary::new();
    for (kind, names) in [("Font", &fonts), ("XObject", &pictures)] {
        if !names.is_empty() {
            shared.set(kind, names.clone());
        }
    }
    let shared = file.add_object(shared);
    for (page, &id) in leaves.pages.iter().zip(leaves.ids) {
        let links = links(file, page, leaves);
        let dictionary = file.get_dictionary_mut(id)?;
        dictionary.set("Resources", shared);
        dictionary.remove(b"CropBox");
        dictionary.remove(b"Annots");
        if !links.is_empty() {
            dictionary.set("Annots", links);
        }
        let stream = dictionary.get(b"Contents")?.as_reference()?;
        let filter = Dictionary::from_iter([("Filter", Object::from("FlateDecode"))]);
        file.set_object(stream, Stream::new(filter, vec![]));
    }
    Ok(fonts)
}

fn links(file: &mut lopdf::Document, page: &Page, leaves: Leaves<'_>) -> Vec<Object> {
    let dest = |target| leaves.top_of(target);
    page.links.iter().map(|own| file.add_object(link(own, dest)).into()).collect()
}

fn complete_catalog(
    file: &mut lopdf::Document,
    about: &About,
    leaves: Leaves<'_>,
) -> Result<(), OutputError> {
    let labels = page_labels(leaves.pages.iter().map(|page| &page.label));
    let metadata =
        Dictionary::from_iter([("Type", Object::from("Metadata")), ("Subtype", "XML".into())]);
    let metadata = Stream::new(metadata, super::metadata::packet(about)).with_compression(false);
    let metadata = file.add_object(metadata);
    // What was put together from several documents carries none.
    let recipe = (!about.recipe.is_empty()).then(|| attach_recipe(file, &about.recipe));
    let outline = add_outline(file, &about.outline, leaves);
    let catalog = file.catalog_mut()?;
    catalog.remove(b"PageLayout");
    catalog.set("Lang", text_string(&about.language));
    catalog.set("PageLabels", labels);
    catalog.set("Metadata", metadata);
    catalog.set(
        "ViewerPreferences",
        Dictionary::from_iter([
            ("DisplayDocTitle", Object::Boolean(true)),
            // Staff and paper size were chosen together; a reader program must not shrink them.
            ("PrintScaling", "None".into()),
        ]),
    );
    if let Some(recipe) = recipe {
        catalog.set("AF", Object::Array(vec![recipe.into()]));
        let named = Object::Array(vec![text_string(RECIPE_NAME), recipe.into()]);
        let files = Dictionary::from_iter([("Names", named)]);
        catalog.set("Names", Dictionary::from_iter([("EmbeddedFiles", Object::from(files))]));
    }
    catalog.set("PageMode", if outline.is_some() { "UseOutlines" } else { "UseNone" });
    if let Some(outline) = outline {
        catalog.set("Outlines", outline);
    }
    Ok(())
}

fn attach_recipe(file: &mut lopdf::Document, recipe: &str) -> ObjectId {
    let size = i64::try_from(recipe.len()).unwrap_or(i64::MAX);
    let stream = Dictionary::from_iter([
        ("Type", Object::from("EmbeddedFile")),
        ("Subtype", "application/json".into()),
        ("Params", Dictionary::from_iter([("Size", Object::Integer(size))]).into()),
    ]);
    let stream = file.add_object(Stream::new(stream, recipe.as_bytes().to_vec()));
    file.add_object(Dictionary::from_iter([
        ("Type", Object::from("Filespec")),
        ("F", text_string(RECIPE_NAME)),
        ("UF", text_string(RECIPE_NAME)),
        ("Desc", text_string("The recipe that made this document")),
        ("AFRelationship", "Source".into()),
        ("EF", Dictionary::from_iter([("F", Object::from(stream)), ("UF", stream.into())]).into()),
    ]))
}

/// The outline; `None` if it has no entries.
fn add_outline(
    file: &mut lopdf::Document,
    entries: &[Bookmark],
    leaves: Leaves<'_>,
) -> Option<ObjectId> {
    let root = file.new_object_id();
    let mut outline = Dictionary::from_iter([("Type", Object::from("Outlines"))]);
    let count = add_entries(file, leaves, entries, root, &mut outline);
    if count == 0 {
        return None;
    }
    file.set_object(root, outline);
    Some(root)
}

/// Adds the entries below `parent`; returns how many are shown before a reader asks for more
/// (ISO 32000-1, table 153).
fn add_entries(
    file: &mut lopdf::Document,
    leaves: Leaves<'_>,
    entries: &[Bookmark],
    parent: ObjectId,
    parent_dictionary: &mut Dictionary,
) -> i64 {
    let ids: Vec<ObjectId> = entries.iter().map(|_| file.new_object_id()).collect();
    let (Some(&first), Some(&last)) = (ids.first(), ids.last()) else { return 0 };
    let mut count = 0;
    for (index, (entry, &id)) in entries.iter().zip(&ids).enumerate() {
        let mut dictionary = Dictionary::from_iter([
            ("Title", text_string(&entry.title)),
            ("Parent", parent.into()),
            ("Dest", leaves.top_of(entry.page)),
        ]);
        if index > 0 {
            dictionary.set("Prev", ids[index - 1]);
        }
        if let Some(&next) = ids.get(index + 1) {
            dictionary.set("Next", next);
        }
        let below = add_entries(file, leaves, &entry.children, id, &mut dictionary);
        if entry.open {
            count += below;
        } else if below > 0 {
            dictionary.set("Count", -below);
        }
        count += 1;
        file.set_object(id, dictionary);
    }
    parent_dictionary.set("First", first);
    parent_dictionary.set("Last", last);
    parent_dictionary.set("Count", count);
    count
}

fn info(about: &About) -> Dictionary {
    let mut info = Dictionary::from_iter([
        ("Title", text_string(&about.title)),
        ("Creator", text_string("Quintfall")),
        ("Producer", text_string(PRODUCER)),
    ]);
    if let Some(author) = &about.author {
        info.set("Author", text_string(author));
    }
    info
}

/// Deflates every stream that is not packed yet, except the metadata, which programs that know
/// no PDF look for.
fn pack_streams(file: &mut lopdf::Document) {
    let streams = file.objects.values_mut().filter_map(|object| object.as_stream_mut().ok());
    for stream in streams {
        if !stream.dict.has(b"Filter") && !stream.dict.has_type(b"Metadata") {
            let packed = deflate(&stream.content);
            stream.dict.set("Filter", "FlateDecode");
            stream.set_content(packed);
        }
    }
}

/// The bytes of the file. Its identifier is made from its content, so that equal files have
/// equal identifiers and different files different ones.
fn save(mut file: lopdf::Document) -> Result<Vec<u8>, OutputError> {
    /// An identifier in the file, two hexadecimal figures a byte.
    const FIGURES: usize = 32;
    let failed = |problem: String| OutputError::Structure(problem);
    // Saved once with a blank identifier; then the real one takes its place, figure for figure.
    let blank = Object::String(vec![0; FIGURES / 2], StringFormat::Hexadecimal);
    file.trailer.set("ID", Object::Array(vec![blank.clone(), blank]));
    let streams = file.objects.values().filter_map(|object| object.as_stream().ok());
    let packed: usize = streams.map(|stream| stream.content.len()).sum();
    // What is no stream takes about a tenth of a file.
    let mut bytes = Vec::with_capacity(packed + packed / 8);
    file.save_to(&mut bytes).map_err(|error: io::Error| failed(error.to_string()))?;
    let (fingerprint, ()) = parallel::both(|| fingerprint(&bytes), || drop(file));
    let id = format!("{fingerprint:0FIGURES$X}");
    let trailer = bytes.windows(3).rposition(|window| window == b"/ID").unwrap_or(bytes.len());
    for _ in 0..2 {
        let mut blanks = bytes[trailer..].windows(FIGURES);
        let place = blanks.position(|window| window.iter().all(|figure| *figure == b'0'));
        let at = trailer + place.ok_or_else(|| failed("no place for its identifier".into()))?;
        bytes[at..at + FIGURES].copy_from_slice(id.as_bytes());
    }
    Ok(bytes)
}
