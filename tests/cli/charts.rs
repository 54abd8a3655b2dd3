//! Charts as a teacher types for them.

use std::fs;

use quintfall::chart::demos;

use super::desk::Desk;

#[test]
fn a_chart_is_printed_under_its_title_and_no_sheet_is_lost() {
    let desk = Desk::new();
    let said = desk.does(&["chart", "slate-roof"]);
    assert_eq!(said, "wrote chart-Slate-Roof.pdf: 1 page, A4\n");
    let said = desk.does(&["chart", "slate-roof", "--paper", "a5"]);
    let told = "wrote chart-Slate-Roof-2.pdf: 1 page, A5 (chart-Slate-Roof.pdf is another; --force";
    assert!(said.starts_with(told), "{said}");
    let said = desk.does(&["chart", "slate-roof", "--key", "F#", "--for", "Bb"]);
    assert_eq!(said, "wrote chart-Slate-Roof-F-sharp-for-Bb.pdf: 1 page, A4\n");
    let output = desk.run(&["chart", "slate-roof", "-o", "-"]);
    assert!(output.stdout == desk.read("chart-Slate-Roof.pdf"), "the same chart, other bytes");
}

/// What a sheet carries makes it again, to the byte, whatever was asked for.
#[test]
fn a_sheet_of_a_chart_is_enough_to_make_it_again() {
    let desk = Desk::new();
    let asked = ["--key", "Gb", "--for", "Eb", "--paper", "letter", "--symbols", "signs"];
    for (name, _) in demos().take(3) {
        let mut args = vec!["chart", name, "-o", "one.pdf"];
        args.extend(asked);
        desk.does(&args);
        desk.does(&["chart", "one.pdf", "-o", "two.pdf"]);
        assert!(desk.read("one.pdf") == desk.read("two.pdf"), "{name}");
    }
    let desk = desk.with("other.pdf", "%PDF-1.7\n");
    assert!(desk.refusal(&["chart", "other.pdf"]).contains("other.pdf: the PDF is damaged"));
    desk.does(&["handout", "--key", "C", "-o", "sheet.pdf"]);
    desk.refuses(
        &["chart", "sheet.pdf"],
        "sheet.pdf: the sheet is none of a chart; name a chart, or the sheet of one",
    );
}

#[test]
fn every_chart_of_ours_can_be_listed_shown_checked_and_drawn() {
    let desk = Desk::new();
    let list = desk.does(&["chart"]);
    fs::create_dir(desk.path("pictures")).unwrap();
    for (name, text) in demos() {
        assert!(list.contains(&format!("{name}: ")), "{list}");
        assert_eq!(desk.does(&["chart", name, "--show"]), text);
        let told = desk.does(&["chart", name, "--check"]);
        assert!(told.contains(" is a chart: ") && told.lines().count() == 1, "{told}");
    }
    let said = desk.does(&["chart", "low-tide", "--svg", "pictures"]);
    assert!(said.ends_with("chart-Low-Tide-1.svg: 1 picture\n"), "{said}");
    let drawing = fs::read_to_string(desk.path("pictures/chart-Low-Tide-1.svg")).unwrap();
    assert!(drawing.contains("Low Tide") && drawing.contains("bars 1 to 4"), "no words");
    assert!(desk.files().is_empty(), "pictures alone were asked for");
}

#[test]
fn what_cannot_be_printed_is_told_line_by_line_and_nothing_is_written() {
    let text =
        "title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"| Cmja7 | G7 |\"\n";
    let desk =
        Desk::new().with("x.toml", text).with("title.toml", text.replace("\"x\"", "\"\u{1f3b9}\""));
    let desk = desk.with("right.toml", text.replace("Cmja7", "C"));
    let told = "x.toml, line 5: A, bar 1: `Cmja7` is no chord: `a7` stands where a quality, a number or \
                an alteration is expected; did you mean `Cmaj7`?";
    desk.refuses(&["chart", "x.toml"], told);
    desk.refuses(&["chart", "x.toml", "--check"], told);
    let said = desk.refusal(&["chart", "title.toml"]);
    assert!(said.starts_with("title.toml, line 5: A, bar 1"), "{said}");
    let right = fs::read_to_string(desk.path("title.toml")).unwrap().replace("Cmja7", "C");
    let desk = desk.with("title.toml", right);
    let said = desk.refusal(&["chart", "title.toml"]);
    assert!(said.starts_with("title.toml, line 1: the chart's `title` has "), "{said}");
    let said = desk.refusal(&["chart", "right.toml", "--key", "D minor"]);
    assert_eq!(said, "the chart is in C major and stays major; write D major");
    for (args, part) in [
        (["chart", "right.toml", "--for", "Ab"], "--for: unknown instrument `Ab`"),
        (["chart", "right.toml", "--key", "H"], "--key: unknown key `H`"),
        (
            ["chart", "right.toml", "--paper", "a44"],
            "--paper: unknown paper `a44`; did you mean `a4`?",
        ),
        (["chart", "right.toml", "-o", "x.png"], "--output"),
    ] {
        let said = desk.refusal(&args);
        assert!(said.starts_with(part), "{args:?}: {said}");
    }
    assert!(desk.refusal(&["chart", "slate-rof"]).ends_with("did you mean `slate-roof`?"));
    assert!(desk.refusal(&["chart", "no.toml"]).contains("there is no such file"));
}
