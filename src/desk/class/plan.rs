//! What a list comes to before a note of it is made: each student's sheet with its place, or what
//! is wrong with the row.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::entry::MOST_MISTAKES;
use super::list::ClassList;
use super::row::{Day, Wish, wish};
use crate::book::OverviewRow;
use crate::desk::commission::{Sketch, asked};
use crate::desk::errand::Origin;
use crate::desk::naming;
use crate::desk::source::Source;
use crate::parallel;
use crate::recipe::{Form, Recipe};
use crate::source::{Complaint, Field as AnyField, Place};

/// A sheet that can be made, as far as it is known without making it.
#[derive(Clone, Debug)]
pub(crate) struct Planned {
    /// Which student of the list.
    pub(crate) index: usize,
    /// The folder in the folder of the class, and the name in it.
    pub(crate) folder: String,
    /// The name.
    pub(crate) name: String,
    /// Its day.
    pub(crate) date: Option<String>,
    /// Its paper.
    pub(crate) paper: crate::recipe::Paper,
    /// What the overview says of it; the pages are yet to be counted.
    pub(crate) row: OverviewRow,
}

/// What a class is made from.
pub(crate) struct Class<'a> {
    /// The list.
    pub(crate) list: ClassList,
    /// What rows leave open.
    pub(crate) base: Source,
    /// The day in place of that of each row.
    pub(crate) day: Option<Day<'a>>,
}

impl Class<'_> {
    /// What the student at an index asks for, with what is wrong with it.
    pub(in crate::desk) fn wish(&self, index: usize) -> (Wish, Vec<Complaint>) {
        wish(&self.list, &self.list.entries.rows[index], self.day)
    }

    /// The recipe of a wish.
    pub(in crate::desk) fn recipe(&self, wish: &Wish) -> Result<Recipe, Complaint> {
        asked(
            Form::Handout,
            self.base.recipe.clone(),
            Origin { source: &self.base, typed: &wish.typed },
        )
    }

    /// A complaint about the student at an index, with the row and, where it is about a field, the
    /// column.
    pub(in crate::desk) fn located(&self, index: usize, complaint: Complaint) -> Complaint {
        let entry = &self.list.entries.rows[index];
        let base = self.base.name();
        let within = match &complaint.place {
            // It says the row already.
            Place::Typed(_) => return complaint,
            // What stands in the recipe below all rows is told once.
            Place::Text { name, line: Some(_) } if *name == base => return complaint,
            Place::Text { name, .. } if *name != base => {
                let problem = format!("{}{}", complaint.place, complaint.problem);
                let place = self.list.place(&entry.place);
                return Complaint { problem, place, ..complaint };
            }
            Place::Untold | Place::Text { .. } => entry.place.clone(),
        };
        let column = match complaint.field {
            Some(AnyField::RecipeField(field)) => {
                let is_of = |column: &super::column::Column| column.field() == Some(field);
                super::column::Column::all().find(is_of)
            }
            _ => None,
        };
        let place = column.map_or(within.clone(), |column| {
            let cell = entry.cell(column);
            cell.map_or(format!("{within}, column {}", column.head()), |cell| cell.place.clone())
        });
        complaint.at(self.list.place(&place))
    }

    /// Plans the sheet of the student at an index.
    fn planned(&self, index: usize) -> Result<Planned, Vec<Complaint>> {
        let (wish, of_cells) = self.wish(index);
        let mut wrong = self.list.entries.rows[index].wrong.clone();
        wrong.extend(of_cells);
        let located = |complaint| self.located(index, complaint);
        let sketch = self.recipe(&wish).and_then(|recipe| {
            Sketch::settled(recipe, Origin { source: &self.base, typed: &wish.typed })
        });
        match sketch {
            Ok(sketch) if wrong.is_empty() => Ok(planned(index, &sketch, wish.date)),
            Ok(_) => Err(wrong),
            Err(complaint) => {
                // A cell that cannot be read leaves its field open, which is no mistake of its own.
                let place = located(complaint.clone());
                if wrong
                    .iter()
                    .all(|other| other.place != place.place && complaint.field != other.field)
                {
                    wrong.push(place);
                }
                Err(wrong)
            }
        }
    }

    /// Plans all sheets. Gives what is wrong with the rows of the others, too.
    pub(crate) fn plan(&self) -> (Vec<Planned>, Vec<Complaint>) {
        let all = parallel::map(0..self.list.entries.rows.len(), |index| self.planned(index));
        let mut planned = Vec::with_capacity(all.len());
        let mut wrong = self.list.entries.mistakes.clone();
        let mut names: BTreeMap<String, usize> = BTreeMap::new();
        for (index, one) in all.into_iter().enumerate() {
            let one = match one {
                Ok(one) => one,
                Err(complaints) => {
                    add(&mut wrong, complaints);
                    continue;
                }
            };
            // Many file systems take small and capital letters for the same.
            let key = format!("{}/{}", one.folder, one.name).to_lowercase();
            match names.get(&key) {
                Some(first) => {
                    let place = |index: usize| self.list.entries.rows[index].place.clone();
                    let first = place(*first);
                    let problem =
                        format!("its sheet would be {}, which is that of {first}", one.name);
                    let mend = "take one of the two out, or tell the students apart by their names";
                    let place = self.list.place(&place(index));
                    add(&mut wrong, vec![Complaint::new(problem).mend(mend).at(place)]);
                }
                None => {
                    names.insert(key, index);
                    planned.push(one);
                }
            }
        }
        (planned, wrong)
    }
}

/// Adds complaints, each once; more than can be told are counted by nobody.
pub(crate) fn add(wrong: &mut Vec<Complaint>, more: Vec<Complaint>) {
    for complaint in more {
        if wrong.len() <= MOST_MISTAKES && !wrong.contains(&complaint) {
            wrong.push(complaint);
        }
    }
}

/// The complaints to be told: the first of too many, and that there are more.
pub(super) fn told(mut wrong: Vec<Complaint>, list: &str) -> Vec<Complaint> {
    if wrong.len() > MOST_MISTAKES {
        wrong.truncate(MOST_MISTAKES);
        let more = Complaint::new("there are more mistakes than these");
        wrong.push(more.at(Place::of(list)).mend("mend these first"));
    }
    wrong
}

fn planned(index: usize, sketch: &Sketch, date: Option<String>) -> Planned {
    let recipe = sketch.recipe();
    let student = recipe.student.clone().unwrap_or_default();
    let name = sketch.name().display().to_string();
    let dated = |date: &String| format!("{}-{name}", naming::safe(date));
    let tempo =
        recipe.goal.map_or(recipe.tempo.to_string(), |goal| format!("{} to {goal}", recipe.tempo));
    Planned {
        index,
        folder: naming::folder(&student),
        name: date.as_ref().map_or_else(|| name.clone(), dated),
        date,
        paper: recipe.paper,
        row: OverviewRow { student, drill: sketch.title(), keys: sketch.keys(), tempo, pages: 0 },
    }
}

/// The folder of a class that was told no other: named after the list, beside it.
pub(super) fn folder(list: &Path) -> PathBuf {
    let stem = list.file_stem().unwrap_or_default();
    let mut name = stem.to_owned();
    // A list without an ending has the name itself.
    if list.extension().is_none() {
        name.push("-sheets");
    }
    list.with_file_name(name)
}
