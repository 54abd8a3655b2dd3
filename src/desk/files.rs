//! Reading the files that a teacher names.

use std::fs::File;
use std::io::{self, ErrorKind, Read as _};
use std::path::Path;

use crate::cli::CliError;

/// The bytes of a file of at most `limit` bytes.
pub(crate) fn read(path: &Path, limit: u64) -> Result<Vec<u8>, CliError> {
    let unreadable = |problem: String, mend: &'static str| CliError::Unreadable {
        path: path.to_owned(),
        problem,
        mend,
    };
    let explain = |error: io::Error| match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            unreadable("there is no such file".to_owned(), "check its name and folder")
        }
        ErrorKind::PermissionDenied => {
            unreadable("reading it is not permitted".to_owned(), "change its permissions")
        }
        _ => unreadable(error.to_string(), "check the file"),
    };
    if path.is_dir() {
        return Err(unreadable("it is a folder".to_owned(), "name a file in it"));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(explain)?;
    // One byte more than may be, so that a file without end is found out too.
    file.take(limit + 1).read_to_end(&mut bytes).map_err(explain)?;
    if bytes.len() as u64 > limit {
        return Err(too_large(path, limit));
    }
    Ok(bytes)
}

/// The error for a file larger than `limit` bytes.
pub(crate) fn too_large(path: &Path, limit: u64) -> CliError {
    CliError::Unreadable {
        path: path.to_owned(),
        problem: format!("it is larger than {} KiB", limit / 1024),
        mend: "check that it is the right file",
    }
}

/// The text in `bytes` of the file at `path`, with line ends as the program writes them.
pub(crate) fn text(path: &Path, bytes: Vec<u8>) -> Result<String, CliError> {
    let text = String::from_utf8(bytes).map_err(|_| CliError::Unreadable {
        path: path.to_owned(),
        problem: "it is not text in UTF-8".to_owned(),
        mend: "save it as UTF-8",
    })?;
    Ok(text.trim_start_matches('\u{feff}').replace("\r\n", "\n"))
}
