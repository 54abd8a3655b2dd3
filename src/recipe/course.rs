//! Several drills in one recipe.

use std::fmt;

use serde::de::value::MapAccessDeserializer;
use serde::de::{Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use toml::Spanned;
use toml::de::DeValue;

use super::fields::{FieldValue, row};
use super::{AskedKey, Hands, Level, Recipe, Settings, TEMPI};
use crate::source::fields::{Fields, Mistakes, as_list, as_text, described};
use crate::source::word::{choice, known};
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
    pub own: Own,
}

impl CourseDrill {
    /// A drill by its name or path alone.
    pub fn named(drill: &str) -> Self {
        Self { drill: drill.to_owned(), template: None, own: Own::default() }
    }
}

/// What a drill of a course has otherwise than the whole course.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields, expecting = "what a drill of a course has")]
pub struct Own {
    /// Its keys; none where it has those of the course.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub keys: Vec<AskedKey>,
    /// Its level.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// Its first tempo.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tempo: Option<u16>,
    /// The tempo to arrive at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goal: Option<u16>,
    /// Which hands play it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hands: Option<Hands>,
}

/// What a drill of a course can have of its own.
pub(super) const OWN: [Field; 5] =
    [Field::Keys, Field::Level, Field::Tempo, Field::Goal, Field::Hands];

impl Own {
    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// A recipe with this in the place of what it has for the whole course.
    #[must_use]
    pub fn over(&self, recipe: Recipe) -> Recipe {
        let mut settings = Settings::default();
        if !self.keys.is_empty() {
            settings.set(Field::Keys, FieldValue::Keys(self.keys.clone()));
        }
        for (field, beats) in [(Field::Tempo, self.tempo), (Field::Goal, self.goal)] {
            if let Some(beats) = beats {
                settings.set(field, FieldValue::Whole(beats.into()));
            }
        }
        let words = [
            (Field::Level, self.level.and_then(word_of)),
            (Field::Hands, self.hands.and_then(word_of)),
        ];
        for (field, word) in words {
            if let Some(word) = word {
                settings.set(field, FieldValue::Word(word));
            }
        }
        settings.over(recipe)
    }

    /// Puts a value of one of the fields in [`OWN`].
    fn put(&mut self, field: Field, value: FieldValue) {
        match field {
            Field::Keys => self.keys = value.keys().unwrap_or_default(),
            Field::Level => self.level = value.word(),
            Field::Tempo => self.tempo = value.beats(),
            Field::Goal => self.goal = value.beats(),
            Field::Hands => self.hands = value.word(),
            _ => {}
        }
    }

    /// Takes out what was chosen anew for the whole course, and moves the tempi by as much as the
    /// tempo of the course did.
    pub(super) fn give_way(&mut self, gives: impl Fn(Field) -> bool, by: i32) {
        if gives(Field::Keys) {
            self.keys.clear();
        }
        if gives(Field::Level) {
            self.level = None;
        }
        if gives(Field::Hands) {
            self.hands = None;
        }
        let moved = |beats: u16| {
            let (least, most) = (i32::from(*TEMPI.start()), i32::from(*TEMPI.end()));
            u16::try_from((i32::from(beats) + by).clamp(least, most)).unwrap_or(beats)
        };
        self.tempo = self.tempo.map(moved);
        self.goal = self.goal.map(moved).filter(|_| !gives(Field::Goal));
    }
}

/// The word that a choice is written as.
fn word_of<T: serde::de::DeserializeOwned + PartialEq>(chosen: T) -> Option<&'static str> {
    known::<T>().iter().copied().find(|word| choice::<T>(word).is_some_and(|it| it == chosen))
}

/// The table that stands for a drill with its text.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields, expecting = "a drill of the course")]
struct DrillTable {
    drill: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    template: Option<String>,
    #[serde(default, skip_serializing_if = "Own::is_empty")]
    own: Own,
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
fn no_drills() -> Complaint {
    let complaint = Complaint::of(Field::Course, "course is empty");
    complaint.mend("write at least one drill, as in [\"pushed\"]")
}

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
            let mut own = Own::default();
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

/// Errors if a course has too many drills.
pub(crate) fn check_count(drills: usize) -> Result<(), Complaint> {
    if drills <= MOST_DRILLS {
        return Ok(());
    }
    let complaint = Complaint::of(Field::Course, format!("course has {drills} drills"));
    Err(complaint.mend(format!("keep {MOST_DRILLS} or fewer")))
}
