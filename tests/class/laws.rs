//! What a class is made of: the same sheets as are made one by one.

use super::desk::Desk;
use super::tree::tree;

/// The class that comes with the program.
pub(crate) const MONDAY: &str = include_str!("../../templates/class/monday.csv");

/// The columns of a list that are options of a handout by the same name.
fn options(head: &str) -> Option<String> {
    match head {
        "name" => Some("--student".to_owned()),
        "went-well" => None,
        head => Some(format!("--{head}")),
    }
}

#[test]
fn the_sheets_of_a_class_are_those_that_are_made_one_by_one() {
    let desk = Desk::new().with("monday.csv", MONDAY);
    let said = desk.does(&["class", "monday.csv"]);
    assert!(said.starts_with("wrote 25 sheets in monday: 25 students, "), "{said}");
    let made = tree(&desk.path("monday"));
    assert_eq!(made.len(), 25 + 2);
    let mut reader = csv::Reader::from_reader(MONDAY.as_bytes());
    let heads = reader.headers().unwrap().clone();
    let (mut sheets, mut names) = (0, Vec::new());
    for record in reader.records() {
        let record = record.unwrap();
        let mut args = vec!["handout".to_owned()];
        for (head, cell) in heads.iter().zip(&record) {
            if let Some(option) = options(head).filter(|_| !cell.is_empty()) {
                args.extend([option, cell.to_owned()]);
            }
        }
        let alone = Desk::new();
        let said = alone.does(&args.iter().map(String::as_str).collect::<Vec<_>>());
        let name = said.strip_prefix("wrote ").unwrap().split(": ").next().unwrap();
        let own = made.iter().filter(|(path, _)| path.ends_with(&format!("/2026-11-30-{name}")));
        let own: Vec<_> = own.collect();
        assert_eq!(own.len(), 1, "{name}");
        assert!(*own[0].1 == alone.read(name), "{name} is another");
        names.push(own[0].0.clone());
        sheets += 1;
    }
    names.sort();
    names.dedup();
    assert_eq!((sheets, names.len()), (25, 25));
}

#[test]
fn made_again_everything_is_kept_and_a_change_takes_the_next_number() {
    let list = "name,keys,drill,tempo\nAda,C,solid,60\nBo,F,solid,60\n";
    let desk = Desk::new().with("a.csv", list);
    desk.does(&["class", "a.csv", "--date", "2026-11-30"]);
    let first = tree(&desk.path("a"));
    let said = desk.does(&["class", "a.csv", "--date", "2026-11-30"]);
    assert!(said.starts_with("kept 2 sheets in a, which are the same: 2 students, 2 pages\n"));
    assert!(tree(&desk.path("a")) == first);
    let desk = desk.with("a.csv", list.replace("Bo,F,solid,60", "Bo,F,solid,60\nCy,G,solid,60"));
    let said = desk.does(&["class", "a.csv", "--date", "2026-11-30"]);
    assert!(said.starts_with("wrote 3 sheets in a, of which 2 are there already"), "{said}");
    let second = tree(&desk.path("a"));
    assert!(first.iter().all(|(name, bytes)| second.get(name) == Some(bytes)));
    assert!(second.contains_key("2026-11-30-a-to-print-2.pdf"), "{:?}", second.keys());
    desk.does(&["class", "a.csv", "--date", "2026-11-30", "--force"]);
    assert_eq!(tree(&desk.path("a")).len(), second.len());
}

#[test]
fn what_rows_leave_open_comes_from_the_recipe_below_them() {
    let desk = Desk::new()
        .with("studio.toml", "studio = \"Elm Street\"\npaper = \"letter\"\nkeys = [\"F\"]\n")
        .with("a.csv", "name,keys,drill\nAda,,solid\nBo,Eb,solid\n");
    desk.does(&["class", "a.csv", "--recipe", "studio.toml", "-o", "out"]);
    let made = desk.recipe_in("out/Ada/handout-solid-F-Ada-80.pdf");
    assert_eq!(made.studio.as_deref(), Some("Elm Street"));
    let args = ["handout", "studio.toml", "--student", "Bo", "--key", "Eb", "--drill", "solid"];
    desk.does(&[&args[..], &["-o", "bo.pdf"]].concat());
    assert!(desk.read("bo.pdf") == desk.read("out/Bo/handout-solid-Eb-Bo-80.pdf"));
}

#[test]
fn drills_of_the_teachers_own_are_found_beside_the_list() {
    let own = super::desk::pushed().replace("name = \"pushed\"", "name = \"mine\"");
    let desk = Desk::new();
    std::fs::create_dir(desk.path("of")).unwrap();
    let desk =
        desk.with("of/mine.toml", own).with("of/a.csv", "name,keys,drill\nAda,C,mine.toml\n");
    desk.does(&["class", "of/a.csv"]);
    assert_eq!(desk.recipe_in("of/a/Ada/handout-mine-C-Ada-80.pdf").drill, "mine.toml");
}

/// A cell names a drill by its title, alone or in a course, as well as by its short name.
#[test]
fn titles_give_the_sheets_that_short_names_give() {
    let by = |file: &str, one: &str, two: &str| {
        let list = format!("name,keys,drill\nAda,C,\"{one}\"\nBo,F,\"{one}, {two}\"\n");
        let desk = Desk::new().with(file, list);
        desk.does(&["class", file, "-o", "out"]);
        ["Ada/handout-solid-C-Ada-80.pdf", "Bo/handout-course-F-Bo-80.pdf"]
            .map(|name| desk.read(&format!("out/{name}")))
    };
    let by_name = by("a.csv", "solid", "jazz-waltz");
    assert!(by("a.csv", "Diatonic sevenths, solid", "Jazz waltz") == by_name);
    assert!(by("a.csv", "diatonic sevenths  SOLID", "jazz waltz") == by_name);
}

#[test]
fn what_becomes_otherwise_than_it_was_written_is_told_with_its_row() {
    let list =
        "name,keys,drill,tempo\nAda,C,solid,\nBo,Db,natural-minor,\nCy,Db,natural-minor,66\n";
    let desk = Desk::new().with("a.csv", list);
    let said = desk.does(&["class", "a.csv"]);
    let told =
        "D\u{266d} minor is printed as C\u{266f} minor, which sounds the same (row 3 and 1 more)\n";
    assert!(said.ends_with(told), "{said}");
}
