//! The picture for a sheet, from its file or from the recipe that holds it.

use std::path::Path;

use super::{CliError, files};
use crate::logo::{self, LogoError};

/// The picture in the file at `path`, checked, as the base64 that a recipe carries.
pub(super) fn read(path: &Path) -> Result<String, CliError> {
    let refused = |error| CliError::Logo { origin: path.display().to_string(), error };
    if let Ok(about) = path.metadata()
        && about.len() > logo::MOST_BYTES
    {
        return Err(refused(LogoError::TooManyBytes { found: about.len() }));
    }
    logo::carried(&files::read(path, logo::MOST_BYTES)?).map_err(refused)
}
