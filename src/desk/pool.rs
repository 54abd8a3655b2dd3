//! What several recipes ask for together: their drills, each in the keys that it has had.

use super::source::Source;
use crate::drill::library;
use crate::recipe::{AskedKey, CourseDrill, Own, Recipe, WHOLE_LIBRARY, is_path_of_drill};

/// The drills of several recipes, each once, in the keys that it has in any of them.
pub(crate) struct Pool {
    drills: Vec<CourseDrill>,
    /// How many recipes there are.
    recipes: usize,
}

impl Pool {
    /// The drills of one recipe.
    pub(crate) fn of(source: &Source) -> Self {
        let mut pool = Self { drills: Vec::new(), recipes: 0 };
        pool.add(source);
        pool
    }

    /// Adds the drills of another, and the keys that it has them in.
    pub(crate) fn add(&mut self, other: &Source) {
        self.recipes += 1;
        for mut drill in drills(&other.recipe) {
            if drill.template.is_none() && is_path_of_drill(&drill.drill) {
                // It is found from the folder of its own recipe.
                let path = other.folder().join(&drill.drill);
                drill.drill = std::path::absolute(&path).unwrap_or(path).display().to_string();
            }
            match self.drills.iter_mut().find(|own| is_same(own, &drill)) {
                Some(own) => add_keys(&mut own.own.keys, &drill.own.keys),
                None => self.drills.push(drill),
            }
        }
    }

    /// A recipe with these drills in place of its own; the same recipe where it is the only one.
    pub(crate) fn recipe(self, first: Recipe) -> Recipe {
        if self.recipes == 1 {
            return first;
        }
        let mut keys = Vec::new();
        self.drills.iter().for_each(|drill| add_keys(&mut keys, &drill.own.keys));
        let (drill, course) = (String::new(), self.drills);
        Recipe { drill, template: None, course, keys, order: None, ..first }
    }
}

/// A recipe as a review has it: without what belongs to sheets, and, where it comes from a sheet of
/// another form, without what was written for that sheet alone.
pub(crate) fn for_review(recipe: Recipe, is_sheet: bool) -> Recipe {
    let is_of_sheet = is_sheet && recipe.form != crate::recipe::Form::Review;
    let own = |words: Option<String>| words.filter(|_| !is_of_sheet);
    Recipe {
        title: own(recipe.title),
        note: own(recipe.note),
        date: own(recipe.date),
        slip: false,
        watch: Vec::new(),
        log_every: None,
        term: None,
        ..recipe
    }
}

/// Adds keys, of those that sound the same the one that stands first.
fn add_keys(keys: &mut Vec<AskedKey>, more: &[AskedKey]) {
    for key in more {
        if keys.iter().all(|own| own.place_in_round() != key.place_in_round()) {
            keys.push(*key);
        }
    }
}

/// The drills of a recipe, one or several, each with the keys and the hands that it has there.
fn drills(recipe: &Recipe) -> Vec<CourseDrill> {
    let alone =
        CourseDrill { template: recipe.template.clone(), ..CourseDrill::named(&recipe.drill) };
    let course = if recipe.is_course() { recipe.course.clone() } else { vec![alone] };
    let base = Recipe { template: None, course: Vec::new(), logo_data: None, ..recipe.clone() };
    let had = |own: &Own| {
        let Recipe { keys, hands, .. } = own.over(base.clone());
        Own { keys, hands: Some(hands), ..own.clone() }
    };
    let each = |part: CourseDrill| -> Vec<CourseDrill> {
        let own = had(&part.own);
        if part.drill == WHOLE_LIBRARY && part.template.is_none() {
            let drill = |(name, _)| CourseDrill { own: own.clone(), ..CourseDrill::named(name) };
            return library::all().map(drill).collect();
        }
        vec![CourseDrill { own, ..part }]
    };
    course.into_iter().flat_map(each).collect()
}

/// Whether two drills are one: by their text, which that of the library has too.
fn is_same(one: &CourseDrill, other: &CourseDrill) -> bool {
    let text = |drill: &CourseDrill| {
        drill.template.clone().or_else(|| library::find(&drill.drill).map(str::to_owned))
    };
    match (text(one), text(other)) {
        (Some(one), Some(other)) => one == other,
        _ => one.drill == other.drill,
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

    fn pooled(texts: &[&str]) -> Recipe {
        let first = source(texts[0]);
        let mut pool = Pool::of(&first);
        texts[1..].iter().for_each(|text| pool.add(&source(text)));
        pool.recipe(first.recipe.clone())
    }

    #[test]
    fn each_drill_comes_once_in_the_keys_that_it_has_had() {
        let text = library::find("solid").unwrap();
        let second =
            format!("keys = [\"F#\", \"Bb\"]\ndrill = \"solid\"\ntemplate = \'\'\'\n{text}\'\'\'");
        let third = "keys = [\"C\", \"G minor\"]\n[[course]]\ndrill = \"natural-minor\"\n\
                     [[course]]\ndrill = \"pushed\"\nkeys = [\"D\"]\nhands = \"left\"\n\
                     [[course]]\ndrill = \"solid\"\nkeys = [\"A\"]";
        let first = "drill = \"solid\"\nkeys = [\"C\", \"Gb\"]\norder = \"shuffled\"";
        let all = pooled(&[first, &second, third]);
        let had: Vec<String> = all
            .course
            .iter()
            .map(|part| {
                let keys: Vec<String> = part.own.keys.iter().map(ToString::to_string).collect();
                format!("{}: {}", part.drill, keys.join(" "))
            })
            .collect();
        assert_eq!(
            had,
            ["solid: C G\u{266d} B\u{266d} A", "natural-minor: C G minor", "pushed: D"]
        );
        assert_eq!((all.order, all.is_course()), (None, true));
        assert!(all.course.iter().all(|part| part.own.hands.is_some()));
        assert!(all.clone().checked().is_ok());
        // Alone, a recipe stays as it is.
        let alone = source(first).recipe;
        assert_eq!(pooled(&[first]), alone);
    }

    #[test]
    fn the_whole_library_is_its_drills() {
        let all = pooled(&["course = [\"all\"]\nkeys = [\"C\"]", "keys = [\"F\"]"]);
        assert_eq!(all.course.len(), library::all().count());
        let keys =
            |name: &str| all.course.iter().find(|part| part.drill == name).unwrap().own.keys.len();
        assert_eq!((keys("solid"), keys("pushed")), (1, 2));
    }
}
