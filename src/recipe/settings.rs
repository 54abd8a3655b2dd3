//! Some fields of a recipe, as a file gives them or as they are typed, to be laid over another.

use std::collections::BTreeMap;
use std::path::Path;

use toml::Spanned;
use toml::de::DeValue;

use super::check::{check_beats, check_number, check_version};
use super::course::{CourseDrill, is_path_of_drill};
use super::course_toml;
use super::fields::{FieldKind, FieldRow, FieldValue, KEYS_EXAMPLE, NUMBERS_EXAMPLE, row};
use super::{AskedKey, DEFAULT_DRILL, KeyOrder, Recipe, StaffSize, TEMPI};
use crate::source::fields::{
    Mistakes, as_flag, as_list, as_number, as_text, as_whole, described, unknown_word,
};
use crate::source::plain::shortened;
use crate::source::{Advice, Complaint, RecipeField as Field};

/// Some fields of a recipe.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    values: BTreeMap<Field, FieldValue>,
    /// The file with the recipe that they are laid over, as a path from the folder of their own.
    pub extends: Option<String>,
}

impl Settings {
    /// Sets a field to a value of its kind.
    pub fn set(&mut self, field: Field, value: FieldValue) {
        self.values.insert(field, value);
    }

    /// Whether a field is set.
    pub fn gives(&self, field: Field) -> bool {
        self.values.contains_key(&field)
    }

    /// The same with paths that started from `folder` starting from where that does.
    #[must_use]
    pub fn from_folder(mut self, folder: &Path) -> Self {
        let moved = |path: &str| folder.join(path).display().to_string();
        let drill = |name: &mut String| {
            if is_path_of_drill(name) {
                *name = moved(name);
            }
        };
        for (field, value) in &mut self.values {
            match (field, value) {
                (Field::Drill, FieldValue::Text(name)) => drill(name),
                (Field::Logo, FieldValue::Text(path)) => *path = moved(path),
                (_, FieldValue::Drills(parts)) => {
                    parts.iter_mut().for_each(|part| drill(&mut part.drill));
                }
                _ => {}
            }
        }
        self
    }

    /// `recipe` with everything that is set in its place.
    ///
    /// A level fills in what is not set; drills take the place of all that the recipe has; keys
    /// stand as they are set, unless an order is set too; a goal that a new tempo has passed moves
    /// up with it.
    pub fn over(&self, recipe: Recipe) -> Recipe {
        let value = |field| self.values.get(&field).cloned();
        let was_shuffled = recipe.order == Some(KeyOrder::Shuffled);
        let level = value(Field::Level).and_then(FieldValue::word);
        let mut new = match level {
            Some(level) => recipe.at_level(level, |field| self.gives(field)),
            None => recipe,
        };
        if self.gives(Field::Drill) || self.gives(Field::Course) {
            new.drill.clear();
            new.course.clear();
            new.template = None;
        }
        if self.gives(Field::Keys) {
            new.order = None;
        }
        if self.gives(Field::Logo) {
            new.logo_data = None;
        }
        for (field, value) in &self.values {
            if !matches!(field, Field::Tempo | Field::Goal) {
                row(*field).put(&mut new, value.clone());
            }
        }
        let draws = new.order == Some(KeyOrder::Shuffled);
        if was_shuffled && !self.gives(Field::Seed) && !draws {
            new.seed = None;
        }
        let beats = |field| value(field).and_then(FieldValue::beats);
        let old = new.tempo;
        let mut new = new.at_tempo(beats(Field::Tempo), beats(Field::Goal));
        // What a drill of the file has of its own is no older than the rest of the file.
        if !self.gives(Field::Course) {
            let tempo = new.tempo;
            for part in &mut new.course {
                part.own.give_way(|field| self.gives(field), old, tempo);
            }
        }
        new
    }
}

impl FieldRow {
    /// The value that was typed for this field; of a list, one item of it.
    ///
    /// Errors with what is wrong and how to mend it.
    pub fn typed(&self, text: &str) -> Result<FieldValue, Complaint> {
        let field = self.field;
        let not_whole = |mend: String| {
            Complaint::of(field, format!("{field} is `{}`", shortened(text))).mend(mend)
        };
        match self.kind {
            FieldKind::Line(_) | FieldKind::Block(_) => Ok(FieldValue::Text(text.to_owned())),
            // Few know how to type the end of a line.
            FieldKind::Lines(..) => Ok(FieldValue::Text(text.replace("\\n", "\n"))),
            FieldKind::Word(_) => self.word(text, &text.to_lowercase()).map(FieldValue::Word),
            FieldKind::Words(_) => self
                .word(text, &text.trim().to_lowercase())
                .map(|word| FieldValue::Words(vec![word])),
            FieldKind::Beats => match text.trim().parse::<i64>() {
                Ok(number) => self.whole(number),
                Err(_) => Err(not_whole(whole_beats())),
            },
            FieldKind::Version | FieldKind::Seed => match text.trim().parse::<i64>() {
                Ok(number) => self.whole(number),
                Err(_) => Err(not_whole(whole_seed())),
            },
            FieldKind::Number(least, most) | FieldKind::Numbers(least, most) => {
                match (self.kind, text.trim().parse::<i64>(), range(text)) {
                    (_, Ok(number), _) => self.whole(number),
                    (FieldKind::Numbers(..), _, Some((first, last))) => {
                        let (first, last) = (check_number(self, first)?, check_number(self, last)?);
                        if first > last {
                            return Err(not_whole(format!("write {last}-{first}")));
                        }
                        Ok(FieldValue::Numbers((first..=last).collect()))
                    }
                    _ => Err(not_whole(whole_number(least, most))),
                }
            }
            FieldKind::Staff => match text.trim().parse() {
                Ok(mm) => self.staff(mm),
                Err(_) => Err(not_whole("write a number, as in 8.0".to_owned())),
            },
            FieldKind::Flag => Ok(FieldValue::Flag(true)),
            FieldKind::Keys => self.key(text).map(|key| FieldValue::Keys(vec![key])),
            FieldKind::Drills => Ok(FieldValue::Drills(vec![CourseDrill::named(text)])),
        }
    }

    /// The value that a TOML file gives this field. What is wrong with it is added to `mistakes`.
    pub(super) fn read(
        &self,
        value: &Spanned<DeValue<'_>>,
        mistakes: &mut Mistakes<'_>,
    ) -> Option<FieldValue> {
        let field = self.field;
        let read = match self.kind {
            FieldKind::Line(_) if field == Field::Drill && value.get_ref().is_array() => {
                Err(self.several_drills(value))
            }
            FieldKind::Line(_) | FieldKind::Lines(..) | FieldKind::Block(_) => {
                let text = as_text(field, value, mistakes)?;
                Ok(FieldValue::Text((*text.get_ref()).to_owned()))
            }
            FieldKind::Word(words) => match value.get_ref().as_str() {
                Some(text) => self.word(text, &text.trim().to_lowercase()).map(FieldValue::Word),
                None => Err(self.not(value, format!("write one of {}", words().join(", ")))),
            },
            FieldKind::Number(least, most) => match as_whole(value.get_ref()) {
                Some(number) => self.whole(number),
                None => Err(self.not(value, whole_number(least, most))),
            },
            FieldKind::Beats | FieldKind::Seed | FieldKind::Version => {
                match as_whole(value.get_ref()) {
                    Some(number) => self.whole(number),
                    None if matches!(self.kind, FieldKind::Beats) => {
                        Err(self.not(value, whole_beats()))
                    }
                    None if matches!(self.kind, FieldKind::Seed) => {
                        Err(self.not(value, whole_seed()))
                    }
                    None => Err(self.not(value, "write a whole number".to_owned())),
                }
            }
            FieldKind::Staff => {
                let mend = "write millimetres without quotation marks, as in staff = 8.0";
                let mm = as_number(field, value, mend, mistakes)?;
                self.staff(mm.into_inner())
            }
            FieldKind::Flag => Ok(FieldValue::Flag(as_flag(field, value, mistakes)?.into_inner())),
            FieldKind::Keys => {
                let list = as_list(field, value, KEYS_EXAMPLE, mistakes)?;
                let mut keys = Vec::new();
                for item in list {
                    let text = as_text(field, item, mistakes)?;
                    match self.key(text.get_ref()) {
                        Ok(key) => keys.push(key),
                        Err(complaint) => mistakes.add_at(&item.span(), complaint),
                    }
                }
                Ok(FieldValue::Keys(keys))
            }
            FieldKind::Numbers(least, most) => {
                let list = as_list(field, value, NUMBERS_EXAMPLE, mistakes)?;
                let mut numbers = Vec::new();
                for item in list {
                    let number = match as_whole(item.get_ref()) {
                        Some(number) => check_number(self, number),
                        None => Err(self.not(item, whole_number(least, most))),
                    };
                    match number {
                        Ok(number) => numbers.push(number),
                        Err(complaint) => mistakes.add_at(&item.span(), complaint),
                    }
                }
                Ok(FieldValue::Numbers(numbers))
            }
            FieldKind::Words(words) => {
                let example = format!("[\"{}\"]", words().first().unwrap_or(&""));
                let list = as_list(field, value, &example, mistakes)?;
                let mut all = Vec::new();
                for item in list {
                    let text = as_text(field, item, mistakes)?;
                    match self.word(text.get_ref(), &text.get_ref().trim().to_lowercase()) {
                        Ok(word) => all.push(word),
                        Err(complaint) => mistakes.add_at(&item.span(), complaint),
                    }
                }
                Ok(FieldValue::Words(all))
            }
            FieldKind::Drills => Ok(FieldValue::Drills(course_toml::read_toml(value, mistakes)?)),
        };
        match read {
            Ok(value) => Some(value),
            Err(complaint) => {
                mistakes.add_at(&value.span(), complaint);
                None
            }
        }
    }

    /// The complaint about a list in the place of one drill.
    fn several_drills(&self, value: &Spanned<DeValue<'_>>) -> Complaint {
        let items = value.get_ref().as_array().map_or(&[][..], |items| items.as_ref());
        let names: Vec<&str> = items.iter().filter_map(|item| item.get_ref().as_str()).collect();
        let names = if names.is_empty() { vec![DEFAULT_DRILL] } else { names };
        let mend = Advice::words("for several drills write ").give(Field::Course, names);
        self.not(value, mend)
    }

    /// The complaint about a value of another kind.
    fn not(&self, value: &Spanned<DeValue<'_>>, mend: impl Into<Advice>) -> Complaint {
        let problem = format!("field `{}` is {}", self.field, described(value.get_ref()));
        Complaint::of(self.field, problem).mend(mend)
    }

    /// One of the field's words, of which `found` was written.
    fn word(&self, found: &str, word: &str) -> Result<&'static str, Complaint> {
        let words = self.words();
        let known = words.iter().find(|known| **known == word);
        known.copied().ok_or_else(|| {
            let complaint = unknown_word(self.field.name(), found, words);
            Complaint { field: Some(self.field.into()), ..complaint }
        })
    }

    fn whole(&self, number: i64) -> Result<FieldValue, Complaint> {
        match self.kind {
            FieldKind::Beats => {
                check_beats(self.field, number).map(|beats| FieldValue::Whole(beats.into()))
            }
            FieldKind::Version => {
                check_version(number)?;
                // A version that is known is a small number.
                Ok(FieldValue::Whole(u32::try_from(number).unwrap_or_default()))
            }
            FieldKind::Number(..) => check_number(self, number).map(FieldValue::Whole),
            FieldKind::Numbers(..) => {
                check_number(self, number).map(|number| FieldValue::Numbers(vec![number]))
            }
            _ => u32::try_from(number).map(FieldValue::Whole).map_err(|_| {
                let problem = format!("{} {number} is out of range", self.field);
                Complaint::of(self.field, problem).mend(whole_seed())
            }),
        }
    }

    fn staff(&self, mm: f64) -> Result<FieldValue, Complaint> {
        let refused = |error: super::NoSuchStaffSize| Complaint::of(self.field, error.to_string());
        StaffSize::of_mm(mm).map(FieldValue::Staff).map_err(refused)
    }

    fn key(&self, text: &str) -> Result<AskedKey, Complaint> {
        text.parse()
            .map_err(|error: crate::theory::KeyError| Complaint::of(self.field, error.to_string()))
    }
}

/// The first and the last of numbers that are written as a range: 5-8.
fn range(text: &str) -> Option<(i64, i64)> {
    let (first, last) = text.split_once(['-', '\u{2013}'])?;
    Some((first.trim().parse().ok()?, last.trim().parse().ok()?))
}

fn whole_number(least: u32, most: u32) -> String {
    format!("write a whole number from {least} to {most}")
}

fn whole_beats() -> String {
    format!("write a whole number from {} to {}", TEMPI.start(), TEMPI.end())
}

fn whole_seed() -> String {
    format!("write a whole number from 0 to {}", u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(pairs: &[(Field, FieldValue)]) -> Settings {
        Settings { values: pairs.iter().cloned().collect(), extends: None }
    }

    fn text(words: &str) -> FieldValue {
        FieldValue::Text(words.to_owned())
    }

    #[test]
    fn a_drill_or_picture_chosen_anew_displaces_what_the_recipe_holds() {
        let recipe = Recipe {
            template: Some("old".to_owned()),
            logo: Some("old.png".to_owned()),
            logo_data: Some("AAAA".to_owned()),
            ..Recipe::default()
        };
        assert_eq!(Settings::default().over(recipe.clone()), recipe);
        let chosen = set(&[(Field::Drill, text("on-the-beat")), (Field::Logo, text("new.png"))]);
        let new = chosen.over(recipe);
        assert_eq!((new.drill.as_str(), new.template), ("on-the-beat", None));
        assert_eq!((new.logo.as_deref(), new.logo_data), (Some("new.png"), None));
    }

    #[test]
    fn numbers_are_typed_one_by_one_or_as_a_range() {
        let typed = |text: &str| row(Field::Watch).typed(text).map_err(|error| error.to_string());
        for (text, numbers) in
            [("5", &[5][..]), ("5-7", &[5, 6, 7]), (" 5 \u{2013} 6 ", &[5, 6]), ("4-4", &[4])]
        {
            assert_eq!(typed(text), Ok(FieldValue::Numbers(numbers.to_vec())), "{text}");
        }
        assert_eq!(typed("7-5"), Err("watch is `7-5`; write 5-7".to_owned()));
        let range = "write a whole number from 1 to 128";
        assert_eq!(typed("5-900"), Err(format!("watch 900 is out of range; {range}")));
        assert_eq!(typed("-4"), Err(format!("watch -4 is out of range; {range}")));
        for text in ["5-", "a-b", "5-6-7"] {
            assert_eq!(typed(text), Err(format!("watch is `{text}`; {range}")));
        }
        let note = row(Field::Note).typed("Slow.\\nSoft.");
        assert_eq!(note, Ok(FieldValue::Text("Slow.\nSoft.".to_owned())));
    }

    #[test]
    fn words_are_read_in_any_letters_when_they_are_typed() {
        let typed = |field, text: &str| row(field).typed(text).map_err(|error| error.to_string());
        assert_eq!(typed(Field::Counts, "First-Bar"), Ok(FieldValue::Word("first-bar")));
        let refused = |field, text| typed(field, text).unwrap_err();
        let message = refused(Field::Paper, "b5");
        assert_eq!(message, "unknown paper `b5`; write one of a4, letter, a5, half-letter");
        assert_eq!(refused(Field::Paper, "A44"), "unknown paper `A44`; did you mean `a4`?");
        let message = refused(Field::Fingering, "some");
        let words = "all, first-bars, changes, none";
        assert_eq!(message, format!("unknown fingering `some`; write one of {words}"));
        let message = refused(Field::Seed, "-1");
        assert_eq!(message, "seed -1 is out of range; write a whole number from 0 to 4294967295");
    }
}
