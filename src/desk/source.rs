//! Where a recipe comes from: a TOML file, an earlier sheet, or nowhere but the defaults.

use std::path::{Path, PathBuf};

use toml::de::DeTable;

use super::files;
use crate::canvas::picture::MOST_PIXELS;
use crate::output;
use crate::recipe::{LARGEST_RECIPE, LARGEST_TEMPLATE, Recipe, Settings, line_of_field};
use crate::source::{Complaint, Place, RecipeField as Field};

/// Most bytes of a sheet: 64 MiB, of which the pixels of the largest picture take 48 and the
/// recipe that holds it 13.
const LARGEST_SHEET: u64 = 64 * 1024 * 1024;

const _: () = assert!(
    LARGEST_RECIPE == output::LARGEST_RECIPE,
    "what a recipe can be at most travels in a sheet"
);

const _: () = assert!(
    3 * (MOST_PIXELS as u64).pow(2) + (LARGEST_RECIPE as u64) < LARGEST_SHEET,
    "a sheet with the largest picture reads back"
);

/// A recipe and what is known of where it stood.
pub(crate) struct Source {
    /// The recipe, checked.
    pub(crate) recipe: Recipe,
    path: Option<PathBuf>,
    toml: Option<String>,
    /// What a TOML file gives; a sheet gives everything.
    given: Settings,
}

impl Source {
    /// The recipe in the file at `path`, TOML or one of our PDFs; the default one without.
    pub(crate) fn open(path: Option<&Path>) -> Result<Self, Complaint> {
        let Some(path) = path else {
            let (recipe, given) = (Recipe::default(), Settings::default());
            return Ok(Self { recipe, path: None, toml: None, given });
        };
        let bytes = files::read(path, LARGEST_SHEET)?;
        let named_pdf = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"));
        if named_pdf || bytes.starts_with(b"%PDF") {
            return Self::inside(path, bytes);
        }
        if bytes.len() > LARGEST_RECIPE {
            return Err(files::too_large(path, LARGEST_RECIPE as u64));
        }
        let toml = files::text(path, bytes)?;
        let read = Recipe::read(&toml, &path.display().to_string());
        let (recipe, given) = read.map_err(|complaint| {
            if !is_drill(&toml) {
                return complaint;
            }
            let path = path.display();
            let complaint = Complaint::new(format!("{path} is a drill and no recipe"));
            complaint.mend(format!("write --drill {path}"))
        })?;
        Ok(Self { recipe, path: Some(path.to_owned()), toml: Some(toml), given })
    }

    /// The recipe inside the sheet at `path`.
    pub(crate) fn sheet(path: &Path) -> Result<Self, Complaint> {
        Self::inside(path, files::read(path, LARGEST_SHEET)?)
    }

    fn inside(path: &Path, pdf: Vec<u8>) -> Result<Self, Complaint> {
        let name = path.display().to_string();
        let json = output::recipe_json(&pdf)
            .map_err(|error| Complaint::from(error).at(Place::of(&*name)))?;
        // It may be large, and so may what is read next.
        drop(pdf);
        let recipe = Recipe::from_json(&json, &name)?;
        let given = Settings::default();
        Ok(Self { recipe, path: Some(path.to_owned()), toml: None, given })
    }

    /// The text, if it was a TOML file.
    pub(crate) fn toml(&self) -> Option<&str> {
        self.toml.as_deref()
    }

    /// Whether it came inside a sheet, which may be a stranger's.
    pub(crate) fn is_sheet(&self) -> bool {
        self.path.is_some() && self.toml.is_none()
    }

    /// The folder that paths in the recipe start from.
    pub(crate) fn folder(&self) -> &Path {
        self.path.as_deref().and_then(Path::parent).unwrap_or(Path::new(""))
    }

    /// The file in words.
    pub(crate) fn name(&self) -> String {
        self.path.as_ref().map_or_else(|| "recipe".to_owned(), |path| path.display().to_string())
    }

    /// Whether it says something of a field.
    pub(crate) fn gives(&self, field: Field) -> bool {
        self.is_sheet() || self.given.gives(field)
    }

    /// Where `field` stands: the file, and the line if the file has lines.
    pub(crate) fn place_of(&self, field: Field) -> Place {
        let line = self.toml.as_deref().and_then(|toml| line_of_field(toml, field));
        Place::line(self.name(), line)
    }
}

/// Whether the text of a file is that of a drill: only drills have passages.
fn is_drill(toml: &str) -> bool {
    if toml.len() > LARGEST_TEMPLATE {
        return false;
    }
    let (table, _) = DeTable::parse_recoverable(toml);
    table.get_ref().keys().any(|key| key.get_ref() == "passage")
}
