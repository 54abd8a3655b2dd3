//! From a recipe and what was typed to a finished sheet: what all commands that make one share.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use super::{Answer, files, logo, naming, trial};
use crate::book::PageError;
use crate::canvas::picture::picture;
use crate::canvas::{Document, Page};
use crate::cli::CliError;
use crate::cli::options::Choices;
use crate::desk::outlet::Outlet;
use crate::desk::pipeline::{self, PipelineError};
use crate::desk::place::{Place, Taken};
use crate::desk::source::Source;
use crate::desk::spot::Spot;
use crate::drill::{Template, library};
use crate::output;
use crate::parallel;
use crate::recipe::{
    CourseDrill, FieldError, LARGEST_TEMPLATE, MOST_DRILLS, Recipe, WHOLE_LIBRARY,
    line_of_course_template, line_of_template,
};
use crate::source::SourceError;
use crate::typeset::{self, TextFace};

/// A recipe that holds all it names and can stand, and the name of its drill or "course".
pub(crate) struct Ready {
    pub(crate) recipe: Recipe,
    pub(crate) drill: String,
    /// What to call the recipe in errors.
    origin: String,
    /// The drills that were read from files.
    own: Vec<OwnDrill>,
}

/// A drill of the teacher's own.
struct OwnDrill {
    /// The name that it gives itself.
    name: String,
    file: PathBuf,
    template: String,
}

impl Ready {
    /// Fetches what `recipe` names and checks all of it. `source` is where the recipe came from
    /// before `choices` were laid over it.
    pub(crate) fn new(
        recipe: Recipe,
        source: &Source,
        choices: &Choices,
    ) -> Result<Self, CliError> {
        let from = From { source, choices };
        let recipe = recipe
            .checked()
            .map_err(|error| CliError::Field { origin: from.origin_of(error.field()), error })?;
        from.check_characters(&recipe)?;
        let mut own = Vec::new();
        let (recipe, drill) = from.with_templates(recipe, &mut own)?;
        let recipe = from.with_picture(recipe)?;
        Ok(Self { recipe, drill, origin: source.name(), own })
    }

    /// Lays the sheet out.
    fn document(&self) -> Result<Document, CliError> {
        pipeline::document(&self.recipe).map_err(|error| self.refused(error))
    }

    /// A refusal, with the file and line of the drill where it is about a field of one.
    fn refused(&self, error: PipelineError) -> CliError {
        let own = match &error {
            PipelineError::Page(PageError::InDrill { drill, .. }) => {
                self.own.iter().find(|own| own.name == *drill)
            }
            PipelineError::Page(_) if !self.recipe.is_course() => self.own.first(),
            _ => None,
        };
        if let Some(own) = own {
            let file = own.file.display().to_string();
            let located = trial::located(error.clone(), &own.template, &file);
            if located.line.is_some() {
                return CliError::Source(located);
            }
        }
        CliError::Pipeline { origin: self.origin.clone(), error }
    }

    /// Makes the sheet and puts it in its spot. Gives the line that says so, and the bytes if they
    /// are yet to go to standard output.
    pub(crate) fn print(&self, spot: &Spot) -> Result<(String, Option<Vec<u8>>), CliError> {
        let printed = pipeline::pdf(&self.recipe).map_err(|error| self.refused(error))?;
        let drills = match self.recipe.course.len() {
            0 => String::new(),
            count => format!("{}, ", counted(count, "drill")),
        };
        let about = format!(
            "{}, {drills}{}, {}",
            counted(printed.pages, "page"),
            counted(self.recipe.keys.len(), "key"),
            self.recipe.paper.word(),
        );
        Ok(spot.put(printed.bytes, &about)?)
    }

    /// Makes a picture of each page and puts them in a folder, all or none of them as far as can
    /// be known beforehand. Gives the line that says so.
    fn draw(&self, pictures: &Pictures<'_>) -> Result<String, CliError> {
        let Pictures { folder, stem, dpi, taken } = *pictures;
        let document = self.document()?;
        let labels: Vec<String> =
            document.pages.iter().map(|page| page.label.to_string()).collect();
        let labels = labels.iter().map(String::as_str);
        let place = Place::of_pictures(folder, stem, labels, taken)?;
        let draw = |page: &Page| output::png(&document.about, page, dpi);
        let pictures = parallel::map(&document.pages, draw);
        let pictures = pictures.into_iter().collect::<Result<Vec<_>, _>>()?;
        let put = place.put(&pictures)?;
        let about = format!("{} at {dpi} dots an inch", counted(pictures.len(), "picture"));
        Ok(put.said(folder, &about))
    }
}

/// Pictures of pages that are wanted.
struct Pictures<'a> {
    folder: &'a Path,
    /// How their names begin.
    stem: &'a OsStr,
    dpi: u32,
    taken: Taken,
}

fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// Makes what the recipe of `choices` says, after `change`.
pub(crate) fn make(
    choices: &Choices,
    change: impl FnOnce(Recipe) -> Recipe,
) -> Result<Answer, CliError> {
    let source = Source::open(choices.recipe.as_deref())?;
    let recipe = change(choices.laid_over(source.recipe.clone()));
    let ready = Ready::new(recipe, &source, choices)?;
    let name = naming::name(&ready.recipe, &ready.drill);
    let typed = choices.output.as_ref();
    // Pictures of a sheet that goes nowhere are no reason to begin with them.
    let spot = match (typed, &choices.png) {
        (None, Some(_)) => None,
        _ => Some(Spot::find(typed, &name, choices.force)?),
    };
    let mut said = String::new();
    if let Some(folder) = &choices.png {
        let file = typed.and_then(Outlet::file);
        said.push_str(&ready.draw(&Pictures {
            folder,
            stem: file.unwrap_or(&name).file_stem().unwrap_or_default(),
            dpi: choices.dpi(),
            taken: Taken::as_typed(file.is_some(), choices.force),
        })?);
    }
    let mut sheet = None;
    if let Some(spot) = spot {
        let (line, bytes) = ready.print(&spot)?;
        said.push_str(&line);
        sheet = bytes;
    }
    Ok(Answer::of(if choices.quiet { String::new() } else { said }, sheet))
}

/// A drill with its text.
struct Fetched {
    /// What the sheet calls it: its name in the library, or that of its file.
    drill: String,
    template: String,
    /// The name that it gives itself.
    name: String,
    /// The file that it was read from, if it was.
    file: Option<PathBuf>,
}

impl Fetched {
    /// What to remember of a drill of the teacher's own.
    fn own(&self) -> Option<OwnDrill> {
        let file = self.file.clone()?;
        Some(OwnDrill { name: self.name.clone(), file, template: self.template.clone() })
    }

    fn of_library(name: &str, text: &str) -> Self {
        Self {
            drill: name.to_owned(),
            template: text.to_owned(),
            name: name.to_owned(),
            file: None,
        }
    }
}

/// Where the fields of a recipe come from.
struct From<'a> {
    source: &'a Source,
    choices: &'a Choices,
}

impl From<'_> {
    /// The option that gave `field`, or else its place in the recipe.
    fn origin_of(&self, field: &str) -> String {
        match self.choices.option_of(field) {
            Some(option) => option.to_owned(),
            None => self.source.origin_of(field),
        }
    }

    /// Where a path in `field` starts from: where the command was typed, or the recipe's folder.
    fn path(&self, field: &str, path: &str) -> PathBuf {
        match self.choices.option_of(field) {
            Some(_) => PathBuf::from(path),
            None => self.source.folder().join(path),
        }
    }

    /// Errors if a text that will be printed has a character without a glyph.
    fn check_characters(&self, recipe: &Recipe) -> Result<(), CliError> {
        let texts =
            [("title", &recipe.title), ("student", &recipe.student), ("studio", &recipe.studio)];
        for (field, words) in texts {
            let words = words.as_deref().unwrap_or_default();
            let missing = TextFace::ALL.iter().find_map(|face| typeset::missing(*face, words));
            if let Some(found) = missing {
                return Err(CliError::NoGlyph { origin: self.origin_of(field), field, found });
            }
        }
        Ok(())
    }

    /// The recipe with the texts of its drills in it, and the name of its one drill, or "course".
    /// What was read from files is added to `read`.
    fn with_templates(
        &self,
        recipe: Recipe,
        read: &mut Vec<OwnDrill>,
    ) -> Result<(Recipe, String), CliError> {
        if recipe.is_course() {
            return Ok((self.with_course(recipe, read)?, "course".to_owned()));
        }
        let start = || self.source.toml().and_then(line_of_template);
        let own = recipe.template.as_deref().map(|text| (text, start()));
        let fetched = self.fetched("drill", &recipe.drill, own)?;
        read.extend(fetched.own());
        let Fetched { drill, template, name, .. } = fetched;
        Ok((Recipe { drill, template: Some(template), ..recipe }, name))
    }

    /// The recipe with the texts of the drills of its course in it. Errors if two of them have
    /// one name, or if there are too many.
    fn with_course(&self, recipe: Recipe, read: &mut Vec<OwnDrill>) -> Result<Recipe, CliError> {
        let mut course = Vec::new();
        let mut seen: Vec<(String, Option<PathBuf>)> = Vec::new();
        let mut add = |part: Fetched| {
            if let Some((_, file)) = seen.iter().find(|(name, _)| *name == part.name) {
                return Err(self.same_name(part.name, file.as_deref(), part.file.as_deref()));
            }
            seen.push((part.name.clone(), part.file.clone()));
            read.extend(part.own());
            course.push(CourseDrill { drill: part.drill, template: Some(part.template) });
            Ok(())
        };
        for (index, part) in recipe.course.iter().enumerate() {
            if part.drill == WHOLE_LIBRARY && part.template.is_none() {
                library::all().try_for_each(|(name, text)| add(Fetched::of_library(name, text)))?;
                continue;
            }
            let start = || line_of_course_template(self.source.toml()?, index);
            let own = part.template.as_deref().map(|text| (text, start()));
            add(self.fetched("course", &part.drill, own)?)?;
        }
        if course.len() > MOST_DRILLS {
            return Err(self.refused(FieldError::TooManyDrills { found: course.len() }));
        }
        Ok(Recipe { course, ..recipe })
    }

    /// The refusal of two drills of one name, from the files that they were read from.
    fn same_name(&self, name: String, one: Option<&Path>, other: Option<&Path>) -> CliError {
        if one == other {
            return self.refused(FieldError::DrillTwice(name));
        }
        let place = |file: Option<&Path>| {
            file.map_or_else(|| "another drill".to_owned(), |file| file.display().to_string())
        };
        let mend = match (one, other) {
            (Some(file), None) | (None, Some(file)) => file.display().to_string(),
            _ => "one of them".to_owned(),
        };
        // The file comes first, since what is no file has no name to go by.
        let (one, other) = if one.is_none() { (other, one) } else { (one, other) };
        let (one, other) = (place(one), place(other));
        CliError::SameName { origin: self.origin_of("course"), name, one, other, mend }
    }

    /// A refusal of the course, with the place that it comes from.
    fn refused(&self, error: FieldError) -> CliError {
        CliError::Field { origin: self.origin_of(error.field()), error }
    }

    /// A drill that `field` names, with its text: `own`, which the recipe holds and which begins
    /// on a line of it, or else that of the library or of a file.
    fn fetched(
        &self,
        field: &str,
        drill: &str,
        own: Option<(&str, Option<usize>)>,
    ) -> Result<Fetched, CliError> {
        if let Some((text, start)) = own {
            let name = self.embedded(text, start)?.name;
            let both = |name: &str| library::find(name).is_some();
            if name != drill && both(&name) && both(drill) {
                return Err(CliError::TwoDrills {
                    origin: self.source.name(),
                    drill: drill.to_owned(),
                    template: name,
                });
            }
            return Ok(Fetched {
                drill: drill.to_owned(),
                template: text.to_owned(),
                name,
                file: None,
            });
        }
        if let Some(text) = library::find(drill) {
            return Ok(Fetched::of_library(drill, text));
        }
        let path = self.path(field, drill);
        if !looks_like_a_path(drill) {
            let origin = self.origin_of(field);
            return Err(match path.is_file() {
                true => CliError::NotNamedAsDrill { origin, file: path },
                false => unknown_drill(origin, drill),
            });
        }
        let bytes = files::read(&path, LARGEST_TEMPLATE as u64)?;
        let template = files::text(&path, bytes)?;
        let name = Template::parse(&template, &path.display().to_string())?.name;
        // The folder is the teacher's own business; the sheet gets the file's name alone.
        Ok(Fetched { drill: file_name(drill), template, name, file: Some(path) })
    }

    /// Reads a template that stands in the recipe; errors know its line there.
    fn embedded(&self, text: &str, start: Option<usize>) -> Result<Template, SourceError> {
        let name = self.source.name();
        Template::parse(text, &name).map_err(|error| match (start, error.line) {
            (Some(start), Some(line)) => SourceError { line: Some(start + line - 1), ..error },
            _ => SourceError { origin: format!("{name}, in its template"), ..error },
        })
    }

    /// The recipe with its picture in it.
    fn with_picture(&self, recipe: Recipe) -> Result<Recipe, CliError> {
        if let Some(data) = &recipe.logo_data {
            picture(data).map_err(|error| CliError::Logo {
                origin: self.source.origin_of("logo_data"),
                error,
            })?;
            return Ok(recipe);
        }
        let Some(logo) = &recipe.logo else { return Ok(recipe) };
        let logo_data = Some(logo::read(&self.path("logo", logo))?);
        Ok(Recipe { logo: Some(file_name(logo)), logo_data, ..recipe })
    }
}

/// The error for a drill that is not in the library, with the names that are.
pub(crate) fn unknown_drill(origin: String, found: &str) -> CliError {
    CliError::UnknownDrill { origin, found: found.to_owned(), mend: library::advice(found) }
}

fn looks_like_a_path(drill: &str) -> bool {
    drill.contains(['/', '\\']) || drill.to_lowercase().ends_with(".toml")
}

/// The last part of a path.
fn file_name(path: &str) -> String {
    Path::new(path)
        .file_name()
        .map_or_else(|| path.to_owned(), |name| name.to_string_lossy().into_owned())
}
