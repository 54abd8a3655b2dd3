//! Pages on demand: a book draws any of its pages by itself, and the same each time.

#[path = "short/mod.rs"]
mod short;

use std::collections::BTreeSet;

use quintfall::canvas::{Kind, Mark, Page, Trace};
use quintfall::desk::pipeline;
use quintfall::engrave::StaffSize;
use quintfall::glyphs::Sign;
use quintfall::output;
use quintfall::recipe::{CourseDrill, DocumentForm, Paper, Recipe};

/// A workbook, a course, large print on facing pages, a folded booklet, one of small pages, a
/// handout, and keys that share pages.
fn recipes() -> Vec<Recipe> {
    let course = ["solid", "pushed"].map(CourseDrill::named).to_vec();
    let large = StaffSize::of_mm(9.5).ok();
    let (drill, text) = short::drills().swap_remove(0);
    let short = Recipe { drill, template: Some(text), ..Recipe::default() };
    vec![
        short.clone(),
        Recipe { booklet: true, paper: Paper::A5, staff: large, ..Recipe::default() },
        Recipe { form: DocumentForm::Handout, keys_a_page: Some(2), ..short },
        Recipe::default(),
        Recipe { drill: String::new(), course, ..Recipe::default() },
        Recipe { staff: large, ..Recipe::default() },
        Recipe { booklet: true, ..Recipe::default() },
        Recipe { form: DocumentForm::Handout, ..Recipe::default() },
    ]
}

#[test]
fn a_page_is_the_same_whenever_it_is_asked_for() {
    for recipe in recipes() {
        let commission = pipeline::commission(&recipe).expect("a sound recipe");
        let book = commission.book().expect("room for it");
        let whole = book.document().expect("room for its words");
        assert_eq!(whole.pages.len(), book.pages());
        // Asked for again, backwards, and from a book of which no other page was drawn.
        let other = commission.book().expect("room for it");
        for index in (0..book.pages()).rev().step_by(3) {
            let page = &whole.pages[index];
            assert_eq!(&book.page(index).expect("a page"), page, "page {index} once more");
            assert_eq!(&other.page(index).expect("a page"), page, "page {index} by itself");
        }
    }
}

#[test]
fn every_block_says_what_it_is_and_systems_what_they_hold() {
    for recipe in recipes() {
        let document = pipeline::document(&recipe).expect("a sound recipe");
        for page in &document.pages {
            assert!(page.blocks.iter().all(|block| !block.marks.is_empty()), "{}", page.label);
            let systems = page.blocks.iter().filter(|block| block.kind == Kind::System);
            assert!(systems.clone().all(|block| block.words.contains("bar")), "{}", page.label);
            let music = page.marks().any(|mark| match mark {
                Mark::Trace(Trace::Sign { sign, .. }, _) => *sign == Sign::GClef,
                _ => false,
            });
            assert_eq!(systems.count() > 0, music, "page {}", page.label);
        }
    }
}

/// The key stands before its music, and the music before the page number.
#[test]
fn blocks_stand_in_reading_order() {
    let recipe = Recipe { form: DocumentForm::Handout, ..Recipe::default() };
    let document = pipeline::document(&recipe).expect("a sound recipe");
    for page in &document.pages {
        let place = |kind| page.blocks.iter().position(|block| block.kind == kind);
        let last = page.blocks.iter().rposition(|block| block.kind == Kind::System);
        let (key, first) = (place(Kind::Heading(1)), place(Kind::System));
        assert!(key < first && first.is_some(), "page {}", page.label);
        assert_eq!(page.blocks.last().map(|block| block.kind), Some(Kind::Artifact));
        assert!(last < Some(page.blocks.len() - 1), "page {}", page.label);
    }
}

#[test]
fn a_page_as_svg_has_every_mark_and_every_block_with_its_words() {
    let recipe = Recipe { student: Some("A & <B>".to_owned()), ..Recipe::default() };
    let document = pipeline::document(&recipe).expect("a sound recipe");
    let mut kinds = BTreeSet::new();
    for page in &document.pages {
        let svg = output::svg(&document.about, page).expect("a drawing");
        let count = |what: &str| svg.matches(what).count();
        assert_eq!(count("<g class="), page.blocks.len(), "page {}", page.label);
        assert_eq!(count("</g>"), page.blocks.len() + 1);
        let described = page.blocks.iter().filter(|block| !block.words.is_empty()).count();
        assert_eq!(count("<title>"), 1 + described);
        let signs =
            page.marks().filter(|mark| matches!(mark, Mark::Trace(Trace::Sign { .. }, _))).count();
        assert!(count("<use ") >= signs, "page {}", page.label);
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"));
        assert!(!svg.contains("NaN") && !svg.contains("A & <B>"));
        kinds.extend(page.blocks.iter().map(|block| block.kind.word()));
        well_formed(&svg, page);
    }
    let expected = ["artifact", "figure", "heading", "paragraph", "row", "system", "table"];
    assert_eq!(kinds.into_iter().collect::<Vec<_>>(), expected);
}

/// Every element that is opened is closed, in order.
fn well_formed(svg: &str, page: &Page) {
    let mut open: Vec<&str> = Vec::new();
    for tag in svg.split('<').skip(1) {
        let tag = tag.split('>').next().expect("a tag ends");
        let name = tag.trim_start_matches('/').split([' ', '/']).next().expect("a tag has a name");
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "page {}", page.label);
        } else if !tag.ends_with('/') {
            open.push(name);
        }
    }
    assert_eq!(open, Vec::<&str>::new(), "page {}", page.label);
}
