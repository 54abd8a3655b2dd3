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
    /// What should be the folder is a file.
    #[error("cannot write {}: {} is a file and no folder", file.display(), other.display())]
    FileForFolder {
        /// The file.
        file: PathBuf,
        /// What stands in the place of a folder on the way to it.
        other: PathBuf,
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

impl WriteError {
    /// What the system reports of a file that was to stand in a folder.
    pub fn system(file: &Path, folder: &Path, source: io::Error) -> Self {
        explain(file, folder, source)
    }

    /// The refusal of a file whose folder is none.
    pub fn no_folder(file: &Path, folder: &Path) -> Self {
        let (file, folder) = (file.to_owned(), folder.to_owned());
        // The nearest thing on the way that is there at all.
        let there = folder.ancestors().find(|part| part.exists() && !part.as_os_str().is_empty());
        match there.filter(|there| !there.is_dir()) {
            Some(other) => Self::FileForFolder { other: other.to_owned(), file },
            None => Self::NoFolder { file, folder },
        }
    }
}

/// Writes the file at `path` by `write`, in place of the file that may be there. A link stands
/// for the file that it leads to, there or not yet there, and stays.
///
/// The bytes go to a new file in the same folder, which takes the name once it is whole and on
/// disk; so nobody ever sees half a file, and a failure leaves the old one as it was. A new file
/// is as open as the user wants new files to be; one that replaces another is as open as that.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_whole_by(
    path: &Path,
    write: impl FnOnce(&mut File) -> io::Result<()>,
) -> Result<(), WriteError> {
    let target = behind_links(path)?;
    replace(&target, write, File::set_permissions)
        .map_err(|source| explain(path, folder_of(&target), source))
}

/// Writes `bytes` as [`write_whole_by`] does.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    write_whole_by(path, |file| file.write_all(bytes))
}

/// Makes a folder, and those that it stands in, unless it is there.
///
/// # Errors
///
/// See [`WriteError`].
pub fn make_folder(folder: &Path) -> Result<(), WriteError> {
    fs::create_dir_all(folder).map_err(|source| match source.kind() {
        ErrorKind::AlreadyExists | ErrorKind::NotADirectory => {
            WriteError::no_folder(folder, folder)
        }
        _ => explain(folder, folder_of(folder), source),
    })
}

/// Puts a file in the place of the one that may be there, and makes it as open by `set`.
fn replace(
    target: &Path,
    write: impl FnOnce(&mut File) -> io::Result<()>,
    set: impl FnOnce(&File, Permissions) -> io::Result<()>,
) -> io::Result<()> {
    let old = fs::metadata(target).ok().map(|about| about.permissions());
    let openness = if old.is_some() { Openness::Private } else { Openness::AsNewFiles };
    let fill = |draft: &mut File| {
        fill(draft, write)?;
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

/// Writes a new file at `path` by `write`, as [`write_whole_by`] does, unless something of that name
/// is there already, be it a link that leads nowhere. Says whether it was written.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_new_by(
    path: &Path,
    write: impl FnOnce(&mut File) -> io::Result<()>,
) -> Result<bool, WriteError> {
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
    through_draft(folder, Openness::AsNewFiles, |draft| fill(draft, write), place)
        .map_err(|source| explain(path, folder, source))
}

/// Writes `bytes` as [`write_new_by`] does.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_new(path: &Path, bytes: &[u8]) -> Result<bool, WriteError> {
    write_new_by(path, |file| file.write_all(bytes))
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

/// Has all bytes written, on disk.
fn fill(draft: &mut File, write: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    write(draft)?;
    match draft.sync_all() {
        // Some file systems know no such thing.
        Err(error) if matches!(error.kind(), ErrorKind::InvalidInput | ErrorKind::Unsupported) => {
            Ok(())
        }
        synced => synced,
    }
}

fn explain(path: &Path, folder: &Path, source: io::Error) -> WriteError {
    let file = path.to_owned();
    match source.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => WriteError::no_folder(path, folder),
        ErrorKind::IsADirectory => WriteError::IsFolder { file },
        ErrorKind::StorageFull
        | ErrorKind::QuotaExceeded
        | ErrorKind::FileTooLarge
        | ErrorKind::WriteZero => WriteError::NoRoom { file },
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            WriteError::NotPermitted { file, folder: folder.to_owned() }
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
        replace(
            &path,
            |file| file.write_all(b"new"),
            |_, _| Err(ErrorKind::PermissionDenied.into()),
        )
        .unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"new");
    }
}
