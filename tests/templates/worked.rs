//! The worked drills beside the guide: they are what they say, and they print in twelve keys.

use std::fs;
use std::path::{Path, PathBuf};

use quintfall::desk::pipeline;
use quintfall::drill::Template;
use quintfall::output;
use quintfall::recipe::{Form, Paper, Recipe};
use quintfall::score::Metre;
use quintfall::theory::Mode;

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
                form: Form::Handout,
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
