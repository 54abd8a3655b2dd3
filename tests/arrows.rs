//! The arrows of the house: which folder and which file may know which.
//!
//! Read from the sources: every `use crate::...` and `use super::...` outside tests, and every
//! path that begins with `crate::`. A name that a `mod.rs` only passes on counts for the file that
//! has it.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// A module by its path: `["drill", "template"]`.
type Module = Vec<String>;

/// Who imports whom.
type Arrows = BTreeMap<Module, BTreeSet<Module>>;

/// All source files, without their tests.
fn sources() -> BTreeMap<Module, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = BTreeMap::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder of sources").flatten() {
            let path: PathBuf = entry.path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            // What the page in the browser is made of knows none of the house.
            if path.extension().is_none_or(|ending| ending != "rs") {
                continue;
            }
            let inner = path.strip_prefix(&root).expect("below src").with_extension("");
            let mut module: Module =
                inner.iter().map(|part| part.to_string_lossy().into_owned()).collect();
            if ["mod", "lib"].contains(&module.last().map_or("", String::as_str)) {
                module.pop();
            }
            // The binaries stand above everything, and files of tests are no part of the house.
            let is_ours = !["main", "bin"].contains(&module.first().map_or("", String::as_str));
            if is_ours && module.last().is_none_or(|last| last != "tests") {
                let text = fs::read_to_string(&path).expect("a source file");
                found.insert(module, without_tests(&text));
            }
        }
    }
    found
}

/// The text without comments and without its module of tests.
fn without_tests(text: &str) -> String {
    let end = text.find("#[cfg(test)]\nmod tests").unwrap_or(text.len());
    let lines = text[..end].lines().filter(|line| !line.trim_start().starts_with("//"));
    lines.map(|line| format!("{line}\n")).collect()
}

/// The paths that a use statement names, its braces taken apart.
fn expanded(tree: &str) -> Vec<Vec<String>> {
    let tree = tree.trim();
    let Some(open) = tree.find('{') else {
        let name = tree.split(" as ").next().unwrap_or(tree);
        return vec![name.split("::").map(|part| part.trim().to_owned()).collect()];
    };
    let before: Vec<String> = tree[..open]
        .split("::")
        .map(str::trim)
        .filter(|s| !s.is_empty())
        .map(str::to_owned)
        .collect();
    let inside = &tree[open + 1..tree.rfind('}').expect("a brace that closes")];
    let (mut depth, mut start, mut branches) = (0, 0, Vec::new());
    for (at, character) in inside.char_indices() {
        match character {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                branches.push(&inside[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    branches.push(&inside[start..]);
    let branches = branches.into_iter().filter(|branch| !branch.trim().is_empty());
    branches.flat_map(expanded).map(|rest| [before.clone(), rest].concat()).collect()
}

/// The statements that begin with a word and end with a semicolon.
fn statements<'a>(text: &'a str, words: &[&str]) -> Vec<&'a str> {
    let mut found = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let begun = words.iter().find_map(|word| line.trim_start().strip_prefix(word));
        if let Some(rest) = begun {
            let start = at + line.len() - rest.len();
            let end = text[start..].find(';').map_or(text.len(), |end| start + end);
            found.push(&text[start..end]);
        }
        at += line.len();
    }
    found
}

/// The paths that a module names, each from the root of the crate.
fn named(module: &Module, text: &str) -> Vec<Vec<String>> {
    let uses = statements(text, &["use ", "pub use ", "pub(crate) use ", "pub(super) use "]);
    let mut paths: Vec<Vec<String>> = uses.into_iter().flat_map(expanded).collect();
    // Paths in running code.
    for (at, _) in text.match_indices("crate::") {
        let is_path = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
        let rest = &text[at..];
        let end = rest.find(|c| !is_path(c)).unwrap_or(rest.len());
        let path = rest[..end].trim_end_matches(':').split("::");
        paths.push(path.map(str::to_owned).collect());
    }
    paths.into_iter().filter_map(|path| from_root(module, &path)).collect()
}

/// A path from the root of the crate; `None` for one into another crate.
fn from_root(module: &Module, path: &[String]) -> Option<Vec<String>> {
    let (first, rest) = path.split_first()?;
    match first.as_str() {
        "crate" => Some(rest.to_vec()),
        "self" => Some([module.as_slice(), rest].concat()),
        "super" => {
            let mut base = module.clone();
            base.pop();
            let mut rest = rest;
            while let Some((next, others)) = rest.split_first().filter(|(next, _)| *next == "super")
            {
                let _ = next;
                base.pop();
                rest = others;
            }
            Some([base.as_slice(), rest].concat())
        }
        _ => None,
    }
}

/// What each folder's `mod.rs` passes on: name to path.
fn passed_on(sources: &BTreeMap<Module, String>) -> BTreeMap<Module, Module> {
    let mut found = BTreeMap::new();
    for (module, text) in sources {
        for tree in statements(text, &["pub use ", "pub(crate) use ", "pub(super) use "]) {
            for path in expanded(tree) {
                let own = sources.contains_key(&[module.as_slice(), &path[..1]].concat());
                let target = match path[0].as_str() {
                    "crate" | "self" | "super" => from_root(module, &path),
                    _ if own => Some([module.as_slice(), &path].concat()),
                    _ => None,
                };
                if let (Some(target), Some(name)) = (target, path.last()) {
                    let name = [module.as_slice(), std::slice::from_ref(name)].concat();
                    found.insert(name, target);
                }
            }
        }
    }
    found
}

/// The file that has what a path names.
fn owner(
    path: &[String],
    sources: &BTreeMap<Module, String>,
    passed_on: &BTreeMap<Module, Module>,
) -> Option<Module> {
    let mut path = path.to_vec();
    for _ in 0..8 {
        let handed = (1..=path.len()).find_map(|length| {
            let target = passed_on.get(&path[..length])?;
            (target[..] != path[..length]).then(|| [target.as_slice(), &path[length..]].concat())
        });
        match handed {
            Some(next) => path = next,
            None => break,
        }
    }
    (1..=path.len()).rev().map(|length| path[..length].to_vec()).find(|m| sources.contains_key(m))
}

/// The arrows between files.
fn arrows() -> Arrows {
    let sources = sources();
    let passed_on = passed_on(&sources);
    let mut arrows = Arrows::new();
    for (module, text) in &sources {
        let is_summary =
            sources.keys().any(|other| other.len() > module.len() && other.starts_with(module));
        let targets = named(module, text).into_iter().filter_map(|path| {
            let owner = owner(&path, &sources, &passed_on)?;
            // A summary passes on what stands in its own folder.
            let is_own = is_summary && owner.starts_with(module);
            (owner != *module && !is_own && !owner.is_empty()).then_some(owner)
        });
        arrows.insert(module.clone(), targets.collect());
    }
    arrows.remove(&Module::new());
    arrows
}

/// The arrows between folders that the contributors' guide draws: `folder: others`.
fn drawn() -> BTreeMap<String, BTreeSet<String>> {
    let guide = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("DEVELOPERS.md"))
        .expect("the contributors' guide");
    let start =
        guide.find("```arrows\n").expect("the guide draws the arrows") + "```arrows\n".len();
    let block = &guide[start..start + guide[start..].find("```").expect("an end of the block")];
    let row = |line: &str| {
        let (folder, others) = line.split_once(':').expect("a folder, a colon, what it knows");
        let others = others.split_whitespace().map(str::to_owned).collect();
        (folder.trim().to_owned(), others)
    };
    block.lines().filter(|line| !line.trim().is_empty()).map(row).collect()
}

#[test]
fn folders_know_what_the_guide_says_and_no_more() {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (from, targets) in arrows() {
        let known = found.entry(from[0].clone()).or_default();
        known.extend(targets.iter().map(|to| to[0].clone()).filter(|to| *to != from[0]));
    }
    let lines = |arrows: &BTreeMap<String, BTreeSet<String>>| -> String {
        let row = |(from, to): (&String, &BTreeSet<String>)| {
            format!("{from}: {}\n", to.iter().cloned().collect::<Vec<_>>().join(" "))
        };
        arrows.iter().map(row).collect()
    };
    assert_eq!(lines(&found), lines(&drawn()), "left as the sources are, right as the guide draws");
}

/// Every row of the guide knows only rows above it, so there is no circle of folders.
#[test]
fn the_guide_draws_no_circle() {
    let guide = drawn();
    let mut below: BTreeSet<&String> = BTreeSet::new();
    while below.len() < guide.len() {
        let next = guide.iter().filter(|(folder, _)| !below.contains(folder));
        let free: Vec<&String> = next
            .filter(|(_, others)| others.iter().all(|other| below.contains(other)))
            .map(|(folder, _)| folder)
            .collect();
        let left: Vec<&String> = guide.keys().filter(|folder| !below.contains(folder)).collect();
        assert!(!free.is_empty(), "a circle among {left:?}");
        below.extend(free);
    }
}

/// The files that can be reached from one, itself only where there is a circle.
fn reached<'a>(arrows: &'a Arrows, from: &Module) -> BTreeSet<&'a Module> {
    let mut found = BTreeSet::new();
    let mut next: Vec<&Module> = arrows.get(from).into_iter().flatten().collect();
    while let Some(module) = next.pop() {
        if found.insert(module) {
            next.extend(arrows.get(module).into_iter().flatten());
        }
    }
    found
}

#[test]
fn no_files_stand_in_a_circle() {
    let arrows = arrows();
    let mut circles: BTreeSet<BTreeSet<String>> = BTreeSet::new();
    for module in arrows.keys() {
        let far = reached(&arrows, module);
        if far.contains(module) {
            let back = |other: &&&Module| reached(&arrows, other).contains(module);
            circles.insert(far.iter().filter(back).map(|module| module.join("::")).collect());
        }
    }
    assert!(circles.is_empty(), "circles of files: {circles:#?}");
}

#[test]
fn only_the_command_line_prints_or_knows_its_library() {
    for (module, text) in sources() {
        if module.first().is_some_and(|folder| folder == "cli") {
            continue;
        }
        for word in ["println!", "eprintln!", "clap", "std::process::exit"] {
            assert!(!text.contains(word), "{} has {word}", module.join("::"));
        }
    }
}

/// What is to be chosen is told as an advice, which the front puts in its own words.
#[test]
fn only_the_command_line_knows_what_is_typed() {
    let is_option = |text: &str| {
        let names = text.match_indices("--").map(|(at, _)| &text[at + 2..]);
        let is_name = |rest: &str| rest.starts_with(|c: char| c.is_ascii_lowercase());
        names.into_iter().any(is_name) || text.contains(" -o ")
    };
    for (module, text) in sources() {
        if module.first().is_some_and(|folder| folder == "cli") {
            continue;
        }
        // What is told to those who draw the music face is no matter of fronts.
        for line in text.lines().filter(|line| !line.contains("cargo run")) {
            let is_told = is_option(line) || line.contains("`quintfall ");
            assert!(!is_told, "{} tells what to type: {line}", module.join("::"));
        }
    }
}

/// One name, one thing: a reader who meets a type in a signature need not ask whose it is. What a
/// trait asks for by name (an `Item`, an `Err`) is no type of the house.
#[test]
fn no_type_name_stands_twice() {
    let mut homes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (module, text) in sources() {
        for line in text.lines() {
            let Some((inset, name)) = type_named(line) else { continue };
            if inset == 0 || !line.contains("type ") {
                homes.entry(name).or_default().push(module.join("::"));
            }
        }
    }
    assert!(homes.len() > 500, "only {} types are found", homes.len());
    let twice: Vec<_> = homes.iter().filter(|(_, homes)| homes.len() > 1).collect();
    assert!(twice.is_empty(), "these type names stand twice: {twice:#?}");
}

/// How far a line that declares a type is indented, and the name of the type.
fn type_named(line: &str) -> Option<(usize, String)> {
    let bare = line.trim_start();
    let mut rest = bare;
    if let Some(open) = rest.strip_prefix("pub") {
        rest = match open.strip_prefix('(') {
            Some(limited) => limited.split_once(')')?.1,
            None => open,
        }
        .trim_start();
    }
    let (kind, rest) = rest.split_once(' ')?;
    let is_type = ["struct", "enum", "trait", "type", "union"].contains(&kind);
    let ends = |sign: char| !(sign.is_alphanumeric() || sign == '_');
    let name = rest.split(ends).next().filter(|name| is_type && !name.is_empty())?;
    Some((line.len() - bare.len(), name.to_owned()))
}
