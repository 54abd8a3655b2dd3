//! What a front asks of the desk, and where each field of it comes from.

use std::collections::BTreeMap;
use std::path::PathBuf;

use super::outlet::{Companion, Outlet};
use super::product::Product;
use super::source::Source;
use crate::recipe::{DocumentForm, Settings};
use crate::source::{Complaint, Field as AnyField, Place, RecipeField as Field};

/// What was asked for in place of fields of the recipe.
#[derive(Clone, Debug, Default)]
pub(crate) struct Typed {
    /// The fields.
    pub(crate) settings: Settings,
    /// What each of them was typed after.
    pub(crate) options: BTreeMap<Field, String>,
}

/// A sheet that is to be made.
pub(crate) struct Errand<'a> {
    /// Workbook or handout.
    pub(crate) form: DocumentForm,
    /// The recipe or the earlier sheet to start from.
    pub(crate) recipe: Option<PathBuf>,
    /// More recipes and sheets, whose drills and keys a review asks for too.
    pub(crate) also: &'a [PathBuf],
    /// What wins over it.
    pub(crate) typed: &'a Typed,
    /// Where the sheet goes; without it, where its name says.
    pub(crate) output: Option<&'a Outlet>,
    /// Whether a file that has the name already may be replaced, whatever it is.
    pub(crate) force: bool,
    /// Pictures of the pages; no sheet then, unless it was said where it goes.
    pub(crate) pictures: Option<Pictures>,
    /// Files of the same music that are no pages; no sheet then either, unless it was said where it
    /// goes.
    pub(crate) companions: &'a [Companion],
}

/// Pictures of pages that are to be made.
#[derive(Clone)]
pub(crate) struct Pictures {
    /// The folder they go to.
    pub(crate) folder: PathBuf,
    /// What they are: a kind that has a file for each page.
    pub(crate) product: Product,
}

/// Where the fields of a recipe come from.
#[derive(Clone, Copy)]
pub(crate) struct Origin<'a> {
    /// The recipe before anything was laid over it.
    pub(crate) source: &'a Source,
    /// What was laid over it.
    pub(crate) typed: &'a Typed,
}

impl Origin<'_> {
    /// Whether a field was typed.
    pub(crate) fn is_typed(&self, field: Field) -> bool {
        self.typed.settings.gives(field)
    }

    /// Whether a teacher wrote a field, in a file or as she typed the command; what a sheet holds
    /// was settled before.
    pub(crate) fn is_written(&self, field: Field) -> bool {
        self.is_typed(field) || self.source.toml().is_some() && self.source.gives(field)
    }

    /// Whether a field is anything but the default.
    pub(crate) fn gives(&self, field: Field) -> bool {
        self.is_typed(field) || self.source.gives(field)
    }

    /// The option that gave `field`, or else its place in the recipe.
    pub(crate) fn place_of(&self, field: Field) -> Place {
        match self.typed.options.get(&field) {
            Some(option) if self.is_typed(field) => Place::Typed(option.clone()),
            _ => self.source.place_of(field),
        }
    }

    /// A complaint at the place of the field that it is about, if that is one of the recipe.
    pub(crate) fn located(&self, complaint: Complaint) -> Complaint {
        match complaint.field {
            Some(AnyField::RecipeField(field)) => complaint.at(self.place_of(field)),
            _ => complaint,
        }
    }

    /// What is wrong with the file that `field` names: with the line of the recipe that names it,
    /// unless it was typed just now or has a place of its own.
    pub(crate) fn named_in(&self, field: Field, complaint: Complaint) -> Complaint {
        match complaint.place {
            Place::Untold if !self.is_typed(field) => complaint.at(self.place_of(field)),
            _ if complaint.field.is_none() && self.is_typed(field) => {
                Complaint { field: Some(field.into()), ..complaint }
            }
            _ => complaint,
        }
    }

    /// Where a path in `field` starts from: where the command was typed, or the recipe's folder.
    pub(crate) fn path(&self, field: Field, path: &str) -> PathBuf {
        if self.is_typed(field) { PathBuf::from(path) } else { self.source.folder().join(path) }
    }
}
