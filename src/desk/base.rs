//! Recipes that share a base: one that says `extends` is laid over the recipe in another file, and
//! that one perhaps over another.

use std::fs;
use std::path::{Path, PathBuf};

use toml::de::DeTable;

use super::files;
use crate::recipe::{LARGEST_RECIPE, LARGEST_TEMPLATE, Settings, line_of_field};
use crate::source::{
    Advice, Complaint, DrillField, Field as AnyField, FileField, Place, RecipeField as Field,
};

/// Most recipes that lie below one another: more than anybody keeps in her head.
const MOST_BASES: usize = 8;

/// A recipe as it is written in a file.
pub(super) struct WrittenRecipe {
    /// The file in words.
    pub(super) name: String,
    /// Its text.
    pub(super) toml: String,
    /// What it gives, without what it extends.
    pub(super) given: Settings,
}

impl WrittenRecipe {
    /// Reads the recipe in the bytes of the file at `path`.
    pub(super) fn read(path: &Path, bytes: Vec<u8>) -> Result<Self, Complaint> {
        if bytes.len() > LARGEST_RECIPE {
            return Err(files::too_large(path, LARGEST_RECIPE as u64));
        }
        let name = path.display().to_string();
        let toml = files::text(path, bytes)?;
        let given = Settings::read(&toml, &name).map_err(|complaint| {
            if !is_drill(&toml) {
                return complaint;
            }
            let complaint = Complaint::new(format!("{name} is a drill and no recipe"));
            complaint.mend(Advice::words("write ").give(Field::Drill, name.clone()))
        })?;
        Ok(Self { name, toml, given })
    }

    /// Where it says something of a field.
    pub(super) fn place_of(&self, field: impl Into<AnyField>) -> Place {
        Place::line(&self.name, line_of_field(&self.toml, field))
    }
}

/// The recipes that the one in the file at `path` is laid over, the nearest first. Paths in them
/// start from the folder of that one.
///
/// Errors with the first that cannot be had, or that comes twice.
pub(super) fn of(own: &WrittenRecipe, path: &Path) -> Result<Vec<WrittenRecipe>, Complaint> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let same = |path: &Path| fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut met = vec![same(path)];
    let mut bases: Vec<WrittenRecipe> = Vec::new();
    // Where the recipe stands that names the next one, as seen from the first.
    let mut from = PathBuf::new();
    while let Some(named) = bases.last().unwrap_or(own).given.extends.clone() {
        let within = from.join(named);
        let file = folder.join(&within);
        let place = bases.last().unwrap_or(own).place_of(FileField::Extends);
        let refused = |problem: String, mend: &str| {
            Complaint::of(FileField::Extends, problem).mend(mend).at(place.clone())
        };
        let shown = file.display();
        if met.contains(&same(&file)) {
            let problem = format!("extends leads round in a circle, back to {shown}");
            return Err(refused(problem, "take the line out"));
        }
        if bases.len() == MOST_BASES {
            let problem = format!("more than {MOST_BASES} recipes lie below one another");
            return Err(refused(problem, "write some of them together"));
        }
        let bytes = files::read(&file, LARGEST_RECIPE as u64);
        let bytes = bytes.map_err(|complaint| complaint.at(place.clone()))?;
        if bytes.starts_with(b"%PDF") {
            let problem = format!("extends names {shown}, which is a sheet and no recipe");
            return Err(refused(problem, "name a recipe in a file of its own"));
        }
        let base = WrittenRecipe::read(&file, bytes)?;
        met.push(same(&file));
        from = within.parent().unwrap_or(Path::new("")).to_owned();
        bases.push(WrittenRecipe { given: base.given.from_folder(&from), ..base });
    }
    Ok(bases)
}

/// Whether the text of a file is that of a drill: only drills have passages.
fn is_drill(toml: &str) -> bool {
    toml.len() <= LARGEST_TEMPLATE && has_field(toml, |name| name == DrillField::Passage.name())
}

/// Whether a text in TOML, as far as it can be read, has such a field outside of all tables.
pub(super) fn has_field(toml: &str, is_such: impl Fn(&str) -> bool) -> bool {
    let (table, _) = DeTable::parse_recoverable(toml);
    table.get_ref().keys().any(|key| is_such(key.get_ref()))
}
