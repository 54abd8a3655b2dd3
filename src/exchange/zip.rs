//! The packed form: a zip of three files, the kind, where the score is, and the score.
//!
//! Sources: MusicXML 4.0, "Compressed .mxl files"; APPNOTE 6.3 of the zip format, sections 4.3.7,
//! 4.3.12 and 4.3.16.

use std::io::Write as _;

use flate2::write::DeflateEncoder;
use flate2::{Compression, Crc};

/// How a plain file begins.
pub const XML_START: &[u8] =
    b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\">";

/// How a packed file begins: with its kind, which stands there as it is.
pub const MXL_START: &[u8] = b"PK\x03\x04\x14\x00\x00\x08\x00\x00\x00\x00\x21\x00\
\x2e\x42\x15\x82\x22\x00\x00\x00\x22\x00\x00\x00\x08\x00\x00\x00\
mimetypeapplication/vnd.recordare.musicxml";

const KIND: (&str, &[u8]) = ("mimetype", b"application/vnd.recordare.musicxml");
const PLACE: (&str, &[u8]) = (
    "META-INF/container.xml",
    b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
<container>\n <rootfiles>\n  <rootfile full-path=\"score.musicxml\" \
media-type=\"application/vnd.recordare.musicxml+xml\"/>\n </rootfiles>\n</container>\n",
);
const SCORE: &str = "score.musicxml";

/// What it takes to unpack: version 2.0.
const VERSION: u16 = 20;
/// Names are UTF-8.
const FLAGS: u16 = 1 << 11;
/// The first day of the first month of 1980, at midnight: a file says nothing of when it was made.
const DATE: u16 = (1 << 5) + 1;

/// A score, packed.
pub(super) fn packed(score: &[u8]) -> Vec<u8> {
    let mut zip = ZipInMaking::default();
    zip.add(KIND.0, KIND.1, false);
    zip.add(PLACE.0, PLACE.1, true);
    zip.add(SCORE, score, true);
    zip.finish()
}

/// A zip in the making.
#[derive(Default)]
struct ZipInMaking {
    bytes: Vec<u8>,
    /// Its table, which stands at the end.
    table: Vec<u8>,
    files: u16,
}

impl ZipInMaking {
    fn add(&mut self, name: &str, data: &[u8], deflated: bool) {
        let start = self.bytes.len();
        let mut crc = Crc::new();
        crc.update(data);
        let stored = if deflated { deflate(data) } else { data.to_vec() };
        let mut head = Vec::new();
        let method: u16 = if deflated { 8 } else { 0 };
        for half in [VERSION, FLAGS, method, 0, DATE] {
            head.extend(half.to_le_bytes());
        }
        for whole in [crc.sum(), size(&stored), size(data)] {
            head.extend(whole.to_le_bytes());
        }
        head.extend((name.len() as u16).to_le_bytes());
        head.extend(0_u16.to_le_bytes());
        self.bytes.extend(b"PK\x03\x04");
        self.bytes.extend(&head);
        self.bytes.extend(name.as_bytes());
        self.bytes.extend(stored);
        self.table.extend(b"PK\x01\x02");
        self.table.extend(VERSION.to_le_bytes());
        self.table.extend(&head);
        // No comment, the first disk, no attributes.
        self.table.extend([0; 10]);
        self.table.extend((start as u32).to_le_bytes());
        self.table.extend(name.as_bytes());
        self.files += 1;
    }

    fn finish(mut self) -> Vec<u8> {
        let start = self.bytes.len() as u32;
        self.bytes.extend(&self.table);
        self.bytes.extend(b"PK\x05\x06\x00\x00\x00\x00");
        self.bytes.extend(self.files.to_le_bytes());
        self.bytes.extend(self.files.to_le_bytes());
        self.bytes.extend(size(&self.table).to_le_bytes());
        self.bytes.extend(start.to_le_bytes());
        self.bytes.extend(0_u16.to_le_bytes());
        self.bytes
    }
}

/// How many bytes; no score comes near four gigabytes.
fn size(bytes: &[u8]) -> u32 {
    u32::try_from(bytes.len()).unwrap_or(u32::MAX)
}

fn deflate(data: &[u8]) -> Vec<u8> {
    let mut encoder = DeflateEncoder::new(Vec::new(), Compression::default());
    // Memory takes every byte, so there is nothing to go wrong.
    let _ = encoder.write_all(data);
    encoder.finish().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_packed_score_begins_as_it_is_known_again() {
        let zip = packed(b"score");
        assert_eq!(&zip[..MXL_START.len()], MXL_START);
    }
}
