//! Where a recipe comes from: a TOML file, an earlier sheet, or nowhere but the defaults.

use std::path::{Path, PathBuf};

use super::base::{self, WrittenRecipe, has_field};
use super::files;
use crate::canvas::picture::MOST_PIXELS;
use crate::output;
use crate::recipe::{LARGEST_RECIPE, LARGEST_TEMPLATE, Recipe, Settings, line_of_field};
use crate::source::{Complaint, DrillField, FileField, Place, RecipeField as Field};

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
    /// The recipe. That of a file is yet to be checked, since what is typed may mend it.
    pub(crate) recipe: Recipe,
    path: Option<PathBuf>,
    toml: Option<String>,
    /// What a TOML file gives; a sheet gives everything.
    given: Settings,
    /// The recipes that it is laid over, the nearest first.
    bases: Vec<WrittenRecipe>,
    /// Whether no file may be opened that it names, since whoever chose it may not name files.
    is_closed: bool,
}

impl Source {
    /// The recipe in the file at `path`, TOML or one of our PDFs; the default one without.
    pub(crate) fn open(path: Option<&Path>) -> Result<Self, Complaint> {
        let Some(path) = path else {
            let (recipe, given) = (Recipe::default(), Settings::default());
            return Ok(Self {
                recipe,
                path: None,
                toml: None,
                given,
                bases: Vec::new(),
                is_closed: false,
            });
        };
        let bytes = files::read(path, LARGEST_SHEET)?;
        let named_pdf = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("pdf"));
        if named_pdf || bytes.starts_with(b"%PDF") {
            return Self::inside(path, bytes);
        }
        let own = WrittenRecipe::read(path, bytes)?;
        let bases = base::of(&own, path)?;
        let default =
            bases.iter().rev().fold(Recipe::default(), |recipe, base| base.given.over(recipe));
        let WrittenRecipe { toml, given, .. } = own;
        let recipe = given.over(default);
        Ok(Self {
            recipe,
            path: Some(path.to_owned()),
            toml: Some(toml),
            given,
            bases,
            is_closed: false,
        })
    }

    /// A recipe of what was chosen, which opens no files.
    pub(crate) fn chosen(given: Settings) -> Self {
        let recipe = given.over(Recipe::default());
        Self { recipe, path: None, toml: None, given, bases: Vec::new(), is_closed: true }
    }

    /// The recipe in the bytes of a file of that name, TOML or one of our PDFs. It opens no others.
    pub(crate) fn handed_in(name: &str, bytes: Vec<u8>) -> Result<Self, Complaint> {
        let path = Path::new(name);
        if bytes.starts_with(b"%PDF") {
            return Ok(Self { is_closed: true, ..Self::inside(path, bytes)? });
        }
        let WrittenRecipe { toml, given, .. } = WrittenRecipe::read(path, bytes)?;
        if given.extends.is_some() {
            let line = line_of_field(&toml, FileField::Extends);
            let problem = "it extends a recipe in another file, which cannot be opened from here";
            let complaint = Complaint::of(FileField::Extends, problem).at(Place::line(name, line));
            return Err(complaint.mend("write the two of them together"));
        }
        let (recipe, path) = (given.over(Recipe::default()), Some(path.to_owned()));
        Ok(Self { recipe, path, toml: Some(toml), given, bases: Vec::new(), is_closed: true })
    }

    /// The recipe inside the sheet at `path`.
    pub(crate) fn sheet(path: &Path) -> Result<Self, Complaint> {
        Self::inside(path, files::read(path, LARGEST_SHEET)?)
    }

    fn inside(path: &Path, pdf: Vec<u8>) -> Result<Self, Complaint> {
        let recipe = Recipe::from_json(&carried(path, pdf)?, &path.display().to_string())?;
        let given = Settings::default();
        let path = Some(path.to_owned());
        Ok(Self { recipe, path, toml: None, given, bases: Vec::new(), is_closed: false })
    }

    /// The text, if it was a TOML file.
    pub(crate) fn toml(&self) -> Option<&str> {
        self.toml.as_deref()
    }

    /// Whether no file may be opened that it names.
    pub(crate) fn is_closed(&self) -> bool {
        self.is_closed
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

    /// The file as a place, if there is one.
    pub(crate) fn place(&self) -> Place {
        self.path.as_ref().map_or(Place::Untold, |_| Place::of(self.name()))
    }

    /// Whether it says something of a field.
    pub(crate) fn gives(&self, field: Field) -> bool {
        self.is_sheet() || self.given.gives(field) || self.base_of(field).is_some()
    }

    /// Where `field` stands: the file, and the line if the file has lines.
    pub(crate) fn place_of(&self, field: Field) -> Place {
        if let Some(base) = self.base_of(field).filter(|_| !self.given.gives(field)) {
            return base.place_of(field);
        }
        let line = self.toml.as_deref().and_then(|toml| line_of_field(toml, field));
        Place::line(self.name(), line)
    }

    /// The nearest of the recipes below it that says something of a field.
    fn base_of(&self, field: Field) -> Option<&WrittenRecipe> {
        self.bases.iter().find(|base| base.given.gives(field))
    }
}

/// Whether the text of a file is that of a recipe: it has fields that only recipes have, and none
/// that only drills have.
pub(crate) fn is_recipe(toml: &str) -> bool {
    let of_recipe = |name: &str| Field::named(name).is_some();
    let of_drill = |name: &str| DrillField::named(name).is_some();
    toml.len() <= LARGEST_TEMPLATE
        && has_field(toml, |name| of_recipe(name) && !of_drill(name))
        && !has_field(toml, |name| of_drill(name) && !of_recipe(name))
}
/// What travels in a sheet that was read from a path: a recipe, or what else it was made from.
///
/// The sheet may be large, and so may what is read next, so it is given up here.
pub(super) fn carried(path: &Path, pdf: Vec<u8>) -> Result<String, Complaint> {
    let place = || Place::of(path.display().to_string());
    output::recipe_json(&pdf).map_err(|error| Complaint::from(error).at(place()))
}
