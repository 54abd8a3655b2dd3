//! Writing a file whole or not at all.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Why a file cannot be written.
#[derive(Debug, thiserror::Error)]
pub enum WriteError {
    /// The folder does not exist.
    #[error("cannot write {}: the folder {} does not exist; make it first", file.display(), folder.display())]
    NoFolder {
        /// The file.
        file: PathBuf,
        /// The folder it was to stand in.
        folder: PathBuf,
    },
    /// The path names a folder.
    #[error("cannot write {}: it is a folder; name a file in it", file.display())]
    IsFolder {
        /// The path.
        file: PathBuf,
    },
    /// The folder is not open for writing.
    #[error("cannot write {}: writing in {} is not permitted; choose another folder", file.display(), folder.display())]
    NotPermitted {
        /// The file.
        file: PathBuf,
        /// The folder it was to stand in.
        folder: PathBuf,
    },
    /// There is no room left.
    #[error("cannot write {}: the disk has no room for it; make room or choose another folder", file.display())]
    NoRoom {
        /// The file.
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

/// Writes `bytes` as the file at `path`, in place of the file that may be there.
///
/// The bytes go to a new file in the same folder, which takes the name once it is whole and on
/// disk; so nobody ever sees half a file, and a failure leaves the old one as it was.
///
/// # Errors
///
/// See [`WriteError`]; nothing is left behind.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), WriteError> {
    if path.is_dir() || path.file_name().is_none() {
        return Err(WriteError::IsFolder { file: path.to_owned() });
    }
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let explain = |source: io::Error| explain(path, folder, source);
    // A link stands for the file it leads to; that one is replaced and the link kept.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let beside = target.parent().filter(|parent| !parent.as_os_str().is_empty());
    let mut draft = tempfile::Builder::new()
        .prefix(".quintfall-")
        .tempfile_in(beside.unwrap_or(folder))
        .map_err(explain)?;
    draft.write_all(bytes).map_err(explain)?;
    draft.as_file().sync_all().map_err(explain)?;
    set_permissions(draft.as_file(), &target).map_err(explain)?;
    draft.persist(&target).map_err(|error| explain(error.error))?;
    Ok(())
}

fn explain(path: &Path, folder: &Path, source: io::Error) -> WriteError {
    let (file, folder) = (path.to_owned(), folder.to_owned());
    match source.kind() {
        io::ErrorKind::NotFound | io::ErrorKind::NotADirectory => {
            WriteError::NoFolder { file, folder }
        }
        io::ErrorKind::IsADirectory => WriteError::IsFolder { file },
        io::ErrorKind::StorageFull
        | io::ErrorKind::QuotaExceeded
        | io::ErrorKind::FileTooLarge
        | io::ErrorKind::WriteZero => WriteError::NoRoom { file },
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            WriteError::NotPermitted { file, folder }
        }
        _ => WriteError::System { file, source },
    }
}

/// A draft is private to its owner; the finished file is as open as the one it replaces, or
/// readable by all.
#[cfg(unix)]
fn set_permissions(draft: &fs::File, target: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let permissions = match fs::metadata(target) {
        Ok(old) => old.permissions(),
        Err(_) => fs::Permissions::from_mode(0o644),
    };
    draft.set_permissions(permissions)
}

#[cfg(not(unix))]
fn set_permissions(_draft: &fs::File, _target: &Path) -> io::Result<()> {
    Ok(())
}
