//! What a front asks of the desk, and where each field of it comes from.

use std::collections::BTreeMap;
use std::path::PathBuf;

use super::outlet::Outlet;
use super::place::FileKind;
use super::source::Source;
use crate::recipe::{Form, Settings};
use crate::source::{Place, RecipeField as Field};

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
    pub(crate) form: Form,
    /// The recipe or the earlier sheet to start from.
    pub(crate) recipe: Option<PathBuf>,
    /// What wins over it.
    pub(crate) typed: &'a Typed,
    /// Where the sheet goes; without it, where its name says.
    pub(crate) output: Option<&'a Outlet>,
    /// Whether a file that has the name already may be replaced, whatever it is.
    pub(crate) force: bool,
    /// Pictures of the pages; no sheet then, unless it was said where it goes.
    pub(crate) pictures: Option<Pictures>,
}

/// Pictures of pages that are to be made.
pub(crate) struct Pictures {
    /// The folder they go to.
    pub(crate) folder: PathBuf,
    /// What they are.
    pub(crate) drawn: Drawn,
}

/// What pictures of pages are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Drawn {
    /// PNG files of so many dots an inch.
    Dots(u32),
    /// SVG files, which know no dots.
    Lines,
}

impl Drawn {
    /// The kind of their files.
    pub(crate) fn kind(self) -> FileKind {
        match self {
            Self::Dots(_) => FileKind::Png,
            Self::Lines => FileKind::Svg,
        }
    }
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

    /// Where a path in `field` starts from: where the command was typed, or the recipe's folder.
    pub(crate) fn path(&self, field: Field, path: &str) -> PathBuf {
        if self.is_typed(field) { PathBuf::from(path) } else { self.source.folder().join(path) }
    }
}
