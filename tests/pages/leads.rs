//! What leads where: links, bookmarks, the contents, and the pointers from sheet to sheet.

use quintfall::canvas::{Bookmark, Document, Mark, Trace};
use quintfall::desk::pipeline;
use quintfall::recipe::{DocumentForm, Recipe};
use quintfall::theory::{AskedKey, Key, Mode, Spelling};

use super::{document, heading, words};

/// Whether the page at an index is what a link or bookmark with these words should lead to.
#[track_caller]
fn leads_to(document: &Document, about: &str, target: usize) {
    let is_key = !about.contains(':') && !about.starts_with("Further chords");
    let modes = [" major", " minor", " dorian"];
    let key = modes.iter().find_map(|mode| about.strip_suffix(mode));
    let expected = match key.filter(|_| is_key) {
        Some(key) => key.trim_end_matches(['♭', '♯']),
        None => about,
    };
    // Keys that share a page have their headings over one another.
    let page = &document.pages[target];
    assert!(heading(page) == expected || words(page).contains(&expected), "{about}");
}

pub(super) fn links_and_bookmarks_lead_where_they_say(recipe: &Recipe, document: &Document) {
    for link in document.pages.iter().flat_map(|page| &page.links) {
        leads_to(document, &link.about, link.target);
    }
    let keys = match recipe.form {
        DocumentForm::Handout | DocumentForm::Review => &document.about.outline,
        DocumentForm::Workbook => {
            let (keys, others): (Vec<&Bookmark>, Vec<&Bookmark>) =
                document.about.outline.iter().partition(|entry| !entry.children.is_empty());
            let ([keys], [cover, others @ ..]) = (&keys[..], &others[..]) else {
                panic!("{:?}", document.about.outline)
            };
            // Chords that lead to degrees and those of no scale have tables of their own.
            let is_table = |entry: &&&Bookmark| {
                let titles = ["The chords, spelled", "Further chords"];
                titles.iter().any(|title| entry.title.starts_with(title))
            };
            let tables = others.iter().filter(is_table).count();
            assert!((1..=8).contains(&tables), "{tables} tables");
            let pages = 3 + tables;
            let is_log = |entry: &&&Bookmark| entry.title == "Practice log";
            let logs = others.iter().filter(is_log).count();
            assert!(cover.page == 0 && (1..=2).contains(&logs), "{logs} logs");
            assert_eq!(others.len() - logs + 1, pages);
            for entry in others {
                leads_to(document, &entry.title, entry.page);
            }
            &keys.children
        }
    };
    let mode = pipeline::templates(recipe).expect("library drills are sound")[0].mode;
    // The whole round asks for no key by name, so minor drills take the customary twelve.
    let is_whole = mode.signature() != Mode::Major && recipe.keys == Recipe::default().keys;
    let own = |key: &AskedKey| {
        let key = key.in_mode(mode);
        if is_whole { key.customary() } else { key }
    };
    let expected: Vec<String> = recipe.keys.iter().map(|key| own(key).words()).collect();
    let found: Vec<String> = keys.iter().map(|entry: &Bookmark| entry.title.clone()).collect();
    assert_eq!(found, expected);
    for entry in keys {
        leads_to(document, &entry.title, entry.page);
    }
}

#[test]
fn every_contents_line_is_a_link_and_shows_the_number_of_its_page() {
    let document = document(&Recipe::default());
    let contents = &document.pages[1];
    assert_eq!(contents.links.len(), 15);
    for link in &contents.links {
        let label = document.pages[link.target].label.to_string();
        let shown = contents.marks().any(|mark| {
            matches!(mark, Mark::Trace(Trace::Text { text, at, .. }, _) if *text == label && link.area.contains(*at))
        });
        assert!(shown, "{}: {label}", link.about);
    }
}

#[test]
fn each_sheet_points_to_the_one_after_it_and_the_last_to_the_first() {
    let document = document(&Recipe::default());
    for index in 4..16 {
        let [next] = document.pages[index].links.as_slice() else { panic!("one link") };
        assert_eq!(next.target, if index == 15 { 4 } else { index + 1 });
    }
}

/// A handout of some keys.
fn document_of(keys: &[&str]) -> Document {
    let keys = keys.iter().map(|key| key.parse().unwrap()).collect();
    document(&Recipe { form: DocumentForm::Handout, keys, ..Recipe::default() })
}

/// What the sheets of a handout of some keys say about where to go next, and whether the ring
/// of each has the head of an arrow.
fn pointers(keys: &[&str]) -> Vec<(String, bool)> {
    let document = document_of(keys);
    let told = document.pages.iter().map(|page| {
        let is_lead = |words: &&str| words.starts_with("Next") || words.starts_with("Again");
        let lead = words(page).into_iter().find(is_lead).unwrap_or_default().to_owned();
        // The stations and the disc are round; the head alone is a filled triangle up here.
        let has_head = page.marks().any(|mark| match mark {
            Mark::Trace(Trace::Fill(path), _) => {
                path.elements().len() == 4 && path.elements()[0].end_point().unwrap().y > 700.0
            }
            _ => false,
        });
        (lead, has_head)
    });
    told.collect()
}

#[test]
fn no_sheet_points_to_a_page_that_is_not_there() {
    let on = ("Next:".to_owned(), true);
    let again = ("Again from".to_owned(), true);
    let round = |has_arrow| ("Next in the round:".to_owned(), has_arrow);
    assert_eq!(pointers(&["Db"]), [round(true)]);
    assert_eq!(pointers(&["Eb", "F#"]), [on.clone(), round(false)]);
    assert_eq!(pointers(&["F", "C"]), [on.clone(), again.clone()]);
    let own = document_of(&["C", "Db", "E", "Ab", "B"]);
    let back = own.pages[4].links.first().expect("a link");
    assert_eq!(back.target, 0, "an order of one's own begins again where it began");
    let names = Key::round(Spelling::Customary).map(|key| key.tonic().plain());
    let whole: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut expected = vec![on; 11];
    expected.push(again);
    assert_eq!(pointers(&whole), expected);
}
