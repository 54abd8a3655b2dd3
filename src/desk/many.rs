//! Several sheets of one command: all are made first, and put in their places once it is known that
//! all can be.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use super::class::names;
use super::class::plan::add;
use super::commission::{Ready, asked};
use super::errand::{Origin, Typed};
use super::place::{Spots, Taken};
use super::pool::Pool;
use super::source::Source;
use super::spool::{Spool, Spooled};
use super::{Answer, naming};
use crate::output::WriteError;
use crate::parallel;
use crate::recipe::DocumentForm;
use crate::recipe::fields::FieldValue;
use crate::source::{Advice, Complaint, Place, RecipeField as Field};

/// How many sheets are in the making at once. Each may have been read from a file with a picture
/// of several megabytes.
const AT_ONCE: usize = 4;

/// A sheet that has been made.
struct MadeSheet {
    path: PathBuf,
    spots: Spots,
    bytes: Vec<u8>,
    about: String,
    remarks: Vec<Advice>,
}

impl MadeSheet {
    fn of(ready: &Ready<'_>, path: PathBuf, force: bool) -> Result<Self, Complaint> {
        let spots = Spots::of_sheet(&path, Taken::as_typed(false, force))?;
        let (printed, _, remarks) = ready.sheet()?;
        let about = ready.about(printed.pages);
        Ok(Self { path, spots, bytes: printed.bytes, about, remarks })
    }
}

/// Makes several earlier sheets anew with other beats, each beside the old one.
///
/// Errors with all that cannot be made; nothing is written then.
pub(crate) fn remake(
    sheets: &[PathBuf],
    beats: &Typed,
    force: bool,
) -> Result<Answer, Vec<Complaint>> {
    let folder = sheets.first().and_then(|sheet| sheet.parent()).unwrap_or(Path::new(""));
    let make = |sheet: &PathBuf| {
        let source = Source::sheet(sheet)?;
        let recipe = beats.settings.over(source.recipe.clone());
        let ready = Ready::new(recipe, Origin { source: &source, typed: beats });
        // Which of the sheets it is, where what was typed does not stand with all of them.
        let of_sheet = |complaint: Complaint| match complaint.place {
            Place::Text { .. } => complaint,
            _ => complaint.at(Place::of(sheet.display().to_string())),
        };
        let ready = ready.map_err(of_sheet)?;
        let name = naming::at_tempo(sheet, source.recipe.tempo, ready.tempo());
        MadeSheet::of(&ready, name, force)
    };
    let place = |sheet: &PathBuf| (sheet.display().to_string(), sheet.display().to_string());
    // A number is found behind a name that is taken, unless it is taken by force.
    all(sheets, folder, make, (place, force))
}

/// What is to be made for each of several students.
pub(crate) struct ManyErrand<'a> {
    /// Workbook or handout.
    pub(crate) form: DocumentForm,
    /// The recipe or the earlier sheet to start from.
    pub(crate) recipe: Option<&'a Path>,
    /// More of them, whose drills a review asks for too.
    pub(crate) also: &'a [PathBuf],
    /// What wins over it.
    pub(crate) typed: &'a Typed,
    /// Who they are.
    pub(crate) students: &'a Path,
    /// Whether files that have the names already may be replaced.
    pub(crate) force: bool,
}

/// Makes the same sheet for each student of a list.
///
/// Errors with all that cannot be made; nothing is written then.
pub(crate) fn make(errand: &ManyErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let names = names::read(errand.students)?;
    let one = |complaint| vec![complaint];
    let source = Source::open(errand.recipe).map_err(one)?;
    let mut pool = Pool::of(&source);
    for path in errand.also {
        pool.add(&Source::open(Some(path)).map_err(one)?);
    }
    let from = pool.recipe(source.recipe.clone());
    let make = |name: &names::Name| {
        let mut typed = errand.typed.clone();
        typed.settings.set(Field::Student, FieldValue::Text(name.name.clone()));
        typed.options.insert(Field::Student, name.place.clone());
        let origin = Origin { source: &source, typed: &typed };
        let ready = Ready::new(asked(errand.form, from.clone(), origin)?, origin)?;
        MadeSheet::of(&ready, ready.name(), errand.force)
    };
    let place = |name: &names::Name| (name.place.clone(), name.within.clone());
    all(&names, Path::new(""), make, (place, true))
}

/// Makes a sheet of each item, and puts all in their places if none is refused. Where names are
/// `apart`, no two may be the same. The place of an item is told in full, and from within the list.
fn all<I: Sync>(
    items: &[I],
    folder: &Path,
    make: impl Fn(&I) -> Result<MadeSheet, Complaint> + Sync + Send,
    (place, apart): (impl Fn(&I) -> (String, String), bool),
) -> Result<Answer, Vec<Complaint>> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let failed = |source: io::Error| {
        let file = folder.join("the sheets in the making");
        vec![Complaint::from(WriteError::System { file, source })]
    };
    let spool = Spool::begin(folder).map_err(failed)?;
    let mut waiting: Vec<(Spots, Spooled<'_>, String, Vec<Advice>)> = Vec::new();
    let mut wrong = Vec::new();
    let mut names: BTreeMap<String, &I> = BTreeMap::new();
    for some in items.chunks(AT_ONCE) {
        for (item, made) in some.iter().zip(parallel::map(some, &make)) {
            let MadeSheet { path, spots, bytes, about, remarks } = match made {
                Ok(made) => made,
                Err(complaint) => {
                    add(&mut wrong, vec![complaint]);
                    continue;
                }
            };
            let first = *names.entry(path.display().to_string().to_lowercase()).or_insert(item);
            if !std::ptr::eq(first, item) && apart {
                let (own, (_, other)) = (place(item).0, place(first));
                let problem = format!("its sheet would be {}, as that of {other}", path.display());
                let complaint = Complaint::new(problem).at(Place::Typed(own));
                add(&mut wrong, vec![complaint.mend("take one of the two out")]);
            }
            waiting.push((spots, spool.add(&bytes).map_err(failed)?, about, remarks));
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    let mut answer = Answer::default();
    for (spots, sheet, about, remarks) in waiting {
        let put = spots.put(&[sheet]).map_err(|error| vec![error.into()])?;
        answer.said.push(put.said(&about));
        for remark in remarks {
            if !answer.said.contains(&remark) {
                answer.said.push(remark);
            }
        }
    }
    Ok(answer)
}
