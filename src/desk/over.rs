//! Drill files that name a tune: its changes are put into them, so that a sheet holds them and names
//! no file.

use std::path::Path;

use super::files;
use crate::chart::Chart;
use crate::drill::over;
use crate::recipe::LARGEST_TEMPLATE;
use crate::source::{Complaint, Place};

/// The text of a drill file with the changes of the tunes that it names, whose paths start from its
/// folder; none where it names none.
///
/// Errors with the first thing that is wrong with a tune, or with the tune in this drill.
pub(super) fn with_tunes(text: &str, file: &Path) -> Result<Option<String>, Complaint> {
    let folder = file.parent().unwrap_or(Path::new(""));
    let fetch = |path: &str| {
        let path = folder.join(path);
        let bytes = files::read(&path, LARGEST_TEMPLATE as u64)?;
        Chart::parse(&files::text(&path, bytes)?, &path.display().to_string())
    };
    over::expanded(text, fetch).map_err(|complaint| match complaint.place {
        Place::Untold => complaint.at(Place::of(file.display().to_string())),
        _ => complaint,
    })
}

/// What to call such a text where something is wrong in it: lines of it are none of the file.
pub(super) fn named(file: &Path) -> String {
    format!("{}, over its tune", file.display())
}
