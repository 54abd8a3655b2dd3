//! Slips of those who type: what was probably meant by a word in the wrong place.

use std::path::Path;

use super::words::quoted;
use crate::recipe::fields::{FieldKind, row};
use crate::source::{Complaint, RecipeField as Field};
use crate::theory::AskedKey;

/// An option and its values, which stand right before the recipe.
pub(super) struct Before {
    /// The field that it sets.
    pub(super) field: Field,
    /// All the values that were typed after it.
    pub(super) words: Vec<String>,
}

/// What was probably meant by a word in the place of a recipe that is the name of no file, if it
/// does not look like the name of one.
pub(super) fn no_recipe(path: &Path, made: &str, before: Option<&Before>) -> Option<Complaint> {
    let word = path.to_str()?;
    let mend = meant(word, made, before)?;
    Some(Complaint::new(format!("there is no recipe {word}")).mend(mend))
}

fn meant(word: &str, made: &str, before: Option<&Before>) -> Option<String> {
    if let Some(mend) = long_dash(word) {
        return Some(mend);
    }
    if let Some(Before { field, words }) = before
        && !looks_like_file(word)
    {
        let all = words.iter().map(String::as_str).chain([word]);
        match row(*field).kind {
            FieldKind::Keys if is_key(word) => {
                let keys = all.collect::<Vec<_>>().join(",");
                return Some(format!("for several keys write --{field} {}", quoted(&keys)));
            }
            _ if *field == Field::Drill => {
                let drills = all.collect::<Vec<_>>().join(",");
                return Some(format!("for several drills write --{field} {}", quoted(&drills)));
            }
            FieldKind::Line(_) | FieldKind::Lines(..) => {
                let text = all.collect::<Vec<_>>().join(" ");
                return Some(format!(
                    "a text of several words stands in quotes: --{field} \"{text}\""
                ));
            }
            _ => {}
        }
    }
    if is_key(word) {
        let key = quoted(word);
        return Some(format!("for a {made} in {word} write --key {key}"));
    }
    tempo(word)
}

/// What to type for a tempo that stands without its option.
pub(super) fn tempo(word: &str) -> Option<String> {
    let beats = word.parse::<u16>().ok()?;
    Some(format!("for a tempo write --{} {beats}", Field::Tempo))
}

/// What to type for an option whose hyphens were made into a dash by a program for texts.
pub(super) fn long_dash(word: &str) -> Option<String> {
    let name = word.trim_start_matches([
        '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2014}', '\u{2212}', '-',
    ]);
    let is_option = word.len() > name.len() && !word.starts_with('-');
    let is_name = name.starts_with(|c: char| c.is_ascii_alphabetic());
    let hyphens = if name.chars().count() == 1 { "-" } else { "--" };
    (is_option && is_name).then(|| format!("options begin with hyphens: write {hyphens}{name}"))
}

fn is_key(word: &str) -> bool {
    word.parse::<AskedKey>().is_ok()
}

fn looks_like_file(word: &str) -> bool {
    word.contains(['/', '\\']) || Path::new(word).extension().is_some()
}
