//! Sheets that are made and not yet put in their places: in a file without a name, so that any
//! number of them can wait until it is known that all are good.

use std::fs::File;
use std::io::{self, BufReader, Read, Seek as _, SeekFrom, Write as _};
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::desk::place::Matter;

/// A file without a name, which is gone when the program is.
pub(crate) struct Spool(Mutex<File>);

/// Something in a spool.
pub(crate) struct Spooled<'a> {
    spool: &'a Spool,
    start: u64,
    length: u64,
}

impl Spool {
    /// Begins one in a folder.
    pub(crate) fn begin(folder: &Path) -> io::Result<Self> {
        tempfile::tempfile_in(folder).map(|file| Self(Mutex::new(file)))
    }

    fn file(&self) -> MutexGuard<'_, File> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The file itself, to be written from its beginning.
    pub(crate) fn handle(&self) -> io::Result<File> {
        self.file().try_clone()
    }

    /// Adds a sheet.
    pub(crate) fn add(&self, bytes: &[u8]) -> io::Result<Spooled<'_>> {
        let mut file = self.file();
        let start = file.seek(SeekFrom::End(0))?;
        file.write_all(bytes)?;
        Ok(Spooled { spool: self, start, length: bytes.len() as u64 })
    }

    /// The file from its beginning, to be read by whoever has it now, and how long it is.
    pub(crate) fn into_file(self) -> io::Result<(File, u64)> {
        let mut file = self.0.into_inner().unwrap_or_else(PoisonError::into_inner);
        let length = file.seek(SeekFrom::End(0))?;
        file.rewind()?;
        Ok((file, length))
    }

    /// All that is in it as one thing.
    pub(crate) fn whole(&self) -> io::Result<Spooled<'_>> {
        let length = self.file().seek(SeekFrom::End(0))?;
        Ok(Spooled { spool: self, start: 0, length })
    }
}

impl Matter for Spooled<'_> {
    fn len(&self) -> u64 {
        self.length
    }

    fn write(&self, file: &mut File) -> io::Result<()> {
        let mut spool = self.spool.file();
        spool.seek(SeekFrom::Start(self.start))?;
        let copied = io::copy(&mut (&mut *spool).take(self.length), file)?;
        if copied == self.length { Ok(()) } else { Err(io::ErrorKind::UnexpectedEof.into()) }
    }

    fn is_at(&self, path: &Path) -> bool {
        let mut spool = self.spool.file();
        let mut same = || -> io::Result<bool> {
            spool.seek(SeekFrom::Start(self.start))?;
            let ours = BufReader::new(&mut *spool).take(self.length).bytes();
            let theirs = BufReader::new(File::open(path)?).bytes();
            for (ours, theirs) in ours.zip(theirs) {
                if ours? != theirs? {
                    return Ok(false);
                }
            }
            Ok(true)
        };
        same().unwrap_or(false)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_put_in_comes_out() {
        let folder = tempfile::tempdir().unwrap();
        let spool = Spool::begin(folder.path()).unwrap();
        let sheets = [b"one".to_vec(), vec![7; 100_000], Vec::new(), b"four".to_vec()];
        let kept: Vec<Spooled<'_>> = sheets.iter().map(|bytes| spool.add(bytes).unwrap()).collect();
        for (index, (bytes, kept)) in sheets.iter().zip(&kept).enumerate().rev() {
            let path = folder.path().join(index.to_string());
            kept.write(&mut File::create(&path).unwrap()).unwrap();
            assert_eq!(std::fs::read(&path).unwrap(), *bytes);
            assert!(kept.is_at(&path));
            assert_eq!(kept.len(), bytes.len() as u64);
        }
        assert!(!kept[0].is_at(&folder.path().join("1")));
        assert_eq!(spool.whole().unwrap().len(), 100_007);
        // The spool itself has no name.
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 4);
    }
}
