//! Judging a drill file.

use super::desk::{Desk, pushed};

/// The drill of the library with other words in a field, and the line of that field.
fn with_field(field: &str, words: &str) -> (String, usize) {
    let is_field = |line: &str| line.starts_with(&format!("{field} = "));
    let place = pushed().lines().position(is_field).unwrap();
    let line = |(index, line): (usize, &str)| {
        if index == place { format!("{field} = \"{words}\"\n") } else { format!("{line}\n") }
    };
    (pushed().lines().enumerate().map(line).collect(), place + 1)
}

#[test]
fn words_that_no_page_can_hold_are_found_by_line() {
    let long = "A sentence that goes on and on, and then on and on again. ".repeat(20);
    for (field, words, problem) in [
        ("title", &*long, "is too long for its place on the page; shorten it"),
        ("about", &long, "is too long for its place on the page; shorten it"),
        ("listen", &long, "is too long for its place on the page; shorten it"),
        (
            "title",
            "Drill \u{1f3b9}",
            "has '\u{1f3b9}' (U+1F3B9), which the text face cannot show; leave it out",
        ),
    ] {
        let (text, line) = with_field(field, words);
        let desk = Desk::new().with("mine.toml", text);
        let message = format!("mine.toml, line {line}: the drill's `{field}` {problem}");
        desk.refuses(&["drills", "check", "mine.toml"], &message);
        desk.refuses(&["workbook", "--drill", "solid,mine.toml"], &message);
        if field == "title" {
            desk.refuses(&["handout", "--key", "C", "--drill", "mine.toml"], &message);
        }
    }
}

#[test]
fn a_good_drill_is_said_to_be_one() {
    let (text, _) = with_field("name", "mine");
    let desk = Desk::new().with("mine.toml", text);
    let said = desk.does(&["drills", "check", "mine.toml"]);
    assert!(said.starts_with("mine.toml: mine is a drill: "), "{said}");
}
