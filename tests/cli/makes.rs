//! What commands make and say.

use std::fs;
use std::io::Cursor;

use image::{ImageFormat, Rgb, RgbImage};
use quintfall::drill::library;
use quintfall::recipe::{MajorStyle, MinorStyle, NumeralStyle, Recipe, SymbolStyle};
use quintfall::theory::AskedKey;

use super::desk::{Desk, png, pushed};

#[test]
fn nothing_typed_shows_help_with_the_first_command_and_makes_nothing() {
    let desk = Desk::new();
    let said = desk.does(&[]);
    assert_eq!(said, desk.does(&["-h"]));
    assert!(said.contains("\nBegin with `quintfall workbook`"), "{said}");
    assert!(desk.files().is_empty());
}

#[test]
fn the_first_command_makes_the_twelve_key_workbook_of_the_pushed_drill() {
    let desk = Desk::new();
    let said = desk.does(&["workbook"]);
    assert!(said.starts_with("wrote workbook-pushed-80.pdf: "), "{said}");
    assert!(said.ends_with(" pages, 12 keys, A4\n"), "{said}");
    let recipe = desk.recipe_in("workbook-pushed-80.pdf");
    let wanted = Recipe { template: Some(pushed().to_owned()), ..Recipe::default() };
    assert_eq!(recipe, wanted);
    let bytes = desk.read("workbook-pushed-80.pdf");
    desk.does(&["workbook", "-o", "again.pdf"]);
    assert!(desk.read("again.pdf") == bytes, "the same command, other bytes");
}

#[test]
fn a_handout_has_the_page_of_its_key() {
    let desk = Desk::new();
    let said = desk.does(&["handout", "--key", "Eb", "--paper", "letter"]);
    assert_eq!(said, "wrote handout-pushed-Eb-80.pdf: 1 page, 1 key, Letter\n");
    let said = desk.does(&["handout", "--key", "Eb", "--key", "F#", "--student", "Ada B."]);
    assert_eq!(said, "wrote handout-pushed-Eb-F-sharp-Ada-B-80.pdf: 2 pages, 2 keys, A4\n");
}

#[test]
fn a_booklet_says_which_sheets_it_is_printed_on() {
    let desk = Desk::new();
    for (paper, sheets) in
        [("a4", "A3"), ("a5", "A4"), ("letter", "11 by 17 inches"), ("half-letter", "Letter")]
    {
        let said = desk.does(&["workbook", "--booklet", "--paper", paper, "-o", "x.pdf"]);
        let told = format!(" of {sheets}, to be printed on both sides and folded to ");
        assert!(said.contains(&told), "{said}");
    }
    // Seventeen pages, four to a sheet.
    let said = desk.does(&["workbook", "--booklet", "-o", "x.pdf"]);
    let told = "5 sheets of A3, to be printed on both sides and folded to A4, 12 keys\n";
    assert_eq!(said, format!("wrote x.pdf: {told}"));
}

/// A short drill shares pages, keeps doing so at another tempo, and is refused what cannot be.
#[test]
fn keys_of_a_short_drill_share_pages() {
    let text = pushed().replace("degrees = [1, 2, 3, 4, 5, 6, 7, 8]", "degrees = [1, 2, 3, 4]");
    let text = text.replace("degrees = [8, 7, 6, 5, 4, 3, 2, 1]", "degrees = [4, 3, 2, 1]");
    assert_ne!(text, pushed());
    let desk = Desk::new().with("short.toml", text);
    let sheet = ["handout", "--drill", "short.toml", "--key", "C,F,Bb,Eb", "-o", "x.pdf"];
    let said = desk.does(&[&sheet[..], &["--keys-a-page", "2"]].concat());
    assert_eq!(said, "wrote x.pdf: 2 pages, 4 keys, A4\n");
    assert_eq!(desk.recipe_in("x.pdf").keys_a_page, Some(2));
    let said = desk.does(&["retempo", "x.pdf", "--tempo", "112"]);
    assert_eq!(said, "wrote x-112.pdf: 2 pages, 4 keys, A4\n");
    let said = desk.does(&[&sheet[..], &["--keys-a-page", "1"]].concat());
    assert_eq!(said, "wrote x.pdf: 4 pages, 4 keys, A4\n");
}

#[test]
fn quiet_says_nothing_and_makes_the_same() {
    let desk = Desk::new();
    assert_eq!(desk.does(&["handout", "--key", "C", "--quiet"]), "");
    let quiet = desk.read("handout-pushed-C-80.pdf");
    desk.does(&["handout", "--key", "C", "-o", "x.pdf"]);
    assert!(desk.read("x.pdf") == quiet);
}

#[test]
fn minor_major_and_numerals_are_typed_apart_and_travel_with_the_sheet() {
    let desk = Desk::new();
    let args =
        ["handout", "--key", "C", "--minor", "-", "--major", "triangle", "--numerals", "off"];
    desk.does(&[&args[..], &["-o", "x.pdf"]].concat());
    let made = desk.recipe_in("x.pdf");
    assert_eq!((made.minor, made.major), (Some(MinorStyle::Dash), Some(MajorStyle::Triangle)));
    assert_eq!((made.numerals, made.symbols), (NumeralStyle::Off, SymbolStyle::Mixed));
    desk.does(&["handout", "x.pdf", "-o", "y.pdf"]);
    assert!(desk.read("x.pdf") == desk.read("y.pdf"), "the sheet does not make itself again");
}

#[test]
fn options_win_over_the_recipe() {
    let recipe = "student = \"Ada\"\ntempo = 90\ngoal = 100\nkeys = [\"C\"]\n";
    let desk = Desk::new().with("r.toml", recipe);
    let args = ["handout", "r.toml", "--tempo", "120", "--student", "", "-o", "x.pdf"];
    desk.does(&args);
    let made = desk.recipe_in("x.pdf");
    assert_eq!((made.tempo, made.goal, made.student), (120, Some(130), None));
    assert_eq!(made.keys, ["C".parse().unwrap()]);
}

#[test]
fn minor_keys_are_printed_where_the_drill_is_in_minor() {
    let desk = Desk::new();
    let keys = |args: &[&str]| {
        desk.does(&[args, &["-o", "x.pdf"]].concat());
        desk.recipe_in("x.pdf").keys
    };
    let minor = ["--drill", "natural-minor"];
    let one = |key: &str| keys(&[&["handout", "--key", key][..], &minor].concat());
    for (typed, tonic) in [("G minor", "G"), ("Am", "A"), ("G#", "G#"), ("Ab minor", "Ab")] {
        let made = one(typed);
        assert_eq!((made.len(), made[0].tonic().plain().as_str()), (1, tonic));
    }
    // What the drill says anyway is left unsaid, so that both make one sheet.
    assert_eq!(keys(&["handout", "--key", "Bb major"]), ["Bb".parse().unwrap()]);
    desk.does(&["handout", "--key", "Bb"]);
    let said = desk.does(&["handout", "--key", "Bb major"]);
    assert!(said.starts_with("kept handout-pushed-Bb-80.pdf, which is the same: "), "{said}");
    // The workbook of a minor drill has the customary twelve, which the sheet remembers.
    let tonics = |keys: &[AskedKey]| keys.iter().map(|key| key.to_string()).collect::<Vec<_>>();
    let made = tonics(&keys(&[&["workbook"][..], &minor].concat()));
    assert_eq!(made[3..6], ["E♭", "G♯", "D♭"]);
    desk.does(&["retempo", "x.pdf", "--tempo", "90", "-o", "y.pdf"]);
    assert_eq!(tonics(&desk.recipe_in("y.pdf").keys), made);
    let asked = keys(&[&["workbook", "--keys", "Eb,Ab"][..], &minor].concat());
    assert_eq!(tonics(&asked), ["E♭", "A♭"]);
    let mixed = keys(&["workbook", "--drill", "natural-minor,solid", "--keys", "Ab"]);
    assert_eq!(tonics(&mixed), ["A♭"]);
}

/// A name is that of the key on the page, and what is otherwise than it was asked for is told.
#[test]
fn what_is_printed_otherwise_than_asked_for_is_told() {
    let desk = Desk::new()
        .with("t.toml", "tempo = 100\ncounts = \"all\"\nkeys = [\"C\"]\n")
        .with("g.toml", "goal = 90\nkeys = [\"C\"]\n")
        .with("h.toml", "tempo = 60\ngoal = 50\nkeys = [\"C\"]\n");
    let minor = ["handout", "--drill", "natural-minor", "--key"];
    for (asked, name, told) in [
        ("Db", "C-sharp-minor", "D♭ minor is printed as C♯ minor, which sounds the same\n"),
        ("Cb", "B-minor", "C♭ minor is printed as B minor, which sounds the same\n"),
        ("A", "A-minor", ""),
    ] {
        let said = desk.does(&[&minor[..], &[asked]].concat());
        let name = format!("handout-natural-minor-{name}-80.pdf");
        assert_eq!(said, format!("wrote {name}: 1 page, 1 key, A4\n{told}"));
    }
    // A level that is typed wins over a recipe, as all that is typed does.
    for (args, tempo, told) in [
        (
            &["t.toml", "--level", "beginner"][..],
            60,
            "the level beginner, which was typed, wins over t.toml: tempo 60 in place of 100\n",
        ),
        (&["t.toml", "--level", "beginner", "--tempo", "70"], 70, ""),
        (
            &["g.toml", "--tempo", "100"],
            100,
            "the goal of 90 moves up to 110, since the tempo is 100\n",
        ),
        (&["g.toml", "--tempo", "100", "--goal", "120"], 100, ""),
        // Options may mend what a recipe has wrong.
        (&["h.toml", "--tempo", "40"], 40, ""),
        (&["h.toml", "--goal", "100"], 60, ""),
    ] {
        let said = desk.does(&[&["handout"], args, &["-o", "x.pdf"]].concat());
        assert_eq!(said, format!("wrote x.pdf: 1 page, 1 key, A4\n{told}"));
        assert_eq!(desk.recipe_in("x.pdf").tempo, tempo);
    }
    let message = desk.refusal(&["handout", "h.toml"]);
    assert!(message.starts_with("h.toml, line 2: goal 50 is slower than tempo 60"), "{message}");
    assert!(desk.does(&["retempo", "x.pdf", "--tempo", "110", "--quiet"]).is_empty());
}

#[test]
fn the_recipe_says_what_its_tempo_counts() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "C", "-o", "x.pdf"]);
    let toml = desk.does(&["recipe", "x.pdf"]);
    assert!(toml.contains("# Beats a minute, 20 to 400;"), "{toml}");
}

#[test]
fn a_drill_file_is_found_beside_the_recipe_that_names_it_and_travels_in_the_sheet() {
    let desk = Desk::new();
    fs::create_dir(desk.path("own")).unwrap();
    let drill = pushed().replace("name = \"pushed\"", "name = \"mine\"");
    let desk = desk
        .with("own/mine.toml", drill.replace('\n', "\r\n"))
        .with("own/logo.png", png(4, 4))
        .with("own/r.toml", "drill = \"./mine.toml\"\nlogo = \"logo.png\"\n");
    let said = desk.does(&["handout", "own/r.toml", "--key", "D"]);
    assert!(said.starts_with("wrote handout-mine-D-80.pdf: 1 page"), "{said}");
    fs::remove_dir_all(desk.path("own")).unwrap();
    let said = desk.does(&["retempo", "handout-mine-D-80.pdf", "--tempo", "66"]);
    assert!(said.starts_with("wrote handout-mine-D-66.pdf: 1 page"), "{said}");
    let made = desk.recipe_in("handout-mine-D-66.pdf");
    assert_eq!((made.drill.as_str(), made.template), ("mine.toml", Some(drill)));
    assert_eq!(made.logo.as_deref(), Some("logo.png"));
    assert!(made.logo_data.is_some());
}

#[test]
fn the_demo_recipes_make_their_sheets() {
    let desk = Desk::new();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/demo");
    let paths = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let recipes: Vec<_> =
        paths.filter(|path| path.extension().is_some_and(|ending| ending == "toml")).collect();
    assert!(!recipes.is_empty());
    for recipe in recipes {
        let said = desk.does(&["workbook", recipe.to_str().unwrap(), "-o", "demo.pdf"]);
        assert!(said.starts_with("wrote demo.pdf: "), "{}: {said}", recipe.display());
    }
}

#[test]
fn a_sheet_serves_as_a_recipe_too() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "C", "--tempo", "70", "-o", "spring.pdf"]);
    desk.does(&["handout", "spring.pdf", "--key", "Db", "--drill", "on-the-beat"]);
    let made = desk.recipe_in("handout-on-the-beat-Db-70.pdf");
    assert_eq!(made.tempo, 70);
    assert_eq!(made.template.as_deref(), library::find("on-the-beat"));
}

#[test]
fn retempo_changes_the_tempo_and_leaves_the_sheet_alone() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "G", "--student", "Ada", "-o", "g.pdf"]);
    let before = desk.read("g.pdf");
    desk.does(&["retempo", "g.pdf", "--tempo", "112", "--goal", "160"]);
    assert!(desk.read("g.pdf") == before);
    let changed = Recipe { tempo: 112, goal: Some(160), ..desk.recipe_in("g.pdf") };
    assert_eq!(desk.recipe_in("g-112.pdf"), changed);
    desk.does(&["retempo", "g-112.pdf", "--tempo", "80", "-o", "g-112.pdf"]);
    assert_eq!(desk.recipe_in("g-112.pdf").tempo, 80);
}

#[test]
fn a_recipe_taken_out_of_a_sheet_makes_the_same_sheet() {
    let desk = Desk::new().with("logo.png", png(3, 3));
    let args = ["--keys", "Ab,C", "--goal", "120", "--logo", "logo.png", "-o", "one.pdf"];
    desk.does(&[&["workbook"][..], &args].concat());
    let toml = desk.does(&["recipe", "one.pdf"]);
    let desk = desk.with("r.toml", toml);
    desk.does(&["workbook", "r.toml", "-o", "two.pdf"]);
    assert!(desk.read("one.pdf") == desk.read("two.pdf"));
}

/// The largest picture that is taken also comes back out of the sheet.
#[test]
fn a_picture_of_many_bytes_travels_in_the_sheet() {
    let mut seed = 1_u32;
    let noise = RgbImage::from_fn(1600, 1700, |_, _| {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let [a, b, c, _] = seed.to_be_bytes();
        Rgb([a, b, c])
    });
    let mut bytes = Cursor::new(Vec::new());
    noise.write_to(&mut bytes, ImageFormat::Png).unwrap();
    let length = bytes.get_ref().len();
    assert!((8_000_000..=8 * 1024 * 1024).contains(&length), "{length}");
    let desk = Desk::new().with("noise.png", bytes.into_inner());
    desk.does(&["handout", "--key", "C", "--logo", "noise.png", "-o", "x.pdf"]);
    desk.does(&["retempo", "x.pdf", "--tempo", "90"]);
    assert_eq!(desk.recipe_in("x-90.pdf").logo_data, desk.recipe_in("x.pdf").logo_data);
}

#[test]
fn drills_are_listed_and_shown() {
    let desk = Desk::new();
    let list = desk.does(&["drills"]);
    for (name, text) in library::all() {
        assert!(list.contains(&format!("{name}: ")), "{list}");
        assert_eq!(desk.does(&["drills", name]), text);
    }
}

#[test]
fn help_has_an_example_for_every_command() {
    let desk = Desk::new();
    assert!(desk.does(&["--help"]).contains("Example"));
    for command in ["workbook", "handout", "retempo", "recipe", "drills", "help"] {
        for flag in ["-h", "--help"] {
            let help = desk.does(&[command, flag]);
            assert!(help.contains(&format!("\n  quintfall {command}")), "{help}");
        }
        assert_eq!(desk.does(&["help", command]), desk.does(&[command, "--help"]));
    }
    assert_eq!(desk.does(&["help"]), desk.does(&["--help"]));
    assert_eq!(desk.does(&["help", "drills", "check"]), desk.does(&["drills", "check", "--help"]));
    desk.refuses(&["help", "workbok"], "unknown command `workbok`; did you mean `workbook`?");
    assert_eq!(desk.does(&["--version"]), concat!("quintfall ", env!("CARGO_PKG_VERSION"), "\n"));
}
