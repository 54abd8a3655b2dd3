//! Writing a file whole or not at all.

use std::fs::{self, File, Permissions};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::draft::{Openness, through_draft};

/// Why a file cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The folder does not exist.
    #[error("cannot write {}: the folder {} does not exist", file.display(), folder.display())]
    NoFolder {
        /// The file.
        file: PathBuf,
        /// The folder it was to stand in.
        folder: PathBuf,
    },
    /// The path names a folder.
    #[error("cannot write {}: it is a folder", file.display())]
    IsFolder {
        /// The path.
        file: PathBuf,
    },
    /// The folder is not open for writing.
    #[error("cannot write {}: writing in {} is not permitted", file.display(), folder.display())]
    NotPermitted {
        /// The file.
        file: PathBuf,
        /// The folder it was to stand in.
        folder: PathBuf,
    },
    /// There is no room left.
    #[error("cannot write {}: the disk has no room for it", file.display())]
    NoRoom {
        /// The file.
        file: PathBuf,
    },
    /// The path is a link that leads back to itself.
    #[error("cannot write {}: it is a link that leads round in a circle", file.display())]
    Circle {
        /// The path.
        file: PathBuf,
    },
    /// Anything else that the system reports.
    #[error("cannot write {}: {source}", file.display())]
    System {
        /// The file.
        file: PathBuf,
        /// What the system says.
        source: io::Error,
    },
}

/// Writes `bytes` as the file at `path`, in place of the file that may be there. A link stands
/// for the file that it leads to, there or not yet there, and stays.
///
/// The bytes go to a new file in the same folder, which takes the name once it is whole and on
/// disk; so nobody ever sees half a file, and a failure leaves the old one as it was. A new file
/// is as open as the user wants new files to be; one that replaces another is as open as that.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    let target = behind_links(path)?;
    replace(&target, bytes, File::set_permissions)
        .map_err(|source| explain(path, folder_of(&target), source))
}

/// Puts a file in the place of the one that may be there, and makes it as open by `set`.
fn replace(
    target: &Path,
    bytes: &[u8],
    set: impl FnOnce(&File, Permissions) -> io::Result<()>,
) -> io::Result<()> {
    let old = fs::metadata(target).ok().map(|about| about.permissions());
    let openness = if old.is_some() { Openness::Private } else { Openness::AsNewFiles };
    let fill = |draft: &mut File| {
        fill(draft, bytes)?;
        if let Some(old) = old {
            // A file system that keeps no permissions refuses to set them; that is no reason to
            // keep the sheet from the teacher. A draft is never more open than the old file.
            let _ = set(draft, old);
        }
        Ok(())
    };
    let place = |draft: NamedTempFile| draft.persist(target).map_err(|error| error.error);
    through_draft(folder_of(target), openness, fill, place)?;
    Ok(())
}

/// Writes `bytes` as a new file at `path`, as [`write_whole`] does, unless something of that name
/// is there already, be it a link that leads nowhere. Says whether it was written.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<bool, WriteError> {
    if path.file_name().is_none() {
        return Err(WriteError::IsFolder { file: path.to_owned() });
    }
    let folder = folder_of(path);
    let place = |draft: NamedTempFile| match draft.persist_noclobber(path) {
        Ok(_) => Ok(true),
        Err(_) if fs::symlink_metadata(path).is_ok() => Ok(false),
        // Some file systems cannot name a file on condition that the name is free.
        Err(error) => error.file.persist(path).map(|_| true).map_err(|error| error.error),
    };
    through_draft(folder, Openness::AsNewFiles, |draft| fill(draft, bytes), place)
        .map_err(|source| explain(path, folder, source))
}

/// The path of the file that writing at `path` would make or replace: where links lead.
///
/// # Errors
///
/// See [`WriteError`]: it is a folder, or the links lead round in a circle.
pub fn behind_links(path: &Path) -> Result<PathBuf, WriteError> {
    /// As many as Linux follows (`path_resolution(7)`).
    const MOST_LINKS: usize = 40;
    if path.is_dir() || path.file_name().is_none() {
        return Err(WriteError::IsFolder { file: path.to_owned() });
    }
    let mut target = path.to_owned();
    for _ in 0..MOST_LINKS {
        match fs::read_link(&target) {
            Ok(next) => target = target.parent().unwrap_or(Path::new("")).join(next),
            Err(_) => return Ok(target),
        }
    }
    Err(WriteError::Circle { file: path.to_owned() })
}

/// The folder that a file stands or shall stand in.
fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Writes all bytes, on disk.
fn fill(draft: &mut File, bytes: &[u8]) -> io::Result<()> {
    draft.write_all(bytes)?;
    match draft.sync_all() {
        // Some file systems know no such thing.
        Err(error) if matches!(error.kind(), ErrorKind::InvalidInput | ErrorKind::Unsupported) => {
            Ok(())
        }
        synced => synced,
    }
}

fn explain(path: &Path, folder: &Path, source: io::Error) -> WriteError {
    let (file, folder) = (path.to_owned(), folder.to_owned());
    match source.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => WriteError::NoFolder { file, folder },
        ErrorKind::IsADirectory => WriteError::IsFolder { file },
        ErrorKind::StorageFull
        | ErrorKind::QuotaExceeded
        | ErrorKind::FileTooLarge
        | ErrorKind::WriteZero => WriteError::NoRoom { file },
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            WriteError::NotPermitted { file, folder }
        }
        _ => WriteError::System { file, source },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_system_that_refuses_permissions_takes_the_sheet_all_the_same() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("sheet.pdf");
        fs::write(&path, "old").unwrap();
        replace(&path, b"new", |_, _| Err(ErrorKind::PermissionDenied.into())).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
    }
}
