//! Several files in one (PKWARE, *.ZIP File Format Specification* 6.3.9), as they are: sheets are
//! deflated already. No clock: every file bears the first day that the format can write.

use flate2::Crc;

/// A file to be put in.
#[derive(Clone, Debug)]
pub struct ZipEntry {
    /// Its name, with `/` between folders.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Features of version 2.0: folders in names.
const VERSION: u16 = 20;
/// Names are in UTF-8 (4.4.4, bit 11).
const UTF_8: u16 = 1 << 11;
/// 1 January 1980 (4.4.6).
const FIRST_DAY: u16 = 1 << 5 | 1;

/// One file that holds them all, in their order; less than 4 GiB of them, and fewer than 65,536.
pub fn zip(entries: &[ZipEntry]) -> Vec<u8> {
    let mut file = Vec::with_capacity(entries.iter().map(|entry| entry.bytes.len() + 256).sum());
    let mut directory = Vec::new();
    for entry in entries {
        let start = low(file.len());
        let about = about(entry);
        file.extend(0x0403_4b50_u32.to_le_bytes());
        file.extend(&about);
        file.extend(entry.name.as_bytes());
        file.extend(&entry.bytes);
        directory.extend(0x0201_4b50_u32.to_le_bytes());
        directory.extend(VERSION.to_le_bytes());
        directory.extend(&about);
        // No comment, the first disk, no attributes.
        directory.extend([0; 10]);
        directory.extend(start.to_le_bytes());
        directory.extend(entry.name.as_bytes());
    }
    let (start, count) = (low(file.len()), low(entries.len()) as u16);
    file.extend(&directory);
    file.extend(0x0605_4b50_u32.to_le_bytes());
    file.extend([0; 4]);
    file.extend(count.to_le_bytes());
    file.extend(count.to_le_bytes());
    file.extend(low(directory.len()).to_le_bytes());
    file.extend(start.to_le_bytes());
    file.extend([0; 2]);
    file
}

/// What both headers of a file say of it.
fn about(entry: &ZipEntry) -> Vec<u8> {
    let mut sum = Crc::new();
    sum.update(&entry.bytes);
    let mut about = Vec::with_capacity(26);
    // Version, flags, stored as it is, midnight, the day.
    for half in [VERSION, UTF_8, 0, 0, FIRST_DAY] {
        about.extend(half.to_le_bytes());
    }
    about.extend(sum.sum().to_le_bytes());
    about.extend(low(entry.bytes.len()).to_le_bytes());
    about.extend(low(entry.bytes.len()).to_le_bytes());
    about.extend((low(entry.name.len()) as u16).to_le_bytes());
    about.extend([0; 2]);
    about
}

fn low(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_parts_stand_where_the_directory_says() {
        let entries = [("a/\u{e9}.txt", "hello"), ("b", "")].map(|(name, text)| ZipEntry {
            name: name.to_owned(),
            bytes: text.as_bytes().to_vec(),
        });
        let file = zip(&entries);
        let end = file.len() - 22;
        let four = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize;
        assert_eq!(four(end), 0x0605_4b50);
        let mut at = four(end + 16);
        assert_eq!(at + four(end + 12), end);
        for entry in &entries {
            assert_eq!(four(at), 0x0201_4b50);
            let start = four(at + 42);
            assert_eq!(four(start), 0x0403_4b50);
            let name = start + 30;
            assert_eq!(&file[name..name + entry.name.len()], entry.name.as_bytes());
            let bytes = name + entry.name.len();
            assert_eq!(&file[bytes..bytes + entry.bytes.len()], entry.bytes);
            at += 46 + entry.name.len();
        }
        // CRC-32 of "hello", from outside (RFC 1952 as `crc32` of any shell tells it).
        assert_eq!(four(14), 0x3610_a686);
    }
}
