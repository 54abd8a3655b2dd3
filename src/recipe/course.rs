//! Several drills in one recipe.

use std::fmt;

use serde::de::value::MapAccessDeserializer;
use serde::de::{Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use toml::Spanned;
use toml::de::DeValue;

use crate::source::fields::{Fields, Mistakes, as_list, as_text, described};
use crate::source::{Complaint, RecipeField as Field};

/// Most drills of a course.
pub const MOST_DRILLS: usize = 64;

/// The name that stands for every drill of the library, in its order, in a list of drills.
pub const WHOLE_LIBRARY: &str = "all";

/// Whether a drill is named by the path of its file and not by its name in the library.
pub fn is_path_of_drill(drill: &str) -> bool {
    drill.contains(['/', '\\']) || drill.to_lowercase().ends_with(".toml")
}

/// A drill of a course.
///
/// A recipe writes it as a name or, where the drill's text is carried along, as a table of name
/// and text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CourseDrill {
    /// Name of a drill of the library, [`WHOLE_LIBRARY`], or path of a teacher's own drill file.
    pub drill: String,
    /// The whole text of the drill template. Where present, it is what counts, not `drill`.
    pub template: Option<String>,
}

impl CourseDrill {
    /// A drill by its name or path alone.
    pub fn named(drill: &str) -> Self {
        Self { drill: drill.to_owned(), template: None }
    }
}

/// The table that stands for a drill with its text.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, expecting = "a drill of the course")]
struct DrillTable {
    drill: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    template: Option<String>,
}

impl Serialize for CourseDrill {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.template {
            None => serializer.serialize_str(&self.drill),
            Some(_) => DrillTable { drill: self.drill.clone(), template: self.template.clone() }
                .serialize(serializer),
        }
    }
}

impl<'de> Deserialize<'de> for CourseDrill {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(NameOrTable)
    }
}

struct NameOrTable;

impl<'de> Visitor<'de> for NameOrTable {
    type Value = CourseDrill;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the name of a drill")
    }

    fn visit_str<E: serde::de::Error>(self, name: &str) -> Result<CourseDrill, E> {
        Ok(CourseDrill::named(name))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<CourseDrill, A::Error> {
        let DrillTable { drill, template } =
            DrillTable::deserialize(MapAccessDeserializer::new(map))?;
        Ok(CourseDrill { drill, template })
    }
}

/// Reads the field `course`, which names a drill if it is there at all.
pub(super) fn read<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<Vec<CourseDrill>, D::Error> {
    deserializer.deserialize_seq(Drills)
}

struct Drills;

impl<'de> Visitor<'de> for Drills {
    type Value = Vec<CourseDrill>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of drills, as in [\"on-the-beat\", \"pushed\"]")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
        let mut drills = Vec::new();
        while drills.len() < MOST_DRILLS
            && let Some(drill) = list.next_element()?
        {
            drills.push(drill);
        }
        let mut found = drills.len();
        // More cannot stand, so they are counted and not kept.
        while list.next_element::<IgnoredAny>()?.is_some() {
            found += 1;
        }
        check_count(found).map_err(A::Error::custom)?;
        if drills.is_empty() {
            return Err(A::Error::custom(no_drills()));
        }
        Ok(drills)
    }
}

/// The complaint about a course of no drills.
fn no_drills() -> Complaint {
    let complaint = Complaint::of(Field::Course, "course is empty");
    complaint.mend("write at least one drill, as in [\"pushed\"]")
}

/// The drills that a TOML file gives. What is wrong with them is added to `mistakes`.
pub(super) fn read_toml(
    value: &Spanned<DeValue<'_>>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<CourseDrill>> {
    let example = "[\"on-the-beat\", \"pushed\"]";
    let list = as_list(Field::Course, value, example, mistakes)?;
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
                if !matches!(field, Field::Drill | Field::Template) {
                    let problem = format!("`{field}` stands in a drill of the course");
                    let mend = "it is for the whole recipe: write it above the first [[course]]";
                    mistakes.add_at(&key.span(), Complaint::of(field, problem).mend(mend));
                    fields.pass(field);
                }
            }
            let drill = fields.required(Field::Drill, "\"pushed\"");
            let drill = drill.and_then(|value| as_text(Field::Drill, value, mistakes));
            let template = fields.text(Field::Template, mistakes);
            fields.finish(mistakes);
            let template = template.map(|text| (*text.get_ref()).to_owned());
            Some(CourseDrill { drill: drill?.into_inner().to_owned(), template })
        }
        other => {
            let problem = format!("{} stands in the list of drills", described(other));
            let complaint = Complaint::of(Field::Course, problem);
            mistakes.add_at(&item.span(), complaint.mend("write the name of a drill"));
            None
        }
    }
}

/// Errors if a course has too many drills.
pub(crate) fn check_count(drills: usize) -> Result<(), Complaint> {
    if drills <= MOST_DRILLS {
        return Ok(());
    }
    let complaint = Complaint::of(Field::Course, format!("course has {drills} drills"));
    Err(complaint.mend(format!("keep {MOST_DRILLS} or fewer")))
}
