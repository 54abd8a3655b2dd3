//! Courses whose drills have keys and tempi of their own: what is said of them, what they are called.

use std::collections::BTreeSet;

use quintfall::canvas::{Document, Kind, Mark, Trace};
use quintfall::desk::pipeline;
use quintfall::recipe::Recipe;

use super::desk::Desk;
use super::tree::tree;

/// A course whose drills have all the keys of their own, and a key that none of them has.
const OWN: &str = "keys = [\"C\"]\n[[course]]\ndrill = \"solid\"\nkeys = [\"D\", \"A\"]\n\
                   [[course]]\ndrill = \"natural-minor\"\nkeys = [\"G minor\", \"D minor\"]\n";

fn document(text: &str) -> Document {
    pipeline::document(&Recipe::from_toml(text, "it").unwrap()).unwrap()
}

fn texts(marks: &[Mark]) -> Vec<&str> {
    let text = |mark: &'_ Mark| matches!(mark, Mark::Trace(Trace::Text { .. }, _));
    let texts = marks.iter().filter(|mark| text(mark));
    texts
        .filter_map(|mark| match mark {
            Mark::Trace(Trace::Text { text, .. }, _) => Some(text.as_str()),
            _ => None,
        })
        .collect()
}

#[test]
fn a_course_is_counted_and_named_by_the_keys_that_its_drills_have() {
    let desk = Desk::new().with("own.toml", OWN);
    let said = desk.does(&["workbook", "own.toml"]);
    assert!(said.starts_with("wrote workbook-course-D-A-G-minor-80.pdf: "), "{said}");
    assert!(said.contains("2 drills, 4 keys"), "{said}");
    let said = desk.does(&["handout", "own.toml"]);
    assert!(said.starts_with("wrote handout-course-D-A-G-minor-80.pdf: "), "{said}");
    // No key is needed where every drill has its own.
    let keyless = OWN.replace("keys = [\"C\"]\n[[", "[[");
    let desk = desk.with("keyless.toml", keyless);
    let said = desk.does(&["handout", "keyless.toml", "-o", "k.pdf"]);
    assert!(said.contains("2 drills, 4 keys"), "{said}");
    let half = "course = [\"pushed\"]\n".to_owned();
    let desk = desk.with("half.toml", half).with("a.csv", "name\nAda\n");
    desk.refuses(&["handout", "half.toml"], "half.toml: a handout needs a key; write --keys Eb");
    // The same of a class.
    desk.does(&["class", "a.csv", "--recipe", "keyless.toml"]);
    assert!(tree(&desk.path("a")).contains_key("Ada/handout-course-D-A-G-minor-Ada-80.pdf"));
    // Keys that are typed are for all drills.
    let said = desk.does(&["handout", "own.toml", "--keys", "E", "-o", "e.pdf"]);
    assert!(said.contains("2 drills, 1 key"), "{said}");
}

/// The cover, the contents and the tables of chords tell the keys of the sheets and no others.
#[test]
fn a_workbook_tells_the_keys_of_its_sheets_and_no_others() {
    let document = document(OWN);
    let cover = &document.pages[0];
    let ring = cover.blocks.iter().find(|block| block.words == "the keys on their ring").unwrap();
    assert!(texts(&ring.marks).contains(&"4"), "{:?}", texts(&ring.marks));
    let links: BTreeSet<&str> = cover.links.iter().map(|link| link.about.as_str()).collect();
    for key in ["D major", "A major", "G minor"] {
        assert!(links.contains(key), "{links:?}");
    }
    assert!(!links.contains("C major"), "{links:?}");
    // A table of chords has a row for each key of the drills that go through them.
    let mut tables = Vec::new();
    for page in &document.pages {
        let heading = page.blocks.iter().find(|block| block.kind == Kind::Heading(1));
        let title = heading.map(|block| texts(&block.marks).join(" ")).unwrap_or_default();
        if title.starts_with("The chords, spelled") {
            let rows = page.blocks.iter().filter(|block| block.kind == Kind::Row);
            tables.push(rows.map(|row| row.words.clone()).collect::<Vec<_>>());
        }
    }
    assert_eq!(tables, [["D major", "A major"], ["D minor", "G minor"]]);
}

#[test]
fn what_is_written_otherwise_is_told_of_own_keys_too() {
    let desk = Desk::new()
        .with("own.toml", "[[course]]\ndrill = \"natural-minor\"\nkeys = [\"Db\", \"C\"]\n");
    let said = desk.does(&["handout", "own.toml"]);
    assert!(said.starts_with("wrote handout-course-C-sharp-minor-C-minor-80.pdf"), "{said}");
    assert!(
        said.ends_with("D\u{266d} minor is printed as C\u{266f} minor, which sounds the same\n")
    );
}

/// Tempi of their own, written or those of a level, move with that of the course, and it is told;
/// goals stay until they are passed, as that of a course does.
#[test]
fn tempi_of_their_own_move_with_that_of_the_course() {
    let text = "tempo = 80\ngoal = 120\nkeys = [\"C\"]\n[[course]]\ndrill = \"solid\"\ntempo = 60\n\
                goal = 66\n[[course]]\ndrill = \"pushed\"\nlevel = \"beginner\"\n\
                [[course]]\ndrill = \"falling\"\n";
    let desk = Desk::new().with("own.toml", text);
    desk.does(&["handout", "own.toml", "-o", "a.pdf"]);
    let said = desk.does(&["retempo", "a.pdf", "--tempo", "90"]);
    let told = "drills with a tempo of their own go up by 10 too: solid from 60 to 70, pushed from 60 \
                to 70\n";
    assert!(said.ends_with(told), "{said}");
    let made = desk.recipe_in("a-90.pdf");
    let tempi = |recipe: &Recipe| -> Vec<(u16, Option<u16>)> {
        let course = pipeline::commission(recipe).unwrap().course;
        course.exercises.iter().map(|exercise| (exercise.tempo, exercise.goal)).collect()
    };
    assert_eq!(tempi(&made), [(70, Some(76)), (70, Some(120)), (90, Some(120))]);
    let said = desk.does(&["retempo", "a-90.pdf", "--tempo", "80", "-o", "b.pdf"]);
    assert!(said.contains("go down by 10 too"), "{said}");
    assert_eq!(tempi(&desk.recipe_in("b.pdf")), [(60, Some(76)), (60, Some(120)), (80, Some(120))]);
    // A course without any says nothing.
    desk.does(&["handout", "--drill", "solid,pushed", "--key", "C", "-o", "c.pdf"]);
    assert_eq!(desk.does(&["retempo", "c.pdf", "--tempo", "90"]).lines().count(), 1);
}

/// The contents of a workbook go through its pages in their order, whatever is among its sheets.
#[test]
fn contents_go_through_the_pages_in_their_order() {
    for every in [None, Some(1), Some(2), Some(5), Some(12)] {
        for (drill, slip) in [("solid", false), ("pushed", true)] {
            let log = every.map(|every| format!("log-every = {every}\n")).unwrap_or_default();
            let document = document(&format!("{log}slip = {slip}\ndrill = \"{drill}\"\n"));
            let pages: Vec<usize> =
                document.pages[1].links.iter().map(|link| link.target).collect();
            assert!(pages.len() > 12, "{pages:?}");
            assert!(pages.is_sorted(), "a log every {every:?} of {drill}: {pages:?}");
        }
    }
}

/// A log page for every so many sheets, and an order, are told where there is nothing for them.
#[test]
fn a_log_or_an_order_that_has_nothing_to_do_is_told() {
    let desk = Desk::new().with("six.toml", "keys = [\"C\"]\nlog-every = 6\n");
    let own = "[[course]]\ndrill = \"solid\"\nkeys = [\"D\", \"A\"]\n";
    let desk = desk.with("own.toml", own);
    let (pushed, own) = (["handout", "--key", "C"], ["handout", "own.toml"]);
    let one = "there is one sheet, so no page of the practice log comes after every 6\n";
    let order = "the order changes nothing, since there is one key\n";
    let of_own =
        "the order changes nothing, since each drill has keys of its own, in their own order\n";
    for (args, told) in [
        (&[&pushed[..], &["--log-every", "6"]].concat()[..], one),
        (&[&pushed[..], &["--log-every", "1"]].concat(), ""),
        (&[&pushed[..], &["--order", "shuffled"]].concat(), order),
        (&["handout", "--key", "C,F", "--order", "shuffled"], ""),
        (&[&own[..], &["--order", "shuffled"]].concat(), of_own),
        (&["workbook", "--key", "C", "--log-every", "6"], ""),
        // A recipe may serve several forms.
        (&["handout", "six.toml"], ""),
    ] {
        let said = desk.does(args);
        let lines: Vec<&str> = said.lines().skip(1).collect();
        assert_eq!(lines, told.lines().collect::<Vec<_>>(), "{args:?}");
    }
    // Keys that share a page are on one sheet.
    let many = ["handout", "--drill", "falling", "--keys", "C,F,Bb,Eb", "--keys-a-page", "2"];
    let said = desk.does(&[&many[..], &["--log-every", "3"]].concat());
    assert!(
        said.ends_with("there are 2 sheets, so no page of the practice log comes after every 3\n"),
        "{said}"
    );
    // Of a class it is told once.
    let desk = desk.with("a.csv", "name,keys,log-every\nAda,C,6\nBo,F,6\nCy,G,\n");
    let said = desk.does(&["class", "a.csv"]);
    assert!(said.ends_with(&one.replace('\n', " (row 2 and 1 more)\n")), "{said}");
}
