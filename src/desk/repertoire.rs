//! The drills of a sheet: fetched from the library, from files or from the recipe itself.

use std::path::{Path, PathBuf};

use super::errand::Origin;
use super::pipeline::KnownDrill;
use super::{files, over};
use crate::drill::library;
use crate::parallel;
use crate::recipe::{
    LARGEST_TEMPLATE, OwnSettings, Recipe, WHOLE_LIBRARY, check_count, drill_twice,
    is_path_of_drill, line_of_course_template, line_of_template,
};
use crate::source::plain::shortened;
use crate::source::{Advice, Complaint, Place, RecipeField as Field};

/// The drills of a sheet.
pub(crate) struct Repertoire {
    drills: Vec<Fetched>,
    is_course: bool,
}

/// A drill, read once for all that follows.
pub(crate) struct Fetched {
    /// What it says; the sheet calls it by its name in the library, or by that of its file.
    pub(crate) known: KnownDrill,
    /// The file that it was read from, if it was.
    pub(crate) file: Option<PathBuf>,
}

impl Fetched {
    fn of_library(name: &str, text: &str) -> Result<Self, Complaint> {
        Ok(Self { known: KnownDrill::read(name, text, name)?, file: None })
    }

    /// The same with something of its own.
    fn with(self, own: &OwnSettings) -> Self {
        Self { known: self.known.with(own), ..self }
    }

    /// The name that it gives itself.
    fn name(&self) -> &str {
        &self.known.template.name
    }
}

impl Repertoire {
    /// Fetches the drills that a recipe names. Errors if one cannot be had, if two of them have
    /// one name and are not one drill for different hands, or if there are too many.
    pub(crate) fn of(recipe: &Recipe, origin: Origin<'_>) -> Result<Self, Complaint> {
        let toml = origin.source.toml();
        if !recipe.is_course() {
            let start = || line_of_template(toml?);
            let own = recipe.template.as_deref().map(|text| (text, start()));
            let drill = fetched(origin, Field::Drill, &recipe.drill, own)?;
            return Ok(Self { drills: vec![drill], is_course: false });
        }
        let mut repertoire = Self { drills: Vec::new(), is_course: true };
        for (index, part) in recipe.course.iter().enumerate() {
            if part.drill == WHOLE_LIBRARY && part.template.is_none() {
                let whole: Vec<(&str, &str)> = library::all().collect();
                for drill in parallel::map(whole, |(name, text)| Fetched::of_library(name, text)) {
                    repertoire.add(drill?.with(&part.own), recipe, origin)?;
                }
                continue;
            }
            let start = || line_of_course_template(toml?, index);
            let own = part.template.as_deref().map(|text| (text, start()));
            let drill = fetched(origin, Field::Course, &part.drill, own)?;
            repertoire.add(drill.with(&part.own), recipe, origin)?;
        }
        let refused = |complaint: Complaint| complaint.at(origin.place_of(Field::Course));
        check_count(repertoire.drills.len()).map_err(refused)?;
        Ok(repertoire)
    }

    fn add(
        &mut self,
        drill: Fetched,
        course: &Recipe,
        origin: Origin<'_>,
    ) -> Result<(), Complaint> {
        let clashes = |other: &&Fetched| other.known.clashes(&drill.known, course);
        if let Some(same) = self.drills.iter().find(clashes) {
            let complaint = same_name(drill.name(), same.file.as_deref(), drill.file.as_deref());
            return Err(complaint.at(origin.place_of(Field::Course)));
        }
        self.drills.push(drill);
        Ok(())
    }

    /// The name of its one drill, or "course".
    pub(crate) fn name(&self) -> &str {
        match self.drills.as_slice() {
            [one] if !self.is_course => one.name(),
            _ => "course",
        }
    }

    /// The drills as they were read.
    pub(crate) fn known(&self) -> Vec<KnownDrill> {
        self.drills.iter().map(|drill| drill.known.clone()).collect()
    }

    /// The drill of a teacher's own that bears a name, or the only one where none is given.
    pub(crate) fn own(&self, name: Option<&str>) -> Option<&Fetched> {
        let mut own = self.drills.iter().filter(|drill| drill.file.is_some());
        match name {
            Some(name) => own.find(|drill| drill.name() == name),
            None if !self.is_course => own.next(),
            None => None,
        }
    }
}

/// The refusal of two drills of one name, from the files that they were read from.
fn same_name(name: &str, one: Option<&Path>, other: Option<&Path>) -> Complaint {
    if one == other {
        return drill_twice(name);
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
    let problem = format!("{} and {} are both named `{name}`", place(one), place(other));
    Complaint::of(Field::Course, problem).mend(format!("change `name` in {mend}"))
}

/// A drill that `field` names, with its text: `own`, which the recipe holds and which begins on a
/// line of it, or else that of the library or of a file.
fn fetched(
    origin: Origin<'_>,
    field: Field,
    drill: &str,
    own: Option<(&str, Option<usize>)>,
) -> Result<Fetched, Complaint> {
    if let Some((text, start)) = own {
        return carried(origin, drill, text, start);
    }
    if let Some(text) = library::find(drill) {
        return Fetched::of_library(drill, text);
    }
    let path = origin.path(field, drill);
    if !is_path_of_drill(drill) {
        let place = origin.place_of(field);
        // What stands in a sheet may be a stranger's, who is not told which files there are.
        let is_theirs = origin.is_typed(field) || !origin.source.is_sheet();
        let may_ask = is_theirs && !origin.source.is_closed();
        if drill == WHOLE_LIBRARY {
            let complaint = Complaint::new(format!("unknown drill `{drill}`")).at(place);
            return Err(complaint.mend(
                Advice::words("for every drill of the library write ")
                    .give(Field::Course, vec![WHOLE_LIBRARY]),
            ));
        }
        return Err(match may_ask && path.is_file() {
            true => not_named_as_drill(&path).at(place),
            false if origin.source.is_closed() => not_in_list(field, drill).at(place),
            false => unknown_drill(place, drill),
        });
    }
    if origin.source.is_closed() {
        let problem = format!("drill is `{}`, a file that is not here", shortened(drill));
        let complaint = Complaint::of(field, problem).mend("hand in the drill itself");
        return Err(complaint.at(origin.place_of(field)));
    }
    let text = files::read(&path, LARGEST_TEMPLATE as u64)
        .and_then(|bytes| files::text(&path, bytes))
        .map_err(|complaint| origin.named_in(field, complaint))?;
    let over =
        over::with_tunes(&text, &path).map_err(|complaint| origin.named_in(field, complaint))?;
    if let Some(text) = over {
        let known = KnownDrill::read(&file_name(drill), &text, &over::named(&path))?;
        return Ok(Fetched { known, file: None });
    }
    // The folder is the teacher's own business; the sheet gets the file's name alone.
    let known = KnownDrill::read(&file_name(drill), &text, &path.display().to_string())?;
    Ok(Fetched { known, file: Some(path) })
}

/// A drill whose text stands in the recipe, from a line of it.
fn carried(
    origin: Origin<'_>,
    drill: &str,
    text: &str,
    start: Option<usize>,
) -> Result<Fetched, Complaint> {
    let recipe = origin.source.name();
    let known = KnownDrill::read(drill, text, &recipe).map_err(|complaint| {
        let place = match (start, complaint.line()) {
            (Some(start), Some(line)) => Place::line(&recipe, Some(start + line - 1)),
            (_, line) => Place::line(format!("{recipe}, in its template"), line),
        };
        complaint.at(place)
    })?;
    let name = &known.template.name;
    let is_ours = |name: &str| library::find(name).is_some();
    if name != drill && is_ours(name) && is_ours(drill) {
        let problem = format!("drill is `{drill}`, but template is that of `{name}`");
        let complaint = Complaint::of(Field::Template, problem).at(Place::of(recipe));
        return Err(complaint.mend("take one of the two out of the recipe"));
    }
    Ok(Fetched { known, file: None })
}

/// The complaint about a file of a name that no drill file has.
fn not_named_as_drill(file: &Path) -> Complaint {
    let right = file.with_extension("toml");
    let mend = format!("rename {} to {}", file.display(), right.display());
    Complaint::new("the name of a drill file ends in .toml").mend(mend)
}

/// The complaint about a drill that is not in the library, with the names that are.
pub(crate) fn unknown_drill(place: Place, found: &str) -> Complaint {
    let complaint = Complaint::new(format!("unknown drill `{found}`"));
    complaint.mend(library::advice(found)).at(place)
}

/// The same for whoever may name no files, and has a list of titles before their eyes.
fn not_in_list(field: Field, found: &str) -> Complaint {
    let text = library::meant(found).and_then(library::find);
    let mend = match text.and_then(|text| library::said(text, "title")) {
        Some(title) => format!("did you mean `{title}`?"),
        None => "choose one of the list".to_owned(),
    };
    Complaint::of(field, format!("unknown drill `{}`", shortened(found))).mend(mend)
}

/// The last part of a path.
pub(crate) fn file_name(path: &str) -> String {
    Path::new(path)
        .file_name()
        .map_or_else(|| path.to_owned(), |name| name.to_string_lossy().into_owned())
}
