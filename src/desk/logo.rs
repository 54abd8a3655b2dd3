//! The picture for a sheet, from its file or from the recipe that holds it.

use std::path::Path;

use super::files;
use crate::canvas::picture::{self, LogoError};
use crate::source::{Complaint, Place};

/// The picture in the file at `path`, checked, as the base64 that a recipe carries.
pub(crate) fn read(path: &Path) -> Result<String, Complaint> {
    let place = || Place::of(path.display().to_string());
    let refused = |error: LogoError| Complaint::from(error).at(place());
    if let Ok(about) = path.metadata()
        && about.len() > picture::MOST_BYTES
    {
        return Err(refused(LogoError::TooManyBytes { found: about.len() }));
    }
    picture::carried(&files::read(path, picture::MOST_BYTES)?).map_err(refused)
}
