//! Tracks that are made and not yet in their places: nothing is written before all can be.

use std::path::{Path, PathBuf};

use super::track::{FileBody, TrackFile};
use crate::desk::Answer;
use crate::desk::commission::counted;
use crate::desk::place::{PlaceError, Spots, Taken, begin_in};
use crate::desk::placed::PlacedFiles;
use crate::desk::product::Product;
use crate::output::{self, WriteError};
use crate::source::Advice;

/// Where a file goes.
#[derive(Clone)]
pub(super) struct FilePlace {
    pub(super) path: PathBuf,
    pub(super) kind: Product,
    pub(super) taken: Taken,
}

/// A track with its file, for a place.
pub(super) struct MadeTrack {
    pub(super) place: FilePlace,
    pub(super) track: TrackFile,
    pub(super) body: FileBody,
}

/// Everything of an errand for tracks.
#[derive(Default)]
pub(crate) struct ErrandWaiting {
    /// The folder of several, which may not be there yet.
    pub(super) folder: Option<PathBuf>,
    pub(super) tracks: Vec<MadeTrack>,
    /// The list of them all, where there is one.
    pub(super) playlist: Option<FilePlace>,
    /// The one that goes to standard output.
    pub(super) stdout: Option<Vec<u8>>,
    /// What is to be said before it is said where they are, and after.
    pub(super) before: Vec<Advice>,
    pub(super) after: Vec<Advice>,
}

impl FilePlace {
    /// It is found fit.
    pub(super) fn found(&self) -> Result<Spots, PlaceError> {
        Spots::of_file(&self.path, (self.kind, self.taken))
    }
}

impl ErrandWaiting {
    /// Whether there is a folder of them.
    pub(super) fn is_folder(&self) -> bool {
        self.folder.is_some()
    }

    /// Puts all of it in its places, or in the answer what is yet to go to standard output.
    ///
    /// Errors where writing fails after all: the places were found fit before.
    pub(crate) fn put(self) -> Result<Answer, PlaceError> {
        self.put_among(&mut PlacedFiles::default())
    }

    /// Puts all of it beside what else a command has put, as [`ErrandWaiting::put`] does.
    pub(in crate::desk) fn put_among(self, placed: &mut PlacedFiles) -> Result<Answer, PlaceError> {
        if let Some(folder) = self.folder.as_ref().filter(|it| !it.as_os_str().is_empty()) {
            output::make_folder(folder)?;
        }
        let mut answer = Answer { said: self.before, sheet: self.stdout, ..Answer::default() };
        let mut list = "#EXTM3U\n".to_owned();
        for MadeTrack { place, track, body } in &self.tracks {
            let put =
                placed.add(place.found().and_then(|it| it.put(std::slice::from_ref(body))))?;
            let name = put.paths.first().and_then(|path| path.file_name()).unwrap_or_default();
            list.push_str(&track.listed(&name.to_string_lossy()));
            answer.said.push(put.said(&track.about));
        }
        if let Some(place) = self.playlist {
            let put = placed.add(place.found().and_then(|it| it.put(&[list.into_bytes()])))?;
            answer.said.push(put.said(&counted(self.tracks.len(), "track")));
        }
        answer.said.extend(self.after);
        Ok(answer)
    }
}

/// Where what is to be put in a folder waits: there, or in the nearest above it that is there, where
/// it can be made. Errors if it cannot.
pub(super) fn waiting_room(folder: &Path) -> Result<&Path, WriteError> {
    let is_there = |it: &&Path| it.as_os_str().is_empty() || it.exists();
    let there = folder.ancestors().find(is_there).unwrap_or(Path::new(""));
    let there = if there.as_os_str().is_empty() { Path::new(".") } else { there };
    if !there.is_dir() {
        return Err(WriteError::no_folder(folder, folder));
    }
    begin_in(there, folder)?;
    Ok(there)
}
