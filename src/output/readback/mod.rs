//! Reading a recipe back out of a PDF.

mod scan;

use std::collections::BTreeMap;
use std::io::Read;

use flate2::read::ZlibDecoder;

use crate::output::readback::scan::{Found, Value, Walk, value_at};
use crate::recipe::LARGEST_RECIPE;

/// The name of the attached recipe.
pub const RECIPE_NAME: &str = "recipe.json";

/// How much of a file's packed lists of objects is unpacked, in bytes.
const LARGEST_UNPACKED: usize = 64 * 1024 * 1024;

/// Why no recipe can be read from a file.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReadBackError {
    /// The file is of another kind.
    #[error("this is not a PDF; name a sheet that Quintfall made")]
    NotPdf,
    /// The file is damaged.
    #[error("the PDF is damaged ({0}); use another copy of the sheet")]
    Broken(&'static str),
    /// The file is locked.
    #[error("the PDF is encrypted; save it without a password and try again")]
    Encrypted,
    /// The file is whole but has no recipe.
    #[error(
        "the PDF carries no recipe; either Quintfall did not make it, or another program saved it \
         again and dropped its attachments: use the original sheet"
    )]
    NoRecipe,
    /// The recipe is larger than any that Quintfall writes.
    #[error("the recipe in the PDF is larger than {} MiB; it cannot be ours", LARGEST_RECIPE >> 20)]
    TooLarge,
    /// The recipe is no text.
    #[error("the recipe in the PDF is not UTF-8 text; use another copy of the sheet")]
    NotText,
    /// The recipe is no JSON.
    #[error("the recipe in the PDF is not JSON (line {line}, column {column}); use another copy")]
    NotJson {
        /// Line of the fault, from 1.
        line: usize,
        /// Column of the fault, from 1.
        column: usize,
    },
}

/// The recipe that a PDF carries, as JSON.
///
/// The file may come from anywhere: nothing in it makes this panic, and memory stays in
/// proportion to the file and [`LARGEST_RECIPE`].
///
/// # Errors
///
/// See [`ReadBackError`].
pub fn recipe_json(pdf: &[u8]) -> Result<String, ReadBackError> {
    // The header may stand a little way into the file (ISO 32000-1, annex H, note 13).
    let head = &pdf[..pdf.len().min(1024)];
    if !head.windows(5).any(|word| word == b"%PDF-") {
        return Err(ReadBackError::NotPdf);
    }
    let contents = Contents::read(pdf)?;
    let Some(stream) = contents.recipe else {
        let tail = &pdf[pdf.len().saturating_sub(2048)..];
        let whole = tail.windows(9).any(|word| word == b"startxref");
        return Err(if whole {
            ReadBackError::NoRecipe
        } else {
            ReadBackError::Broken("its end is missing")
        });
    };
    let Some(stream) = contents.streams.get(&stream) else {
        return Err(ReadBackError::Broken("the attached recipe is missing"));
    };
    let bytes = stream.unpack(LARGEST_RECIPE)?;
    let text = String::from_utf8(bytes).map_err(|_| ReadBackError::NotText)?;
    match serde_json::from_str::<serde::de::IgnoredAny>(&text) {
        Ok(_) => Ok(text),
        Err(error) => Err(ReadBackError::NotJson { line: error.line(), column: error.column() }),
    }
}

/// What a PDF contains, as far as the recipe goes.
struct Contents<'a> {
    streams: BTreeMap<u32, Packed<'a>>,
    /// The number of the stream that is attached as the recipe.
    recipe: Option<u32>,
}

impl<'a> Contents<'a> {
    fn read(pdf: &'a [u8]) -> Result<Self, ReadBackError> {
        let mut contents = Self { streams: BTreeMap::new(), recipe: None };
        let mut room = LARGEST_UNPACKED;
        for found in Walk::new(pdf) {
            let (value, stream) = match found {
                Found::Trailer(value) => {
                    encrypted(&value)?;
                    continue;
                }
                Found::Object(number, value, stream) => (value, stream.map(|s| (number, s))),
            };
            contents.note(&value);
            let Some((number, bytes)) = stream else { continue };
            let packed = Packed { bytes, filter: Filter::of(&value) };
            let is = |kind: &[u8]| value.get(b"Type").is_some_and(|name| name.is_name(kind));
            if is(b"XRef") {
                encrypted(&value)?;
            } else if is(b"ObjStm") {
                contents.note_all(&value, &packed, &mut room);
            }
            contents.streams.insert(number, packed);
        }
        Ok(contents)
    }

    /// Takes notice of an object: is it the entry of the attached recipe?
    fn note(&mut self, value: &Value<'_>) {
        let named = [&b"UF"[..], b"F"]
            .iter()
            .any(|&key| matches!(value.get(key), Some(Value::Text(name)) if is_recipe_name(name)));
        if named
            && let Some(files) = value.get(b"EF")
            && let Some(&Value::Reference(number)) = files.get(b"UF").or_else(|| files.get(b"F"))
        {
            self.recipe = Some(number);
        }
    }

    /// Takes notice of the objects in an object stream (ISO 32000-1, 7.5.7), which programs
    /// that save a PDF again like to make. A damaged one is passed over.
    fn note_all(&mut self, dictionary: &Value<'_>, packed: &Packed<'_>, room: &mut usize) {
        let Some(&Value::Integer(first)) = dictionary.get(b"First") else { return };
        let Ok(bytes) = packed.unpack(*room) else { return };
        *room -= bytes.len();
        let Ok(first) = usize::try_from(first) else { return };
        let Some(index) = bytes.get(..first) else { return };
        let words = index.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty());
        let offsets = words.skip(1).step_by(2).map_while(|word| {
            let offset: usize = std::str::from_utf8(word).ok()?.parse().ok()?;
            first.checked_add(offset)
        });
        // Each value ends where the next one starts, so nothing is read twice.
        let mut offsets = offsets.peekable();
        while let Some(at) = offsets.next() {
            let end = offsets.peek().copied().unwrap_or(bytes.len());
            if let Some(value) = bytes.get(..end).and_then(|bytes| value_at(bytes, at)) {
                self.note(&value);
            }
        }
    }
}

fn encrypted(trailer: &Value<'_>) -> Result<(), ReadBackError> {
    match trailer.get(b"Encrypt") {
        Some(_) => Err(ReadBackError::Encrypted),
        None => Ok(()),
    }
}

/// Whether a text string of a PDF, in either encoding, is the name of the recipe.
fn is_recipe_name(text: &[u8]) -> bool {
    match text.strip_prefix(b"\xFE\xFF") {
        Some(wide) => {
            RECIPE_NAME.encode_utf16().flat_map(u16::to_be_bytes).eq(wide.iter().copied())
        }
        None => text == RECIPE_NAME.as_bytes(),
    }
}

/// How a stream is packed.
#[derive(Clone, Copy, Debug)]
enum Filter {
    None,
    Flate,
    Other,
}

impl Filter {
    fn of(dictionary: &Value<'_>) -> Self {
        let filter = match dictionary.get(b"Filter") {
            Some(Value::Array(filters)) if filters.len() <= 1 => filters.first(),
            filter => filter,
        };
        match filter {
            None => Self::None,
            Some(name) if name.is_name(b"FlateDecode") && !predicted(dictionary) => Self::Flate,
            Some(_) => Self::Other,
        }
    }
}

/// Whether rows of bytes are predicted from their neighbours, which suits pictures only.
fn predicted(dictionary: &Value<'_>) -> bool {
    let parameters = match dictionary.get(b"DecodeParms") {
        Some(Value::Array(list)) => list.first(),
        parameters => parameters,
    };
    let predictor = parameters.and_then(|parameters| parameters.get(b"Predictor"));
    predictor.is_some_and(|predictor| *predictor != Value::Integer(1))
}

/// The bytes of a stream as they stand in the file.
struct Packed<'a> {
    bytes: &'a [u8],
    filter: Filter,
}

impl Packed<'_> {
    fn unpack(&self, limit: usize) -> Result<Vec<u8>, ReadBackError> {
        let mut bytes = vec![];
        let longest = limit as u64 + 1;
        let read = match self.filter {
            Filter::None => self.bytes.take(longest).read_to_end(&mut bytes),
            Filter::Flate => ZlibDecoder::new(self.bytes).take(longest).read_to_end(&mut bytes),
            Filter::Other => {
                return Err(ReadBackError::Broken("the recipe is packed in an unknown way"));
            }
        };
        if bytes.len() > limit {
            return Err(ReadBackError::TooLarge);
        }
        read.map_err(|_| ReadBackError::Broken("the attached recipe cannot be unpacked"))?;
        Ok(bytes)
    }
}
