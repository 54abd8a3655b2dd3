//! Several drills in one recipe.

use std::fmt;

use serde::de::value::MapAccessDeserializer;
use serde::de::{Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use super::own::OwnSettings;
use crate::source::{Complaint, RecipeField as Field};

/// Most drills of a course.
pub const MOST_DRILLS: usize = 64;

/// The name that stands for every drill of the library, in its order, in a list of drills.
pub const WHOLE_LIBRARY: &str = "all";

/// A list of drills as it is written.
pub(super) const DRILLS_EXAMPLE: &str = "[\"on-the-beat\", \"pushed\"]";

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
    /// What is otherwise for this drill than for the whole course.
    pub own: OwnSettings,
}

impl CourseDrill {
    /// A drill by its name or path alone.
    pub fn named(drill: &str) -> Self {
        Self { drill: drill.to_owned(), template: None, own: OwnSettings::default() }
    }
}

/// The table that stands for a drill with its text.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, expecting = "a drill of the course")]
struct DrillTable {
    drill: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    template: Option<String>,
    #[serde(default, skip_serializing_if = "OwnSettings::is_empty")]
    own: OwnSettings,
}

impl Serialize for CourseDrill {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.template.is_none() && self.own.is_empty() {
            return serializer.serialize_str(&self.drill);
        }
        let Self { drill, template, own } = self.clone();
        DrillTable { drill, template, own }.serialize(serializer)
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
        let DrillTable { drill, template, own } =
            DrillTable::deserialize(MapAccessDeserializer::new(map))?;
        Ok(CourseDrill { drill, template, own })
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
pub(super) fn no_drills() -> Complaint {
    let complaint = Complaint::of(Field::Course, "course is empty");
    complaint.mend("write at least one drill, as in [\"pushed\"]")
}

/// Errors if a course has too many drills.
pub(crate) fn check_count(drills: usize) -> Result<(), Complaint> {
    if drills <= MOST_DRILLS {
        return Ok(());
    }
    let complaint = Complaint::of(Field::Course, format!("course has {drills} drills"));
    Err(complaint.mend(format!("keep {MOST_DRILLS} or fewer")))
}
