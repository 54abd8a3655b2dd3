//! Folders with all that is in them.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use super::desk::Desk;

/// The files below a folder, by their paths from it.
pub(crate) fn tree(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(&next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
                files.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    files
}

/// Runs a command that must fail and touch nothing; gives its messages.
#[track_caller]
pub(crate) fn refusals(desk: &Desk, args: &[&str]) -> Vec<String> {
    let before = tree(&desk.path(""));
    let output = desk.run(args);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), output.stdout.len()), (Some(2), 0), "{said}");
    assert!(tree(&desk.path("")) == before, "{args:?} touched a file: {said}");
    let line = |line: &str| line.strip_prefix("error: ").expect("an error").to_owned();
    said.lines().map(line).collect()
}
