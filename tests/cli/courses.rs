//! Several drills in one document, and what a lesson asks for.

use quintfall::drill::library;
use quintfall::fingering::{HandSize, Measure};
use quintfall::recipe::{Counts, FingeringMarks, Hands, KeyOrder, Level};

use super::desk::{Desk, pushed};

#[test]
fn the_whole_library_is_one_word_away() {
    let desk = Desk::new();
    let said = desk.does(&["workbook", "--course", "--key", "C"]);
    let drills = library::all().count();
    assert!(said.starts_with("wrote workbook-course-C-80.pdf: "), "{said}");
    assert!(said.ends_with(&format!(" pages, {drills} drills, 1 key, A4\n")), "{said}");
    let course = desk.recipe_in("workbook-course-C-80.pdf").course;
    let names: Vec<&str> = course.iter().map(|part| part.drill.as_str()).collect();
    assert_eq!(names, library::all().map(|(name, _)| name).collect::<Vec<_>>());
}

#[test]
fn drills_come_in_the_order_in_which_they_are_typed_with_files_among_them() {
    let mine = pushed().replace("name = \"pushed\"", "name = \"mine\"");
    let desk = Desk::new().with("mine.toml", &mine);
    let args = ["--drill", "pushed,mine.toml", "--drill", "solid", "--key", "C", "-o", "x.pdf"];
    desk.does(&[&["handout"][..], &args].concat());
    let made = desk.recipe_in("x.pdf");
    let names: Vec<&str> = made.course.iter().map(|part| part.drill.as_str()).collect();
    assert_eq!((made.drill.as_str(), names), ("", vec!["pushed", "mine.toml", "solid"]));
    assert_eq!(made.course[1].template.as_deref(), Some(mine.as_str()));
}

#[test]
fn a_course_is_made_again_from_its_pdf_or_its_recipe() {
    let desk = Desk::new();
    desk.does(&["workbook", "--drill", "solid,pushed", "--keys", "C,F", "-o", "one.pdf"]);
    let toml = desk.does(&["recipe", "one.pdf"]);
    let desk = desk.with("r.toml", toml);
    desk.does(&["workbook", "r.toml", "-o", "two.pdf"]);
    assert!(desk.read("one.pdf") == desk.read("two.pdf"));
    desk.does(&["retempo", "one.pdf", "--tempo", "66"]);
    let made = desk.recipe_in("one-66.pdf");
    assert_eq!((made.tempo, made.course), (66, desk.recipe_in("one.pdf").course));
    desk.does(&["handout", "one.pdf", "--drill", "falling", "--key", "C", "-o", "three.pdf"]);
    let made = desk.recipe_in("three.pdf");
    assert_eq!((made.drill.as_str(), made.course.len()), ("falling", 0));
}

#[test]
fn the_example_courses_make_their_workbooks() {
    let desk = Desk::new();
    for name in ["first-term", "graded", "whole-library"] {
        let path = format!("{}/templates/courses/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let said = desk.does(&["workbook", &path, "--key", "C", "-o", "x.pdf"]);
        assert!(said.contains(" drills, 1 key, A4"), "{name}: {said}");
    }
}

/// The graded course has every drill, from first lesson to last, and says of each what comes
/// before it: nothing rests on what comes later.
#[test]
fn the_graded_course_has_every_drill_after_those_that_it_rests_on() {
    let text = include_str!("../../templates/courses/graded.toml");
    let rows: Vec<(&str, &str)> =
        text.lines().filter_map(|line| line.trim().strip_prefix('"')?.split_once('"')).collect();
    let names: Vec<&str> = rows.iter().map(|(name, _)| *name).collect();
    assert_eq!(names, library::all().map(|(name, _)| name).collect::<Vec<_>>());
    let mut rested_on = 0;
    for (index, (name, remark)) in rows.iter().enumerate() {
        for earlier in remark.split('`').skip(1).step_by(2) {
            assert!(names[..index].contains(&earlier), "{name} rests on {earlier}");
            rested_on += 1;
        }
    }
    assert!(rested_on > 30, "{rested_on}");
}

#[test]
fn courses_that_cannot_stand() {
    let long: Vec<String> = (0..65).map(|number| format!("d{number}")).collect();
    let desk = Desk::new().with("mine.toml", pushed()).with("yours.toml", pushed());
    for (typed, message) in [
        ("pushed,pushd", "unknown drill `pushd`; did you mean `pushed`?"),
        ("pushed,solid,pushed", "course has `pushed` twice; keep one of them"),
        (
            "pushed,mine.toml",
            "mine.toml and another drill are both named `pushed`; change `name` in mine.toml",
        ),
        (
            "mine.toml,solid,yours.toml",
            "mine.toml and yours.toml are both named `pushed`; change `name` in one of them",
        ),
        (
            "pushed,",
            "course has a drill without a name; \
             write the name of a drill or the path of a drill file",
        ),
        (&long.join(","), "course has 65 drills; keep 64 or fewer"),
    ] {
        desk.refuses(&["workbook", "--drill", typed], &format!("--drill: {message}"));
    }
    desk.refuses(
        &["workbook", "--course", "--drill", "pushed"],
        "--course and --drill do not go together; keep one of them",
    );
}

#[test]
fn recipes_of_courses_with_a_fault_by_line_and_field() {
    for (recipe, message) in [
        ("course = []\n", "line 1: course is empty; write at least one drill, as in [\"pushed\"]"),
        (
            "\ncourse = [\"solid\", \"pushd\"]\n",
            "line 2: unknown drill `pushd`; did you mean `pushed`?",
        ),
        (
            "drill = \"pushed\"\ncourse = [\"solid\"]\n",
            "line 1: drill and course are both there; keep one of them",
        ),
        (
            "course = [\"solid\"]\ntemplate = \"x\"\n",
            "line 2: template and course are both there; keep one of them",
        ),
        ("course = [\"solid\", \"solid\"]\n", "line 1: course has `solid` twice; keep one of them"),
        (
            "course = \"solid\"\n",
            "line 1: field `course` is \"solid\"; \
             write a list, as in [\"on-the-beat\", \"pushed\"]",
        ),
        (
            "course = [5]\n",
            "line 1: the number 5 stands in the list of drills; write the name of a drill",
        ),
        (
            "[[course]]\ndrill = \"solid\"\npaper = \"a5\"\n",
            "line 3: `paper` stands in a drill of the course; \
             it is for the whole recipe: write it above the first [[course]]",
        ),
        (
            "seed = 5\n",
            "line 1: there is a seed but nothing to shuffle; \
             write order = \"shuffled\" or leave the seed out",
        ),
        (
            "order = \"random\"\n",
            "line 1: unknown order `random`; \
             write one of falling-fifths, rising-fifths, chromatic, shuffled",
        ),
    ] {
        let desk = Desk::new().with("r.toml", recipe);
        desk.refuses(&["workbook", "r.toml"], &format!("r.toml, {message}"));
    }
}

#[test]
fn a_drill_with_a_fault_inside_a_course_by_its_line_there() {
    let desk = Desk::new();
    desk.does(&["workbook", "--drill", "solid,pushed", "--keys", "C", "-o", "one.pdf"]);
    let toml = desk.does(&["recipe", "one.pdf"]);
    let figure = "figure = \"1 3 5 7\"";
    let place = toml.lines().position(|line| line.starts_with(figure)).unwrap() + 1;
    let desk = desk.with("r.toml", toml.replacen(figure, "figure = \"1 3 x 7\"", 1));
    let message = desk.refusal(&["workbook", "r.toml"]);
    assert!(message.starts_with(&format!("r.toml, line {place}: ")), "{message}");
}

#[test]
fn a_level_fills_in_what_is_not_typed() {
    let desk = Desk::new().with("r.toml", "level = \"advanced\"\ncounts = \"all\"\n");
    let args = ["handout", "--key", "C", "--level", "first-lesson", "--counts", "none"];
    desk.does(&[&args[..], &["-o", "x.pdf"]].concat());
    let made = desk.recipe_in("x.pdf");
    assert_eq!((made.level, made.tempo), (Some(Level::FirstLesson), 50));
    assert_eq!((made.counts, made.fingering), (Counts::None, FingeringMarks::All));
    assert_eq!(made.hands, Hands::Right);
    desk.does(&["handout", "r.toml", "--key", "C", "-o", "y.pdf"]);
    let made = desk.recipe_in("y.pdf");
    assert_eq!((made.tempo, made.counts), (100, Counts::All));
    assert_eq!(made.fingering, FingeringMarks::None);
    desk.does(&["handout", "y.pdf", "--level", "beginner", "-o", "z.pdf"]);
    assert_eq!(desk.recipe_in("z.pdf").fingering, FingeringMarks::FirstBars);
}

#[test]
fn keys_come_in_the_order_that_is_asked_for() {
    let desk = Desk::new();
    let order = |args: &[&str], name: &str| {
        desk.does(&[&["workbook"][..], args, &["-o", name]].concat());
        let made = desk.recipe_in(name);
        let keys: Vec<String> = made.keys.iter().map(|key| key.tonic().plain()).collect();
        (made.order, keys.join(" "))
    };
    let (_, rising) = order(&["--order", "rising-fifths"], "a.pdf");
    assert_eq!(rising, "C G D A E B Gb Db Ab Eb Bb F");
    let (_, some) = order(&["--order", "chromatic", "--keys", "F,D,Eb"], "b.pdf");
    assert_eq!(some, "D Eb F");
    let (_, seven) = order(&["--order", "shuffled", "--seed", "7"], "c.pdf");
    assert_eq!(seven, "E B G D Gb Bb F Eb Db A C Ab");
    assert_eq!(order(&["c.pdf"], "d.pdf"), (Some(KeyOrder::Shuffled), seven));
    assert_eq!(order(&["c.pdf", "--keys", "G,C"], "e.pdf"), (None, "G C".to_owned()));
    desk.refuses(
        &["workbook", "--seed", "7"],
        "--seed: there is a seed but nothing to shuffle; \
         write --order shuffled or leave the seed out",
    );
    desk.refuses(
        &["workbook", "--order", "shuffled", "--seed", "-1"],
        "--seed: seed -1 is out of range; write a whole number from 0 to 4294967295",
    );
}

#[test]
fn hands_and_their_size_are_kept() {
    let desk = Desk::new();
    let asked = ["--hand", "small", "--spans", "millimetres", "--hands", "left"];
    desk.does(&[&["handout", "--key", "C", "-o", "x.pdf"], &asked[..]].concat());
    let made = desk.recipe_in("x.pdf");
    assert_eq!((made.hand, made.hands), (HandSize::Small, Hands::Left));
    assert_eq!(made.spans, Measure::Millimetres);
    for (field, words) in [
        ("hand", "small, medium, large"),
        ("spans", "semitones, millimetres, alternating"),
        ("hands", "together, right, left"),
        ("level", "first-lesson, beginner, intermediate, advanced"),
        ("order", "falling-fifths, rising-fifths, chromatic, shuffled"),
    ] {
        let option = format!("--{field}");
        let message = format!("{option}: unknown {field} `some`; write one of {words}");
        desk.refuses(&["workbook", &option, "some"], &message);
    }
}
