//! Where finished sheets go: whether they can be put there at all, under which number, and what
//! becomes of the files that have the name already.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File};
use std::io::{ErrorKind, Read as _};
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::outlet::ends_in_slash;
use crate::output::{self, WriteError};

/// Most sheets of one name in a folder.
const MOST_NUMBERS: usize = 9999;

/// Why a sheet cannot be put where it should go.
#[derive(Debug, Error)]
pub enum PlaceError {
    /// Writing would fail or failed.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// A device, a socket or the like.
    #[error("cannot write {}: it is no ordinary file", .0.display())]
    NoFile(PathBuf),
    /// Something that is neither a sheet nor a picture of one.
    #[error(
        "cannot write {}: a file of that name is there and is no {}",
        .0.display(), .1.word()
    )]
    Other(PathBuf, FileKind),
    /// Every number behind the name is taken.
    #[error(
        "cannot write {}: that name is taken, with every number up to {MOST_NUMBERS}",
        .0.display()
    )]
    Full(PathBuf),
}

/// What is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A document.
    Pdf,
    /// A picture of a page in dots.
    Png,
    /// A picture of a page in lines.
    Svg,
}

impl FileKind {
    fn word(self) -> &'static str {
        match self {
            Self::Pdf => "PDF",
            Self::Png => "PNG",
            Self::Svg => "SVG",
        }
    }

    /// How its files begin (ISO 32000-1, 7.5.2; W3C PNG, 5.2).
    fn signature(self) -> &'static [u8] {
        match self {
            Self::Pdf => b"%PDF-",
            Self::Png => b"\x89PNG\r\n\x1a\n",
            Self::Svg => b"<svg ",
        }
    }

    /// Whether the file at a path is one.
    fn is_at(self, path: &Path) -> bool {
        let mut start = vec![0; self.signature().len()];
        let read = File::open(path).and_then(|mut file| file.read_exact(&mut start));
        read.is_ok() && start == self.signature()
    }
}

/// What becomes of a file that has the name already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Taken {
    /// It stays: the next free number behind the name is taken.
    Stays,
    /// It is replaced if it is of the kind that is written: the name was typed.
    Replaced,
    /// It is replaced, whatever it is: that was typed.
    Forced,
}

impl Taken {
    /// As was typed: a name, or that names are to be taken by force.
    pub(crate) fn as_typed(name: bool, force: bool) -> Self {
        match (name, force) {
            (_, true) => Self::Forced,
            (true, false) => Self::Replaced,
            (false, false) => Self::Stays,
        }
    }
}

/// A place that has been found fit for a sheet, or for the pictures of its pages.
#[derive(Debug)]
pub(crate) struct Spots {
    folder: PathBuf,
    stem: OsString,
    /// What stands behind the stem and the number, one a file.
    ends: Vec<OsString>,
    kind: FileKind,
    taken: Taken,
}

/// What was put in a place.
pub(crate) struct Put {
    /// The first file.
    pub(crate) path: PathBuf,
    /// The file whose name is taken by another sheet, if one is.
    pub(crate) beside: Option<PathBuf>,
    /// Whether all was there already, to the byte.
    pub(crate) same: bool,
}

impl Put {
    /// The line that says what was put where, with a word on whose name was taken already.
    pub(crate) fn said(&self, place: &Path, about: &str) -> String {
        let place = place.display();
        let name = self.beside.as_deref().and_then(Path::file_name).map(Path::new);
        match (self.same, name) {
            (true, _) => format!("kept {place}, which is the same: {about}\n"),
            (false, None) => format!("wrote {place}: {about}\n"),
            (false, Some(name)) => format!(
                "wrote {place}: {about} ({} is another; --force replaces it)\n",
                name.display()
            ),
        }
    }
}

/// What is at a path where bytes should go.
enum At {
    Nothing,
    Same,
    Other,
}

impl Spots {
    /// Takes the place at a path for a sheet, if one can be put there.
    pub(crate) fn of_sheet(path: &Path, taken: Taken) -> Result<Self, PlaceError> {
        if path.is_dir() && taken != Taken::Stays || ends_in_slash(path) {
            return Err(WriteError::IsFolder { file: path.to_owned() }.into());
        }
        let stem = path.file_stem().unwrap_or_default().to_owned();
        let mut end = OsString::new();
        if let Some(ending) = path.extension() {
            end.push(".");
            end.push(ending);
        }
        let folder = path.parent().unwrap_or(Path::new("")).to_owned();
        Self { folder, stem, ends: vec![end], kind: FileKind::Pdf, taken }.checked()
    }

    /// Takes the places in a folder for a picture of each page, by its label, if all can be put
    /// there. They are numbered together.
    pub(crate) fn of_pictures<'a>(
        folder: &Path,
        stem: &OsStr,
        labels: impl Iterator<Item = &'a str>,
        (kind, taken): (FileKind, Taken),
    ) -> Result<Self, PlaceError> {
        let ending = kind.word().to_lowercase();
        let ends = labels.map(|label| OsString::from(format!("-{label}.{ending}"))).collect();
        let (folder, stem) = (folder.to_owned(), stem.to_owned());
        Self { folder, stem, ends, kind, taken }.checked()
    }

    /// Finds out before the work whether writing can go well.
    fn checked(self) -> Result<Self, PlaceError> {
        for path in self.paths(1) {
            let folder =
                if self.folder.as_os_str().is_empty() { Path::new(".") } else { &self.folder };
            if !folder.is_dir() {
                return Err(WriteError::NoFolder { file: path, folder: folder.to_owned() }.into());
            }
            if self.taken == Taken::Stays {
                begin_in(folder, &path)?;
                continue;
            }
            // A link is judged by what it leads to.
            let target = output::behind_links(&path)?;
            if let Ok(about) = fs::metadata(&target) {
                if !about.is_file() {
                    return Err(PlaceError::NoFile(path));
                }
                if self.taken != Taken::Forced && about.len() > 0 && !self.kind.is_at(&target) {
                    return Err(PlaceError::Other(path, self.kind));
                }
            }
            match target.parent() {
                Some(parent) if !parent.as_os_str().is_empty() => begin_in(parent, &path)?,
                _ => begin_in(Path::new("."), &path)?,
            }
        }
        Ok(self)
    }

    /// The files, with a number behind the stem from the second on.
    fn paths(&self, number: usize) -> Vec<PathBuf> {
        let path = |end: &OsString| {
            let mut name = self.stem.clone();
            if number > 1 {
                name.push(format!("-{number}"));
            }
            name.push(end);
            self.folder.join(name)
        };
        self.ends.iter().map(path).collect()
    }

    /// Puts the files there, each whole or not at all. There is one for each place.
    pub(crate) fn put(&self, files: &[Vec<u8>]) -> Result<Put, PlaceError> {
        if self.taken != Taken::Stays {
            let paths = self.paths(1);
            for (path, bytes) in paths.iter().zip(files) {
                output::write_whole(path, bytes)?;
            }
            return Ok(Put { path: first(paths), beside: None, same: false });
        }
        for number in 1..=MOST_NUMBERS {
            let paths = self.paths(number);
            if let Some(same) = put_new(&paths, files)? {
                let beside = (number > 1).then(|| first(self.paths(1)));
                return Ok(Put { path: first(paths), beside, same });
            }
        }
        Err(PlaceError::Full(first(self.paths(1))))
    }
}

fn first(paths: Vec<PathBuf>) -> PathBuf {
    paths.into_iter().next().unwrap_or_default()
}

/// Errors if no draft can be begun in a folder: the file could not be written after the work
/// either.
fn begin_in(folder: &Path, file: &Path) -> Result<(), WriteError> {
    let Err(error) = tempfile::tempfile_in(folder) else { return Ok(()) };
    let (file, folder) = (file.to_owned(), folder.to_owned());
    match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            Err(WriteError::NotPermitted { file, folder })
        }
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            Err(WriteError::NoFolder { file, folder })
        }
        _ => Ok(()),
    }
}

/// Puts files where nothing is, unless they are there already, to the byte. Nothing if one of the
/// names is taken by another file; else whether all were there.
fn put_new(paths: &[PathBuf], files: &[Vec<u8>]) -> Result<Option<bool>, WriteError> {
    let mut missing = Vec::new();
    for (path, bytes) in paths.iter().zip(files) {
        match at(path, bytes) {
            At::Nothing => missing.push((path, bytes)),
            At::Same => {}
            At::Other => return Ok(None),
        }
    }
    for (index, (path, bytes)) in missing.iter().enumerate() {
        let written = output::write_new(path, bytes);
        if !matches!(written, Ok(true)) {
            // Another program has taken the name meanwhile, or the disk is full: half a set of
            // pictures is of no use.
            for (path, _) in &missing[..index] {
                let _ = fs::remove_file(path);
            }
            return written.map(|_| None);
        }
    }
    Ok(Some(missing.is_empty()))
}

fn at(path: &Path, bytes: &[u8]) -> At {
    if fs::symlink_metadata(path).is_err() {
        return At::Nothing;
    }
    let may_be = |about: fs::Metadata| about.is_file() && about.len() == bytes.len() as u64;
    let same = fs::metadata(path).is_ok_and(may_be) && fs::read(path).is_ok_and(|old| old == bytes);
    if same { At::Same } else { At::Other }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(path: &Path, taken: Taken) -> Result<Spots, PlaceError> {
        Spots::of_sheet(path, taken)
    }

    #[test]
    fn a_sheet_is_not_put_over_what_is_no_sheet_unless_by_force() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("notes.pdf"), "mine").unwrap();
        fs::write(at("old.pdf"), "%PDF-1.7").unwrap();
        fs::write(at("empty.pdf"), "").unwrap();
        let find = |path: &Path| sheet(path, Taken::Replaced);
        assert!(matches!(find(&at("notes.pdf")), Err(PlaceError::Other(_, FileKind::Pdf))));
        assert!(sheet(&at("notes.pdf"), Taken::Forced).is_ok());
        assert!(matches!(find(folder.path()), Err(PlaceError::Write(WriteError::IsFolder { .. }))));
        for below in ["no/new.pdf", "old.pdf/new.pdf"] {
            for taken in [Taken::Stays, Taken::Replaced, Taken::Forced] {
                let place = sheet(&at(below), taken);
                let refused = matches!(place, Err(PlaceError::Write(WriteError::NoFolder { .. })));
                assert!(refused, "{below} {taken:?}");
            }
        }
        for name in ["old.pdf", "empty.pdf", "new.pdf"] {
            assert!(find(&at(name)).is_ok(), "{name}");
        }
    }

    #[test]
    fn what_has_the_name_stays_and_the_next_number_is_taken() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("a.pdf"), "%PDF-foreign").unwrap();
        fs::create_dir(at("a-2.pdf")).unwrap();
        let place = sheet(&at("a.pdf"), Taken::Stays).unwrap();
        for (bytes, name, same) in [
            (b"one", "a-3.pdf", false),
            (b"two", "a-4.pdf", false),
            (b"one", "a-3.pdf", true),
            (b"two", "a-4.pdf", true),
        ] {
            let put = place.put(&[bytes.to_vec()]).unwrap();
            assert_eq!((put.path, put.same), (at(name), same));
            assert_eq!(put.beside, Some(at("a.pdf")));
            assert_eq!(fs::read(at(name)).unwrap(), bytes);
        }
        assert_eq!(fs::read(at("a.pdf")).unwrap(), b"%PDF-foreign");
    }

    #[test]
    fn pictures_of_one_sheet_bear_one_number() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("a-ii.png"), "other").unwrap();
        let labels = ["i", "ii"].into_iter();
        let place = Spots::of_pictures(
            folder.path(),
            OsStr::new("a"),
            labels,
            (FileKind::Png, Taken::Stays),
        )
        .unwrap();
        let put = place.put(&[b"x".to_vec(), b"y".to_vec()]).unwrap();
        assert_eq!(put.path, at("a-2-i.png"));
        assert_eq!(fs::read(at("a-2-ii.png")).unwrap(), b"y");
        assert!(!at("a-i.png").exists());
        fs::remove_file(at("a-2-ii.png")).unwrap();
        let put = place.put(&[b"x".to_vec(), b"y".to_vec()]).unwrap();
        assert_eq!((put.path, put.same), (at("a-2-i.png"), false));
        assert!(at("a-2-ii.png").exists());
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_left_alone() {
        for taken in [Taken::Replaced, Taken::Forced] {
            assert!(matches!(sheet(Path::new("/dev/null"), taken), Err(PlaceError::NoFile(_))));
        }
    }
}
