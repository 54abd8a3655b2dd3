//! From an errand to a finished sheet: what all commands that make one share.

use std::ffi::OsStr;
use std::path::Path;

use super::errand::{Drawn, Errand, Origin, Typed};
use super::outlet::Outlet;
use super::pipeline::{self, Commission, PipelineError};
use super::place::{Spots, Taken};
use super::roster::{Roster, file_name};
use super::source::Source;
use super::spot::Spot;
use super::{Answer, keys, logo, naming, trial};
use crate::book::PageError;
use crate::canvas::picture::picture;
use crate::canvas::{Document, Page};
use crate::output;
use crate::parallel;
use crate::recipe::Recipe;
use crate::source::{Complaint, Place, RecipeField as Field};
use crate::typeset::{self, TextFace};

/// Makes the sheet of an errand, its pictures or both.
pub(crate) fn make(errand: &Errand<'_>) -> Result<Answer, Complaint> {
    let source = Source::open(errand.recipe.as_deref())?;
    let recipe = errand.typed.settings.over(source.recipe.clone());
    let recipe = Recipe { form: errand.form, ..recipe };
    let ready = Ready::new(recipe, &source, errand.typed)?;
    let name = naming::name(&ready.recipe, ready.roster.name());
    // Pictures of a sheet that goes nowhere are no reason to begin with them.
    let spot = match (errand.output, &errand.pictures) {
        (None, Some(_)) => None,
        (output, _) => Some(Spot::find(output, &name, errand.force)?),
    };
    let mut said = String::new();
    if let Some(pictures) = &errand.pictures {
        let file = errand.output.and_then(Outlet::file);
        let stem = file.unwrap_or(&name).file_stem().unwrap_or_default();
        let taken = Taken::as_typed(file.is_some(), errand.force);
        said.push_str(&ready.draw(&pictures.folder, stem, pictures.drawn, taken)?);
    }
    let mut sheet = None;
    if let Some(spot) = spot {
        let (line, bytes) = ready.print(&spot)?;
        said.push_str(&line);
        sheet = bytes;
    }
    Ok(Answer::of(said, sheet))
}

/// Makes an earlier sheet anew with other beats; without an output, beside it.
pub(crate) fn remake(
    sheet: &Path,
    beats: &Typed,
    output: Option<&Outlet>,
    force: bool,
) -> Result<Answer, Complaint> {
    let source = Source::sheet(sheet)?;
    let ready = Ready::new(beats.settings.over(source.recipe.clone()), &source, beats)?;
    let name = naming::at_tempo(sheet, source.recipe.tempo, ready.recipe.tempo);
    let (said, bytes) = ready.print(&Spot::find(output, &name, force)?)?;
    Ok(Answer::of(said, bytes))
}

/// A recipe that holds all it names and can stand.
struct Ready {
    recipe: Recipe,
    /// What to call the recipe in complaints.
    name: String,
    roster: Roster,
    commission: Commission,
}

impl Ready {
    /// Fetches what `recipe` names and checks all of it. `source` is where the recipe came from
    /// before what was `typed` was laid over it.
    fn new(recipe: Recipe, source: &Source, typed: &Typed) -> Result<Self, Complaint> {
        let origin = Origin { source, typed };
        let located = |complaint: Complaint| match complaint.field {
            Some(crate::source::Field::RecipeField(field)) => complaint.at(origin.place_of(field)),
            _ => complaint,
        };
        let recipe = recipe.checked().map_err(located)?;
        check_characters(&recipe).map_err(located)?;
        let roster = Roster::of(&recipe, origin)?;
        let recipe = roster.carried_by(recipe);
        let are_asked_for = origin.gives(Field::Keys);
        let recipe = keys::settled(recipe, &roster.modes(), are_asked_for).map_err(located)?;
        let recipe = with_picture(recipe, origin)?;
        let commission = pipeline::commission_of(&recipe, roster.known())
            .map_err(|error| Complaint::from(error).at(Place::of(source.name())))?;
        Ok(Self { recipe, name: source.name(), roster, commission })
    }

    /// Lays the sheet out.
    fn document(&self) -> Result<Document, Complaint> {
        self.commission.document().map_err(|error| self.refused(error))
    }

    /// A refusal, with the file and line of the drill where it is about a field of one.
    fn refused(&self, error: PipelineError) -> Complaint {
        let own = match &error {
            PipelineError::Page(PageError::InDrill { drill, .. }) => self.roster.own(Some(drill)),
            PipelineError::Page(_) => self.roster.own(None),
            PipelineError::UnknownDrill { .. }
            | PipelineError::SameName(_)
            | PipelineError::Template(_)
            | PipelineError::Output(_) => None,
        };
        let file = own.and_then(|own| Some((&*own.known.text, own.file.as_ref()?)));
        if let Some((text, file)) = file {
            let located = trial::located(error.clone(), text, &file.display().to_string());
            if located.line().is_some() {
                return located;
            }
        }
        Complaint::from(error).at(Place::of(&*self.name))
    }

    /// Makes the sheet and puts it in its spot. Gives the line that says so, and the bytes if they
    /// are yet to go to standard output.
    fn print(&self, spot: &Spot) -> Result<(String, Option<Vec<u8>>), Complaint> {
        let printed = self.commission.pdf().map_err(|error| self.refused(error))?;
        let drills = match self.recipe.course.len() {
            0 => String::new(),
            count => format!("{}, ", counted(count, "drill")),
        };
        let keys = counted(self.recipe.keys.len(), "key");
        let paper = self.recipe.paper;
        let about = if self.recipe.booklet {
            // A sheet has two sides.
            let sheets = counted(printed.pages / 2, "sheet");
            let (word, from) = (paper.word(), paper.folded_from());
            format!(
                "{sheets} of {from}, to be printed on both sides and folded to {word}, {drills}{keys}"
            )
        } else {
            format!("{}, {drills}{keys}, {}", counted(printed.pages, "page"), paper.word())
        };
        Ok(spot.put(printed.bytes, &about)?)
    }

    /// Makes a picture of each page and puts them in a folder, all or none of them as far as can
    /// be known beforehand. Gives the line that says so.
    fn draw(
        &self,
        folder: &Path,
        stem: &OsStr,
        drawn: Drawn,
        taken: Taken,
    ) -> Result<String, Complaint> {
        let document = self.document()?;
        let labels: Vec<String> =
            document.pages.iter().map(|page| page.label.to_string()).collect();
        let labels = labels.iter().map(String::as_str);
        let place = Spots::of_pictures(folder, stem, labels, (drawn.kind(), taken))?;
        let draw = |page: &Page| match drawn {
            Drawn::Dots(dpi) => output::png(&document.about, page, dpi),
            Drawn::Lines => output::svg(&document.about, page).map(String::into_bytes),
        };
        let pictures = parallel::map(&document.pages, draw);
        let pictures = pictures.into_iter().collect::<Result<Vec<_>, _>>()?;
        let put = place.put(&pictures)?;
        let count = counted(pictures.len(), "picture");
        let about = match drawn {
            Drawn::Dots(dpi) => format!("{count} at {dpi} dots an inch"),
            Drawn::Lines => count,
        };
        Ok(put.said(folder, &about))
    }
}

fn counted(count: usize, one: &str) -> String {
    format!("{count} {one}{}", if count == 1 { "" } else { "s" })
}

/// Errors if a text that will be printed has a character without a glyph.
fn check_characters(recipe: &Recipe) -> Result<(), Complaint> {
    let texts = [
        (Field::Title, &recipe.title),
        (Field::Student, &recipe.student),
        (Field::Studio, &recipe.studio),
    ];
    for (field, words) in texts {
        let words = words.as_deref().unwrap_or_default();
        let missing = TextFace::ALL.iter().find_map(|face| typeset::missing(*face, words));
        if let Some(found) = missing {
            let code = format!("`{found}` (U+{:04X})", found as u32);
            let problem = format!("the text face cannot show {code} in {field}");
            return Err(Complaint::of(field, problem).mend("write it in other letters"));
        }
    }
    Ok(())
}

/// The recipe with its picture in it.
fn with_picture(recipe: Recipe, origin: Origin<'_>) -> Result<Recipe, Complaint> {
    if let Some(data) = &recipe.logo_data {
        let place = || origin.source.place_of(Field::LogoData);
        picture(data).map_err(|error| Complaint::from(error).at(place()))?;
        return Ok(recipe);
    }
    let Some(path) = &recipe.logo else { return Ok(recipe) };
    let logo_data = Some(logo::read(&origin.path(Field::Logo, path))?);
    Ok(Recipe { logo: Some(file_name(path)), logo_data, ..recipe })
}
