//! The drills of a course, as a TOML file gives them.

use toml::Spanned;
use toml::de::DeValue;

use super::course::{CourseDrill, DRILLS_EXAMPLE, check_count, no_drills};
use super::fields::row;
use super::own::{OWN, OwnSettings};
use crate::source::fields::{Fields, Mistakes, as_list, as_text, described};
use crate::source::{Complaint, RecipeField as Field};

/// The drills that a TOML file gives. What is wrong with them is added to `mistakes`.
pub(super) fn read_toml(
    value: &Spanned<DeValue<'_>>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<CourseDrill>> {
    let list = as_list(Field::Course, value, DRILLS_EXAMPLE, mistakes)?;
    if list.is_empty() {
        mistakes.add_at(&value.span(), no_drills());
        return None;
    }
    if let Err(complaint) = check_count(list.len()) {
        mistakes.add_at(&value.span(), complaint);
        return None;
    }
    let drills: Vec<Option<CourseDrill>> =
        list.iter().map(|item| read_drill(item, mistakes)).collect();
    drills.into_iter().collect()
}

/// A drill by its name, or with its text in a table of its own.
fn read_drill(item: &Spanned<DeValue<'_>>, mistakes: &mut Mistakes<'_>) -> Option<CourseDrill> {
    match item.get_ref() {
        DeValue::String(name) => Some(CourseDrill::named(name)),
        DeValue::Table(table) => {
            let mut fields = Fields::of(table, item.span());
            // What belongs to the whole recipe is often written below its last line, where a
            // drill has the place already.
            for key in table.keys() {
                let Some(field) = Field::named(key.get_ref()) else { continue };
                if !matches!(field, Field::Drill | Field::Template) && !OWN.contains(&field) {
                    let problem = format!("`{field}` stands in a drill of the course");
                    let mend = "it is for the whole recipe: write it above the first [[course]]";
                    mistakes.add_at(&key.span(), Complaint::of(field, problem).mend(mend));
                    fields.pass(field);
                }
            }
            let drill = fields.required(Field::Drill, "\"pushed\"");
            let drill = drill.and_then(|value| as_text(Field::Drill, value, mistakes));
            let template = fields.text(Field::Template, mistakes);
            let mut own = OwnSettings::default();
            for field in OWN {
                let Some(value) = fields.value(field) else { continue };
                if let Some(value) = row(field).read(value, mistakes) {
                    own.put(field, value);
                }
            }
            fields.finish(mistakes);
            let template = template.map(|text| (*text.get_ref()).to_owned());
            Some(CourseDrill { drill: drill?.into_inner().to_owned(), template, own })
        }
        other => {
            let problem = format!("{} stands in the list of drills", described(other));
            let complaint = Complaint::of(Field::Course, problem);
            mistakes.add_at(&item.span(), complaint.mend("write the name of a drill"));
            None
        }
    }
}
