//! Pages that keys share.

use std::collections::BTreeSet;

use quintfall::book::PageError;
use quintfall::canvas::{Block, Document, Kind, Mark, Page, Trace};
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::library;
use quintfall::glyphs::Sign;
use quintfall::recipe::{CourseDrill, DocumentForm, Paper, Recipe};
use quintfall::theory::AskedKey;

use crate::{document, short};

/// The keys that small headings name on each page of a handout, in order.
fn shared(document: &Document) -> Vec<Vec<String>> {
    let on = |page: &Page| {
        if music(page).0 == 0 {
            return Vec::new();
        }
        let small = page.blocks.iter().filter(|block| block.kind == Kind::Heading(3));
        let name = |block: &Block| match &block.marks[..] {
            [Mark::Trace(Trace::Text { text, .. }, _), ..] => text.to_string(),
            other => panic!("{other:?}"),
        };
        small.map(name).collect()
    };
    document.pages.iter().map(on).collect()
}

/// How many systems stand on a page, and the size of their staves.
fn music(page: &Page) -> (usize, BTreeSet<i64>) {
    let clefs = page.marks().filter_map(|mark| match mark {
        Mark::Trace(Trace::Sign { sign: Sign::GClef, size, .. }, _) => Some((size * 1000.0) as i64),
        _ => None,
    });
    (page.blocks.iter().filter(|block| block.kind == Kind::System).count(), clefs.collect())
}

/// Every short drill on every paper: so many keys a page as were asked for, or a refusal that
/// names the most that fit; and all pages are set alike.
#[test]
fn keys_share_pages_as_many_as_were_asked_for() {
    let keys: Vec<AskedKey> = ["C", "Db", "F#", "A", "Eb"].map(|key| key.parse().unwrap()).to_vec();
    let (mut printed, mut refused) = (0, 0);
    for (drill, text) in short::drills() {
        for paper in Paper::ALL {
            for asked in 1..=4 {
                let recipe = Recipe {
                    form: DocumentForm::Handout,
                    drill: drill.clone(),
                    template: Some(text.clone()),
                    keys: keys.clone(),
                    paper,
                    keys_a_page: Some(asked),
                    ..Recipe::default()
                };
                let at = format!("{drill} on {paper:?}, {asked} to a page");
                let document = match pipeline::document(&recipe) {
                    Ok(document) => document,
                    Err(PipelineError::Page(PageError::TooManyKeys { most, .. })) => {
                        assert!(most > 0 && most < asked as usize, "{at}: {most}");
                        let most = Recipe { keys_a_page: Some(most as u32), ..recipe };
                        assert!(pipeline::document(&most).is_ok(), "{at}: {most:?} was said to do");
                        refused += 1;
                        continue;
                    }
                    Err(error) => panic!("{at}: {error}"),
                };
                printed += 1;
                if asked == 1 {
                    assert!(shared(&document).iter().all(Vec::is_empty), "{at}");
                    continue;
                }
                let counts: Vec<usize> = shared(&document).iter().map(Vec::len).collect();
                let mut expected = vec![asked as usize; keys.len() / asked as usize];
                if !keys.len().is_multiple_of(asked as usize) {
                    expected.push(keys.len() % asked as usize);
                }
                assert_eq!(counts, expected, "{at}");
                let whole = music(&document.pages[0]);
                let same = music(&document.pages[keys.len() / asked as usize - 1]);
                assert_eq!(whole, same, "{at}: other systems or staves");
            }
        }
    }
    println!("{printed} printed, {refused} refused");
    assert!(printed > 150 && refused > 10, "{printed} printed, {refused} refused");
}

/// Four bars in all twelve keys are a few pages, and the drill that fills a page is as before.
#[test]
fn short_keys_share_pages_of_themselves_and_long_ones_do_not() {
    let mut pages = Vec::new();
    for (drill, text) in short::drills() {
        let recipe = Recipe {
            form: DocumentForm::Handout,
            drill,
            template: Some(text),
            ..Recipe::default()
        };
        let document = document(&recipe);
        let headings: Vec<String> = shared(&document).concat();
        assert!(headings.is_empty() || headings.len() == 12, "{}: {headings:?}", recipe.drill);
        pages.push(document.pages.len());
    }
    pages.sort_unstable();
    println!("{pages:?}");
    assert!(pages[0] <= 4 && pages[pages.len() / 2] <= 6, "{pages:?}");
    for (drill, _) in library::all() {
        let drill = drill.to_owned();
        let document =
            document(&Recipe { form: DocumentForm::Handout, drill, ..Recipe::default() });
        assert!(document.pages.len() >= 12 && shared(&document).concat().is_empty());
    }
}

/// A shared page points to the first key of the next page; links and bookmarks lead to the page
/// that a key stands on.
#[test]
fn links_of_shared_pages_lead_to_the_pages_of_their_keys() {
    let (drill, text) = short::drills().swap_remove(1);
    let recipe = Recipe { drill, template: Some(text), keys_a_page: Some(2), ..Recipe::default() };
    let document = document(&recipe);
    let shared = shared(&document);
    let music: Vec<usize> = (0..shared.len()).filter(|page| !shared[*page].is_empty()).collect();
    assert_eq!(music.len(), 6);
    let keys = &document.about.outline.iter().find(|entry| entry.title == "Keys").unwrap().children;
    for (index, key) in keys.iter().enumerate() {
        assert_eq!(key.page, music[index / 2], "{}", key.title);
        let letter = key.title.chars().next().unwrap().to_string();
        assert_eq!(shared[key.page][index % 2], letter, "{}", key.title);
    }
    for (place, page) in music.iter().enumerate() {
        let [next] = document.pages[*page].links.as_slice() else { panic!("one link") };
        assert_eq!(next.target, *music.get(place + 1).unwrap_or(&music[0]));
    }
    let contents = &document.pages[1];
    let of_keys = contents.links.iter().filter(|link| link.about.ends_with(" major"));
    let targets: Vec<usize> = of_keys.map(|link| link.target).collect();
    assert_eq!(targets, keys.iter().map(|key| key.page).collect::<Vec<_>>());
}

/// In a course each drill has so many keys to a page at the most.
#[test]
fn the_drills_of_a_course_share_pages_as_far_as_they_can() {
    let (name, text) = short::drills().swap_remove(1);
    let short = CourseDrill { template: Some(text), ..CourseDrill::named(&name) };
    let drills = vec![CourseDrill::named("jazz-waltz"), short];
    let keys = ["C", "Db", "A"].map(|key| key.parse().unwrap()).to_vec();
    let course = Recipe {
        form: DocumentForm::Handout,
        drill: String::new(),
        course: drills,
        keys,
        keys_a_page: Some(3),
        ..Recipe::default()
    };
    let document = document(&course);
    let counts: Vec<usize> = shared(&document).iter().map(Vec::len).collect();
    assert_eq!(counts, [0, 0, 0, 3]);
}
