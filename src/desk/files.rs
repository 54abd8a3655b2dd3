//! Reading the files that a teacher names.

use std::fs::File;
use std::io::{self, ErrorKind, Read as _};
use std::path::Path;

use crate::source::Complaint;

/// The bytes of a file of at most `limit` bytes.
pub(crate) fn read(path: &Path, limit: u64) -> Result<Vec<u8>, Complaint> {
    let (file, length) = open(path)?;
    // All at once, since a buffer that grows takes twice the file for a moment.
    let length = length.min(limit).saturating_add(1);
    let mut bytes = Vec::with_capacity(usize::try_from(length).unwrap_or(0));
    // One byte more than may be, so that a file without end is found out too.
    file.take(limit + 1).read_to_end(&mut bytes).map_err(|error| explained(path, &error))?;
    if bytes.len() as u64 > limit {
        return Err(too_large(path, limit));
    }
    Ok(bytes)
}

/// The first few bytes of a file, which often say what it is.
pub(crate) fn head(path: &Path) -> Result<Vec<u8>, Complaint> {
    const FEW: u64 = 8;
    let mut bytes = Vec::new();
    let (file, _) = open(path)?;
    file.take(FEW).read_to_end(&mut bytes).map_err(|error| explained(path, &error))?;
    Ok(bytes)
}

/// An ordinary file, and its length in bytes.
fn open(path: &Path) -> Result<(File, u64), Complaint> {
    // Before it is opened, since a pipe that nobody writes to would be waited for.
    let about = path.metadata().map_err(|error| explained(path, &error))?;
    if about.is_dir() {
        return Err(unreadable(path, "it is a folder", "name a file in it"));
    }
    if !about.is_file() {
        let problem = "it is a pipe or a device and no ordinary file";
        return Err(unreadable(path, problem, "save what it gives, and name the file"));
    }
    let file = File::open(path).map_err(|error| explained(path, &error))?;
    Ok((file, about.len()))
}

/// What keeps a file from being read.
fn explained(path: &Path, error: &io::Error) -> Complaint {
    match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            unreadable(path, "there is no such file", "check its name and folder")
        }
        ErrorKind::PermissionDenied => {
            unreadable(path, "reading it is not permitted", "change its permissions")
        }
        _ => unreadable(path, &error.to_string(), "check the file"),
    }
}

/// The error for a file larger than `limit` bytes.
pub(crate) fn too_large(path: &Path, limit: u64) -> Complaint {
    let size = match limit >> 20 {
        0 => format!("{} KiB", limit >> 10),
        mib => format!("{mib} MiB"),
    };
    let problem = format!("it is larger than {size}");
    unreadable(path, &problem, "check that it is the right file")
}

/// The complaint about a file that cannot be read.
fn unreadable(path: &Path, problem: &str, mend: &str) -> Complaint {
    Complaint::new(format!("cannot read {}: {problem}", path.display())).mend(mend)
}

/// The text in `bytes` of the file at `path`, with line ends as the program writes them.
pub(crate) fn text(path: &Path, bytes: Vec<u8>) -> Result<String, Complaint> {
    let text = String::from_utf8(bytes)
        .map_err(|_| unreadable(path, "it is not text in UTF-8", "save it as UTF-8"))?;
    Ok(text.trim_start_matches('\u{feff}').replace("\r\n", "\n"))
}
