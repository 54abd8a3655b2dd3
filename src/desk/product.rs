//! What can be made: each kind of file with its name, its ending and how it begins.

use std::ffi::OsStr;
use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use crate::canvas::{About, Page};
use crate::exchange::{self, ExchangePiece};
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
    /// A track as notes in time.
    Midi,
    /// A track as sound, for whatever plays any.
    Wav,
    /// The same in fewer bytes, with what a player shows of it.
    Flac,
    /// The names of several tracks, in the order in which they are played.
    Playlist,
}

/// The kinds of track, the usual one first.
pub(crate) const TRACKS: [Product; 3] = [Product::Midi, Product::Wav, Product::Flac];

/// What is known of a kind of file.
pub(crate) struct ProductRow {
    /// What it is called in messages.
    pub(crate) word: &'static str,
    /// The ending of its names.
    pub(crate) ending: &'static str,
    /// How its files begin (ISO 32000-1, 7.5.2; W3C PNG, 5.2; MMA RP-001; RIFF, IBM and
    /// Microsoft 1991; RFC 9639, 6; extended playlists, common practice; ours).
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
            Self::Midi => &ProductRow { word: "MIDI file", ending: "mid", signature: b"MThd" },
            Self::Wav => &ProductRow { word: "WAV file", ending: "wav", signature: b"RIFF" },
            Self::Flac => &ProductRow { word: "FLAC file", ending: "flac", signature: b"fLaC" },
            Self::Playlist => {
                &ProductRow { word: "playlist", ending: "m3u", signature: b"#EXTM3U" }
            }
        }
    }

    /// Whether the file at a path is of this kind.
    pub(crate) fn is_at(self, path: &Path) -> bool {
        let signature = self.row().signature;
        let mut start = vec![0; signature.len()];
        let read = File::open(path).and_then(|mut file| file.read_exact(&mut start));
        read.is_ok() && start == signature
    }

    /// Whether a sheet or a track is one file of this kind, and not one for each page.
    pub(crate) fn is_one_file(self) -> bool {
        !matches!(self, Self::Png { .. } | Self::Svg)
    }

    /// Whether names of this kind have an ending: its own, or another that is in use for it.
    /// MusicXML was `.xml` before its version 3.1, and programs go on writing that.
    pub(crate) fn has_ending(self, ending: &OsStr) -> bool {
        let other = match self {
            Self::MusicXml => Some("xml"),
            _ => None,
        };
        let known = [Some(self.row().ending), other];
        known.into_iter().flatten().any(|known| ending.eq_ignore_ascii_case(known))
    }

    /// The kind of track whose names have an ending, if there is one.
    pub(crate) fn of_track_ending(ending: &OsStr) -> Option<Self> {
        TRACKS.into_iter().find(|kind| ending.eq_ignore_ascii_case(kind.row().ending))
    }

    /// The file that is no page, if it is a kind that is not made of pages.
    pub(crate) fn of_notes(self, piece: &ExchangePiece<'_>) -> Option<Vec<u8>> {
        match self {
            Self::MusicXml => Some(exchange::musicxml(piece)),
            Self::Mxl => Some(exchange::mxl(piece)),
            _ => None,
        }
    }

    /// The file of one page, if it is a kind that has one for each.
    pub(crate) fn of_page(self, about: &About, page: &Page) -> Result<Option<Vec<u8>>, PngError> {
        match self {
            Self::Png { dots } => output::png(about, page, dots).map(Some),
            Self::Svg => output::svg(about, page).map(|drawing| Some(drawing.into_bytes())),
            _ => Ok(None),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::pipeline;
    use crate::recipe::{DocumentForm, Recipe};

    /// A file that could not be told from others would be replaced, or never be.
    #[test]
    fn a_file_of_each_kind_is_known_again() {
        let keys = vec!["C".parse().unwrap()];
        let recipe = Recipe { form: DocumentForm::Handout, keys, ..Recipe::default() };
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
