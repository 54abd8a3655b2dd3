//! Every drill of the library, in many keys and in every form that it is printed in.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use quintfall::drill::library;
use quintfall::fingering::HandSize;
use quintfall::recipe::{
    Counts, CourseDrill, DocumentForm, FingeringMarks, Hands, Orientation, Paper, Recipe, StaffSize,
};
use quintfall::theory::{MajorStyle, MinorStyle, SymbolStyle};

use crate::book::{Found, assert_reads_back, keys};

/// Three keys with few signs and many, of both kinds; and rounds of all fifteen.
const SOME: [&str; 3] = ["C", "Db", "F#"];
const ALL: [&[&str]; 2] = [&crate::ROUND, &["F#", "C#", "Cb"]];

/// Whether the whole domain is asked for, rather than a spread of it.
fn is_whole() -> bool {
    std::env::var_os("QUINTFALL_LAWS").is_some_and(|laws| laws == "whole")
}

/// What all recipes print, read back on all processors.
pub(crate) fn read_all(recipes: &[Recipe]) -> Found {
    let next = AtomicUsize::new(0);
    let total = Mutex::new((Found::default(), Vec::new()));
    let worker = || {
        while let Some(recipe) = recipes.get(next.fetch_add(1, Ordering::Relaxed)) {
            let found = assert_reads_back(recipe);
            let mut total = total.lock().expect("no worker has failed");
            match found {
                Some(found) => total.0.add(&found),
                None => total.1.push(recipe),
            }
        }
    };
    thread::scope(|scope| {
        for _ in 0..thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(worker);
        }
    });
    let (found, refused) = total.into_inner().expect("no worker has failed");
    println!("{} documents, {} refused: {found:?}", recipes.len(), refused.len());
    // Each size that was asked for fits at least some drill.
    for recipe in &refused {
        let printed = recipes.iter().filter(|other| other.staff == recipe.staff).count();
        let without = refused.iter().filter(|other| other.staff == recipe.staff).count();
        assert!(without < printed, "staves of {:?} fit nothing", recipe.staff);
    }
    found
}

/// The ways to print: portrait and landscape, facing pages of both large staves, booklets of both
/// forms, small pages alone and folded.
fn forms() -> Vec<Recipe> {
    let handout = Recipe { form: DocumentForm::Handout, keys: keys(&SOME), ..Recipe::default() };
    let sized = |mm: f64| Some(StaffSize::of_mm(mm).expect("a size"));
    let landscape = Orientation::Landscape;
    vec![
        handout.clone(),
        Recipe { orientation: landscape, ..handout.clone() },
        Recipe { staff: sized(8.0), ..handout.clone() },
        Recipe { staff: sized(9.5), ..handout.clone() },
        Recipe { booklet: true, ..handout.clone() },
        Recipe { paper: Paper::A5, ..handout.clone() },
        Recipe { paper: Paper::A5, booklet: true, form: DocumentForm::Workbook, ..handout.clone() },
        Recipe { booklet: true, staff: sized(9.5), form: DocumentForm::Workbook, ..handout },
    ]
}

/// Every drill in forms, on papers, in keys.
fn domain(forms: &[Recipe], papers: &[Paper]) -> Vec<Recipe> {
    let mut recipes = Vec::new();
    for (drill, _) in library::all() {
        for form in forms {
            for paper in papers {
                let drill = drill.to_owned();
                // A form on a small page is on the small one of the two kinds.
                let paper = match (form.paper, paper) {
                    (Paper::A5, Paper::Letter) => Paper::HalfLetter,
                    (Paper::A5, _) => Paper::A5,
                    _ => *paper,
                };
                recipes.push(Recipe { drill, paper, ..form.clone() });
            }
        }
    }
    recipes
}

#[test]
fn every_drill_reads_back_in_every_form() {
    let papers: &[Paper] = if is_whole() { &[Paper::A4, Paper::Letter] } else { &[Paper::A4] };
    let mut recipes = domain(&forms(), papers);
    if is_whole() {
        for recipe in recipes.split_off(0) {
            recipes.extend(ALL.map(|round| Recipe { keys: keys(round), ..recipe.clone() }));
        }
    }
    let found = read_all(&recipes);
    assert!(found.tones.of_chord > 50 * recipes.len());
}

#[test]
fn the_drills_of_a_course_read_back_one_after_another() {
    let parts = ["solid", "jazz-waltz", "harmonic-minor"].map(CourseDrill::named);
    let course = Recipe { course: parts.to_vec(), keys: keys(&SOME), ..Recipe::default() };
    let booklet = Recipe { booklet: true, ..course.clone() };
    let found = read_all(&[course, booklet]);
    assert_eq!(found.pages, 2 * 3 * 3);
}

#[test]
fn every_drill_reads_back_with_every_choice() {
    let handout =
        Recipe { form: DocumentForm::Handout, keys: keys(&["A", "Gb"]), ..Recipe::default() };
    let (styles, counts, fingers) = (
        [SymbolStyle::Letters, SymbolStyle::Signs, SymbolStyle::Mixed],
        [Counts::All, Counts::FirstBar, Counts::None],
        [FingeringMarks::All, FingeringMarks::Changes, FingeringMarks::None],
    );
    let mut forms = Vec::new();
    for (index, fingering) in fingers.into_iter().enumerate() {
        for (other, counts) in counts.into_iter().enumerate() {
            // One of three styles with each pair, so that every pair of choices occurs.
            for (style, symbols) in styles.into_iter().enumerate() {
                if is_whole() || (index + other) % 3 == style {
                    forms.push(Recipe { fingering, counts, symbols, ..handout.clone() });
                }
            }
        }
    }
    for hands in [Hands::Left, Hands::Right] {
        forms.push(Recipe { hands, ..handout.clone() });
    }
    for (minor, major) in [(MinorStyle::Mi, None), (MinorStyle::Dash, Some(MajorStyle::Triangle))] {
        forms.push(Recipe { minor: Some(minor), major, ..handout.clone() });
    }
    for hand in HandSize::ALL {
        let fingering = FingeringMarks::All;
        forms.push(Recipe { hand, fingering, ..handout.clone() });
    }
    let mut recipes = domain(&forms, &[Paper::Letter]);
    if is_whole() {
        for recipe in recipes.split_off(0) {
            recipes.extend(ALL.map(|round| Recipe { keys: keys(round), ..recipe.clone() }));
        }
    }
    let found = read_all(&recipes);
    // Keys may share a page where little stands beside the notes.
    assert!(found.systems >= 4 * recipes.len());
}
