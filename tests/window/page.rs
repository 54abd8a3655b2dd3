//! The files of the page as they are written: what must hold of all of them.

use std::fs;
use std::path::Path;

/// The scripts of the page: their names and texts.
fn scripts() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/window/page");
    let mut all = Vec::new();
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "js") {
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            all.push((name, fs::read_to_string(path).unwrap()));
        }
    }
    assert!(all.len() > 10, "the scripts of the page are elsewhere");
    all
}

#[test]
fn nothing_in_focus_is_ever_disabled() {
    // A control that is disabled loses the focus: `enable` says that it is out of use instead.
    for (name, text) in scripts() {
        for wrong in [".disabled = ", "disabled:", "toggleAttribute(\"disabled\""] {
            assert!(!text.contains(wrong), "{name} has {wrong}");
        }
    }
}

/// What stands in quotation marks behind each of some words in a text.
fn quoted_after<'a>(text: &'a str, words: &str) -> Vec<&'a str> {
    let parts = text.split(words).skip(1);
    parts.filter_map(|part| part.split_once('"').map(|(tag, _)| tag)).collect()
}

#[test]
fn whatever_can_be_undone_has_a_name_in_words() {
    let all = scripts();
    let (_, history) = all.iter().find(|(name, _)| name == "history.js").unwrap();
    let names = history.split_once("const NAMES = {").unwrap().1.split_once("};").unwrap().0;
    let mut tags = Vec::new();
    for (_, text) in &all {
        tags.extend(quoted_after(text, "change(\""));
        tags.extend(quoted_after(text, "edit(\""));
        for line in text.lines().filter(|line| line.contains("begin(")) {
            tags.extend(
                quoted_after(line, ", \"").into_iter().filter(|tag| tag.starts_with("tune")),
            );
        }
    }
    assert!(tags.len() > 25, "{tags:?}");
    for tag in tags {
        assert!(names.contains(&format!("\"{tag}\": ")), "{tag} has no name");
    }
}
