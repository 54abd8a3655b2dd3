//! The bytes of a list as text, and text as bytes again, in whatever encoding a spreadsheet saved
//! it.

use crate::desk::files;
use crate::source::{Complaint, Place};
use std::path::Path;

/// Most bytes of a list: ten thousand rows of several hundred letters.
const LARGEST_LIST: u64 = 8 * 1024 * 1024;

/// How a list is encoded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Encoding {
    /// UTF-8, with or without the mark that some programs begin it with.
    Utf8 {
        /// Whether the mark is there.
        mark: bool,
    },
    /// UTF-16 with its mark, the low byte first.
    Utf16Le,
    /// The same, the high byte first.
    Utf16Be,
}

/// The mark, which says in which order bytes come (Unicode, 23.8).
const MARK: char = '\u{feff}';

/// Reads a list. Errors say what kind of file it is instead, as far as that can be seen.
pub(crate) fn read(path: &Path) -> Result<(String, Encoding), Complaint> {
    let bytes = files::read(path, LARGEST_LIST)?;
    decode(&bytes).map_err(|complaint| complaint.at(Place::of(path.display().to_string())))
}

/// The text that bytes stand for, without its mark.
pub(crate) fn decode(bytes: &[u8]) -> Result<(String, Encoding), Complaint> {
    let wrong = |problem: String| {
        Complaint::new(problem).mend("save it as CSV in UTF-8, which spreadsheets offer")
    };
    let of_words = |rest: &[u8], word: fn([u8; 2]) -> u16, encoding| {
        let (pairs, odd) = rest.as_chunks::<2>();
        let words: Vec<u16> = pairs.iter().map(|pair| word(*pair)).collect();
        match String::from_utf16(&words) {
            Ok(text) if odd.is_empty() => Ok((text, encoding)),
            _ => Err(wrong("it begins as UTF-16 and is not, or its end is missing".to_owned())),
        }
    };
    match bytes {
        [0xFF, 0xFE, rest @ ..] => of_words(rest, u16::from_le_bytes, Encoding::Utf16Le),
        [0xFE, 0xFF, rest @ ..] => of_words(rest, u16::from_be_bytes, Encoding::Utf16Be),
        [b'P', b'K', 3, 4, ..] | [0xD0, 0xCF, 0x11, 0xE0, ..] => {
            Err(wrong("it is the file of a spreadsheet and no list".to_owned()))
        }
        [b'%', b'P', b'D', b'F', ..] => Err(wrong("it is a PDF and no list".to_owned())),
        _ if bytes.contains(&0) => {
            let problem = "it has characters of two bytes without the mark that says so";
            Err(wrong(problem.to_owned()))
        }
        _ => {
            let (mark, rest) = match bytes {
                [0xEF, 0xBB, 0xBF, rest @ ..] => (true, rest),
                _ => (false, bytes),
            };
            match str::from_utf8(rest) {
                Ok(text) => Ok((text.to_owned(), Encoding::Utf8 { mark })),
                Err(error) => {
                    let before = &rest[..error.valid_up_to()];
                    let line = memchr::memchr_iter(b'\n', before).count() + 1;
                    let byte = rest.get(error.valid_up_to()).copied().unwrap_or_default();
                    Err(wrong(format!("line {line} is no UTF-8 (byte {byte:02X})")))
                }
            }
        }
    }
}

/// The bytes of a text.
pub(crate) fn encode(text: &str, encoding: Encoding) -> Vec<u8> {
    let words = || std::iter::once(MARK).chain(text.chars());
    let mut two = [0; 2];
    match encoding {
        Encoding::Utf8 { mark: false } => text.as_bytes().to_vec(),
        Encoding::Utf8 { mark: true } => words().collect::<String>().into_bytes(),
        Encoding::Utf16Le => words()
            .flat_map(|c| c.encode_utf16(&mut two).to_vec())
            .flat_map(u16::to_le_bytes)
            .collect(),
        Encoding::Utf16Be => words()
            .flat_map(|c| c.encode_utf16(&mut two).to_vec())
            .flat_map(u16::to_be_bytes)
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn what_is_no_list_is_told_for_what_it_is() {
        for (bytes, told) in [
            (&b"PK\x03\x04rest"[..], "it is the file of a spreadsheet"),
            (b"%PDF-1.7", "it is a PDF"),
            (b"name\nZo\xEB\n", "line 2 is no UTF-8 (byte EB)"),
            (b"n\0a\0m\0e\0", "it has characters of two bytes"),
            (b"\xFF\xFEn\0a", "it begins as UTF-16"),
            (b"\xFE\xFF\xD8\x00\x00n", "it begins as UTF-16"),
        ] {
            let refusal = decode(bytes).unwrap_err().to_string();
            assert!(refusal.starts_with(told), "{refusal}");
            assert!(refusal.contains("; save it as CSV in UTF-8"), "{refusal}");
        }
    }

    proptest! {
        #[test]
        fn every_text_comes_back_in_every_encoding(text in "[^\\x00\u{feff}%PK]\\PC{0,40}\n?") {
            for encoding in [
                Encoding::Utf8 { mark: false },
                Encoding::Utf8 { mark: true },
                Encoding::Utf16Le,
                Encoding::Utf16Be,
            ] {
                let bytes = encode(&text, encoding);
                prop_assert_eq!(decode(&bytes), Ok((text.clone(), encoding)));
                prop_assert_eq!(encode(&text, encoding), bytes);
            }
        }
    }
}
