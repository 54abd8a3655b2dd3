//! Recipes that share a base.

use std::fs;

use super::desk::{Desk, png, pushed};
use super::tree::refusals;

#[test]
fn a_recipe_is_laid_over_the_one_that_it_extends() {
    let mine = pushed().replace("name = \"pushed\"", "name = \"mine\"");
    let desk = Desk::new();
    fs::create_dir_all(desk.path("base/deep")).unwrap();
    let desk = desk
        .with("base/deep/mine.toml", mine)
        .with("base/deep/logo.png", png(4, 2))
        .with(
            "base/deep/all.toml",
            "studio = \"Elm\"\ndrill = \"mine.toml\"\nlogo = \"logo.png\"\n",
        )
        .with(
            "base/spring.toml",
            "extends = \"deep/all.toml\"\ntempo = 66\nkeys = [\"C\", \"F\"]\n",
        )
        .with("ada.toml", "extends = \"base/spring.toml\"\nstudent = \"Ada\"\ntempo = 72\n");
    desk.does(&["handout", "ada.toml", "-o", "x.pdf"]);
    let made = desk.recipe_in("x.pdf");
    assert_eq!((made.studio.as_deref(), made.student.as_deref()), (Some("Elm"), Some("Ada")));
    assert_eq!((made.tempo, made.keys.len(), made.drill.as_str()), (72, 2, "mine.toml"));
    assert!(made.template.is_some() && made.logo_data.is_some());
    // What travels in the sheet holds all, and is the same as if it had been written in one piece.
    let json = quintfall::output::recipe_json(&desk.read("x.pdf")).unwrap();
    assert!(!json.contains("extends"));
    let whole = "studio = \"Elm\"\ndrill = \"base/deep/mine.toml\"\nlogo = \"base/deep/logo.png\"\n\
                 keys = [\"C\", \"F\"]\nstudent = \"Ada\"\ntempo = 72\n";
    let desk = desk.with("whole.toml", whole);
    desk.does(&["handout", "whole.toml", "-o", "y.pdf"]);
    assert!(desk.read("x.pdf") == desk.read("y.pdf"));
    desk.does(&["retempo", "x.pdf", "--tempo", "80"]);
}

#[test]
fn what_is_wrong_with_a_base_is_told_where_it_stands() {
    let desk = Desk::new()
        .with("one.toml", "extends = \"two.toml\"\n")
        .with("two.toml", "\nextends = \"./one.toml\"\n")
        .with("self.toml", "extends = \"self.toml\"\n")
        .with("lost.toml", "tempo = 80\nextends = \"none.toml\"\n")
        .with("drill.toml", pushed())
        .with("of-drill.toml", "extends = \"drill.toml\"\n")
        .with("bad.toml", "tempo = 80\ntemop = 90\n")
        .with("of-bad.toml", "extends = \"bad.toml\"\n")
        .with("slow.toml", "keys = [\"C\"]\n\ngoal = 60\n")
        .with("of-slow.toml", "extends = \"slow.toml\"\ntempo = 90\n")
        .with("number.toml", "extends = 5\n");
    desk.does(&["handout", "--key", "C", "-o", "sheet.pdf"]);
    let desk = desk.with("of-sheet.toml", "extends = \"sheet.pdf\"\n");
    for (recipe, told) in [
        (
            "one.toml",
            "two.toml, line 2: extends leads round in a circle, back to ./one.toml; take \
                      the line out",
        ),
        (
            "self.toml",
            "self.toml, line 1: extends leads round in a circle, back to self.toml; take \
                       the line out",
        ),
        (
            "lost.toml",
            "lost.toml, line 2: cannot read none.toml: there is no such file; check its \
                       name and folder",
        ),
        ("of-drill.toml", "drill.toml is a drill and no recipe; write --drill drill.toml"),
        ("of-bad.toml", "bad.toml, line 2: unknown field `temop`; did you mean `tempo`?"),
        (
            "of-slow.toml",
            "slow.toml, line 3: goal 60 is slower than tempo 90; raise the goal to 90 \
                          or more, or lower the tempo",
        ),
        (
            "number.toml",
            "number.toml, line 1: field `extends` is the number 5; write it in \
                         quotation marks",
        ),
        (
            "of-sheet.toml",
            "of-sheet.toml, line 1: extends names sheet.pdf, which is a sheet and no \
                           recipe; name a recipe in a file of its own",
        ),
    ] {
        assert_eq!(refusals(&desk, &["handout", recipe, "--key", "C"]), [told], "{recipe}");
    }
}

#[test]
fn a_tower_of_recipes_has_a_bound() {
    let mut desk = Desk::new();
    for n in 0..20 {
        desk = desk.with(&format!("{n}.toml"), format!("extends = \"{}.toml\"\n", n + 1));
    }
    let desk = desk.with("20.toml", "keys = [\"C\"]\n");
    let said = refusals(&desk, &["handout", "0.toml"]);
    assert_eq!(
        said,
        ["8.toml, line 1: more than 8 recipes lie below one another; write some of \
                       them together"]
    );
    desk.does(&["handout", "13.toml", "-o", "x.pdf"]);
}

#[test]
fn a_sheet_that_extends_is_refused() {
    let sheet = super::desk::sheet_with("{\"quintfall\": 2, \"extends\": \"/etc/passwd\"}");
    let desk = Desk::new().with("x.pdf", sheet);
    let said = refusals(&desk, &["retempo", "x.pdf", "--tempo", "90"]);
    assert!(
        said[0].starts_with("x.pdf: the recipe inside cannot be read: unknown field `extends`")
    );
}
