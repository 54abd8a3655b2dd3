//! Where finished sheets go: whether they can be put there at all, under which number, and what
//! becomes of the files that have the name already.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::outlet::ends_in_slash;
use super::product::Product;
use crate::canvas::Label;
use crate::output::{self, WriteError};
use crate::source::{Advice, AdvicePart};

/// What stands in a name between two pages on one side of paper.
const BETWEEN_PAGES: &str = "+";

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
        .0.display(), .1
    )]
    Other(PathBuf, &'static str),
    /// Every number behind the name is taken.
    #[error(
        "cannot write {}: that name is taken, with every number up to {MOST_NUMBERS}",
        .0.display()
    )]
    Full(PathBuf),
    /// Writing failed when other files of the same command had taken their places.
    #[error("{error}; replaced before that: {}", listed(.replaced))]
    Partly {
        /// Why the others cannot be put there.
        error: Box<PlaceError>,
        /// The files that are there and replaced older ones.
        replaced: Vec<PathBuf>,
    },
}

impl PlaceError {
    /// It, told with the files that had replaced others before.
    pub(super) fn beside(self, mut replaced: Vec<PathBuf>) -> Self {
        match self {
            error if replaced.is_empty() => error,
            Self::Partly { error, replaced: own } => {
                replaced.extend(own);
                Self::Partly { error, replaced }
            }
            error => Self::Partly { error: Box::new(error), replaced },
        }
    }
}

fn listed(paths: &[PathBuf]) -> String {
    let names: Vec<String> = paths.iter().map(|path| path.display().to_string()).collect();
    names.join(", ")
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
    product: Product,
    taken: Taken,
}

/// What a file is to hold.
pub(crate) trait Matter {
    /// How many bytes it is.
    fn len(&self) -> u64;
    /// Writes it.
    fn write(&self, file: &mut File) -> io::Result<()>;
    /// Whether a file of that length holds it already.
    fn is_at(&self, path: &Path) -> bool;
}

impl Matter for Vec<u8> {
    fn len(&self) -> u64 {
        self.as_slice().len() as u64
    }

    fn write(&self, file: &mut File) -> io::Result<()> {
        file.write_all(self)
    }

    fn is_at(&self, path: &Path) -> bool {
        fs::read(path).is_ok_and(|old| old == *self)
    }
}

/// What was put in a place.
#[derive(Debug)]
pub(crate) struct Put {
    /// The files, one at the least.
    pub(crate) paths: Vec<PathBuf>,
    /// The file whose name is taken by another sheet, if one is.
    pub(crate) beside: Option<PathBuf>,
    /// Whether all was there already, to the byte.
    pub(crate) same: bool,
    /// Those of them that are new.
    pub(crate) made: Vec<PathBuf>,
    /// Those of them that have taken the places of others.
    pub(crate) replaced: Vec<PathBuf>,
    /// Files of an earlier sheet that look as if they belonged to this one.
    pub(crate) left: Vec<PathBuf>,
}

impl Put {
    /// What was put where, of which `about` says how much it is, with a word on whose name was
    /// taken already and on what lies beside it.
    pub(crate) fn said(&self, about: &str) -> Advice {
        let name = |path: &Path| path.file_name().unwrap_or_default().display().to_string();
        let place = match self.paths.as_slice() {
            [] => String::new(),
            [one] => one.display().to_string(),
            [first, .., last] => format!("{} to {}", first.display(), name(last)),
        };
        let said = match (self.same, &self.beside) {
            (true, _) => Advice::words(format!("kept {place}, which is the same: {about}")),
            (false, None) => Advice::words(format!("wrote {place}: {about}")),
            (false, Some(beside)) => {
                let beside = name(beside);
                let said = Advice::words(format!("wrote {place}: {about} ({beside} is another; "));
                said.part(AdvicePart::Replace).and(" replaces it)")
            }
        };
        match self.left.as_slice() {
            [] => said,
            [one] => said.and(format!(" (left {}, which is of another sheet)", name(one))),
            [first, .., last] => said.and(format!(
                " (left {} to {}, which are of another sheet)",
                name(first),
                name(last)
            )),
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
        Self::of_file(path, (Product::Pdf, taken))
    }

    /// Takes the place at a path for one file of a kind, if it can be put there.
    pub(crate) fn of_file(
        path: &Path,
        (product, taken): (Product, Taken),
    ) -> Result<Self, PlaceError> {
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
        Self { folder, stem, ends: vec![end], product, taken }.checked()
    }

    /// Takes the places in a folder for a file of each page, by its label, if all can be put
    /// there. They are numbered together.
    pub(crate) fn of_pages<'a>(
        folder: &Path,
        stem: &OsStr,
        labels: impl Iterator<Item = &'a Label>,
        (product, taken): (Product, Taken),
    ) -> Result<Self, PlaceError> {
        let ending = product.row().ending;
        let end = |label: &Label| {
            let pages: Vec<String> = label.numbers().iter().map(ToString::to_string).collect();
            OsString::from(format!("-{}.{ending}", pages.join(BETWEEN_PAGES)))
        };
        let (folder, stem) = (folder.to_owned(), stem.to_owned());
        Self { folder, stem, ends: labels.map(end).collect(), product, taken }.checked()
    }

    /// Finds out before the work whether writing can go well.
    fn checked(self) -> Result<Self, PlaceError> {
        for path in self.paths(1) {
            let folder =
                if self.folder.as_os_str().is_empty() { Path::new(".") } else { &self.folder };
            if !folder.is_dir() {
                return Err(WriteError::no_folder(&path, folder).into());
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
                if self.taken != Taken::Forced && about.len() > 0 && !self.product.is_at(&target) {
                    return Err(PlaceError::Other(path, self.product.row().word));
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
    pub(crate) fn put<M: Matter>(&self, files: &[M]) -> Result<Put, PlaceError> {
        if self.taken != Taken::Stays {
            let paths = self.paths(1);
            let (made, replaced) = put_over(&paths, files)?;
            let left = self.leftovers(&paths);
            return Ok(Put { paths, beside: None, same: false, made, replaced, left });
        }
        for number in 1..=MOST_NUMBERS {
            let paths = self.paths(number);
            if let Some(made) = put_new(&paths, files)? {
                let beside = (number > 1).then(|| first(self.paths(1)));
                let same = made.is_empty();
                let (replaced, left) = (Vec::new(), Vec::new());
                return Ok(Put { paths, beside, same, made, replaced, left });
            }
        }
        Err(PlaceError::Full(first(self.paths(1))))
    }

    /// The files of an earlier sheet among those of pages that were `put`: of the same name and for
    /// pages that this sheet does not have.
    fn leftovers(&self, put: &[PathBuf]) -> Vec<PathBuf> {
        if self.product.is_one_file() {
            return Vec::new();
        }
        let folder = if self.folder.as_os_str().is_empty() { Path::new(".") } else { &self.folder };
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        let (stem, ending) = (self.stem.to_string_lossy(), self.product.row().ending);
        let is_of_name = |path: &PathBuf| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let page = name.strip_prefix(&*stem).and_then(|rest| rest.strip_prefix('-'));
            let page = page.and_then(|rest| rest.strip_suffix(ending)?.strip_suffix('.'));
            page.is_some_and(is_page) && self.product.is_at(path)
        };
        let is_put = |path: &PathBuf| put.iter().any(|put| put.file_name() == path.file_name());
        let paths = entries.map(|entry| entry.path());
        let mut left: Vec<PathBuf> =
            paths.filter(|path| !is_put(path) && is_of_name(path)).collect();
        left.sort();
        left
    }
}

/// Whether a word of a name is a page, or two on one side of paper.
fn is_page(word: &str) -> bool {
    let is_number = |page: &str| {
        let is_arabic = page.bytes().all(|byte| byte.is_ascii_digit());
        !page.is_empty() && (is_arabic || page.bytes().all(|byte| b"ivxlcdm".contains(&byte)))
    };
    word.split(BETWEEN_PAGES).all(is_number)
}

fn first(paths: Vec<PathBuf>) -> PathBuf {
    paths.into_iter().next().unwrap_or_default()
}

/// Errors if no draft can be begun in a folder: the file could not be written after the work
/// either.
pub(super) fn begin_in(folder: &Path, file: &Path) -> Result<(), WriteError> {
    let Err(error) = tempfile::tempfile_in(folder) else { return Ok(()) };
    let (file, folder) = (file.to_owned(), folder.to_owned());
    match error.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            Err(WriteError::NotPermitted { file, folder })
        }
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            Err(WriteError::no_folder(&file, &folder))
        }
        _ => Ok(()),
    }
}

/// Puts files in their places, whatever is there; gives those that are new, and those that have taken
/// the places of others. Errors with all that are new taken back.
fn put_over<M: Matter>(
    paths: &[PathBuf],
    files: &[M],
) -> Result<(Vec<PathBuf>, Vec<PathBuf>), PlaceError> {
    let (mut made, mut replaced) = (Vec::new(), Vec::new());
    for (path, matter) in paths.iter().zip(files) {
        let is_new = fs::symlink_metadata(path).is_err();
        if let Err(error) = output::write_whole_by(path, |file| matter.write(file)) {
            for path in made {
                let _ = fs::remove_file(path);
            }
            return Err(PlaceError::from(error).beside(replaced));
        }
        let own = if is_new { &mut made } else { &mut replaced };
        own.push(path.clone());
    }
    Ok((made, replaced))
}

/// Puts files where nothing is, unless they are there already, to the byte. Nothing if one of the
/// names is taken by another file; else those that were not there.
fn put_new<M: Matter>(paths: &[PathBuf], files: &[M]) -> Result<Option<Vec<PathBuf>>, WriteError> {
    let mut missing = Vec::new();
    for (path, matter) in paths.iter().zip(files) {
        match at(path, matter) {
            At::Nothing => missing.push((path, matter)),
            At::Same => {}
            At::Other => return Ok(None),
        }
    }
    for (index, (path, matter)) in missing.iter().enumerate() {
        let written = output::write_new_by(path, |file| matter.write(file));
        if !matches!(written, Ok(true)) {
            // Another program has taken the name meanwhile, or the disk is full: half a set of
            // pictures is of no use.
            for (path, _) in &missing[..index] {
                let _ = fs::remove_file(path);
            }
            return written.map(|_| None);
        }
    }
    Ok(Some(missing.into_iter().map(|(path, _)| path.clone()).collect()))
}

fn at(path: &Path, matter: &impl Matter) -> At {
    if fs::symlink_metadata(path).is_err() {
        return At::Nothing;
    }
    let may_be = |about: fs::Metadata| about.is_file() && about.len() == matter.len();
    let same = fs::metadata(path).is_ok_and(may_be) && matter.is_at(path);
    if same { At::Same } else { At::Other }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::canvas::PageNumber;

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
        assert!(matches!(find(&at("notes.pdf")), Err(PlaceError::Other(_, "PDF"))));
        assert!(sheet(&at("notes.pdf"), Taken::Forced).is_ok());
        assert!(matches!(find(folder.path()), Err(PlaceError::Write(WriteError::IsFolder { .. }))));
        for below in ["no/new.pdf", "old.pdf/new.pdf"] {
            for taken in [Taken::Stays, Taken::Replaced, Taken::Forced] {
                let place = sheet(&at(below), taken);
                let refused = match place {
                    Err(PlaceError::Write(WriteError::NoFolder { .. })) => below.starts_with("no"),
                    Err(PlaceError::Write(WriteError::FileForFolder { .. })) => true,
                    _ => false,
                };
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
            assert_eq!((put.paths, put.same), (vec![at(name)], same));
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
        let labels: [Label; 2] = [1, 2].map(|page| PageNumber::roman(page).into());
        let product = Product::Png { dots: 40 };
        let kind = (product, Taken::Stays);
        let place = Spots::of_pages(folder.path(), OsStr::new("a"), labels.iter(), kind).unwrap();
        let put = place.put(&[b"x".to_vec(), b"y".to_vec()]).unwrap();
        assert_eq!(put.paths, [at("a-2-i.png"), at("a-2-ii.png")]);
        assert_eq!(fs::read(at("a-2-ii.png")).unwrap(), b"y");
        assert!(!at("a-i.png").exists());
        fs::remove_file(at("a-2-ii.png")).unwrap();
        let put = place.put(&[b"x".to_vec(), b"y".to_vec()]).unwrap();
        assert_eq!((&put.paths[0], put.same), (&at("a-2-i.png"), false));
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
