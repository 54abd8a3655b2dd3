//! What several recipes ask for together: their drills and their keys.

use super::source::Source;
use crate::drill::library;
use crate::recipe::{CourseDrill, Recipe, is_path_of_drill};

/// A recipe with the drills and keys of another beside its own: each drill once, and of keys that
/// sound the same the one that stands first.
pub(crate) fn pooled(recipe: Recipe, other: Source) -> Recipe {
    let mut drills = drills(&recipe);
    // A drill file beside another recipe is found from there.
    let folder = other.folder().to_owned();
    for mut drill in self::drills(&other.recipe) {
        if drill.template.is_none() && is_path_of_drill(&drill.drill) {
            let path = folder.join(&drill.drill);
            drill.drill = std::path::absolute(&path).unwrap_or(path).display().to_string();
        }
        if !drills.iter().any(|own| is_same(own, &drill)) {
            drills.push(drill);
        }
    }
    let mut keys = recipe.keys.clone();
    for key in other.recipe.keys {
        if keys.iter().all(|own| own.place_in_round() != key.place_in_round()) {
            keys.push(key);
        }
    }
    Recipe { drill: String::new(), template: None, course: drills, keys, order: None, ..recipe }
}

/// The drills of a recipe, one or several.
fn drills(recipe: &Recipe) -> Vec<CourseDrill> {
    if recipe.is_course() {
        return recipe.course.clone();
    }
    let template = recipe.template.clone();
    vec![CourseDrill { template, ..CourseDrill::named(&recipe.drill) }]
}

/// Whether two drills are one: by their text, which that of the library has too.
fn is_same(one: &CourseDrill, other: &CourseDrill) -> bool {
    let text = |drill: &CourseDrill| {
        drill.template.clone().or_else(|| library::find(&drill.drill).map(str::to_owned))
    };
    match (text(one), text(other)) {
        (Some(one), Some(other)) => one == other,
        _ => one == other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        let mut source = Source::open(None).unwrap();
        source.recipe = Recipe::from_toml(text, "it").unwrap();
        source
    }

    #[test]
    fn drills_and_keys_come_together_each_of_them_once() {
        let first =
            source("drill = \"solid\"\nkeys = [\"C\", \"Gb\"]\norder = \"shuffled\"").recipe;
        let text = library::find("solid").unwrap();
        let second =
            format!("keys = [\"F#\", \"Bb\"]\ndrill = \"solid\"\ntemplate = \'\'\'\n{text}\'\'\'");
        let both = pooled(first, source(&second));
        let all = pooled(both, source("course = [\"pushed\", \"solid\"]\nkeys = [\"C\"]"));
        let names: Vec<&str> = all.course.iter().map(|part| part.drill.as_str()).collect();
        assert_eq!(names, ["solid", "pushed"]);
        assert_eq!(all.keys.len(), 3);
        assert_eq!((all.order, all.is_course()), (None, true));
        assert!(all.checked().is_ok());
    }
}
