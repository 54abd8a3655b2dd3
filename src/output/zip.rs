//! Several files in one (PKWARE, *.ZIP File Format Specification* 6.3.9), as they are: sheets are
//! deflated already. No clock: every file bears the first day that the format can write.

use std::io::{self, Read, Seek, Write};

use flate2::Crc;

/// Features of version 2.0: folders in names.
const VERSION: u16 = 20;
/// Names are in UTF-8 (4.4.4, bit 11).
const UTF_8: u16 = 1 << 11;
/// 1 January 1980 (4.4.6).
const FIRST_DAY: u16 = 1 << 5 | 1;
/// Bytes of what is put in that are in memory at once.
const AT_ONCE: usize = 64 * 1024;

/// One file that holds several, written as they come: memory grows with their number alone.
pub struct Zip<W> {
    out: W,
    /// How much has been written.
    length: u64,
    directory: Vec<u8>,
    count: u16,
}

impl<W: Write> Zip<W> {
    /// Begins one.
    pub fn begin(out: W) -> Self {
        Self { out, length: 0, directory: Vec::new(), count: 0 }
    }

    /// Puts a file in, from the beginning of what is given. Its name has `/` between folders.
    ///
    /// Errors if it cannot be read or written, and at 4 GiB or 65,536 files.
    pub fn add(&mut self, name: &str, matter: &mut (impl Read + Seek)) -> io::Result<()> {
        let start = short(self.length)?;
        let about = about(name, matter)?;
        let head = [&0x0403_4b50_u32.to_le_bytes()[..], &about, name.as_bytes()].concat();
        self.out.write_all(&head)?;
        matter.rewind()?;
        let copied = io::copy(matter, &mut self.out)?;
        self.length += head.len() as u64 + copied;
        self.directory.extend(0x0201_4b50_u32.to_le_bytes());
        self.directory.extend(VERSION.to_le_bytes());
        self.directory.extend(&about);
        // No comment, the first disk, no attributes.
        self.directory.extend([0; 10]);
        self.directory.extend(start.to_le_bytes());
        self.directory.extend(name.as_bytes());
        self.count = self.count.checked_add(1).ok_or(io::ErrorKind::FileTooLarge)?;
        Ok(())
    }

    /// Ends it, and gives back what it was written to. Errors if it cannot be written.
    pub fn end(mut self) -> io::Result<W> {
        let mut end = self.directory;
        let (start, length) = (short(self.length)?, short(end.len() as u64)?);
        end.extend(0x0605_4b50_u32.to_le_bytes());
        end.extend([0; 4]);
        end.extend(self.count.to_le_bytes());
        end.extend(self.count.to_le_bytes());
        end.extend(length.to_le_bytes());
        end.extend(start.to_le_bytes());
        end.extend([0; 2]);
        self.out.write_all(&end)?;
        self.out.flush()?;
        Ok(self.out)
    }
}

/// What both headers of a file say of it.
fn about(name: &str, matter: &mut (impl Read + Seek)) -> io::Result<Vec<u8>> {
    let mut sum = Crc::new();
    let mut bytes = vec![0; AT_ONCE];
    let mut length = 0;
    matter.rewind()?;
    loop {
        let read = matter.read(&mut bytes)?;
        if read == 0 {
            break;
        }
        sum.update(&bytes[..read]);
        length += read as u64;
    }
    let mut about = Vec::with_capacity(26);
    // Version, flags, stored as it is, midnight, the day.
    for half in [VERSION, UTF_8, 0, 0, FIRST_DAY] {
        about.extend(half.to_le_bytes());
    }
    about.extend(sum.sum().to_le_bytes());
    about.extend(short(length)?.to_le_bytes());
    about.extend(short(length)?.to_le_bytes());
    let name = u16::try_from(name.len()).map_err(|_| io::ErrorKind::InvalidFilename)?;
    about.extend(name.to_le_bytes());
    about.extend([0; 2]);
    Ok(about)
}

fn short(length: u64) -> io::Result<u32> {
    u32::try_from(length).map_err(|_| io::ErrorKind::FileTooLarge.into())
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use super::*;

    #[test]
    fn the_parts_stand_where_the_directory_says() {
        // The last is longer than what is in memory at once.
        let long = "x".repeat(AT_ONCE + 9);
        let entries = [("a/\u{e9}.txt", "hello"), ("b", ""), ("c", &long)];
        let mut zip = Zip::begin(Vec::new());
        for (name, text) in entries {
            zip.add(name, &mut Cursor::new(text)).unwrap();
        }
        let file = zip.end().unwrap();
        let end = file.len() - 22;
        let four = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize;
        assert_eq!(four(end), 0x0605_4b50);
        let mut at = four(end + 16);
        assert_eq!(at + four(end + 12), end);
        for (name, text) in entries {
            assert_eq!(four(at), 0x0201_4b50);
            let start = four(at + 42);
            assert_eq!(four(start), 0x0403_4b50);
            let here = start + 30;
            assert_eq!(&file[here..here + name.len()], name.as_bytes());
            let bytes = here + name.len();
            assert_eq!(&file[bytes..bytes + text.len()], text.as_bytes());
            at += 46 + name.len();
        }
        // CRC-32 of "hello", from outside (RFC 1952 as `crc32` of any shell tells it).
        assert_eq!(four(14), 0x3610_a686);
    }
}
