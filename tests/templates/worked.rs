//! The worked drills beside the guide: they are what they say, and they print in twelve keys.

use std::fs;
use std::path::{Path, PathBuf};

use quintfall::desk::pipeline;
use quintfall::drill::Template;
use quintfall::output;
use quintfall::recipe::{DocumentForm, Paper, Recipe};
use quintfall::score::Metre;
use quintfall::theory::{Key, Mode};

fn worked() -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/own");
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|end| end == "toml")).collect();
    files.sort();
    files.into_iter().map(|path| (path.clone(), fs::read_to_string(path).unwrap())).collect()
}

#[test]
fn one_is_in_three_four_one_in_harmonic_minor_and_one_has_strokes_of_its_own() {
    let drills: Vec<Template> = worked()
        .iter()
        .map(|(path, text)| Template::parse(text, &path.display().to_string()).unwrap())
        .collect();
    assert!(drills.iter().any(|drill| drill.metre == Metre::ThreeFour));
    assert!(drills.iter().any(|drill| drill.mode == Mode::HarmonicMinor));
    assert!(worked().iter().any(|(_, text)| text.contains("comping = \"1:dotted-quarter 2&")));
}

#[test]
fn each_prints_in_twelve_keys_on_both_papers() {
    for (path, text) in worked() {
        for paper in [Paper::A4, Paper::Letter] {
            let recipe = Recipe {
                form: DocumentForm::Handout,
                drill: path.display().to_string(),
                template: Some(text.clone()),
                paper,
                ..Recipe::default()
            };
            let document = pipeline::document(&recipe).unwrap();
            assert_eq!(document.pages.len(), 12, "{}", path.display());
            assert!(output::pdf(&document).is_ok());
        }
    }
}

/// The guide shows the three by name, and every field and word that it explains is one that the
/// judge knows.
#[test]
fn the_guide_names_every_worked_drill() {
    let guide = Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/guide.md");
    let guide = fs::read_to_string(guide).unwrap();
    for (path, _) in worked() {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        assert!(guide.contains(&name), "{name}");
    }
}

/// The pieces of the guide that are there to be copied: TOML between fences.
fn copied(guide: &str) -> Vec<&str> {
    guide.split("```").skip(1).step_by(2).filter_map(|it| it.strip_prefix("toml\n")).collect()
}

/// What the guide gives to copy is a drill as it stands, in every key.
#[test]
fn what_the_guide_gives_to_copy_is_a_drill_in_every_key() {
    let guide = include_str!("../../templates/guide.md");
    let pieces = copied(guide);
    assert_eq!(pieces.len(), 5);
    for piece in pieces {
        let template = Template::parse(piece, "guide").unwrap();
        for key in Key::majors() {
            let key = key.in_mode(template.mode);
            let score = crate::score(&template, &key.tonic().plain());
            assert!(score.bars.len() >= 4, "{piece} in {key}");
        }
    }
}

/// Every field of a drill and of a passage has its place in the guide.
#[test]
fn the_guide_explains_every_field() {
    let guide = include_str!("../../templates/guide.md");
    let unknown = "name = \"x\"\nnone-of-them = 1\n[[passage]]\nnone-of-them = 1\n";
    assert!(Template::parse(unknown, "x").is_err());
    for field in quintfall::source::DrillField::ALL {
        let name = field.name();
        let is_explained = [format!("`{name}`"), format!("{name} = "), format!("[[{name}]]")]
            .iter()
            .any(|written| guide.contains(written));
        assert!(is_explained, "{name}");
    }
}
