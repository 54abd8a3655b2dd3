//! Where a finished sheet goes: its name, and whether it can be put there at all.

use std::fs::{self, File};
use std::io::{ErrorKind, Read as _};
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::output::{self, WriteError};
use crate::recipe::{Form, Recipe};

/// Most characters of a file name before its ending.
const NAME_LIMIT: usize = 80;

/// Why a sheet cannot be put where it should go.
#[derive(Debug, Error)]
pub enum PlaceError {
    /// Writing would fail or failed.
    #[error(transparent)]
    Write(#[from] WriteError),
    /// A device, a socket or the like.
    #[error("cannot write {}: it is no ordinary file; choose another name", .0.display())]
    NoFile(PathBuf),
    /// Something that is neither a sheet nor a picture of one.
    #[error(
        "cannot write {}: a file of that name is there and is no {}; choose another name",
        .0.display(), .1.word()
    )]
    Other(PathBuf, Kind),
    /// The sheet that the new one is made from.
    #[error(
        "{} is the sheet this one is made from; name the new one with -o FILE.pdf",
        .0.display()
    )]
    Source(PathBuf),
}

/// What is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A document.
    Pdf,
    /// A picture of a page.
    Png,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Self::Pdf => "PDF",
            Self::Png => "PNG",
        }
    }

    /// How its files begin (ISO 32000-1, 7.5.2; W3C PNG, 5.2).
    fn signature(self) -> &'static [u8] {
        match self {
            Self::Pdf => b"%PDF-",
            Self::Png => b"\x89PNG\r\n\x1a\n",
        }
    }

    /// Whether the file at a path is one.
    fn is_at(self, path: &Path) -> bool {
        let mut start = vec![0; self.signature().len()];
        let read = File::open(path).and_then(|mut file| file.read_exact(&mut start));
        read.is_ok() && start == self.signature()
    }
}

/// A place that has been found fit for a sheet.
pub(crate) struct Place {
    path: PathBuf,
}

impl Place {
    /// Takes the place that was asked for or else the one called `name`, if a sheet made from
    /// `source` can be put there.
    pub(crate) fn find(
        asked: Option<&Path>,
        name: PathBuf,
        source: Option<&Path>,
    ) -> Result<Self, PlaceError> {
        let path = asked.map_or(name, Path::to_owned);
        let place = Self::of(path, Kind::Pdf)?;
        if asked.is_none() && source.is_some_and(|source| same_file(source, &place.path)) {
            return Err(PlaceError::Source(place.path));
        }
        Ok(place)
    }

    /// Takes the place at a path, if a file of a kind can be put there.
    pub(crate) fn of(path: PathBuf, kind: Kind) -> Result<Self, PlaceError> {
        let ends_in_slash = path.as_os_str().to_string_lossy().ends_with(['/', '\\']);
        if path.is_dir() || ends_in_slash || path.file_name().is_none() {
            return Err(WriteError::IsFolder { file: path }.into());
        }
        let folder = match path.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
            _ => PathBuf::from("."),
        };
        if !folder.is_dir() {
            return Err(WriteError::NoFolder { file: path, folder }.into());
        }
        if let Ok(about) = fs::metadata(&path) {
            if !about.is_file() {
                return Err(PlaceError::NoFile(path));
            }
            if about.len() > 0 && !kind.is_at(&path) {
                return Err(PlaceError::Other(path, kind));
            }
        }
        // A draft that cannot be begun now could not be written after the work either.
        if let Err(error) = tempfile::tempfile_in(&folder)
            && matches!(error.kind(), ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem)
        {
            return Err(WriteError::NotPermitted { file: path, folder }.into());
        }
        Ok(Self { path })
    }

    /// Puts the sheet there, whole or not at all.
    pub(crate) fn put(&self, bytes: &[u8]) -> Result<(), PlaceError> {
        output::write_whole(&self.path, bytes).map_err(PlaceError::from)
    }

    /// Its path.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }
}

/// The name of a sheet that was given none: form, drill, keys of a handout, student.
pub(crate) fn name(recipe: &Recipe, drill: &str) -> PathBuf {
    let mut words = vec![recipe.form.word().to_owned(), drill.to_owned()];
    if recipe.form == Form::Handout {
        words.extend(recipe.keys.iter().map(|key| key.tonic().plain().replace('#', "-sharp")));
    }
    words.extend(recipe.student.clone());
    let name: Vec<String> = words.iter().map(|word| safe(word)).filter(|w| !w.is_empty()).collect();
    let name: String = name.join("-").chars().take(NAME_LIMIT).collect();
    PathBuf::from(format!("{}.pdf", name.trim_end_matches('-')))
}

/// Letters and digits, with hyphens for what stands between them.
fn safe(word: &str) -> String {
    let hyphened: String =
        word.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let parts: Vec<&str> = hyphened.split('-').filter(|part| !part.is_empty()).collect();
    parts.join("-")
}

fn same_file(one: &Path, other: &Path) -> bool {
    match (fs::canonicalize(one), fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_are_named_after_what_they_are() {
        let mut recipe = Recipe::default();
        assert_eq!(name(&recipe, "pushed"), Path::new("workbook-pushed.pdf"));
        recipe.student = Some("Åsa / Müller-Löw, jr.".to_owned());
        assert_eq!(name(&recipe, "pushed"), Path::new("workbook-pushed-Åsa-Müller-Löw-jr.pdf"));
        recipe.form = Form::Handout;
        recipe.keys = vec!["Eb".parse().unwrap(), "F#".parse().unwrap()];
        recipe.student = Some("../..".to_owned());
        assert_eq!(name(&recipe, "on-the-beat"), Path::new("handout-on-the-beat-Eb-F-sharp.pdf"));
    }

    #[test]
    fn a_long_name_is_cut() {
        let recipe = Recipe { student: Some("x ".repeat(60)), ..Recipe::default() };
        let name = name(&recipe, "pushed");
        assert!(name.to_str().unwrap().len() <= NAME_LIMIT + 4, "{}", name.display());
        assert!(!name.to_str().unwrap().contains("-."));
    }

    #[test]
    fn a_sheet_is_not_put_over_what_is_no_sheet() {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let find = |path: &Path| Place::find(Some(path), PathBuf::new(), None);
        fs::write(at("notes.txt"), "mine").unwrap();
        fs::write(at("old.pdf"), "%PDF-1.7").unwrap();
        fs::write(at("empty.pdf"), "").unwrap();
        assert!(matches!(find(&at("notes.txt")), Err(PlaceError::Other(_, Kind::Pdf))));
        assert!(matches!(find(folder.path()), Err(PlaceError::Write(WriteError::IsFolder { .. }))));
        assert!(matches!(
            find(&at("no/new.pdf")),
            Err(PlaceError::Write(WriteError::NoFolder { .. }))
        ));
        assert!(matches!(
            find(&at("old.pdf/new.pdf")),
            Err(PlaceError::Write(WriteError::NoFolder { .. }))
        ));
        for name in ["old.pdf", "empty.pdf", "new.pdf"] {
            assert!(find(&at(name)).is_ok(), "{name}");
        }
        let own = Place::find(None, at("old.pdf"), Some(&at("old.pdf")));
        assert!(matches!(own, Err(PlaceError::Source(_))));
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_left_alone() {
        let place = Place::find(Some(Path::new("/dev/null")), PathBuf::new(), None);
        assert!(matches!(place, Err(PlaceError::NoFile(_))));
    }
}
