//! What can be made: each kind of file with its name, its ending and how it begins.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use crate::canvas::{About, Page};
use crate::exchange::{self, Piece};
use crate::output::{self, PngError};

/// A kind of file that can be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Product {
    /// The whole book.
    Pdf,
    /// Each page as a picture of so many dots an inch.
    Png {
        /// Dots an inch.
        dots: u32,
    },
    /// Each page as a drawing, which knows no dots.
    Svg,
    /// The notes as MusicXML.
    MusicXml,
    /// The same packed.
    Mxl,
}

/// What is known of a kind of file.
pub(crate) struct ProductRow {
    /// What it is called in messages.
    pub(crate) word: &'static str,
    /// The ending of its names.
    pub(crate) ending: &'static str,
    /// How its files begin (ISO 32000-1, 7.5.2; W3C PNG, 5.2; ours).
    signature: &'static [u8],
}

impl Product {
    /// Its row in the table of kinds.
    pub(crate) fn row(self) -> &'static ProductRow {
        match self {
            Self::Pdf => &ProductRow { word: "PDF", ending: "pdf", signature: b"%PDF-" },
            Self::Png { .. } => {
                &ProductRow { word: "PNG", ending: "png", signature: b"\x89PNG\r\n\x1a\n" }
            }
            Self::Svg => &ProductRow { word: "SVG", ending: "svg", signature: b"<svg " },
            Self::MusicXml => {
                &ProductRow { word: "MusicXML", ending: "musicxml", signature: exchange::XML_START }
            }
            Self::Mxl => &ProductRow {
                word: "packed MusicXML",
                ending: "mxl",
                signature: exchange::MXL_START,
            },
        }
    }

    /// Whether the file at a path is of this kind.
    pub(crate) fn is_at(self, path: &Path) -> bool {
        let signature = self.row().signature;
        let mut start = vec![0; signature.len()];
        let read = File::open(path).and_then(|mut file| file.read_exact(&mut start));
        read.is_ok() && start == signature
    }

    /// The file that is no page, if it is a kind that is not made of pages.
    pub(crate) fn of_notes(self, piece: &Piece<'_>) -> Option<Vec<u8>> {
        match self {
            Self::MusicXml => Some(exchange::musicxml(piece)),
            Self::Mxl => Some(exchange::mxl(piece)),
            Self::Pdf | Self::Png { .. } | Self::Svg => None,
        }
    }

    /// The file of one page, if it is a kind that has one for each.
    pub(crate) fn of_page(self, about: &About, page: &Page) -> Result<Option<Vec<u8>>, PngError> {
        match self {
            Self::Pdf | Self::MusicXml | Self::Mxl => Ok(None),
            Self::Png { dots } => output::png(about, page, dots).map(Some),
            Self::Svg => output::svg(about, page).map(|drawing| Some(drawing.into_bytes())),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::pipeline;
    use crate::recipe::{Form, Recipe};

    /// A file that could not be told from others would be replaced, or never be.
    #[test]
    fn a_file_of_each_kind_is_known_again() {
        let keys = vec!["C".parse().unwrap()];
        let recipe = Recipe { form: Form::Handout, keys, ..Recipe::default() };
        let commission = pipeline::commission(&recipe).unwrap();
        let book = commission.book().unwrap();
        let (document, piece) = (book.document().unwrap(), commission.piece(&book));
        let folder = tempfile::tempdir().unwrap();
        let kinds = [
            Product::Pdf,
            Product::Png { dots: 20 },
            Product::Svg,
            Product::MusicXml,
            Product::Mxl,
        ];
        for product in kinds {
            let page = product.of_page(&document.about, &document.pages[0]).unwrap();
            let file = page.or_else(|| product.of_notes(&piece));
            let file = file.unwrap_or_else(|| output::pdf(&document).unwrap());
            let path = folder.path().join("file");
            std::fs::write(&path, file).unwrap();
            for other in kinds {
                assert_eq!(other.is_at(&path), other == product, "{product:?} as {other:?}");
            }
        }
    }
}
