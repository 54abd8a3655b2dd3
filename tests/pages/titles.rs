//! Titles and names: whatever they are, they find their place or are refused.

use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::recipe::{DocumentForm, Recipe};
use quintfall::source::Complaint;

use super::{document, words};

#[track_caller]
fn refused(recipe: &Recipe) -> String {
    match pipeline::document(recipe) {
        Err(PipelineError::Page(error)) => Complaint::from(error).to_string(),
        Err(other) => panic!("{other}"),
        Ok(_) => panic!("not refused"),
    }
}

#[test]
fn a_title_of_any_reasonable_length_finds_its_place() {
    let word = "seventh ";
    for letters in (8..=120).step_by(8) {
        for form in [DocumentForm::Workbook, DocumentForm::Handout] {
            let title: String = word.chars().cycle().take(letters).collect();
            let recipe = Recipe { form, title: Some(title.trim().to_owned()), ..Recipe::default() };
            let document = document(&recipe);
            assert_eq!(document.about.title, title.trim());
        }
    }
}

#[test]
fn words_too_wide_for_the_page_are_refused_by_the_name_of_their_field() {
    let wide = Some("W".repeat(120));
    let told = "is too long for its place on the page; shorten it";
    let title = Recipe { title: wide.clone(), ..Recipe::default() };
    assert_eq!(refused(&title), format!("title {told}"));
    for form in [DocumentForm::Workbook, DocumentForm::Handout] {
        let student = Recipe { form, student: wide.clone(), ..Recipe::default() };
        assert_eq!(refused(&student), format!("student {told}"));
        let studio = Recipe { form, studio: wide.clone(), ..Recipe::default() };
        assert_eq!(refused(&studio), format!("studio {told}"));
    }
}

#[test]
fn a_character_that_no_face_can_show_is_named() {
    let recipe = Recipe { studio: Some("Keys 鍵盤".to_owned()), ..Recipe::default() };
    let told = "studio has '鍵' (U+9375), which the text face cannot show; leave it out";
    assert_eq!(refused(&recipe), told);
}

#[test]
fn accidentals_in_a_title_are_signs_of_the_music_face() {
    let recipe = Recipe { title: Some("From E♭ to F♯".to_owned()), ..Recipe::default() };
    let document = document(&recipe);
    let words = words(&document.pages[0]);
    assert!(words.contains(&"From E") && words.contains(&"to F"), "{words:?}");
}
