//! What a row of a list asks for: each cell read as the table of fields has it.

use std::path::Path;

use super::column::ClassColumn;
use super::entry::{ClassCell, StudentEntry};
use super::list::ClassList;
use crate::desk::errand::Typed;
use crate::desk::{day, naming};
use crate::drill::library;
use crate::recipe::fields::{FieldKind, FieldValue, row};
use crate::recipe::{AskedKey, CourseDrill, is_path_of_drill};
use crate::source::plain::shortened;
use crate::source::{Complaint, RecipeField as Field};

/// Most letters of a date.
const LONGEST_DATE: usize = 40;

/// What stands between the drills or the keys of a cell.
const BETWEEN: [char; 6] = [',', ';', '/', '|', '\n', '\r'];

/// The words for yes and for no.
const YES: [&str; 7] = ["yes", "y", "x", "1", "true", "well", "on"];
const NO: [&str; 5] = ["no", "n", "0", "false", "off"];

/// What a row asks for.
#[derive(Clone, Debug, Default)]
pub(crate) struct Wish {
    /// The fields of its recipe.
    pub(crate) typed: Typed,
    /// Its day.
    pub(crate) date: Option<String>,
    /// Whether last week's sheet went well.
    pub(crate) went_well: bool,
}

/// A day for all rows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RowDay<'a> {
    /// The day.
    pub(crate) text: &'a str,
    /// What it was typed after.
    pub(crate) option: &'a str,
}

/// Reads a row. A day takes the place of the one that it gives; `own` are the texts of drills that its
/// cells may name beside those of the library. Gives what is wrong with it too.
pub(crate) fn wish(
    list: &ClassList,
    entry: &StudentEntry,
    day: Option<RowDay<'_>>,
    own: &[String],
) -> (Wish, Vec<Complaint>) {
    let mut wish = Wish::default();
    let mut wrong = Vec::new();
    let student = ClassColumn::Field(Field::Student);
    let is_named = entry.text(student).is_some_and(|name| !naming::safe(name).is_empty());
    if !is_named {
        let problem = match entry.text(student) {
            None => "the student has no name".to_owned(),
            Some(name) => format!("the name `{}` has no letter or figure", shortened(name)),
        };
        let place = entry.cell(student).map_or(&entry.place, |cell| &cell.place);
        let mend = "write one, since a folder is named after it";
        wrong.push(Complaint::of(Field::Student, problem).mend(mend).at(list.place(place)));
    }
    for cell in entry.cells.iter().filter(|cell| !cell.text.trim().is_empty()) {
        if let Err(complaint) = wish.read(list, cell, own) {
            wrong.push(complaint.at(list.place(&cell.place)));
        }
    }
    if let Some(RowDay { text, option }) = day {
        wish.date = Some(text.to_owned());
        if let Some(field) = ClassColumn::Date.field() {
            wish.set(field, FieldValue::Text(text.to_owned()), option.to_owned());
        }
    }
    (wish, wrong)
}

/// A day as it may stand in the names of files: a text with a figure in it.
pub(crate) fn checked_date(text: &str) -> Result<String, Complaint> {
    let date = text.trim();
    match day::fault(date) {
        Some(day::Fault::NoDay) => {
            let complaint = Complaint::new(format!("there is no day {}", shortened(date)));
            return Err(complaint.mend("write one that there is, as in 2026-11-30"));
        }
        Some(day::Fault::Bare) => {
            let complaint = Complaint::new(format!("the date is the number {}", shortened(date)));
            return Err(complaint.mend("show it as a day in the spreadsheet, as in 2026-11-30"));
        }
        Some(day::Fault::TwoWays) | None => {}
    }
    let is_one_line = !date.chars().any(char::is_control);
    let has_figure = date.contains(|c: char| c.is_ascii_digit());
    if is_one_line && has_figure && date.chars().count() <= LONGEST_DATE {
        return Ok(date.to_owned());
    }
    let complaint = Complaint::new(format!("the date is `{}`", shortened(date)));
    Err(complaint.mend("write a day, as in 2026-11-30"))
}

impl Wish {
    fn set(&mut self, field: Field, value: FieldValue, place: String) {
        self.typed.settings.set(field, value);
        self.typed.options.insert(field, place);
    }

    fn read(
        &mut self,
        list: &ClassList,
        cell: &ClassCell,
        own: &[String],
    ) -> Result<(), Complaint> {
        let text = cell.text.trim();
        match cell.column {
            ClassColumn::Date => self.date = Some(checked_date(text)?),
            ClassColumn::WentWell => self.went_well = yes_or_no(cell.column.head(), text)?,
            ClassColumn::Field(_) => {}
        }
        if let Some(field) = cell.column.field() {
            for (field, value) in values(field, text, list.folder(), own)? {
                self.set(field, value, format!("{}, {}", list.name(), cell.place));
            }
        }
        Ok(())
    }
}

/// What a cell says of a field, and with it of others; several drills are a course.
fn values(
    field: Field,
    text: &str,
    folder: &Path,
    own: &[String],
) -> Result<Vec<(Field, FieldValue)>, Complaint> {
    if !matches!(field, Field::Drill | Field::Course) {
        return Ok(vec![(field, value(field, text, folder)?)]);
    }
    let mut drills = drills(text, folder, own);
    if let (Field::Drill, [one]) = (field, drills.as_mut_slice()) {
        let text = one.template.take().map(|text| (Field::Template, FieldValue::Text(text)));
        let name = (field, FieldValue::Text(one.drill.clone()));
        return Ok([Some(name), text].into_iter().flatten().collect());
    }
    Ok(vec![(Field::Course, FieldValue::Drills(drills))])
}

/// The drills that a cell names. A title may have a comma in it, so each is as long as it can be; a
/// path may have a slash, which tells no drills apart.
fn drills(text: &str, folder: &Path, own: &[String]) -> Vec<CourseDrill> {
    let parts = text.split([',', ';', '|', '\n', '\r']).map(str::trim);
    let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
    let (mut drills, mut rest) = (Vec::new(), parts.as_slice());
    while let [first, ..] = rest {
        let longest = |count: usize| Some((known(&rest[..count].join(" "), own)?, count));
        let (drill, count) = (1..=rest.len()).rev().find_map(longest).unwrap_or_else(|| {
            // Paths start from the folder of the list.
            let path = is_path_of_drill(first).then(|| folder.join(first).display().to_string());
            (CourseDrill::named(path.as_deref().unwrap_or(first)), 1)
        });
        drills.push(drill);
        rest = &rest[count..];
    }
    drills
}

/// The drill that goes by some words: by its short name, its title or the name of its file.
fn known(words: &str, own: &[String]) -> Option<CourseDrill> {
    if let Some(name) = library::called(words) {
        return Some(CourseDrill::named(name));
    }
    let is_it = |text: &&String| {
        let says = |field| library::said(text, field);
        let file = says("name").map(|name| format!("{name}.toml"));
        let names = [says("name"), says("title"), file.as_deref()];
        names.into_iter().flatten().any(|name| library::is_called(words, name))
    };
    let text = own.iter().find(is_it)?;
    let drill = CourseDrill::named(library::said(text, "name").unwrap_or(words));
    Some(CourseDrill { template: Some(text.clone()), ..drill })
}

/// What a cell says of a field that is no drill.
fn value(field: Field, text: &str, folder: &Path) -> Result<FieldValue, Complaint> {
    let parts = || text.split(BETWEEN).map(str::trim).filter(|part| !part.is_empty());
    Ok(match (field, row(field).kind) {
        (_, FieldKind::Keys) => {
            let keys: Result<Vec<Vec<AskedKey>>, Complaint> = parts().map(keys).collect();
            FieldValue::Keys(keys?.concat())
        }
        (_, FieldKind::Flag) => FieldValue::Flag(yes_or_no(field.name(), text)?),
        (Field::Logo, _) => FieldValue::Text(folder.join(text).display().to_string()),
        // A spreadsheet may write a whole number with a point.
        (_, FieldKind::Beats | FieldKind::Seed | FieldKind::Number(..)) => {
            let whole = text.strip_suffix(".0").or_else(|| text.strip_suffix(",0"));
            row(field).typed(whole.unwrap_or(text))?
        }
        (_, FieldKind::Numbers(..) | FieldKind::Words(_)) => {
            let mut all: Option<FieldValue> = None;
            for part in parts() {
                all = Some(FieldValue::joined(all, row(field).typed(part)?));
            }
            all.map_or_else(|| row(field).typed(text), Ok)?
        }
        (_, FieldKind::Staff) => row(field).typed(&text.replace(',', "."))?,
        _ => row(field).typed(text)?,
    })
}

/// A key, or several with blanks between them.
fn keys(text: &str) -> Result<Vec<AskedKey>, Complaint> {
    let one = text.parse::<AskedKey>();
    let all = || text.split_whitespace().map(str::parse).collect::<Result<Vec<AskedKey>, _>>();
    match (one, all()) {
        (Ok(one), _) => Ok(vec![one]),
        (_, Ok(all)) => Ok(all),
        (Err(error), _) => Err(Complaint::of(Field::Keys, error.to_string())),
    }
}

fn yes_or_no(head: &str, text: &str) -> Result<bool, Complaint> {
    let word = text.to_lowercase();
    if YES.contains(&word.as_str()) {
        return Ok(true);
    }
    if NO.contains(&word.as_str()) {
        return Ok(false);
    }
    let complaint = Complaint::new(format!("{head} is `{}`", shortened(text)));
    Err(complaint.mend("write yes or no, or leave it blank"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_told_apart_by_whatever_stands_between_them() {
        let read = |text| value(Field::Keys, text, Path::new(""));
        let keys = |words: &[&str]| {
            Ok(FieldValue::Keys(words.iter().map(|word| word.parse().unwrap()).collect()))
        };
        for text in ["C,F,Bb", "C F Bb", "C; F; Bb", "C/F/Bb", " C |F,,Bb,", "C\nF\nBb"] {
            assert_eq!(read(text), keys(&["C", "F", "Bb"]), "{text}");
        }
        assert_eq!(read("G minor, C minor"), keys(&["G minor", "C minor"]));
        assert!(read("C, H").unwrap_err().to_string().starts_with("unknown key `H`"));
    }

    #[test]
    fn several_drills_are_a_course_and_paths_start_from_the_list() {
        let read = |field, text| values(field, text, Path::new("of"), &[]).unwrap();
        let text = |name: &str| vec![(Field::Drill, FieldValue::Text(name.to_owned()))];
        assert_eq!(read(Field::Drill, "pushed"), text("pushed"));
        let path = Path::new("of").join("mine.toml").display().to_string();
        assert_eq!(read(Field::Drill, "mine.toml"), text(&path));
        let course = FieldValue::Drills(["solid", "pushed"].map(CourseDrill::named).to_vec());
        assert_eq!(read(Field::Drill, "solid, pushed"), [(Field::Course, course)]);
    }

    /// Every drill goes by its title in a cell, alone and among others, with a comma in it or not.
    #[test]
    fn drills_go_by_their_titles() {
        let all: Vec<(&str, &str)> = library::all()
            .map(|(name, text)| (name, library::said(text, "title").unwrap()))
            .collect();
        let names = |text: &str| {
            let drills = drills(text, Path::new(""), &[]);
            drills.into_iter().map(|drill| drill.drill).collect::<Vec<_>>()
        };
        for pair in all.windows(2) {
            let [(one, title), (other, next)] = [pair[0], pair[1]];
            assert_eq!(names(title), [one]);
            assert_eq!(names(&format!("{title}, {next}")), [one, other]);
            assert_eq!(names(&format!("{title};none; {other}")), [one, "none", other]);
        }
    }

    #[test]
    fn drills_of_ones_own_go_by_their_names_titles_and_files() {
        let text = "name = \"mira-turn\"\ntitle = \"Mira, turning\"\n[[passage]]\n".to_owned();
        let own = [text.clone()];
        for words in ["mira-turn", "Mira turn", "mira, turning", "mira-turn.toml"] {
            let read = values(Field::Drill, words, Path::new("of"), &own).unwrap();
            let name = FieldValue::Text("mira-turn".to_owned());
            let template = FieldValue::Text(text.clone());
            assert_eq!(read, [(Field::Drill, name), (Field::Template, template)], "{words}");
        }
        let read = values(Field::Drill, "solid, Mira, turning", Path::new(""), &own).unwrap();
        let [(Field::Course, FieldValue::Drills(course))] = read.as_slice() else { panic!() };
        assert_eq!(course[0], CourseDrill::named("solid"));
        assert_eq!((&*course[1].drill, course[1].template.as_ref()), ("mira-turn", Some(&text)));
    }

    #[test]
    fn yes_and_no_have_many_words() {
        for (word, flag) in [("Yes", true), ("x", true), ("WELL", true), ("no", false)] {
            assert_eq!(yes_or_no("went-well", word), Ok(flag));
        }
        assert_eq!(
            yes_or_no("went-well", "maybe").unwrap_err().to_string(),
            "went-well is `maybe`; write yes or no, or leave it blank"
        );
    }

    #[test]
    fn a_date_has_a_figure_and_one_line() {
        for date in ["2026-11-30", "30.11.2026", " Monday 30 "] {
            assert_eq!(checked_date(date), Ok(date.trim().to_owned()));
        }
        let message = |text| checked_date(text).unwrap_err().to_string();
        assert_eq!(
            message("31.02.2026"),
            "there is no day 31.02.2026; write one that there is, as in 2026-11-30"
        );
        assert_eq!(
            message("45991"),
            "the date is the number 45991; show it as a day in the spreadsheet, as in 2026-11-30"
        );
        for wrong in ["soon", "", "2026-13-45", "30.2.26", "2026\n11", "1".repeat(41).as_str()] {
            assert!(checked_date(wrong).is_err(), "{wrong}");
        }
    }
}
