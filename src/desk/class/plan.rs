//! What a list comes to before a note of it is made: each student's sheet with its place, or what
//! is wrong with the row.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::column::ClassColumn;
use super::entry::MOST_MISTAKES;
use super::list::{ClassList, Dialect};
use super::row::{RowDay, Wish, wish};
use crate::book::OverviewRow;
use crate::desk::commission::{RecipeSketch, asked};
use crate::desk::errand::Origin;
use crate::desk::naming;
use crate::desk::source::Source;
use crate::parallel;
use crate::recipe::{DocumentForm, Recipe};
use crate::source::plain::shortened;
use crate::source::{
    Advice, AdvicePart, Complaint, Field as AnyField, Place, RecipeField as Field,
};

/// A sheet that can be made, as far as it is known without making it.
#[derive(Clone, Debug)]
pub(crate) struct PlannedSheet {
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
    pub(crate) day: Option<RowDay<'a>>,
    /// The texts of drills that cells may name beside those of the library and files.
    pub(crate) own: Vec<String>,
}

impl Class<'_> {
    /// What the student at an index asks for, with what is wrong with it.
    pub(in crate::desk) fn wish(&self, index: usize) -> (Wish, Vec<Complaint>) {
        wish(&self.list, &self.list.entries.rows[index], self.day, &self.own)
    }

    /// The recipe of a wish.
    pub(in crate::desk) fn recipe(&self, wish: &Wish) -> Result<Recipe, Complaint> {
        asked(
            DocumentForm::Handout,
            self.base.recipe.clone(),
            Origin { source: &self.base, typed: &wish.typed },
        )
    }

    /// A complaint about the student at an index, with the row and, where it is about a field, the
    /// column.
    pub(in crate::desk) fn located(&self, index: usize, complaint: Complaint) -> Complaint {
        let entry = &self.list.entries.rows[index];
        let base = self.base.name();
        let problem = match &complaint.place {
            // It says the row already.
            Place::Typed(_) => return complaint,
            // What stands in the recipe below all rows is told once.
            Place::Text { name, line: Some(_) } if *name == base => return complaint,
            Place::Text { name, .. } if *name != base => {
                format!("{}{}", complaint.place, complaint.problem)
            }
            Place::Untold | Place::Text { .. } => complaint.problem.clone(),
        };
        let column = match complaint.field {
            Some(AnyField::RecipeField(field)) => {
                ClassColumn::all().find(|column| column.field() == Some(field))
            }
            _ => None,
        };
        let mend = match self.list.dialect {
            Dialect::Cells { .. } => complaint.mend,
            Dialect::Tables => complaint.mend.map(|mend| Advice::words(mend.to_string())),
        };
        let complaint = Complaint { problem, mend, ..complaint };
        let Some(column) = column else { return complaint.at(self.list.place(&entry.place)) };
        if !self.list.entries.has(column) {
            return self.without_column(column, &entry.place, complaint);
        }
        let place = entry.cell(column).map_or_else(
            || match self.list.dialect {
                Dialect::Cells { .. } => format!("{}, column {}", entry.place, column.head()),
                Dialect::Tables => entry.place.clone(),
            },
            |cell| cell.place.clone(),
        );
        complaint.at(self.list.place(&place))
    }

    /// A complaint about a column that the list does not have. What is left open in all rows alike
    /// is told once.
    fn without_column(&self, column: ClassColumn, row: &str, complaint: Complaint) -> Complaint {
        let head = column.head();
        if complaint.field != Some(Field::Keys.into()) {
            let in_new = |part: &AdvicePart| match part {
                AdvicePart::Give { bare, .. } => Some(format!("{bare} in a new column {head}")),
                _ => None,
            };
            let mend = complaint.mend.as_ref().map(|mend| Advice::words(mend.told(in_new)));
            return Complaint { mend, place: self.list.place(row), ..complaint };
        }
        let mend = format!(
            "the list has no column {head}: add one, with C or \"Eb,Ab\" in each row, or name a \
             recipe below all rows that has them"
        );
        complaint.mend(mend).at(Place::of(self.list.name()))
    }

    /// Plans the sheet of the student at an index.
    fn planned(&self, index: usize) -> Result<PlannedSheet, Vec<Complaint>> {
        let (wish, of_cells) = self.wish(index);
        let mut wrong = self.list.entries.rows[index].wrong.clone();
        wrong.extend(of_cells);
        let located = |complaint| self.located(index, complaint);
        let sketch = self.recipe(&wish).and_then(|recipe| {
            RecipeSketch::settled(recipe, Origin { source: &self.base, typed: &wish.typed })
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
    pub(crate) fn plan(&self) -> (Vec<PlannedSheet>, Vec<Complaint>) {
        let all = parallel::map(0..self.list.entries.rows.len(), |index| self.planned(index));
        let mut planned: Vec<PlannedSheet> = Vec::with_capacity(all.len());
        let mut wrong = self.list.entries.mistakes.clone();
        // Many file systems take small and capital letters for the same. Whose folder it is, and
        // who else has a sheet of that name.
        let mut folders: BTreeMap<String, usize> = BTreeMap::new();
        let mut names: BTreeMap<String, usize> = BTreeMap::new();
        for one in all {
            let one = match one {
                Ok(one) => one,
                Err(complaints) => {
                    add(&mut wrong, complaints);
                    continue;
                }
            };
            let folder = one.folder.to_lowercase();
            let name = format!("{folder}/{}", one.name).to_lowercase();
            let other = folders.get(&folder).map(|other| &planned[*other]);
            if let Some(other) = other.filter(|other| other.row.student != one.row.student) {
                add(&mut wrong, vec![self.same_folder(&one, other)]);
                continue;
            }
            if let Some(other) = names.get(&name) {
                add(&mut wrong, vec![self.same_sheet(&one, &planned[*other])]);
                continue;
            }
            folders.entry(folder).or_insert(planned.len());
            names.insert(name, planned.len());
            planned.push(one);
        }
        (planned, wrong)
    }

    fn row_of(&self, one: &PlannedSheet) -> &str {
        &self.list.entries.rows[one.index].place
    }

    /// The complaint about a student whose folder is that of another one.
    fn same_folder(&self, one: &PlannedSheet, other: &PlannedSheet) -> Complaint {
        let (own, others) = (&one.row.student, &other.row.student);
        let difference = own.chars().zip(others.chars()).find(|(own, other)| own != other);
        let unseen = match difference {
            Some((a, b)) if a.is_whitespace() && b.is_whitespace() => {
                format!(" (a blank of it is U+{:04X}, and U+{:04X} there)", a as u32, b as u32)
            }
            _ => String::new(),
        };
        let problem = format!(
            "the name `{}` would have the folder {}, which is that of `{}` in {}{unseen}",
            shortened(own),
            shortened(&one.folder),
            shortened(others),
            self.row_of(other)
        );
        let mend = "write both alike, or tell the students apart by their names";
        let complaint = Complaint::of(Field::Student, problem).mend(mend);
        self.located(one.index, complaint)
    }

    /// The complaint about a sheet whose name is that of another one of the same student.
    fn same_sheet(&self, one: &PlannedSheet, other: &PlannedSheet) -> Complaint {
        let problem =
            format!("its sheet would be {}, which is that of {}", one.name, self.row_of(other));
        let mend = "take one of the two out, or tell the students apart by their names";
        Complaint::new(problem).mend(mend).at(self.list.place(self.row_of(one)))
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

fn planned(index: usize, sketch: &RecipeSketch, date: Option<String>) -> PlannedSheet {
    let recipe = sketch.recipe();
    let student = recipe.student.clone().unwrap_or_default();
    let name = sketch.name().display().to_string();
    let dated = |date: &String| format!("{}-{name}", naming::day(date));
    let goal = recipe.goal.filter(|goal| *goal != recipe.tempo);
    let tempo = goal.map_or(recipe.tempo.to_string(), |goal| format!("{} to {goal}", recipe.tempo));
    PlannedSheet {
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
