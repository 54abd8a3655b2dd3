//! Reviews of what a student has had, from her earlier sheets.

use std::collections::BTreeSet;

use quintfall::canvas::{Document, Kind, Mark, Trace};
use quintfall::desk::pipeline;

use super::desk::Desk;

/// The words at the head of each box that asks: its key and its drill.
fn asked(document: &Document) -> Vec<String> {
    let fronts = document.pages.iter().step_by(2).flat_map(|page| &page.blocks);
    let heads = fronts.filter(|block| block.kind == Kind::Heading(3));
    let words = |marks: &[Mark]| {
        let text = |mark: &Mark| match mark {
            Mark::Trace(Trace::Text { text, .. }, _) => Some(text.to_string()),
            _ => None,
        };
        let all: Vec<String> = marks.iter().filter_map(text).collect();
        all[1..].join("")
    };
    heads.map(|block| words(&block.marks)).collect()
}

fn sheets() -> Desk {
    let desk = Desk::new();
    for (name, drill, keys, student) in [
        ("1.pdf", "solid", "C,F", "Ada"),
        ("2.pdf", "pushed", "Gb", "Ada"),
        ("3.pdf", "natural-minor", "G minor", "Ada"),
        ("4.pdf", "solid", "F,D", "Ada"),
    ] {
        let args = ["handout", "--drill", drill, "--keys", keys, "--student", student, "-o", name];
        desk.does(
            &[&args[..], &["--note", "Of that week.", "--date", "1.2.", "--watch", "2"]].concat(),
        );
    }
    desk
}

/// Every box of a review asks for a drill in a key that the student has had it in, and all of them
/// are asked for once before any comes again.
#[test]
fn a_review_asks_for_what_a_student_has_had_and_nothing_else() {
    let desk = sheets();
    for (order, name) in [
        (["1.pdf", "2.pdf", "3.pdf", "4.pdf"], "a.pdf"),
        (["4.pdf", "3.pdf", "1.pdf", "2.pdf"], "b.pdf"),
    ] {
        let end = ["--boxes", "10", "--seed", "3", "-o", name];
        let said = desk.does(&[&["review"][..], &order, &end].concat());
        assert!(said.contains("3 drills, 5 keys"), "{said}");
        let told = "there are only 5 different boxes, a drill in a key each, so some of the 10 are \
                    alike\n";
        assert!(said.ends_with(told), "{said}");
        let recipe = desk.recipe_in(name);
        let document = pipeline::document(&recipe).unwrap();
        let asked = asked(&document);
        let (first, again) = asked.split_at(5);
        let pairs: BTreeSet<&String> = first.iter().collect();
        assert_eq!(pairs.len(), 5, "{asked:?}");
        assert_eq!(again.iter().collect::<BTreeSet<_>>(), pairs);
        assert_eq!((recipe.note, recipe.date, recipe.watch.len()), (None, None, 0));
        // Made again, it is the same.
        let twice = ["review", name, "--boxes", "10", "--seed", "3", "-o", "twice.pdf"];
        desk.does(&twice);
        assert!(desk.read("twice.pdf") == desk.read(name));
    }
    let old = ["review", "1.pdf", "--also", "2.pdf", "3.pdf", "4.pdf", "--boxes", "10"];
    desk.does(&[&old[..], &["--seed", "3", "-o", "old.pdf"]].concat());
    assert!(desk.read("old.pdf") == desk.read("a.pdf"));
    // Keys that are typed are for all drills.
    desk.does(&["review", "1.pdf", "2.pdf", "--keys", "A,E", "-o", "c.pdf"]);
    let document = pipeline::document(&desk.recipe_in("c.pdf")).unwrap();
    assert_eq!(asked(&document).len(), 4);
}

/// Whatever hands a drill was practised with, a review asks for it with these and no others, and says
/// so; the same drill for other hands is another question.
#[test]
fn a_review_asks_for_the_hands_that_were_practised() {
    let desk = Desk::new();
    let title = quintfall::drill::Template::parse(
        quintfall::drill::library::find("solid").unwrap(),
        "solid",
    );
    let title = title.unwrap().title;
    let sheets: [&[&str]; 5] = [
        &["--key", "C", "--hands", "left"],
        &["--key", "F", "--level", "first-lesson"],
        &["--key", "G"],
        &["--key", "F", "--hands", "left"],
        &["--key", "C", "--hands", "left"],
    ];
    let names: Vec<String> = (0..sheets.len()).map(|index| format!("{index}.pdf")).collect();
    for (options, name) in sheets.iter().zip(&names) {
        desk.does(&[&["handout", "--drill", "solid", "-o", name][..], options].concat());
    }
    let alone = |hand: &str| format!("{title}, {hand} hand alone");
    let practised: BTreeSet<(&str, String)> =
        [("C", alone("left")), ("F", alone("right")), ("G", title.clone()), ("F", alone("left"))]
            .into();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    for order in [names.clone(), names.iter().rev().copied().collect()] {
        desk.does(&[&["review"][..], &order, &["-o", "review.pdf"]].concat());
        let document = pipeline::document(&desk.recipe_in("review.pdf")).unwrap();
        let asked = asked(&document);
        assert_eq!(asked.len(), practised.len(), "{asked:?}");
        for (key, title) in &practised {
            let is_it = |words: &&String| words.starts_with(key) && words.ends_with(title.as_str());
            assert_eq!(asked.iter().filter(is_it).count(), 1, "{title} in {key}: {asked:?}");
        }
    }
    // A workbook of the same tells them apart, and hands that are typed are those of all.
    desk.does(&["workbook", "review.pdf", "-o", "workbook.pdf"]);
    let document = pipeline::document(&desk.recipe_in("workbook.pdf")).unwrap();
    let marks = document.about.outline.iter().map(|entry| entry.title.as_str());
    let drills: BTreeSet<&str> =
        marks.filter_map(|entry| Some(entry.split_once(". ")?.1)).collect();
    assert_eq!(drills, BTreeSet::from([&*title, &alone("left"), &alone("right")]));
    let said = desk.does(&["review", "review.pdf", "--hands", "left", "-o", "left.pdf"]);
    assert!(said.contains("1 drill, 3 keys"), "{said}");
    // The same drill for the same hands stays a slip.
    let desk = desk.with("twice.toml", "course = [\"solid\", \"solid\"]\nkeys = [\"C\"]\n");
    desk.refuses(
        &["review", "twice.toml"],
        "twice.toml, line 1: course has `solid` twice; keep one of them",
    );
}

/// A review of sheets of several students is headed by none of them unless that is typed.
#[test]
fn a_review_of_several_students_names_none_unasked() {
    let desk = Desk::new();
    for (name, student) in [("1.pdf", "Ada"), ("2.pdf", "Ben")] {
        desk.does(&["handout", "--key", "C", "--student", student, "-o", name]);
    }
    let said = desk.does(&["review", "1.pdf", "2.pdf", "-o", "both.pdf"]);
    let told = "the sheets are for Ada and Ben, so the review names none of them; to name one, write \
                --student Ada\n";
    assert!(said.ends_with(told), "{said}");
    assert_eq!(desk.recipe_in("both.pdf").student, None);
    let said = desk.does(&["review", "1.pdf", "2.pdf", "--student", "Cy", "-o", "cy.pdf"]);
    assert_eq!(
        (said.lines().count(), desk.recipe_in("cy.pdf").student.as_deref()),
        (1, Some("Cy"))
    );
}

/// Drills that write one key in two ways have two keys on paper, in whatever form.
#[test]
fn keys_are_counted_as_they_are_written() {
    let course = "[[course]]\ndrill = \"solid\"\nkeys = [\"C#\"]\n[[course]]\ndrill = \"pushed\"\n\
                  keys = [\"Db\"]\n";
    let desk = Desk::new().with("own.toml", course);
    for form in ["review", "handout", "workbook"] {
        let said = desk.does(&[form, "own.toml"]);
        let name = format!("wrote {form}-course-C-sharp-Db-80.pdf: ");
        assert!(said.starts_with(&name) && said.contains("2 drills, 2 keys"), "{said}");
    }
    let said = desk.does(&["review", "--course"]);
    assert!(said.contains("drills, 12 keys"), "{said}");
}

#[test]
fn a_review_has_the_words_of_its_teacher() {
    let desk = sheets();
    let words = ["--note", "Name it.\\nThen play it.", "--date", "7.12.", "--title", "Of the term"];
    desk.does(&[&["review", "1.pdf", "-o", "a.pdf"][..], &words].concat());
    let recipe = desk.recipe_in("a.pdf");
    let document = pipeline::document(&recipe).unwrap();
    let texts = |page: usize| -> Vec<String> {
        let text = |mark: &Mark| match mark {
            Mark::Trace(Trace::Text { text, .. }, _) => Some(text.to_string()),
            _ => None,
        };
        document.pages[page].marks().filter_map(text).collect()
    };
    for (page, title, has_note) in [(0, "Of the term", true), (1, "Of the term, answers", false)] {
        let texts = texts(page);
        let has = |words: &str| texts.iter().any(|text| text == words);
        assert!(has(title) && has("7.12.") && has("Ada"), "{texts:?}");
        assert_eq!((has("Name it."), has("Then play it.")), (has_note, has_note), "{texts:?}");
    }
    // The boxes of both sides stand at one height.
    let tops = |page: usize| -> BTreeSet<i64> {
        let boxes = document.pages[page].blocks.iter().filter(|it| it.kind == Kind::Heading(3));
        boxes.flat_map(|it| &it.marks).map(|mark| mark.bounds().y0.round() as i64).collect()
    };
    assert_eq!(tops(0), tops(1));
}

#[test]
fn what_changes_nothing_in_a_form_is_refused() {
    let desk = Desk::new();
    let review = ["review", "--drill", "solid", "--keys", "C"];
    let handout = ["handout", "--drill", "solid", "--keys", "C"];
    let workbook = ["workbook", "--drill", "solid", "--keys", "C"];
    for (form, options, others) in [
        (&review, &["--slip"][..], "a workbook or a handout"),
        (&review, &["--watch", "2"], "a workbook or a handout"),
        (&review, &["--goal", "120"], "a workbook or a handout"),
        (&review, &["--log-every", "2"], "a workbook or a handout"),
        (&review, &["--term", "12"], "a workbook"),
        (&handout, &["--term", "12"], "a workbook"),
        (&handout, &["--boxes", "3"], "a review"),
        (&workbook, &["--boxes", "3"], "a review"),
    ] {
        let (option, field) = (options[0], options[0].trim_start_matches('-'));
        desk.refuses(
            &[&form[..], options].concat(),
            &format!(
                "{option}: {field} changes nothing in a {}; leave it out, or make {others}",
                form[0]
            ),
        );
    }
    // A recipe may serve several forms.
    let desk =
        desk.with("spring.toml", "keys = [\"C\"]\nterm = 6\ndrill = \"solid\"\nwatch = [2]\n");
    desk.does(&["handout", "spring.toml"]);
    desk.does(&["review", "spring.toml"]);
    let said = desk.does(&["review", "--drill", "solid", "--keys", "C", "--boxes", "12"]);
    let told = "there is only one drill in one key to ask for, so all 12 boxes are alike\n";
    assert!(said.ends_with(told), "{said}");
    let said = desk.does(&["review", "--drill", "solid", "--keys", "C", "--boxes", "1"]);
    assert_eq!(said.lines().count(), 1, "{said}");
}
