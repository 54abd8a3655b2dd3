//! Courses: several drills in one document, each in its keys.

use std::collections::BTreeSet;

use quintfall::book::PageError;
use quintfall::canvas::paper;
use quintfall::canvas::{Bookmark, Document, Kind, Mark, Page, Trace};
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::library;
use quintfall::glyphs::Sign;
use quintfall::recipe::{
    CourseDrill, DocumentForm, KeyOrder, Orientation, OwnSettings, Paper, Recipe, StaffSize,
    WHOLE_LIBRARY,
};
use quintfall::source::Complaint;
use quintfall::theory::{AskedKey, Mode};

#[track_caller]
fn document(recipe: &Recipe) -> Document {
    pipeline::document(recipe).unwrap_or_else(|error| panic!("{error}"))
}

fn keys(words: &str) -> Vec<AskedKey> {
    words.split(' ').map(|word| word.parse().expect("a key")).collect()
}

fn course(drills: &[&str], tonics: &str) -> Recipe {
    let course = drills.iter().map(|drill| CourseDrill::named(drill)).collect();
    Recipe { drill: String::new(), course, keys: keys(tonics), ..Recipe::default() }
}

/// A course of many drills, all of them the same but for their names.
fn long_course(drills: usize, tonics: &str) -> Recipe {
    let text = library::find("on-the-beat").expect("a drill of the library");
    let drill = |number: usize| CourseDrill {
        drill: format!("drill-{number}"),
        own: OwnSettings::default(),
        template: Some(text.replace("\"on-the-beat\"", &format!("\"drill-{number}\""))),
    };
    let course = (1..=drills).map(drill).collect();
    Recipe { course, ..self::course(&[], tonics) }
}

/// A course of every drill of the library that has room on a paper by itself.
fn what_fits(paper: Paper, orientation: Orientation, tonics: &str) -> Recipe {
    let fits = |drill: &str| {
        let drill = drill.to_owned();
        let alone = Recipe { drill, keys: keys(tonics), paper, orientation, ..Recipe::default() };
        pipeline::document(&alone).is_ok()
    };
    let drills: Vec<&str> =
        library::all().map(|(name, _)| name).filter(|name| fits(name)).collect();
    assert_eq!(drills.len(), library::all().count(), "{drills:?}");
    Recipe { paper, orientation, ..course(&drills, tonics) }
}

/// The largest words of a page.
fn heading(page: &Page) -> &str {
    let sized = page.marks().filter_map(|mark| match mark {
        Mark::Trace(Trace::Text { text, size, .. }, _) => Some((text.as_str(), *size)),
        _ => None,
    });
    sized.reduce(|a, b| if b.1 > a.1 { b } else { a }).map_or("", |(text, _)| text)
}

fn labels(document: &Document) -> Vec<String> {
    document.pages.iter().map(|page| page.label.to_string()).collect()
}

/// The sizes of the staves of a page, from their clefs.
fn clefs(page: &Page) -> BTreeSet<i64> {
    let clefs = page.marks().filter_map(|mark| match mark {
        Mark::Trace(Trace::Sign { sign: Sign::GClef, size, .. }, _) => Some((size * 1000.0) as i64),
        _ => None,
    });
    clefs.collect()
}

#[test]
fn each_drill_opens_with_its_page_and_its_keys_follow() {
    let document = document(&course(&["on-the-beat", "pushed"], "C F"));
    assert_eq!(labels(&document), ["i", "ii", "iii", "iv", "1", "2", "3", "4", "5", "6", "7"]);
    let headings: Vec<&str> = document.pages.iter().map(heading).collect();
    let expected = [
        "A course of 2 drills",
        "Contents",
        "How to practise",
        "The chords, spelled",
        "Diatonic sevenths, on the beat",
        "C",
        "F",
        "Diatonic sevenths, pushed",
        "C",
        "F",
        "Practice log",
    ];
    assert_eq!(headings, expected);
}

/// The letters of a page, line by line from the top, accidentals left aside.
fn letters(page: &Page) -> Vec<String> {
    let mut words: Vec<(i64, i64, &str)> = page
        .marks()
        .filter_map(|mark| match mark {
            Mark::Trace(Trace::Text { text, at, .. }, _) => {
                Some(((-at.y * 100.0) as i64, (at.x * 100.0) as i64, text.as_str()))
            }
            _ => None,
        })
        .collect();
    words.sort_unstable();
    let lines = words.chunk_by(|a, b| a.0 == b.0);
    lines.map(|line| line.iter().map(|(.., text)| *text).collect::<String>()).collect()
}

/// Each degree's dominant in E, spelled: C♯7, D♯7, E7, F♯7, G♯7 (common practice, no source).
#[test]
fn dominants_that_lead_to_degrees_are_spelled_after_the_degrees() {
    let document = document(&course(&["secondary-dominants", "two-five-one-minor"], "C E"));
    let headings: Vec<&str> = document.pages[3..6].iter().map(heading).collect();
    let expected = [
        "The chords, spelled: major",
        "The chords, spelled: harmonic minor",
        "The chords, spelled: secondary dominants",
    ];
    assert_eq!(headings, expected);
    // The drills begin on a right page, which is numbered 1.
    let first =
        document.pages.iter().position(|page| page.label.to_string() == "1").expect("a first page");
    assert!(first.is_multiple_of(2) && first == 6, "page 1 is sheet {first}");
    let lines = letters(&document.pages[5]);
    for spelled in ["ACEGBDFACEGBDFACEGBD", "CEGBDFACEGBDFACEGBDF"] {
        assert!(lines.iter().any(|line| line.replace(' ', "") == spelled), "{spelled}: {lines:?}");
    }
}

#[track_caller]
fn leads_to(document: &Document, about: &str, target: usize) {
    let about = about.split_once(". ").map_or(about, |(_, title)| title);
    // A line of the contents also says how often a log comes.
    let about = about.split_once(", one after").map_or(about, |(title, _)| title);
    let expected = match about.split_once(' ') {
        Some((key, "major" | "minor")) => key.trim_end_matches(['♭', '♯']),
        _ => about,
    };
    assert_eq!(heading(&document.pages[target]), expected, "{about}");
}

#[track_caller]
fn leads_on(document: &Document, entries: &[Bookmark]) {
    for entry in entries.iter().filter(|entry| entry.title != "Cover") {
        leads_to(document, &entry.title, entry.page);
        leads_on(document, &entry.children);
    }
}

#[test]
fn links_and_bookmarks_lead_where_they_say() {
    let drills = ["solid", "natural-minor", "two-five-one-minor"];
    for orientation in [Orientation::Portrait, Orientation::Landscape] {
        let recipe = Recipe { orientation, ..course(&drills, "Db Gb B E") };
        let document = document(&recipe);
        for link in document.pages.iter().flat_map(|page| &page.links) {
            leads_to(&document, &link.about, link.target);
        }
        leads_on(&document, &document.about.outline);
        let minor = document.about.outline.iter().find(|entry| entry.title.starts_with("2. "));
        let minor = minor.expect("the second drill is in the outline");
        let titles: Vec<&str> = minor.children.iter().map(|key| key.title.as_str()).collect();
        assert_eq!(titles, ["C♯ minor", "F♯ minor", "B minor", "E minor"]);
        assert!(!minor.open);
    }
}

#[test]
fn the_last_key_of_a_drill_points_to_the_next_drill_and_others_to_the_next_key() {
    for form in [DocumentForm::Workbook, DocumentForm::Handout] {
        let document = document(&Recipe { form, ..course(&["on-the-beat", "pushed"], "C F Bb") });
        let pointers: Vec<Option<usize>> = document
            .pages
            .iter()
            .filter(|page| !clefs(page).is_empty())
            .map(|page| page.links.first().map(|link| link.target))
            .collect();
        let expected = match form {
            DocumentForm::Workbook => [Some(6), Some(7), Some(8), Some(10), Some(11), None],
            _ => [Some(1), Some(2), Some(3), Some(4), Some(5), None],
        };
        assert_eq!(pointers, expected);
    }
}

#[test]
fn contents_of_any_length_show_the_page_of_every_key_of_every_drill() {
    for (drills, tonics, pages) in [(16, "C F Bb Eb Ab Db Gb B E A D G", 1), (48, "C F", 2)] {
        for paper in [Paper::A4, Paper::Letter] {
            let recipe = Recipe { paper, ..long_course(drills, tonics) };
            let document = document(&recipe);
            let contents: Vec<&Page> =
                document.pages.iter().filter(|page| heading(page) == "Contents").collect();
            assert_eq!(contents.len(), pages, "{drills} drills on {paper:?}");
            let links: Vec<_> = contents
                .iter()
                .flat_map(|page| page.links.iter().map(move |link| (*page, link)))
                .collect();
            assert_eq!(links.len(), 3 + drills * (1 + recipe.keys.len()));
            for (page, link) in links {
                let label = document.pages[link.target].label.to_string();
                let shown = page.marks().any(|mark| {
                    matches!(mark, Mark::Trace(Trace::Text { text, at, .. }, _)
                        if *text == label && link.area.contains(*at))
                });
                assert!(shown, "{}: {label}", link.about);
            }
        }
    }
}

/// Where the last line of the contents just fits on its page, or just does not.
#[test]
fn contents_take_the_pages_that_were_left_for_them() {
    for drills in 14..=40 {
        let document = document(&long_course(drills, "C"));
        for link in document.pages.iter().flat_map(|page| &page.links) {
            leads_to(&document, &link.about, link.target);
        }
        let contents = document.pages.iter().filter(|page| heading(page) == "Contents");
        let says = contents.clone().flat_map(|page| &page.links).map(|link| link.about.as_str());
        assert!(says.clone().any(|about| about == "Practice log"), "{drills} drills");
        assert_eq!(says.filter(|about| *about == "C major").count(), drills);
        let how_to = 1 + contents.count();
        assert_eq!(heading(&document.pages[how_to]), "How to practise", "{drills} drills");
    }
}

#[test]
fn a_drill_has_the_staves_that_it_has_alone() {
    for drill in ["solid", "enclosures"] {
        let alone = document(&Recipe {
            drill: drill.to_owned(),
            keys: keys("C Ab"),
            form: DocumentForm::Handout,
            ..Recipe::default()
        });
        let recipe =
            Recipe { form: DocumentForm::Handout, ..course(&["solid", "enclosures"], "C Ab") };
        let together = document(&recipe);
        let first = if drill == "solid" { 0 } else { 2 };
        for (page, other) in alone.pages.iter().zip(&together.pages[first..first + 2]) {
            assert_eq!(clefs(page), clefs(other), "{drill}");
        }
    }
}

#[test]
fn large_print_begins_every_key_of_every_drill_on_a_left_page() {
    let staff = StaffSize::of_mm(9.5).ok();
    let document = document(&Recipe { staff, ..course(&["on-the-beat", "pushed"], "C F Bb") });
    let keys: Vec<&Bookmark> =
        document.about.outline.iter().flat_map(|entry| entry.children.iter()).collect();
    assert_eq!(keys.len(), 6);
    for key in keys {
        assert!(key.page % 2 == 1, "{} stands on page {}", key.title, key.page);
        assert!(!clefs(&document.pages[key.page + 1]).is_empty(), "{} goes on", key.title);
    }
    let logs = document.pages.iter().filter(|page| heading(page) == "Practice log");
    // One lets the second drill begin on a left page; a course always ends with one.
    assert_eq!(logs.count(), 2);
}

#[test]
fn nothing_of_a_course_is_printed_where_printers_do_not_reach() {
    for paper in Paper::ALL {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            let recipe = what_fits(paper, orientation, "C");
            let document = document(&recipe);
            let safe = paper::size(paper, orientation).to_rect().inset(-paper::UNPRINTED);
            for page in &document.pages {
                for mark in page.marks() {
                    assert!(safe.contains_rect(mark.bounds()), "page {}: {mark:?}", page.label);
                }
            }
        }
    }
}

#[test]
fn words_of_front_and_opening_pages_keep_apart() {
    for paper in Paper::ALL {
        for orientation in [Orientation::Portrait, Orientation::Landscape] {
            let recipe = what_fits(paper, orientation, "C F");
            for page in document(&recipe).pages.iter().filter(|page| clefs(page).is_empty()) {
                let words =
                    page.marks().filter(|mark| matches!(mark, Mark::Trace(Trace::Text { .. }, _)));
                let inks: Vec<_> = words.map(Mark::bounds).collect();
                for (index, ink) in inks.iter().enumerate() {
                    for other in &inks[index + 1..] {
                        let shared = ink.intersect(*other);
                        let touch = shared.width() > 0.3 && shared.height() > 0.3;
                        assert!(!touch, "page {}: {ink:?} and {other:?}", page.label);
                    }
                }
            }
        }
    }
}

#[test]
fn a_course_carries_all_its_drills() {
    let first = document(&course(&[WHOLE_LIBRARY], "C"));
    let carried = Recipe::from_json(&first.about.recipe, "the document").unwrap();
    assert!(carried.course.iter().all(|part| part.template.is_some()));
    assert_eq!(carried.course.len(), library::all().count());
    assert!(document(&carried) == first, "the carried recipe makes the same document");
}

#[test]
fn drills_that_cannot_stand_in_a_course_are_refused_by_name() {
    let refused =
        |recipe: &Recipe| Complaint::from(pipeline::document(recipe).unwrap_err()).to_string();
    let twice = course(&["pushed", WHOLE_LIBRARY], "C");
    assert_eq!(
        refused(&twice),
        "two drills are named `pushed`; keep one of them, or name the other one anew"
    );
    let unknown = course(&["solid", "pushd"], "C");
    assert_eq!(refused(&unknown), "unknown drill `pushd`; did you mean `pushed`?");
    let mut wide = long_course(2, "C");
    let template = wide.course[1].template.as_mut().unwrap();
    *template = template.replace("Diatonic sevenths, on the beat", &"W".repeat(120));
    let error = pipeline::document(&wide).unwrap_err();
    assert!(
        matches!(&error, PipelineError::Page(PageError::InDrill { drill, .. }) if drill == "drill-2"),
        "{error}"
    );
}

#[test]
fn keys_keep_their_order_in_every_drill() {
    let recipe = course(&["on-the-beat", "pushed"], "C D E F");
    let shuffled = Recipe { order: Some(KeyOrder::Shuffled), seed: Some(3), ..recipe };
    let shuffled = shuffled.checked().unwrap();
    let document = document(&shuffled);
    for drill in document.about.outline.iter().filter(|entry| !entry.children.is_empty()) {
        let titles: Vec<String> = drill.children.iter().map(|key| key.title.clone()).collect();
        let expected: Vec<String> =
            shuffled.keys.iter().map(|key| key.in_mode(Mode::Major).words()).collect();
        assert_eq!(titles, expected);
    }
}

/// The music of the pages of a document, page by page.
fn music(document: &Document) -> Vec<Vec<&Mark>> {
    let of = |page: &'_ Page| -> bool { !clefs(page).is_empty() };
    let own = document.pages.iter().filter(|page| of(page));
    let systems = own.map(|page| {
        let systems = page.blocks.iter().filter(|block| block.kind == Kind::System);
        systems.flat_map(|block| &block.marks).collect()
    });
    systems.collect()
}

/// Keys, a level, tempi and hands of its own make the sheets of a drill what they are in a course of
/// it alone for which they were chosen; they leave the other drills as they are.
#[test]
fn what_a_drill_has_of_its_own_is_for_its_sheets_alone() {
    let text = "form = \"handout\"\ntempo = 90\ngoal = 120\nkeys = [\"C\", \"Ab\"]\n\
                [[course]]\ndrill = \"solid\"\ntempo = 60\nhands = \"left\"\n\
                [[course]]\ndrill = \"pushed\"\nlevel = \"beginner\"\nkeys = [\"G\", \"C\", \"D\"]\n\
                [[course]]\ndrill = \"falling\"\n\
                [[course]]\ndrill = \"natural-minor\"\nkeys = [\"Bb minor\"]\ngoal = 100\n";
    let recipe = Recipe::from_toml(text, "it").unwrap();
    let whole = document(&recipe);
    let mut each = Vec::new();
    for part in &recipe.course {
        let alone = Recipe { course: vec![CourseDrill::named(&part.drill)], ..recipe.clone() };
        let alone = part.own.over(alone);
        each.push(document(&Recipe { order: None, ..alone }));
    }
    let parts: Vec<Vec<&Mark>> = each.iter().flat_map(music).collect();
    assert_eq!(music(&whole), parts);
    let children: Vec<Vec<&str>> = whole
        .about
        .outline
        .iter()
        .map(|drill| drill.children.iter().map(|key| key.title.as_str()).collect())
        .collect();
    assert_eq!(children[1], ["G major", "C major", "D major"]);
    assert_eq!(children[2], ["C major", "A♭ major"]);
    assert_eq!(children[3], ["B♭ minor"]);
    // The sheet carries all of it, and so does the same at another tempo.
    let commission = pipeline::commission(&recipe).unwrap();
    let carried = Recipe::from_json(&commission.recipe.to_json(), "it").unwrap();
    let own: Vec<_> = carried.course.iter().map(|part| &part.own).collect();
    let written: Vec<_> = recipe.course.iter().map(|part| &part.own).collect();
    assert_eq!(own[..3], written[..3]);
    let toml = Recipe::from_toml(&carried.to_toml(), "it").unwrap();
    assert_eq!(toml, carried);
}

/// A contents table tells the pages of the keys that a drill has, and no others.
#[test]
fn contents_tell_the_keys_that_each_drill_has() {
    let text = "keys = [\"C\", \"F\"]\n[[course]]\ndrill = \"solid\"\n\
                [[course]]\ndrill = \"pushed\"\nkeys = [\"F\", \"D\"]\n";
    let document = document(&Recipe::from_toml(text, "it").unwrap());
    for page in &document.pages {
        for link in &page.links {
            leads_to(&document, &link.about, link.target);
        }
    }
    let contents = document.pages.iter().find(|page| heading(page) == "Contents").unwrap();
    let keys = |name: &str| contents.links.iter().filter(|link| link.about == name).count();
    assert_eq!(["C major", "F major", "D major"].map(keys), [1, 2, 1]);
}

#[test]
fn what_is_wrong_with_a_drill_of_a_course_is_told_with_its_place() {
    for (own, message) in [
        ("tempo = 900", "it, line 4: tempo 900 is out of range; write 20 to 400 beats a minute"),
        (
            "goal = 40",
            "it, line 2: drill `pushed`: goal 40 is slower than tempo 80; \
             raise the goal to 80 or more, or lower the tempo",
        ),
        (
            "hands = \"both\"",
            "it, line 4: unknown hands `both`; write one of together, right, left",
        ),
        (
            "keys = [\"F#\", \"Gb\"]",
            "drill `pushed`: keys has F♯ and G♭, which sound the same; keep one of them",
        ),
        (
            "paper = \"a5\"",
            "it, line 4: `paper` stands in a drill of the course; \
             it is for the whole recipe: write it above the first [[course]]",
        ),
    ] {
        let text = format!("keys = [\"C\"]\ntempo = 80\n[[course]]\ndrill = \"pushed\"\n{own}\n");
        let refused = Recipe::from_toml(&text, "it").unwrap_err().to_string();
        let message = message.replace("line 4", "line 5");
        assert!(refused.ends_with(message.trim_start_matches("it, line 2: ")), "{refused}");
    }
}

/// A log comes after every so many sheets, whatever drills they are of, and what follows a log is
/// found where it says; what is left at the end has one too.
#[test]
fn logs_come_after_every_so_many_sheets() {
    for form in [DocumentForm::Workbook, DocumentForm::Handout] {
        for every in 1..=7 {
            for paper in [Paper::A4, Paper::A5] {
                let own = course(&["pushed", "falling"], "C F Bb Eb Ab");
                let recipe = Recipe { form, paper, log_every: Some(every), ..own };
                let document = document(&recipe);
                let (mut since, mut keys) = (0, 0);
                for (index, page) in document.pages.iter().enumerate() {
                    if heading(page) == "Practice log" {
                        let is_last = index + 1 >= document.pages.len();
                        let is_second = heading(&document.pages[index - 1]) == "Practice log";
                        let is_front = keys == 0;
                        let is_due = since == every as usize || is_last || is_second || is_front;
                        assert!(is_due || paper == Paper::A5, "{since} of {every} on page {index}");
                        since = 0;
                    } else if !clefs(page).is_empty() && !heading(page).is_empty() {
                        let is_first =
                            page.blocks.iter().any(|block| block.kind == Kind::Heading(2));
                        since += usize::from(is_first);
                        keys += usize::from(is_first);
                        assert!(since <= every as usize, "no log after {since} of {every}");
                    }
                    for link in page.links.iter().filter(|_| form == DocumentForm::Workbook) {
                        leads_to(&document, &link.about, link.target);
                    }
                }
                assert_eq!(keys, 10, "{form:?} on {paper:?}");
                assert!(form == DocumentForm::Handout || since == 0, "the last sheets have no log");
            }
        }
    }
}

/// A plan of the term, slips and logs move the pages of everything else; whatever leads anywhere still
/// leads there.
#[test]
fn plans_of_a_term_and_slips_leave_every_way_right() {
    for (weeks, paper) in [(1, Paper::A4), (12, Paper::Letter), (40, Paper::A5)] {
        let own = course(&["solid", "pushed", "falling"], "C F Bb Eb");
        let (term, log_every) = (Some(weeks), Some(5));
        let recipe = Recipe { term, log_every, paper, slip: true, ..own };
        let document = document(&recipe);
        for link in document.pages.iter().flat_map(|page| &page.links) {
            leads_to(&document, &link.about, link.target);
        }
        leads_on(&document, &document.about.outline);
        let named = |name: &str| document.pages.iter().filter(|page| heading(page) == name).count();
        assert!(named("Term plan") > 0 && named("Return slips") > 0, "{weeks} weeks");
        let plan = document.pages.iter().filter(|page| heading(page) == "Term plan");
        let rows = plan.flat_map(|page| &page.blocks).filter(|block| block.kind == Kind::Row);
        assert_eq!(rows.count(), weeks as usize);
    }
}
