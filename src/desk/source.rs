//! Where a recipe comes from: a TOML file, an earlier sheet, or nowhere but the defaults.

use std::path::{Path, PathBuf};

use toml::de::DeTable;

use super::files;
use crate::cli::CliError;
use crate::output;
use crate::recipe::{LARGEST_RECIPE, Recipe, line_of_field};

/// Most bytes of a sheet; twice the pixels of the largest picture and the recipe that holds it.
const LARGEST_SHEET: u64 = 128 * 1024 * 1024;

/// A recipe and what is known of where it stood.
pub(crate) struct Source {
    /// The recipe, checked.
    pub(crate) recipe: Recipe,
    path: Option<PathBuf>,
    toml: Option<String>,
}

impl Source {
    /// The recipe in the file at `path`, TOML or one of our PDFs; the default one without.
    pub(crate) fn open(path: Option<&Path>) -> Result<Self, CliError> {
        let Some(path) = path else {
            return Ok(Self { recipe: Recipe::default(), path: None, toml: None });
        };
        let bytes = files::read(path, LARGEST_SHEET)?;
        let named_pdf = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"));
        if named_pdf || bytes.starts_with(b"%PDF") {
            return Self::inside(path, &bytes);
        }
        if bytes.len() > LARGEST_RECIPE {
            return Err(files::too_large(path, LARGEST_RECIPE as u64));
        }
        let toml = files::text(path, bytes)?;
        let recipe = Recipe::from_toml(&toml, &path.display().to_string());
        let recipe = recipe.map_err(|error| {
            if is_drill(&toml) { CliError::DrillAsRecipe(path.to_owned()) } else { error.into() }
        })?;
        Ok(Self { recipe, path: Some(path.to_owned()), toml: Some(toml) })
    }

    /// The recipe inside the sheet at `path`.
    pub(crate) fn sheet(path: &Path) -> Result<Self, CliError> {
        Self::inside(path, &files::read(path, LARGEST_SHEET)?)
    }

    fn inside(path: &Path, pdf: &[u8]) -> Result<Self, CliError> {
        let json = output::recipe_json(pdf)
            .map_err(|error| CliError::ReadBack { path: path.to_owned(), error })?;
        let recipe = Recipe::from_json(&json, &path.display().to_string())?;
        Ok(Self { recipe, path: Some(path.to_owned()), toml: None })
    }

    /// The text, if it was a TOML file.
    pub(crate) fn toml(&self) -> Option<&str> {
        self.toml.as_deref()
    }

    /// The folder that paths in the recipe start from.
    pub(crate) fn folder(&self) -> &Path {
        self.path.as_deref().and_then(Path::parent).unwrap_or(Path::new(""))
    }

    /// The file in words.
    pub(crate) fn name(&self) -> String {
        self.path.as_ref().map_or_else(|| "recipe".to_owned(), |path| path.display().to_string())
    }

    /// Where `field` stands: the file, and the line if the file has lines.
    pub(crate) fn origin_of(&self, field: &str) -> String {
        match self.line_of(field) {
            Some(line) => format!("{}, line {line}", self.name()),
            None => self.name(),
        }
    }

    /// The line on which the name of `field` stands.
    pub(crate) fn line_of(&self, field: &str) -> Option<usize> {
        line_of_field(self.toml.as_deref()?, field)
    }
}

/// Whether the text of a file is that of a drill: only drills have passages.
fn is_drill(toml: &str) -> bool {
    let (table, _) = DeTable::parse_recoverable(toml);
    table.get_ref().keys().any(|key| key.get_ref() == "passage")
}
