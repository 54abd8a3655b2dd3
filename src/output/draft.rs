//! Drafts: files under names of their own until they are whole.

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::NamedTempFile;

/// The drafts there are, so that they can be removed by a program that is told to stop.
static DRAFTS: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());

fn drafts() -> MutexGuard<'static, BTreeSet<PathBuf>> {
    DRAFTS.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Who may read and write a draft from the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Openness {
    /// Its owner alone.
    Private,
    /// All whom the user lets at new files (the umask).
    AsNewFiles,
}

/// Begins a draft in a folder, lets `fill` write it and `place` give it its name. Whatever fails,
/// no draft is left behind.
pub(super) fn through_draft<T>(
    folder: &Path,
    openness: Openness,
    fill: impl FnOnce(&mut File) -> io::Result<()>,
    place: impl FnOnce(NamedTempFile) -> io::Result<T>,
) -> io::Result<T> {
    let mut draft = begin(folder, openness)?;
    let path = draft.path().to_owned();
    let filled = fill(draft.as_file_mut());
    // Under the lock, so that a draft that is being removed cannot be on its way to its place.
    let mut drafts = drafts();
    let placed = match filled {
        Ok(()) => place(draft),
        Err(error) => draft.close().and(Err(error)),
    };
    drafts.remove(&path);
    placed
}

fn begin(folder: &Path, openness: Openness) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".quintfall-");
    #[cfg(unix)]
    if openness == Openness::AsNewFiles {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    #[cfg(not(unix))]
    let _ = openness;
    // Under the lock, so that none exists that is not known.
    let mut drafts = drafts();
    let draft = builder.tempfile_in(folder)?;
    drafts.insert(draft.path().to_owned());
    Ok(draft)
}

/// Removes every draft and then calls `end`, before which none can be begun or given its name:
/// for a program that is told to stop while it writes.
pub fn abandon_drafts(end: impl FnOnce()) {
    let drafts = drafts();
    for draft in drafts.iter() {
        // What cannot be removed now cannot be removed by anything else that is left to do.
        let _ = fs::remove_file(draft);
    }
    end();
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use super::*;

    fn count(folder: &Path) -> usize {
        fs::read_dir(folder).unwrap().count()
    }

    #[test]
    fn a_draft_in_the_making_is_removed_when_all_are() {
        let folder = tempfile::tempdir().unwrap();
        let end = through_draft(
            folder.path(),
            Openness::AsNewFiles,
            |draft| {
                draft.write_all(b"half")?;
                assert_eq!(count(folder.path()), 1);
                let mut ended = false;
                abandon_drafts(|| ended = true);
                assert!(ended);
                assert_eq!(count(folder.path()), 0);
                Ok(())
            },
            |draft| draft.persist(folder.path().join("x")).map_err(|error| error.error),
        );
        assert!(end.is_err(), "a draft that is gone took its place");
        assert_eq!(count(folder.path()), 0);
    }

    #[test]
    fn a_draft_that_fails_is_removed_and_forgotten() {
        let folder = tempfile::tempdir().unwrap();
        let fail = |_: &mut File| Err(io::Error::other("no"));
        let end = through_draft(folder.path(), Openness::Private, fail, |_| Ok(()));
        assert_eq!(end.unwrap_err().to_string(), "no");
        assert_eq!(count(folder.path()), 0);
        assert!(!drafts().iter().any(|draft| draft.starts_with(folder.path())));
    }
}
