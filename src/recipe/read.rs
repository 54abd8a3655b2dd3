//! Reading recipes: TOML that a teacher wrote, JSON from inside a PDF.

use std::collections::BTreeSet;
use std::fmt;
use std::ops::Range;

use serde::Deserialize;
use serde::de::{Deserializer, IgnoredAny, MapAccess, Visitor};
use toml::de::DeTable;

use super::check::check_version;
use super::fields::{row, usual_of};
use super::{RECIPE_VERSION, Recipe, Settings};
use crate::source::fields::{Fields, Mistakes, as_whole};
use crate::source::plain::shortened;
use crate::source::{Complaint, Field as AnyField, FileField, Place, RecipeField as Field};
use crate::source::{check_size, line_at};

impl Recipe {
    /// Reads a recipe that a teacher wrote. `name` names the text in complaints.
    ///
    /// Errors name the line and field, and say how to mend them.
    pub fn from_toml(text: &str, name: &str) -> Result<Self, Complaint> {
        let located = |complaint: Complaint| {
            let line = complaint.field.and_then(|field| line_of_field(text, field));
            complaint.at(Place::line(name, line))
        };
        let settings = Settings::read(text, name)?;
        if settings.extends.is_some() {
            let problem = "extends names another file, and this recipe is in none";
            let complaint = Complaint::of(FileField::Extends, problem);
            return Err(located(complaint.mend("write the fields of both together")));
        }
        settings.over(Self::default()).checked().map_err(located)
    }

    /// Reads the recipe that travelled inside a sheet. `name` names the sheet in complaints.
    pub fn from_json(text: &str, name: &str) -> Result<Self, Complaint> {
        const UNCHANGED: &str = "take an unchanged copy of the sheet";
        let broken = |problem: String| Complaint::new(problem).at(Place::of(name));
        let unreadable = |error: serde_json::Error| {
            let mut words = error.to_string();
            // The recipe is one long line, of which nobody sees anything.
            let place = format!(" at line {} column {}", error.line(), error.column());
            words.truncate(words.strip_suffix(&place).map_or(words.len(), str::len));
            broken(format!("the recipe inside cannot be read: {words}")).mend(UNCHANGED)
        };
        let refused = |complaint: Complaint| {
            let problem = format!("the recipe inside cannot stand: {}", complaint.problem);
            Complaint { field: complaint.field, ..broken(problem).mend(UNCHANGED) }
        };
        // Read twice rather than kept as a tree of values, which takes a hundred times the text.
        let outline: Outline = serde_json::from_str(text).map_err(unreadable)?;
        for (key, what) in [("study", "study packet"), ("chart", "chart")] {
            if outline.given.contains(key) {
                let problem = format!("it is a {what}, made from a tune and not from a recipe");
                return Err(broken(problem).mend(format!("give it to the command {key}")));
            }
        }
        if let Some(version) = outline.version {
            let is_newer = version > i64::from(RECIPE_VERSION);
            check_version(version).map_err(|complaint| match is_newer {
                true => complaint.at(Place::of(name)),
                false => refused(complaint),
            })?;
        }
        let recipe: Self = serde_json::from_str(text).map_err(unreadable)?;
        let recipe = recipe.settled(|field| outline.given.contains(field.name()));
        let recipe = recipe.checked().map_err(refused)?;
        match recipe.named_file() {
            Some((what, path)) => Err(broken(format!(
                "the recipe inside names the {what} `{}` without holding it, and a sheet opens no \
                 files",
                shortened(path)
            ))
            .mend("take the sheet as Quintfall made it, which holds all that it needs")),
            None => Ok(recipe),
        }
    }

    /// The recipe with what its fields decide for others that are not `given`: a course is no
    /// single drill, and a level fills in what it can.
    fn settled(mut self, given: impl Fn(Field) -> bool) -> Self {
        if self.is_course() && !given(Field::Drill) {
            self.drill.clear();
        }
        match self.level {
            Some(level) => self.at_level(level, given),
            None => self,
        }
    }
}

impl Settings {
    /// The fields that a recipe gives which a teacher wrote, each as its kind has it; whether they
    /// can stand together is not asked. `name` names the text in complaints.
    ///
    /// Errors name the line and field, and say how to mend them.
    pub fn read(text: &str, name: &str) -> Result<Self, Complaint> {
        check_size(text, name)?;
        let mut mistakes = Mistakes::of(name, text).knowing(usual_of);
        let table = mistakes.table();
        if mistakes.is_empty() {
            let settings = settings(table.get_ref(), &mut mistakes);
            if mistakes.is_empty() {
                return Ok(settings);
            }
        }
        let first = mistakes.into_sorted().into_iter().next();
        Err(first.unwrap_or_else(|| Complaint::new("it cannot be read").at(Place::of(name))))
    }
}

/// The fields that a TOML table gives. What is wrong with them is added to `mistakes`.
fn settings(table: &DeTable<'_>, mistakes: &mut Mistakes<'_>) -> Settings {
    let mut settings = Settings::default();
    // The version first: a newer recipe may well have fields that are unknown here.
    if let Some(value) = table.get(Field::Quintfall.name())
        && let Some(version) = as_whole(value.get_ref())
        && let Err(complaint) = check_version(version)
    {
        mistakes.add_at(&value.span(), complaint);
        return settings;
    }
    let mut fields = Fields::of(table, 0..0);
    for field in Field::ALL {
        let Some(value) = fields.value(*field) else { continue };
        if let Some(value) = row(*field).read(value, mistakes) {
            settings.set(*field, value);
        }
    }
    let base = fields.text(FileField::Extends, mistakes);
    settings.extends = base.map(|base| base.get_ref().trim().to_owned());
    fields.finish(mistakes);
    settings
}

/// What a recipe in JSON says of itself.
struct Outline {
    version: Option<i64>,
    /// The names of its fields; only some of them where there are more than a recipe can have.
    given: BTreeSet<String>,
}

impl<'de> Deserialize<'de> for Outline {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_map(OutlineVisitor)
    }
}

struct OutlineVisitor;

impl<'de> Visitor<'de> for OutlineVisitor {
    type Value = Outline;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a set of fields")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Outline, A::Error> {
        /// Twice as many as there are fields.
        const MOST: usize = 96;
        let mut outline = Outline { version: None, given: BTreeSet::new() };
        while let Some(name) = map.next_key::<String>()? {
            if name == "quintfall" {
                outline.version = Some(map.next_value()?);
            } else {
                map.next_value::<IgnoredAny>()?;
            }
            if outline.given.len() < MOST {
                outline.given.insert(name);
            }
        }
        Ok(outline)
    }
}

/// The line, from 1, on which a field of a TOML file begins.
pub fn line_of_field(text: &str, field: impl Into<AnyField>) -> Option<usize> {
    let table = DeTable::parse(text).ok()?;
    let name = field.into().name();
    let key = table.get_ref().keys().find(|key| key.get_ref() == name)?;
    Some(line_at(text, key.span().start))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipe::{Counts, DocumentForm, Paper};

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
        assert_eq!(recipe.form, DocumentForm::Handout);
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
            "my.toml, line 2: field `tempo` is \"fast\"; write a whole number from 20 to 400",
        );
        fails(
            "tempo = 100\n\ngoal = 90\n",
            "my.toml, line 3: goal 90 is slower than tempo 100; \
             raise the goal to 100 or more, or lower the tempo",
        );
        fails(
            "paper = \"b5\"\n",
            "my.toml, line 1: unknown paper `b5`; write one of a4, letter, a5, half-letter",
        );
        fails(
            "keys-a-page = 0\n",
            "my.toml, line 1: keys-a-page 0 is out of range; write a whole number from 1 to 12",
        );
        fails(
            "counts = \"some\"\n",
            "my.toml, line 1: unknown counts `some`; write one of all, first-bar, none",
        );
        fails(
            "\nkeys = [\"C\", \"H\"]\n",
            "my.toml, line 2: unknown key `H`; write B for B natural and Bb for B flat",
        );
        fails(
            "keys = \"C\"\n",
            "my.toml, line 1: field `keys` is \"C\"; \
             write a list, as in [\"C\", \"F\", \"Bb\"]",
        );
        fails(
            "title = 5\n",
            "my.toml, line 1: field `title` is the number 5; write it in quotation marks",
        );
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
    fn values_of_the_wrong_kind_are_told_as_a_teacher_would() {
        for (text, message) in [
            ("tempo = 080\n", "line 1: the number `080` begins with a zero; write tempo = 80"),
            (
                "paper = 1\n",
                "line 1: field `paper` is the number 1; write one of a4, letter, a5, half-letter",
            ),
            (
                "\nseed = -1\n",
                "line 2: seed -1 is out of range; write a whole number from 0 to 4294967295",
            ),
            (
                "staff = \"8\"\n",
                "line 1: field `staff` is \"8\"; \
                 write millimetres without quotation marks, as in staff = 8.0",
            ),
            (
                "booklet = \"yes\"\n",
                "line 1: field `booklet` is \"yes\"; write true or false, without quotation marks",
            ),
            (
                "counts = \"first-bars\"\n",
                "line 1: unknown counts `first-bars`; did you mean `first-bar`?",
            ),
            ("hands = \"rigth\"\n", "line 1: unknown hands `rigth`; did you mean `right`?"),
            (
                "tempo = 80.5\n",
                "line 1: field `tempo` is the number 80.5; write a whole number from 20 to 400",
            ),
            (
                "keys = [\n  \"C\",\n  5,\n]\n",
                "line 3: field `keys` is the number 5; write it in quotation marks",
            ),
        ] {
            fails(text, &format!("my.toml, {message}"));
        }
    }

    #[test]
    fn a_field_of_the_whole_recipe_below_a_drill_of_a_course_is_told_its_place() {
        fails(
            "[[course]]\ndrill = \"pushed\"\nstudent = \"Ada\"\n",
            "my.toml, line 3: `student` stands in a drill of the course; \
             it is for the whole recipe: write it above the first [[course]]",
        );
        fails(
            "[[course]]\ndrill = \"pushed\"\ntemplat = 60\n",
            "my.toml, line 3: unknown field `templat`; did you mean `template`?",
        );
    }

    #[test]
    fn what_a_text_gives_is_known() {
        let given = Settings::read("tempo = 90\n", "my.toml").unwrap();
        assert!(given.gives(Field::Tempo) && !given.gives(Field::Keys));
    }

    #[test]
    fn a_template_knows_its_lines_in_the_recipe() {
        let text = "tempo = 90\ntemplate = '''\nname = 1\n'''\n";
        assert_eq!(line_of_field(text, Field::Template), Some(2));
        assert_eq!(line_of_template(text), Some(3));
        assert_eq!(line_of_template("template = \"name = 1\\n\"\n"), None);
        assert_eq!(line_of_template("tempo = 90\n"), None);
    }

    #[test]
    fn broken_toml_is_told_with_its_line() {
        let error = Recipe::from_toml("title = \"x\"\ntempo 80\n", "my.toml").unwrap_err();
        assert_eq!(error.line(), Some(2), "{error}");
    }

    #[test]
    fn json_errors_name_the_sheet() {
        let error = Recipe::from_json("{\"quintfall\": 7, \"colour\": 1}", "x.pdf").unwrap_err();
        assert_eq!(
            error.to_string(),
            "x.pdf: made by a newer Quintfall (recipe version 7; this program knows 2); \
             use that newer program"
        );
        for text in ["", "{", "[]", "7", "{\"tempo\": \"x\"}", "{\"a\": 1}"] {
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
