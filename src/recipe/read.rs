//! Reading recipes: TOML that a teacher wrote, JSON from inside a PDF.

use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

use serde::de::{Deserializer, Error as _, Visitor};
use toml::de::DeTable;

use super::Recipe;
use super::check::{FieldError, TEMPI, check_beats, check_version};
use crate::source::{SourceError, from_toml};

impl Recipe {
    /// Reads a recipe that a teacher wrote. `origin` names the text in errors.
    ///
    /// Errors name the line and field, and say how to mend them.
    pub fn from_toml(text: &str, origin: &str) -> Result<Self, SourceError> {
        // The version first: a newer recipe may well have fields that are unknown here.
        if let Some(version) = version_in_toml(text) {
            check_version(version).map_err(|error| located(&error, text, origin))?;
        }
        let recipe: Self = from_toml(text, origin).map_err(|error| reworded(error, text))?;
        let given = fields(text);
        let recipe = recipe.settled(|field| given.iter().any(|(name, _)| name == field));
        recipe.checked().map_err(|error| located(&error, text, origin))
    }

    /// Reads the recipe that travelled inside a sheet. `origin` names the sheet in errors.
    pub fn from_json(text: &str, origin: &str) -> Result<Self, SourceError> {
        let broken = |problem: String| SourceError {
            origin: origin.to_owned(),
            line: None,
            problem,
            mend: None,
        };
        let unreadable = |error: serde_json::Error| {
            broken(format!("the recipe inside cannot be read: {error}"))
                .mend("take an unchanged copy of the sheet")
        };
        let refused = |error: FieldError| {
            let mend = match error {
                FieldError::Newer { .. } => error.mend(),
                _ => "take an unchanged copy of the sheet".to_owned(),
            };
            broken(format!("the recipe inside cannot stand: {error}")).mend(mend)
        };
        let value: serde_json::Value = serde_json::from_str(text).map_err(unreadable)?;
        if !value.is_object() {
            return Err(unreadable(serde_json::Error::custom("it is no set of fields")));
        }
        if let Some(version) = value.get("quintfall").and_then(serde_json::Value::as_i64) {
            check_version(version).map_err(|error| match error {
                FieldError::Newer { .. } => broken(error.to_string()).mend(error.mend()),
                _ => refused(error),
            })?;
        }
        let given: BTreeSet<String> =
            value.as_object().into_iter().flat_map(|fields| fields.keys().cloned()).collect();
        let recipe: Self = serde_json::from_value(value).map_err(unreadable)?;
        recipe.settled(|field| given.contains(field)).checked().map_err(refused)
    }

    /// The recipe with what its fields decide for others that are not `given`: a course is no
    /// single drill, and a level fills in what it can.
    fn settled(mut self, given: impl Fn(&str) -> bool) -> Self {
        if self.is_course() && !given("drill") {
            self.drill.clear();
        }
        match self.level {
            Some(level) => self.at_level(level, given),
            None => self,
        }
    }
}

/// A tempo or goal as typed on the command line.
///
/// Errors with a line that says what is wrong and how to mend it.
pub fn parse_beats(field: &'static str, text: &str) -> Result<u16, String> {
    let number: i64 = text.trim().parse().map_err(|_| {
        let [low, high] = [TEMPI.start(), TEMPI.end()];
        format!("{field} is `{text}`; write a whole number from {low} to {high}")
    })?;
    check_beats(field, number).map_err(|error| error.line())
}

/// Reads the field `tempo`.
pub(super) fn tempo<'de, D: Deserializer<'de>>(deserializer: D) -> Result<u16, D::Error> {
    deserializer.deserialize_i64(Beats("tempo"))
}

/// Reads the field `goal`.
pub(super) fn goal<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Option<u16>, D::Error> {
    deserializer.deserialize_i64(Beats("goal")).map(Some)
}

/// Reads a number of beats a minute for the field it names.
struct Beats(&'static str);

impl Visitor<'_> for Beats {
    type Value = u16;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a whole number from {} to {}", TEMPI.start(), TEMPI.end())
    }

    fn visit_i64<E: serde::de::Error>(self, found: i64) -> Result<u16, E> {
        check_beats(self.0, found).map_err(|error| E::custom(error.line()))
    }

    fn visit_u64<E: serde::de::Error>(self, found: u64) -> Result<u16, E> {
        self.visit_i64(i64::try_from(found).unwrap_or(i64::MAX))
    }
}

/// The version a TOML recipe says it has, if it says so with a number.
fn version_in_toml(text: &str) -> Option<i64> {
    let table = DeTable::parse(text).ok()?;
    let value = table.get_ref().get("quintfall")?.get_ref();
    value.as_integer()?.as_str().parse().ok()
}

/// The line, from 1, on which a field of a TOML recipe begins.
pub fn line_of_field(text: &str, field: &str) -> Option<usize> {
    let (_, span) = fields(text).into_iter().find(|(name, _)| name == field)?;
    Some(line_at(text, span.start))
}

/// The line, from 1, of a TOML recipe on which the first line of its drill template stands;
/// `None` where the template is not written line by line as it is.
pub fn line_of_template(text: &str) -> Option<usize> {
    let table = DeTable::parse(text).ok()?;
    line_of_block(text, table.get_ref().get("template")?.span())
}

/// The same for the template of the drill at an index of the course.
pub fn line_of_course_template(text: &str, index: usize) -> Option<usize> {
    let table = DeTable::parse(text).ok()?;
    let drill = table.get_ref().get("course")?.get_ref().get(index)?;
    line_of_block(text, drill.get_ref().get("template")?.span())
}

/// The line of the first line of a text that is written line by line.
fn line_of_block(text: &str, span: Range<usize>) -> Option<usize> {
    let written = &text[span.clone()];
    let block = written.starts_with("'''\n") || written.starts_with("\"\"\"\n");
    block.then(|| line_at(text, span.start) + 1)
}

/// The line, from 1, at a byte of `text`.
fn line_at(text: &str, byte: usize) -> usize {
    text.as_bytes()[..byte].iter().filter(|byte| **byte == b'\n').count() + 1
}

/// A broken rule, at the line of its field.
fn located(error: &FieldError, text: &str, origin: &str) -> SourceError {
    let span = fields(text).into_iter().find(|(name, _)| name == error.field());
    SourceError::at(origin, text, span.map(|(_, span)| span), error.to_string()).mend(error.mend())
}

/// The fields of a TOML text with the byte ranges of their names; none if it is no TOML.
fn fields(text: &str) -> Vec<(String, Range<usize>)> {
    DeTable::parse(text).map_or_else(
        |_| Vec::new(),
        |table| {
            let names = table.get_ref().keys();
            names.map(|name| (name.get_ref().to_string(), name.span())).collect()
        },
    )
}

/// The same error in words that need no knowledge of programs, with the field named.
fn reworded(error: SourceError, text: &str) -> SourceError {
    let mut known: Vec<(String, usize)> =
        fields(text).into_iter().map(|(name, span)| (name, line_at(text, span.start))).collect();
    known.sort_by_key(|(_, line)| *line);
    let field = known.into_iter().rev().find(|(_, line)| Some(*line) <= error.line);
    let Some((field, _)) = field.filter(|_| error.mend.is_none()) else {
        return error;
    };
    let (problem, mend) = plain_words(&field, &error.problem);
    SourceError { problem, mend, ..error }
}

/// Serde's words for a wrong value of `field` in plain words: the problem and how to mend it.
fn plain_words(field: &str, message: &str) -> (String, Option<String>) {
    let wrong_type = message.strip_prefix("invalid type: ");
    if let Some((found, wanted)) = wrong_type.and_then(|rest| rest.split_once(", expected ")) {
        let mend = match wanted {
            "a string" => "write text in quotes",
            "a sequence" => "write a list, as in [\"C\", \"F\", \"Bb\"]",
            "string or table" => "write one word in quotes",
            "u32" => "write a whole number",
            other => &format!("write {other}"),
        };
        return (format!("{field} is {found}"), Some(mend.to_owned()));
    }
    let wrong_word = message.strip_prefix("unknown variant ");
    if let Some((found, wanted)) = wrong_word.and_then(|rest| rest.split_once(", expected ")) {
        let wanted = wanted.trim_start_matches("one of ");
        return (format!("{field} is {found}"), Some(format!("write {wanted}")));
    }
    if message.starts_with(field) {
        return (message.to_owned(), None);
    }
    (format!("{field}: {message}"), None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{Counts, Form, Paper};

    #[track_caller]
    fn fails(text: &str, message: &str) {
        let error = Recipe::from_toml(text, "my.toml").unwrap_err();
        assert_eq!(error.to_string(), message);
    }

    #[test]
    fn an_empty_text_is_the_default_recipe() {
        assert_eq!(Recipe::from_toml("", "my.toml"), Ok(Recipe::default()));
    }

    #[test]
    fn fields_are_read_by_the_words_of_the_trade() {
        let text = "form = \"handout\"\nkeys = [\"Eb\"]\npaper = \"letter\"\n\
                    counts = \"first-bar\"\ntempo = 96\ngoal = 144\n";
        let recipe = Recipe::from_toml(text, "my.toml").unwrap();
        assert_eq!(recipe.form, Form::Handout);
        assert_eq!(recipe.keys, ["Eb".parse().unwrap()]);
        assert_eq!((recipe.paper, recipe.counts), (Paper::Letter, Counts::FirstBar));
        assert_eq!((recipe.tempo, recipe.goal), (96, Some(144)));
    }

    #[test]
    fn a_bad_field_is_named_with_its_line_and_its_mend() {
        fails(
            "title = \"x\"\ntempo = 900\n",
            "my.toml, line 2: tempo 900 is out of range; write 20 to 400 beats a minute",
        );
        fails(
            "tempo = 99999999\n",
            "my.toml, line 1: tempo 99999999 is out of range; write 20 to 400 beats a minute",
        );
        fails(
            "\ntempo = \"fast\"\n",
            "my.toml, line 2: tempo is string \"fast\"; write a whole number from 20 to 400",
        );
        fails(
            "tempo = 100\n\ngoal = 90\n",
            "my.toml, line 3: goal 90 is slower than tempo 100; \
             raise the goal to 100 or more, or lower the tempo",
        );
        fails("paper = \"a5\"\n", "my.toml, line 1: paper is `a5`; write `a4` or `letter`");
        fails(
            "counts = \"some\"\n",
            "my.toml, line 1: counts is `some`; write `all`, `first-bar`, `none`",
        );
        fails(
            "\nkeys = [\"C\", \"H\"]\n",
            "my.toml, line 2: keys: unknown key `H`; write B for B natural and Bb for B flat",
        );
        fails(
            "keys = \"C\"\n",
            "my.toml, line 1: keys is string \"C\"; \
             write a list, as in [\"C\", \"F\", \"Bb\"]",
        );
        fails("title = 5\n", "my.toml, line 1: title is integer `5`; write text in quotes");
        fails(
            "studnet = \"Jo\"\n",
            "my.toml, line 1: unknown field `studnet`; did you mean `student`?",
        );
        fails(
            "# made later\nquintfall = 3\ncolour = \"blue\"\n",
            "my.toml, line 2: made by a newer Quintfall (recipe version 3; this program knows 2); \
             use that newer program",
        );
    }

    #[test]
    fn a_template_knows_its_lines_in_the_recipe() {
        let text = "tempo = 90\ntemplate = '''\nname = 1\n'''\n";
        assert_eq!(line_of_field(text, "template"), Some(2));
        assert_eq!(line_of_template(text), Some(3));
        assert_eq!(line_of_template("template = \"name = 1\\n\"\n"), None);
        assert_eq!(line_of_template("tempo = 90\n"), None);
    }

    #[test]
    fn broken_toml_is_told_with_its_line() {
        let error = Recipe::from_toml("title = \"x\"\ntempo 80\n", "my.toml").unwrap_err();
        assert_eq!(error.line, Some(2), "{error}");
    }

    #[test]
    fn json_errors_name_the_sheet() {
        let error = Recipe::from_json("{\"quintfall\": 7, \"colour\": 1}", "x.pdf").unwrap_err();
        assert_eq!(
            error.to_string(),
            "x.pdf: made by a newer Quintfall (recipe version 7; this program knows 2); \
             use that newer program"
        );
        for text in ["", "{", "[]", "7", "{\"tempo\": \"x\"}", "{\"tempo\": 5}", "{\"a\": 1}"] {
            let error = Recipe::from_json(text, "x.pdf").unwrap_err().to_string();
            assert!(error.starts_with("x.pdf: the recipe inside cannot be read"), "{error}");
            assert!(error.ends_with("; take an unchanged copy of the sheet"), "{error}");
        }
    }

    #[test]
    fn a_tower_of_brackets_is_refused_without_harm() {
        let tower = "[".repeat(1_000_000);
        assert!(Recipe::from_json(&tower, "x.pdf").is_err());
        assert!(Recipe::from_toml(&format!("keys = {tower}"), "my.toml").is_err());
    }
}
