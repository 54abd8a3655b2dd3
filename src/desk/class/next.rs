//! Next week's list: this week's with other tempi for those with whom it went well, another day
//! where one was asked for, nothing said yet of how it went, and everything else as it stands, to
//! the byte.

use std::path::Path;

use super::column::ClassColumn;
use super::edit::Edits;
use super::encoded::encode;
use super::list::is_toml;
use super::plan::{Class, PlannedSheet, told};
use crate::desk::Answer;
use crate::desk::commission::counted;
use crate::desk::place::{Matter as _, Put, Spots, Taken};
use crate::output;
use crate::recipe::TEMPI;
use crate::source::{Advice, AdvicePart, Complaint, Place, RecipeField as Field};

/// What is asked for.
pub(crate) struct NextErrand<'a> {
    /// The list, with what its rows leave open; a date takes the place of those of its rows.
    pub(crate) class: Class<'a>,
    /// By how many beats a minute tempi rise.
    pub(crate) faster: u16,
    /// The list to write; without it, beside the old one.
    pub(crate) output: Option<&'a Path>,
    /// Whether a file that has the name already may be replaced.
    pub(crate) force: bool,
}

/// What became of the students.
#[derive(Default)]
struct StudentCount {
    faster: usize,
    as_before: usize,
    /// How many say how it went.
    cleared: usize,
    /// What is to be said of those who come to their goal.
    told: Vec<String>,
}

/// Writes next week's list.
///
/// Errors with all that is wrong with the list; nothing is written then.
pub(crate) fn write(errand: &NextErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let list = &errand.class.list;
    let (planned, wrong) = errand.class.plan();
    if !wrong.is_empty() {
        return Err(told(wrong, &list.name()));
    }
    if !list.entries.has(ClassColumn::WentWell) {
        let problem = format!("it has no column {}", ClassColumn::WentWell.head());
        let complaint = Complaint::new(problem).mend("write one, with yes or nothing in each row");
        return Err(vec![complaint.at(Place::of(list.name()))]);
    }
    let spots = spots(errand).map_err(|complaint| vec![complaint])?;
    let mut count = StudentCount::default();
    let mut edits = Edits::of(list);
    let mut wrong = Vec::new();
    for planned in &planned {
        match faster(errand, planned.index, &planned.row.student, &mut count) {
            Ok(Some(tempo)) => edits.set(planned.index, ClassColumn::Field(Field::Tempo), &tempo),
            Ok(None) => {}
            Err(complaint) => wrong.push(complaint),
        }
        if let Some(day) = errand.class.day {
            edits.set(planned.index, ClassColumn::Date, day.text);
        }
        // How it went is said of a week, and the next one is yet to come.
        count.cleared += usize::from(edits.clear(planned.index, ClassColumn::WentWell));
    }
    if !wrong.is_empty() {
        return Err(told(wrong, &list.name()));
    }
    let about = format!(
        "{}, {} faster by {}, {} as before",
        counted(planned.len(), "row"),
        count.faster,
        errand.faster,
        count.as_before
    );
    let added: Vec<&str> = edits.added().iter().map(|column| column.head()).collect();
    let bytes = encode(&edits.made(), list.encoding);
    let put = spots.put(&bytes).map_err(|complaint| vec![complaint])?;
    let mut said = vec![put.said(&about)];
    if !added.is_empty() {
        said.push(Advice::words(format!("added to the list: {}", added.join(", "))));
    }
    if count.cleared > 0 {
        let head = ClassColumn::WentWell.head();
        said.push(Advice::words(format!("{head} is empty, to be filled in for the new week")));
    }
    let has_date = |planned: &PlannedSheet| planned.date.is_some();
    if errand.class.day.is_none() && planned.iter().any(has_date) {
        let stays = "dates stay as they were, since no new day was given";
        said.push(Advice::words(stays));
    }
    said.extend(count.told.into_iter().map(Advice::words));
    Ok(Answer { said, ..Answer::default() })
}

/// The new tempo of a student, unless it stays as it is.
fn faster(
    errand: &NextErrand<'_>,
    index: usize,
    student: &str,
    count: &mut StudentCount,
) -> Result<Option<String>, Complaint> {
    let (wish, _) = errand.class.wish(index);
    if !wish.went_well {
        count.as_before += 1;
        return Ok(None);
    }
    let recipe = errand.class.recipe(&wish);
    let recipe = recipe.map_err(|complaint| errand.class.located(index, complaint))?;
    let (most, what) = match recipe.goal {
        Some(goal) => (goal, "goal"),
        None => (*TEMPI.end(), "fastest tempo there is"),
    };
    if recipe.tempo >= most {
        count.as_before += 1;
        count.told.push(format!("{student} is at the {what} of {most} and stays there"));
        return Ok(None);
    }
    count.faster += 1;
    let tempo = recipe.tempo.saturating_add(errand.faster).min(most);
    if tempo == most && recipe.goal.is_some() {
        count.told.push(format!("{student} comes to the goal of {most}"));
    }
    Ok(Some(tempo.to_string()))
}

/// Where the list goes.
enum ListSpots<'a> {
    /// To the name that was typed, unless something else has it.
    Named(&'a Path),
    /// Beside the old one, or to that name by force.
    Found(Spots),
}

/// Finds out where the list goes, before the work.
fn spots<'a>(errand: &NextErrand<'a>) -> Result<ListSpots<'a>, Complaint> {
    let list = &errand.class.list;
    let taken = Taken::as_typed(false, errand.force);
    let Some(path) = errand.output else {
        let mut name = list.path.file_stem().unwrap_or_default().to_owned();
        name.push("-next");
        if let Some(ending) = list.path.extension() {
            name.push(".");
            name.push(ending);
        }
        return Ok(ListSpots::Found(Spots::of_sheet(&list.path.with_file_name(name), taken)?));
    };
    if path == Path::new("-") {
        let complaint = Complaint::new("next week's list goes to a file, not to stdout");
        return Err(complaint.mend("name a file"));
    }
    if is_toml(path) != is_toml(&list.path) {
        let kind = if is_toml(&list.path) { "TOML" } else { "a table (CSV)" };
        let ending = list.path.extension().unwrap_or_default();
        let problem = format!("{} cannot be its name: the list is {kind}", path.display());
        let mend = format!("write {}", path.with_extension(ending).display());
        return Err(Complaint::new(problem).mend(mend));
    }
    Ok(match errand.force {
        true => ListSpots::Found(Spots::of_sheet(path, taken)?),
        false => ListSpots::Named(path),
    })
}

impl ListSpots<'_> {
    /// Puts the list there.
    fn put(&self, bytes: &Vec<u8>) -> Result<Put, Complaint> {
        let path = match self {
            Self::Found(spots) => return Ok(spots.put(std::slice::from_ref(bytes))?),
            Self::Named(path) => *path,
        };
        let is_new = output::write_new(path, bytes)?;
        if is_new || bytes.is_at(path) {
            let paths = vec![path.to_owned()];
            let made = if is_new { paths.clone() } else { Vec::new() };
            return Ok(Put {
                paths,
                beside: None,
                same: !is_new,
                made,
                replaced: Vec::new(),
                left: Vec::new(),
            });
        }
        let problem = format!("cannot write {}: that name is taken", path.display());
        let mend = Advice::words("choose another name, or replace it with ");
        Err(Complaint::new(problem).mend(mend.part(AdvicePart::Replace)))
    }
}
