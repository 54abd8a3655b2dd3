//! A list of names alone: a text with one a line, or the column of names of a class list.

use std::path::Path;

use super::column::ClassColumn;
use super::encoded;
use super::entry::no_students;
use super::grid::RowGrid;
use super::list::ClassList;
use super::plan::{add, told};
use crate::source::{Complaint, Place, RecipeField as Field};

/// A name and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Name {
    /// The name.
    pub(crate) name: String,
    /// Its place, in words.
    pub(crate) place: String,
    /// The same without the file.
    pub(crate) within: String,
}

/// Reads the names at a path. Errors with all that is wrong with them.
pub(crate) fn read(path: &Path) -> Result<Vec<Name>, Vec<Complaint>> {
    let student = ClassColumn::Field(Field::Student);
    let is_list = |ending: &std::ffi::OsStr| {
        ["csv", "tsv", "toml"].iter().any(|known| ending.eq_ignore_ascii_case(known))
    };
    let (text, _) = encoded::read(path).map_err(|complaint| vec![complaint])?;
    let has_head = RowGrid::of(&text).find(|row| !row.is_blank()).is_some_and(|head| {
        head.cells.iter().any(|cell| ClassColumn::named(&cell.text) == Some(student))
    });
    let name = path.display().to_string();
    let mut wrong = Vec::new();
    let names: Vec<Name> = if path.extension().is_some_and(is_list) || has_head {
        let list = ClassList::read(path).map_err(|complaint| vec![complaint])?;
        if !list.entries.mistakes.is_empty() {
            return Err(told(list.entries.mistakes.clone(), &list.name()));
        }
        let mut names = Vec::new();
        for entry in &list.entries.rows {
            let place = format!("{name}, {}", entry.place);
            match entry.text(student) {
                Some(name) => {
                    let within = entry.place.clone();
                    names.push(Name { name: name.to_owned(), place, within });
                }
                None => {
                    let complaint = Complaint::of(Field::Student, "the student has no name");
                    let complaint = complaint.mend("write one").at(Place::Typed(place));
                    add(&mut wrong, vec![complaint]);
                }
            }
        }
        names
    } else {
        let lines = text.split(['\n', '\r']).map(str::trim).enumerate();
        let names = lines.filter(|(_, line)| !line.is_empty());
        let of_line = |(index, line): (usize, &str)| {
            let within = format!("line {}", index + 1);
            Name { name: line.to_owned(), place: format!("{name}, {within}"), within }
        };
        names.map(of_line).collect()
    };
    if !wrong.is_empty() {
        return Err(told(wrong, &name));
    }
    if names.is_empty() {
        return Err(vec![no_students(&name).mend("write a name on each line")]);
    }
    Ok(names)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(file: &str, text: &str) -> Result<Vec<String>, String> {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(file);
        std::fs::write(&path, text).unwrap();
        match read(&path) {
            Ok(names) => Ok(names.into_iter().map(|name| name.name).collect()),
            Err(wrong) => Err(wrong[0].problem.clone()),
        }
    }

    #[test]
    fn names_are_read_from_lines_and_from_columns() {
        let both = Ok(vec!["Ada".to_owned(), "Bo, jr.".to_owned()]);
        assert_eq!(names("a.txt", "Ada\n\n  Bo, jr.\r\n"), both);
        assert_eq!(names("a.csv", "keys,name\nC,Ada\nF,\"Bo, jr.\"\n"), both);
        assert_eq!(names("a.txt", "Name;keys\nAda;C\nBo, jr.;F\n"), both);
        assert_eq!(names("a.toml", "[[student]]\nname='Ada'\n[[student]]\nname='Bo, jr.'"), both);
        assert_eq!(names("a.txt", "\n \n"), Err("no student is in it".to_owned()));
        assert_eq!(names("a.csv", "Ada\nBo\n"), Err("no column is named name".to_owned()));
        assert_eq!(names("a.csv", "name,keys\n,C\n"), Err("the student has no name".to_owned()));
    }
}
