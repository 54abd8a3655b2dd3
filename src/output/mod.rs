//! Outputs: they decide nothing, they draw marks.

mod draft;
mod file;
mod inline;
mod pdf;
mod png;
mod readback;
mod svg;
mod zip;

pub use draft::abandon_drafts;
pub use file::{
    WriteError, behind_links, make_folder, write_new, write_new_by, write_whole, write_whole_by,
};
pub use inline::inline_svg;
pub use pdf::{
    DEFLATE_LEVEL, Inked, PdfInMaking, Stack, StackError, StackPart, bind, content_streams, ink,
    pdf,
};
pub use png::{PngError, RESOLUTIONS, png};
pub use readback::{RECIPE_NAME, ReadBackError, recipe_json};
pub use svg::svg;
pub use zip::Zip;

/// Most bytes of a recipe that travels in a sheet: what a recipe can be at most, as the desk holds.
pub const LARGEST_RECIPE: usize = 13_281_964;

/// The program's name and version, as files carry it.
pub const PRODUCER: &str = concat!("Quintfall ", env!("CARGO_PKG_VERSION"));

/// Why a document cannot be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OutputError {
    /// A document needs a page.
    #[error("the document has no pages")]
    NoPages,
    /// The recipe could not be read back from the file.
    #[error("the recipe takes {found} bytes and may take {LARGEST_RECIPE}")]
    LargeRecipe {
        /// The bytes it takes.
        found: usize,
    },
    /// A place or a length is not a number.
    #[error("page {page}: mark {mark} stands at a place or has a size that is not a finite number")]
    NotFinite {
        /// The label of the page.
        page: String,
        /// Which mark of the page, counted from 0.
        mark: usize,
    },
    /// A link or a bookmark leads nowhere.
    #[error("`{what}` leads to page {target} of a document with {pages} pages")]
    NoSuchPage {
        /// The title of the bookmark or the purpose of the link.
        what: String,
        /// The page it leads to, counted from 1.
        target: usize,
        /// How many pages there are.
        pages: usize,
    },
    /// A page shows a picture that the document lacks.
    #[error("page {page}: picture {index} is not among the {pictures} of the document")]
    NoSuchPicture {
        /// The label of the page.
        page: String,
        /// The picture, counted from 0.
        index: usize,
        /// How many pictures there are.
        pictures: usize,
    },
    /// A picture has too few or too many bytes for its size.
    #[error("picture {index}: {found} bytes where {width} by {height} pixels need 3 bytes each")]
    PictureSize {
        /// The picture, counted from 0.
        index: usize,
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// The bytes there are.
        found: usize,
    },
    /// A text face has no glyph for a character.
    #[error("page {page}: the text face cannot show {character:?} in \u{201C}{text}\u{201D}")]
    NoGlyph {
        /// The label of the page.
        page: String,
        /// The character.
        character: char,
        /// The text it stands in.
        text: String,
    },
    /// A face cannot be cut down to the glyphs in use or be embedded.
    #[error("the face {face} cannot be embedded: {reason}")]
    Font {
        /// The PostScript name of the face.
        face: String,
        /// What the font library says.
        reason: String,
    },
    /// The parts of the file do not fit together: a bug.
    #[error("the PDF cannot be put together: {0}")]
    Structure(String),
}

impl From<lopdf::Error> for OutputError {
    fn from(error: lopdf::Error) -> Self {
        Self::Structure(error.to_string())
    }
}
