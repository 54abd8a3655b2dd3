//! What was chosen, field by field, as settings.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use crate::desk::errand::Typed;
use crate::recipe::fields::{FieldKind, FieldRow, FieldValue, row};
use crate::recipe::{CourseDrill, Recipe};
use crate::source::plain::shortened;
use crate::source::{Complaint, RecipeField as Field};

/// The settings that were chosen, each named as the field is and given as JSON has it. A field that
/// says nothing is not chosen.
///
/// Errors with all that cannot stand, each with its field.
pub(crate) fn typed(choices: &Map<String, Value>) -> Result<Typed, Vec<Complaint>> {
    let mut typed = Typed { options: BTreeMap::new(), ..Typed::default() };
    let mut wrong = Vec::new();
    for (name, value) in choices.iter().filter(|(_, value)| !is_nothing(value)) {
        let Some(field) = Field::named(name) else {
            let problem = format!("nothing is called `{}` here", shortened(name));
            wrong.push(Complaint::new(problem).mend("leave it out"));
            continue;
        };
        match value_of(row(field), value) {
            Ok(value) => typed.settings.set(field, value),
            Err(complaint) => wrong.push(complaint),
        }
    }
    if wrong.is_empty() { Ok(typed) } else { Err(wrong) }
}

/// What a recipe says, as choices that give it again.
pub(crate) fn of(recipe: &Recipe) -> Map<String, Value> {
    let json = serde_json::from_str(&recipe.to_json());
    let Ok(Value::Object(mut choices)) = json else { return Map::new() };
    choices.remove(Field::Quintfall.name());
    choices
}

fn is_nothing(value: &Value) -> bool {
    match value {
        Value::Null => true,
        Value::String(text) => text.trim().is_empty(),
        Value::Array(items) => items.is_empty(),
        _ => false,
    }
}

fn value_of(row: &FieldRow, value: &Value) -> Result<FieldValue, Complaint> {
    let unlike = || {
        let problem = format!("{} is given in a way that is not understood", row.field);
        Complaint::of(row.field, problem).mend("choose it anew")
    };
    match (row.kind, value) {
        (FieldKind::Flag, Value::Bool(flag)) => Ok(FieldValue::Flag(*flag)),
        (FieldKind::Drills, Value::Array(_)) => {
            let drills: Vec<CourseDrill> =
                serde_json::from_value(value.clone()).map_err(|_| unlike())?;
            Ok(FieldValue::Drills(drills))
        }
        (FieldKind::Flag | FieldKind::Drills, _) => Err(unlike()),
        (_, Value::String(text)) => row.typed(text),
        (_, Value::Number(number)) => row.typed(&number.to_string()),
        (FieldKind::Keys | FieldKind::Words(_) | FieldKind::Numbers(..), Value::Array(items)) => {
            let mut all: Option<FieldValue> = None;
            for item in items {
                let item = match item {
                    Value::String(text) => row.typed(text)?,
                    Value::Number(number) => row.typed(&number.to_string())?,
                    _ => return Err(unlike()),
                };
                all = Some(FieldValue::joined(all, item));
            }
            all.ok_or_else(unlike)
        }
        _ => Err(unlike()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::fields::FIELDS;

    fn object(json: &str) -> Map<String, Value> {
        serde_json::from_str(json).unwrap()
    }

    /// A recipe that was read from a sheet comes back from the choices it is turned into.
    #[test]
    fn a_recipe_turned_into_choices_comes_back() {
        for toml in [
            "",
            "level = \"beginner\"\ntempo = 72\ngoal = 100\nwatch = [3, 5]\nslip = true",
            "form = \"handout\"\nkeys = [\"G minor\", \"Bb\"]\ndrill = \"natural-minor\"",
            "course = [\"solid\", \"pushed\"]\nkeys = [\"C\"]\norder = \"shuffled\"\nseed = 7",
            "[[course]]\ndrill = \"solid\"\ntempo = 60\nhands = \"left\"",
            "leave-out = [\"left\", \"symbols\"]\nanswers = true\nnote = \"\"\"a\nb\"\"\"\nstaff = 7.5",
            "booklet = true\npaper = \"a5\"\nminor = \"-\"\nlog-every = 6\nterm = 12",
        ] {
            let recipe = Recipe::from_toml(toml, "it").unwrap();
            let typed = typed(&of(&recipe)).unwrap();
            assert_eq!(typed.settings.over(Recipe::default()).checked(), Ok(recipe), "{toml}");
        }
    }

    #[test]
    fn every_mistake_is_told_at_its_field() {
        let choices =
            r#"{"tempo": "fast", "paper": "b5", "keys": ["C", "H"], "slip": "x", "no": 1}"#;
        let wrong = typed(&object(choices)).unwrap_err();
        let mut fields: Vec<&str> =
            wrong.iter().map(|one| one.field.map_or("", |field| field.name())).collect();
        fields.sort_unstable();
        assert_eq!(fields, ["", "keys", "paper", "slip", "tempo"]);
    }

    #[test]
    fn no_kind_of_value_is_taken_for_another_or_breaks_anything() {
        let values = [
            Value::Null,
            Value::Bool(true),
            serde_json::json!(-1.5),
            serde_json::json!("\u{0}<b>"),
            serde_json::json!([[1]]),
            serde_json::json!({"a": 1}),
        ];
        for row in &FIELDS {
            for value in &values {
                let mut choices = Map::new();
                choices.insert(row.field.name().to_owned(), value.clone());
                if let Err(wrong) = typed(&choices) {
                    assert!(wrong.iter().all(|one| one.to_string().contains("; ")), "{wrong:?}");
                }
            }
        }
    }
}
