//! Reading a recipe back out of a PDF.

mod budget;
mod scan;
mod unpack;

use budget::{Budget, PARSED, UNPACKED};
use scan::{FileWalk, Landmark, ScanValue, value_at};
use unpack::PackedStream;

use crate::output::LARGEST_RECIPE;

/// The name of the attached recipe.
pub const RECIPE_NAME: &str = "recipe.json";

/// Most bytes of a packed list of objects; programs that save a PDF again put a few hundred
/// objects in each, which are far smaller.
const LARGEST_LIST: usize = 4 * 1024 * 1024;

/// Why no recipe can be read from a file.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReadBackError {
    /// The file is of another kind.
    #[error("this is not a PDF")]
    NotPdf,
    /// The file is damaged.
    #[error("the PDF is damaged ({0})")]
    Broken(&'static str),
    /// The file is locked.
    #[error("the PDF is encrypted")]
    Encrypted,
    /// The file is whole but has no recipe.
    #[error("the PDF carries no recipe")]
    NoRecipe,
    /// Several sheets have been put together, each with its own recipe.
    #[error("the PDF carries the recipes of several sheets")]
    SeveralRecipes,
    /// Looking through the file asks for more work than any sheet of ours would.
    #[error("the PDF is too involved to be looked through")]
    TooInvolved,
    /// The recipe is larger than any that Quintfall writes.
    #[error("the recipe in the PDF is larger than {} MiB, so it cannot be ours", LARGEST_RECIPE >> 20)]
    TooLarge,
    /// The recipe is no text.
    #[error("the recipe in the PDF is not UTF-8 text")]
    NotText,
    /// The recipe is no JSON.
    #[error("the recipe in the PDF is not JSON (line {line}, column {column})")]
    NotJson {
        /// Line of the fault, from 1.
        line: usize,
        /// Column of the fault, from 1.
        column: usize,
    },
}

/// The recipe that a PDF carries, as JSON.
///
/// The file may come from anywhere: nothing in it makes this panic. Whatever is in it, the work
/// stays within one budget, and the memory, beyond that of the file, below 16 MiB.
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
    let budget = &mut Budget::of_a_file();
    let Some(number) = number_of_recipe(pdf, budget)? else {
        let tail = &pdf[pdf.len().saturating_sub(2048)..];
        let whole = tail.windows(9).any(|word| word == b"startxref");
        return Err(if whole {
            ReadBackError::NoRecipe
        } else {
            ReadBackError::Broken("its end is missing")
        });
    };
    let Some(stream) = stream_of(number, pdf, budget)? else {
        return Err(ReadBackError::Broken("the attached recipe is missing"));
    };
    let bytes = stream.unpack(LARGEST_RECIPE, budget)?;
    budget.pay(bytes.len(), UNPACKED)?;
    let text = String::from_utf8(bytes).map_err(|_| ReadBackError::NotText)?;
    match serde_json::from_str::<serde::de::IgnoredAny>(&text) {
        Ok(_) => Ok(text),
        Err(error) => Err(ReadBackError::NotJson { line: error.line(), column: error.column() }),
    }
}

/// The number of the stream that is attached as the recipe. A file that was saved again and again
/// may tell it many times; another number is that of another sheet.
#[derive(Default)]
struct RecipeNumber(Option<u32>);

impl RecipeNumber {
    fn meet(&mut self, found: Option<u32>) -> Result<(), ReadBackError> {
        match (self.0, found) {
            (Some(one), Some(other)) if one != other => Err(ReadBackError::SeveralRecipes),
            _ => {
                self.0 = self.0.or(found);
                Ok(())
            }
        }
    }
}

/// The number of the stream that is attached as the recipe. Errors if there are several.
fn number_of_recipe(pdf: &[u8], budget: &mut Budget) -> Result<Option<u32>, ReadBackError> {
    let mut recipe = RecipeNumber::default();
    let mut walk = FileWalk::new(pdf);
    while let Some(found) = walk.next(budget)? {
        let (value, stream) = match found {
            Landmark::Trailer(value) => {
                encrypted(&value)?;
                continue;
            }
            Landmark::Object(_, value, stream) => (value, stream),
        };
        recipe.meet(attached(&value))?;
        let Some(bytes) = stream else { continue };
        let is = |kind: &[u8]| value.get(b"Type").is_some_and(|name| name.is_name(kind));
        if is(b"XRef") {
            encrypted(&value)?;
        } else if is(b"ObjStm") {
            attached_in_list(&value, bytes, budget, &mut recipe)?;
        }
    }
    Ok(recipe.0)
}

/// The stream of a number; where there are several, the last one, which took the place of the
/// others. A walk of its own, since what a file has of streams is too much to keep.
fn stream_of<'a>(
    wanted: u32,
    pdf: &'a [u8],
    budget: &mut Budget,
) -> Result<Option<PackedStream<'a>>, ReadBackError> {
    let mut last = None;
    let mut walk = FileWalk::new(pdf);
    while let Some(found) = walk.next(budget)? {
        if let Landmark::Object(number, value, Some(bytes)) = found
            && number == wanted
        {
            last = Some(PackedStream::of(bytes, &value));
        }
    }
    Ok(last)
}

/// The number of the recipe's stream, if an object is the entry of the attached recipe.
fn attached(value: &ScanValue<'_>) -> Option<u32> {
    let is_recipe = |wanted: &[u8]| matches!(value.get(wanted), Some(ScanValue::Text(name)) if is_recipe_name(name));
    if !is_recipe(b"UF") && !is_recipe(b"F") {
        return None;
    }
    let files = value.get(b"EF")?;
    match files.get(b"UF").or_else(|| files.get(b"F"))? {
        &ScanValue::Reference(number) => Some(number),
        _ => None,
    }
}

/// The same for the objects in an object stream (ISO 32000-1, 7.5.7), which programs that save a
/// PDF again like to make. A damaged one is passed over.
fn attached_in_list(
    dictionary: &ScanValue<'_>,
    packed: &[u8],
    budget: &mut Budget,
    recipe: &mut RecipeNumber,
) -> Result<(), ReadBackError> {
    let Some(&ScanValue::Integer(first)) = dictionary.get(b"First") else { return Ok(()) };
    let bytes = match PackedStream::of(packed, dictionary).unpack(LARGEST_LIST, budget) {
        Ok(bytes) => bytes,
        Err(ReadBackError::TooInvolved) => return Err(ReadBackError::TooInvolved),
        Err(_) => return Ok(()),
    };
    let Some((first, index)) =
        usize::try_from(first).ok().and_then(|first| Some((first, bytes.get(..first)?)))
    else {
        return Ok(());
    };
    budget.pay(index.len(), PARSED)?;
    let words = index.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty());
    let offsets = words.skip(1).step_by(2).map_while(|word| {
        let offset: usize = std::str::from_utf8(word).ok()?.parse().ok()?;
        first.checked_add(offset)
    });
    let mut offsets = offsets.peekable();
    // Offsets only ever rise, so nothing is read twice.
    let mut reached = 0;
    while let Some(at) = offsets.next() {
        let end = offsets.peek().copied().filter(|next| *next > at).unwrap_or(bytes.len());
        if at < reached {
            continue;
        }
        reached = at;
        let Some(stretch) = bytes.get(..end) else { continue };
        let (value, end) = value_at(stretch, at, budget)?;
        reached = end;
        recipe.meet(value.as_ref().and_then(attached))?;
    }
    Ok(())
}

fn encrypted(trailer: &ScanValue<'_>) -> Result<(), ReadBackError> {
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
