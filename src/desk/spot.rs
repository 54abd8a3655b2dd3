//! Where one sheet goes: a place among files, or standard output.

use std::path::Path;

use super::outlet::Outlet;
use super::place::{PlaceError, Spots, Taken};
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

    /// Puts the sheet there, of which `about` says how much it is. Gives what is to be said of it,
    /// and the bytes if they are yet to go to standard output.
    pub(crate) fn put(
        &self,
        sheet: Vec<u8>,
        about: &str,
    ) -> Result<(Advice, Option<Vec<u8>>), PlaceError> {
        match self {
            Self::Stdout => {
                Ok((Advice::words(format!("wrote the sheet to stdout: {about}")), Some(sheet)))
            }
            Self::Spots(place) => {
                let put = place.put(&[sheet])?;
                Ok((put.said(about), None))
            }
        }
    }
}
