//! What several recipes ask for together: their drills, each in the keys that it has had.

use super::source::Source;
use crate::drill::library;
use crate::recipe::{AskedKey, CourseDrill, OwnSettings, Recipe, WHOLE_LIBRARY, is_path_of_drill};
use crate::source::plain::shortened;
use crate::source::{Advice, RecipeField as Field};

/// Most students that are named one by one.
const MOST_NAMED: usize = 3;

/// The drills of several recipes, each once for the hands that play it, in the keys that it has in
/// any of them.
pub(crate) struct Pool {
    drills: Vec<CourseDrill>,
    /// For whom they are, each once.
    students: Vec<String>,
    /// How many recipes there are.
    recipes: usize,
}

impl Pool {
    /// The drills of one recipe.
    pub(crate) fn of(source: &Source) -> Self {
        let mut pool = Self { drills: Vec::new(), students: Vec::new(), recipes: 0 };
        pool.add(source);
        pool
    }

    /// Adds the drills of another, and the keys that it has them in.
    pub(crate) fn add(&mut self, other: &Source) {
        self.recipes += 1;
        let student = other.recipe.student.as_deref().map(str::trim).filter(|it| !it.is_empty());
        if let Some(student) = student.filter(|it| self.students.iter().all(|own| own != it)) {
            self.students.push(student.to_owned());
        }
        for mut drill in drills(&other.recipe) {
            if drill.template.is_none() && is_path_of_drill(&drill.drill) {
                // It is found from the folder of its own recipe.
                let path = other.folder().join(&drill.drill);
                drill.drill = std::path::absolute(&path).unwrap_or(path).display().to_string();
            }
            let same =
                |own: &&mut CourseDrill| is_same(own, &drill) && own.own.hands == drill.own.hands;
            match self.drills.iter_mut().find(same) {
                Some(own) => add_keys(&mut own.own.keys, &drill.own.keys),
                None => self.drills.push(drill),
            }
        }
    }

    /// What is to be said where they are for several students, none of whom is named then unless
    /// `is_told` for whom it is.
    pub(crate) fn remark(&self, is_told: bool) -> Option<Advice> {
        if self.students.len() < 2 || is_told {
            return None;
        }
        let (named, rest) = self.students.split_at(self.students.len().min(MOST_NAMED));
        let mut names: Vec<String> =
            named.iter().map(|name| shortened(name).into_owned()).collect();
        let last = match rest.len() {
            0 => names.pop().unwrap_or_default(),
            more => format!("{more} more"),
        };
        let names = names.join(", ");
        let said =
            format!("the sheets are for {names} and {last}, so the review names none of them");
        let said = Advice::words(format!("{said}; to name one, write "));
        Some(said.give(Field::Student, &*self.students[0]))
    }

    /// A recipe with these drills in place of its own, for the student whom all of them are for;
    /// the same recipe where it is the only one.
    pub(crate) fn recipe(self, first: Recipe) -> Recipe {
        if self.recipes == 1 {
            return first;
        }
        let mut keys = Vec::new();
        self.drills.iter().for_each(|drill| add_keys(&mut keys, &drill.own.keys));
        let (drill, course) = (String::new(), self.drills);
        let student = self.students.into_iter();
        let student = if student.len() == 1 { student.last() } else { None };
        Recipe { drill, template: None, course, keys, student, order: None, ..first }
    }
}

/// A recipe that something was typed over, in which drills that were apart by their hands `before`,
/// and are no more, are one drill.
pub(crate) fn joined(before: &Recipe, mut typed: Recipe) -> Recipe {
    if before.course.len() != typed.course.len() {
        return typed;
    }
    let base = Recipe { template: None, course: Vec::new(), logo_data: None, ..typed.clone() };
    let mut kept: Vec<(CourseDrill, &CourseDrill)> = Vec::new();
    for (drill, old) in std::mem::take(&mut typed.course).into_iter().zip(&before.course) {
        let hands = drill.own.hands_in(&base);
        let same = |(own, own_old): &&mut (CourseDrill, &CourseDrill)| {
            let was_apart = own_old.own.hands_in(before) != old.own.hands_in(before);
            was_apart && own.own.hands_in(&base) == hands && is_same(own, &drill)
        };
        match kept.iter_mut().find(same) {
            Some((own, _)) if own.own.keys.is_empty() && drill.own.keys.is_empty() => {}
            Some((own, _)) => {
                let mut keys = own.own.over(base.clone()).keys;
                add_keys(&mut keys, &drill.own.over(base.clone()).keys);
                own.own.keys = keys;
            }
            None => kept.push((drill, old)),
        }
    }
    typed.course = kept.into_iter().map(|(drill, _)| drill).collect();
    typed
}

/// A recipe as a review has it: without what belongs to sheets, and, where it comes from a sheet of
/// another form, without what was written for that sheet alone.
pub(crate) fn for_review(recipe: Recipe, is_sheet: bool) -> Recipe {
    let is_of_sheet = is_sheet && recipe.form != crate::recipe::DocumentForm::Review;
    let own = |words: Option<String>| words.filter(|_| !is_of_sheet);
    Recipe {
        title: own(recipe.title),
        note: own(recipe.note),
        date: own(recipe.date),
        slip: false,
        watch: Vec::new(),
        tracks: None,
        tracks_at: None,
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
    let had = |own: &OwnSettings| {
        let Recipe { keys, hands, .. } = own.over(base.clone());
        OwnSettings { keys, hands: Some(hands), ..own.clone() }
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

    /// The drills of a recipe with their hands and their keys.
    fn told(all: &Recipe) -> Vec<String> {
        let part = |part: &CourseDrill| {
            let keys: Vec<String> = part.own.keys.iter().map(ToString::to_string).collect();
            format!("{} {:?} {}", part.drill, part.own.hands_in(all), keys.join(" "))
        };
        all.course.iter().map(part).collect()
    }

    #[test]
    fn a_drill_for_other_hands_is_another() {
        let sheets = [
            "drill = \"solid\"\nkeys = [\"C\"]\nhands = \"left\"",
            "drill = \"solid\"\nkeys = [\"F\"]\nlevel = \"first-lesson\"",
            "drill = \"solid\"\nkeys = [\"F\"]\nhands = \"left\"",
            "keys = [\"D\"]\n[[course]]\ndrill = \"solid\"\nhands = \"right\"",
        ];
        let all = pooled(&sheets);
        assert_eq!(told(&all), ["solid Left C F", "solid Right F D"]);
        assert!(all.clone().checked().is_ok());
        // Where all of them are to be played with the same hands, it is one drill.
        let typed = Recipe { hands: crate::recipe::Hands::Left, ..all.clone() };
        let typed = Recipe {
            course: typed
                .course
                .iter()
                .cloned()
                .map(|part| {
                    let own = OwnSettings { hands: None, ..part.own };
                    CourseDrill { own, ..part }
                })
                .collect(),
            ..typed
        };
        assert_eq!(told(&joined(&all, typed.clone())), ["solid Left C F D"]);
        // A drill that was there twice from the start stays a mistake.
        assert_eq!(joined(&typed, typed.clone()), typed);
        assert!(typed.checked().is_err());
    }

    #[test]
    fn a_review_is_for_the_student_whom_all_sheets_are_for() {
        let sheet = |name: &str| format!("keys = [\"C\"]\nstudent = \"{name}\"");
        let [ada, ben, nobody] = ["Ada", " Ben", " "].map(sheet);
        for (sheets, student) in [
            ([&ada, &nobody, &ada], Some("Ada")),
            ([&nobody, &nobody, &ada], Some("Ada")),
            ([&ada, &ben, &nobody], None),
            ([&nobody, &nobody, &nobody], None),
        ] {
            let made = pooled(&sheets.map(String::as_str));
            assert_eq!(made.student.as_deref(), student, "{sheets:?}");
        }
        let said = |sheets: &[&str], is_told| {
            let mut pool = Pool::of(&source(sheets[0]));
            sheets[1..].iter().for_each(|sheet| pool.add(&source(sheet)));
            pool.remark(is_told).map(|said| said.to_string())
        };
        let words = "the sheets are for Ada and Ben, so the review names none of them; to name one, \
                     write student = \"Ada\"";
        assert_eq!(said(&[&ada, &ben, &ada], false).as_deref(), Some(words));
        assert_eq!(said(&[&ada, &ben], true), None);
        assert_eq!(said(&[&ada, &nobody], false), None);
        let five = ["Ada", "Ben", "Cy", "Di", "Ed"].map(sheet);
        let all = said(&five.each_ref().map(String::as_str), false).unwrap();
        assert!(all.starts_with("the sheets are for Ada, Ben, Cy and 2 more, so"), "{all}");
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
