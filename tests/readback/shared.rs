//! Keys that share pages: every drill of the library made short, in all twelve keys.

use quintfall::canvas::{Document, Mark, Trace};
use quintfall::desk::pipeline;
use quintfall::glyphs::Sign;
use quintfall::recipe::{DocumentForm, Orientation, Paper, Recipe};

use crate::book::{check, document, keys, pdf};
use crate::papers::read_all;
use crate::short;

/// Every short drill in a form.
fn recipes(form: &Recipe) -> Vec<Recipe> {
    let drills = short::drills().into_iter();
    let recipe = |(drill, text)| Recipe { drill, template: Some(text), ..form.clone() };
    drills.map(recipe).collect()
}

fn handout() -> Recipe {
    Recipe { form: DocumentForm::Handout, keys: keys(&crate::ROUND), ..Recipe::default() }
}

#[test]
fn short_keys_read_back_from_pages_that_they_share() {
    let short = short::drills().len();
    let found = read_all(&recipes(&handout()));
    // Most of them share; none takes more than a page a key.
    assert!(found.pages < 9 * short, "{} pages", found.pages);
}

#[test]
fn shared_pages_read_back_in_other_forms() {
    let handout = Recipe { keys: keys(&["C", "Db", "F#", "A", "Eb"]), ..handout() };
    let forms = [
        Recipe { paper: Paper::Letter, keys_a_page: Some(2), ..handout.clone() },
        Recipe { orientation: Orientation::Landscape, ..handout.clone() },
        Recipe { booklet: true, form: DocumentForm::Workbook, ..handout },
    ];
    let recipes: Vec<Recipe> = recipes(&forms[0])
        .into_iter()
        .enumerate()
        .map(|(index, recipe)| {
            let form = forms[index % forms.len()].clone();
            Recipe { drill: recipe.drill, template: recipe.template, ..form }
        })
        .collect();
    let found = read_all(&recipes);
    assert!(found.pages < 4 * recipes.len(), "{} pages", found.pages);
}

/// What is exchanged or moved on a shared page is noticed.
#[test]
fn shared_pages_that_were_tampered_with_are_noticed() {
    let (drill, text) = short::drills().swap_remove(1);
    let recipe = Recipe {
        drill,
        template: Some(text),
        keys: keys(&["C", "Db", "F#", "A"]),
        keys_a_page: Some(2),
        ..handout()
    };
    let templates = pipeline::templates(&recipe).expect("sound templates");
    let read = |document: &Document| check(&pdf(document), &templates, &recipe.keys, &recipe);
    let mut whole = document(&recipe);
    assert_eq!(whole.pages.len(), 2);
    assert!(read(&whole).is_ok());
    let clefs = |mark: &&mut Mark| {
        matches!(mark, Mark::Trace(Trace::Sign { sign: Sign::NoteheadBlack, .. }, _))
    };
    let heads = whole.pages[0].marks_mut().filter(clefs).count();
    for place in [0, heads / 2, heads - 1] {
        let mut changed = document(&recipe);
        let head = changed.pages[0].marks_mut().filter(clefs).nth(place).expect("a head");
        head.shift(kurbo::Vec2::new(0.0, 2.5));
        assert!(read(&changed).is_err(), "head {place} of {heads}");
    }
    whole.pages.swap(0, 1);
    assert!(read(&whole).is_err(), "pages exchanged");
    let mut renamed = document(&recipe);
    for mark in renamed.pages[0].marks_mut() {
        if let Mark::Trace(Trace::Text { text, .. }, _) = mark
            && text == "D"
        {
            *text = "E".into();
        }
    }
    assert!(read(&renamed).is_err(), "another name over a key");
}
