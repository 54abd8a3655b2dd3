//! Where one sheet goes: a place among files, or standard output.

use std::path::Path;

use super::outlet::{Companion, Outlet};
use super::place::{PlaceError, Spots, Taken};
use super::placed::PlacedFiles;
use crate::source::Advice;

/// Where a sheet goes, found fit for it.
pub(crate) enum Spot {
    /// Standard output.
    Stdout,
    /// A file.
    Spots(Spots),
}

impl Spot {
    /// What was typed after `-o`, or else the place called `name`. `force` says that whatever
    /// has the name may be replaced.
    pub(crate) fn find(
        typed: Option<&Outlet>,
        name: &Path,
        force: bool,
    ) -> Result<Self, PlaceError> {
        let file = typed.map_or(Some(name), Outlet::file);
        match file {
            None => Ok(Self::Stdout),
            Some(file) => {
                let taken = Taken::as_typed(typed.is_some(), force);
                Ok(Self::Spots(Spots::of_sheet(file, taken)?))
            }
        }
    }

    /// The place of a file beside the sheet, which was typed.
    pub(crate) fn beside(companion: &Companion, force: bool) -> Result<Self, PlaceError> {
        match &companion.outlet {
            Outlet::Stdout => Ok(Self::Stdout),
            Outlet::File(file) => {
                let taken = Taken::as_typed(true, force);
                Ok(Self::Spots(Spots::of_file(file, (companion.product, taken))?))
            }
        }
    }

    /// Puts a file there, of which `what` says what it is and `about` how much. Gives what is to be
    /// said of it, and the bytes if they are yet to go to standard output.
    pub(crate) fn put(
        &self,
        file: Vec<u8>,
        what: &str,
        about: &str,
    ) -> Result<(Advice, Option<Vec<u8>>), PlaceError> {
        self.put_among(&mut PlacedFiles::default(), file, (what, about))
    }

    /// Puts one of several files of a command there, as [`Spot::put`] does.
    pub(super) fn put_among(
        &self,
        placed: &mut PlacedFiles,
        file: Vec<u8>,
        (what, about): (&str, &str),
    ) -> Result<(Advice, Option<Vec<u8>>), PlaceError> {
        match self {
            Self::Stdout => {
                Ok((Advice::words(format!("wrote {what} to stdout: {about}")), Some(file)))
            }
            Self::Spots(place) => {
                let put = placed.add(place.put(&[file]))?;
                Ok((put.said(about), None))
            }
        }
    }
}
