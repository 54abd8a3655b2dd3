//! Rhythms and metres that the reader must know though few drills of the library have them.

use quintfall::recipe::{Counts, DocumentForm, FingeringMarks, Hands, Orientation, Recipe};

use crate::book::keys;
use crate::papers::read_all;

/// Drills of one value each, and of many.
const DRILLS: [(&str, &str); 7] = [
    (
        "triplets under a beam and in brackets",
        r#"metre = "4/4"
[[passage]]
degrees = [1, 4, 7, 3]
beats = 4
figure = "1 3 5 7:triplet-quarter 5:triplet 3:triplet 5:triplet-quarter rest:triplet 1 3"
note = "triplet"
voicing = "close"
comping = "two-feel"
"#,
    ),
    (
        "sixteenths and dotted eighths",
        r#"metre = "4/4"
[[passage]]
degrees = [2, 5, 1, 6]
beats = 4
figure = "1 3 5 7 5:dotted-eighth 3 1:eighth 3 5 7 5:eighth 3"
note = "sixteenth"
voicing = "close"
comping = "charleston"
"#,
    ),
    (
        "six eighths",
        r#"metre = "6/8"
[[passage]]
degrees = [1, 2, 3, 4]
beats = 6
figure = "1 3 5:dotted-quarter 7"
note = "eighth"
voicing = "close"
comping = "on-beat"
"#,
    ),
    (
        "five quarters",
        r#"metre = "5/4"
[[passage]]
degrees = [1, 4, 5, 1]
beats = 5
figure = "1 3 5 7 5 3 rest:quarter 1:quarter"
note = "eighth"
voicing = "close"
comping = "1:dotted-half 4:half"
"#,
    ),
    (
        "hands swapped, triplets below",
        r#"metre = "3/4"
[[passage]]
degrees = [1, 2, 3, 4]
beats = 3
figure = "1 3 5 7 5 3 1:triplet-quarter 5:triplet"
note = "triplet"
voicing = "close"
comping = "1:quarter 2:quarter 3:quarter"
hands = "swapped"
"#,
    ),
    (
        "neighbours in sixteenths",
        r#"metre = "4/4"
mode = "harmonic-minor"
[[passage]]
degrees = [1, 3, 7, 5]
beats = 4
figure = "under1 1 under3 3 under5 5 under7 7 7:quarter rest:eighth 1:eighth"
note = "sixteenth"
voicing = "close"
comping = "1:half 3&:eighth"
"#,
    ),
    (
        "whole bars of rest",
        r#"metre = "3/4"
mode = "melodic-minor"
[[passage]]
degrees = [1, 2, 3, 4]
beats = 3
figure = ["1+3+5+7:dotted-half", "rest:dotted-half"]
note = "dotted-half"
voicing = "close"
comping = "silent"
"#,
    ),
];

/// The recipe of a drill of ours in some keys.
fn recipe(name: &str, drill: &str, names: &[&str]) -> Recipe {
    let head = "about = \"\"\nfeel = \"even\"\n";
    let template = Some(format!("name = \"own\"\ntitle = \"{name}\"\n{head}{drill}"));
    let drill = format!("{name}.toml");
    Recipe { form: DocumentForm::Handout, drill, template, keys: keys(names), ..Recipe::default() }
}

/// The recipes of all drills of ours in some keys.
pub(crate) fn recipes(names: &[&str]) -> Vec<Recipe> {
    DRILLS.iter().map(|(name, drill)| recipe(name, drill, names)).collect()
}

#[test]
fn every_value_and_metre_reads_back() {
    let mut recipes = Vec::new();
    for plain in self::recipes(&["C", "Gb", "C#"]) {
        let fingering = FingeringMarks::All;
        let counts = Counts::None;
        recipes.push(Recipe { hands: Hands::Right, ..plain.clone() });
        recipes.push(Recipe { fingering, counts, ..plain.clone() });
        recipes.push(Recipe { orientation: Orientation::Landscape, ..plain.clone() });
        recipes.push(plain);
    }
    let found = read_all(&recipes);
    assert!(found.tones.of_chord > 60 * recipes.len(), "{found:?}");
}
