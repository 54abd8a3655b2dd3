//! Recipes, drills and pictures that cannot stand.

use quintfall::recipe::Recipe;

use super::desk::{Desk, png, pushed};

#[test]
fn recipes_with_a_fault_by_line_and_field() {
    for (recipe, message) in [
        ("tempoo = 80\n", "line 1: unknown field `tempoo`; did you mean `tempo`?"),
        ("\ntempo = 900\n", "line 2: tempo 900 is out of range; write 20 to 400 beats a minute"),
        (
            "tempo = \"fast\"\n",
            "line 1: field `tempo` is \"fast\"; write a whole number from 20 to 400",
        ),
        ("keys = [\"H\"]\n", "line 1: unknown key `H`; write B for B natural and Bb for B flat"),
        ("keys = []\n", "line 1: keys is empty; write at least one, as in C or Bb"),
        (
            "title = \"x\"\ndrill = \"pushd\"\n",
            "line 2: unknown drill `pushd`; did you mean `pushed`?",
        ),
        (
            "quintfall = 3\nnew = 1\n",
            "line 1: made by a newer Quintfall (recipe version 3; this program knows 2); \
             use that newer program",
        ),
    ] {
        let desk = Desk::new().with("r.toml", recipe);
        desk.refuses(&["workbook", "r.toml"], &format!("r.toml, {message}"));
    }
}

#[test]
fn a_recipe_that_is_no_toml_or_no_text_or_not_there() {
    let desk = Desk::new().with("r.toml", "tempo 80\n").with("b.toml", [0xff, 0xfe, b'a']);
    let message = desk.refusal(&["workbook", "r.toml"]);
    assert!(message.starts_with("r.toml, line 1: "), "{message}");
    desk.refuses(
        &["workbook", "b.toml"],
        "cannot read b.toml: it is not text in UTF-8; save it as UTF-8",
    );
    desk.refuses(
        &["workbook", "no.toml"],
        "cannot read no.toml: there is no such file; check its name and folder",
    );
    desk.refuses(&["workbook", "."], "cannot read .: it is a folder; name a file in it");
}

#[test]
fn what_is_no_drill_file_is_told_what_it_is() {
    let desk = Desk::new().with("a.png", png(300, 300));
    desk.does(&["handout", "--key", "C", "-o", "one.pdf"]);
    desk.refuses(
        &["drills", "check", "one.pdf"],
        "one.pdf is a PDF and no drill file; name the text in TOML that describes the drill",
    );
    desk.refuses(
        &["drills", "check", "a.png"],
        "a.png is a picture and no drill file; to print it on sheets write --logo a.png",
    );
}

#[test]
fn a_recipe_that_names_one_drill_and_holds_another() {
    let desk = Desk::new();
    desk.does(&["workbook", "--keys", "C", "-o", "one.pdf"]);
    let toml = desk.does(&["recipe", "one.pdf"]);
    let edited = toml.replace("drill = \"pushed\"", "drill = \"on-the-beat\"");
    let desk = desk.with("r.toml", &edited);
    desk.refuses(
        &["workbook", "r.toml"],
        "r.toml: drill is `on-the-beat`, but template is that of `pushed`; \
         take one of the two out of the recipe",
    );
}

#[test]
fn drill_files_with_a_fault_by_line() {
    for (found, change, line) in [
        ("comping =", "compping =", "unknown field `compping`; did you mean `comping`?"),
        ("6, 7, 8]", "6, 7, 9]", "degree 9 is not in a scale of seven notes"),
        ("6, 7, 8]", "6, 7]", "7 chords of 2 beats do not fill whole bars of 4/4"),
    ] {
        let desk = Desk::new().with("d.toml", pushed().replacen(found, change, 1));
        let place = pushed().lines().position(|line| line.contains(found)).unwrap() + 1;
        let message = desk.refusal(&["workbook", "--drill", "d.toml"]);
        assert!(message.starts_with(&format!("d.toml, line {place}: {line}")), "{message}");
    }
}

#[test]
fn a_drill_with_a_fault_inside_a_recipe_by_its_line_there() {
    let recipe = Recipe { template: Some(pushed().to_owned()), ..Recipe::default() };
    let toml = recipe.to_toml().replace("\"1 3 5 7\"", "\"1 3 x 7\"");
    let place = toml.lines().position(|line| line.contains("1 3 x 7")).unwrap() + 1;
    let desk = Desk::new().with("r.toml", toml);
    let message = desk.refusal(&["workbook", "r.toml"]);
    let start = format!("r.toml, line {place}: `x` is no tone");
    assert!(message.starts_with(&start), "{message}");
}

/// The line of the recipe that names the file, so that it is known which of both is to be mended.
#[test]
fn a_file_that_a_recipe_names_and_that_is_not_there() {
    let missing = "there is no such file; check its name and folder";
    for (field, file) in [("logo", "no.png"), ("drill", "no.toml"), ("course", "no.toml")] {
        let value = if field == "course" { format!("[\"{file}\"]") } else { format!("\"{file}\"") };
        let desk = Desk::new().with("r.toml", format!("\n{field} = {value}\n"));
        let message = format!("r.toml, line 2: cannot read {file}: {missing}");
        desk.refuses(&["workbook", "r.toml"], &message);
    }
    let desk = Desk::new();
    desk.refuses(&["drills", "no.toml"], &format!("cannot read no.toml: {missing}"));
}

#[test]
fn logos_that_are_no_picture_or_enormous() {
    let mut huge = png(1, 1);
    huge.resize(9 * 1024 * 1024, 0);
    let cut = &png(50, 50)[..60];
    let desk = Desk::new()
        .with("a.png", "hello")
        .with("b.png", png(5000, 2))
        .with("c.png", huge)
        .with("d.png", cut)
        .with("r.toml", "\nlogo_data = \"AAAA\"\n");
    for (logo, message) in [
        ("a.png", "a.png: it is no PNG or JPEG picture; save it as PNG"),
        ("b.png", "b.png: the picture is 5000 by 2 pixels; make it smaller, at most 4096 by 4096"),
        ("c.png", "c.png: it is 9437184 bytes large; make it smaller, at most 8 MiB"),
        ("e.png", "cannot read e.png: there is no such file; check its name and folder"),
        (".", "cannot read .: it is a folder; name a file in it"),
    ] {
        desk.refuses(&["workbook", "--logo", logo], message);
    }
    desk.refuses(
        &["workbook", "--logo", "d.png"],
        "d.png: the picture cannot be read (it is damaged, or some of it is missing); \
         save it anew as PNG",
    );
    desk.refuses(
        &["workbook", "r.toml"],
        "r.toml, line 2: it is no PNG or JPEG picture; save it as PNG",
    );
}
