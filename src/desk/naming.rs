//! What a sheet is called that was given no name.

use std::ffi::OsString;
use std::path::{Path, PathBuf};

use unicode_normalization::UnicodeNormalization as _;
use unicode_normalization::char::is_combining_mark;

use super::day;
use super::had::WrittenKey;
use super::product::Product;
use crate::recipe::fields::row;
use crate::recipe::{DocumentForm, Hands, Recipe, WriteIn};
use crate::source::RecipeField as Field;
use crate::source::word::choice;
use crate::theory::Key;

/// Most bytes of a name before its number and its ending. Most file systems hold 255 bytes, some
/// that encrypt names 143.
const NAME_LIMIT: usize = 110;
/// Most keys that are named one by one.
const MOST_KEYS: usize = 6;
/// The keys of a workbook that says nothing of them.
const ALL_KEYS: usize = 12;

/// The name of a sheet: form, drill, the `keys` as they are printed unless it is a workbook of all
/// twelve, student, a hand that plays alone, what is left out to be written in, and the tempo, which
/// comes last, where `at_tempo` finds it again.
pub(crate) fn name(recipe: &Recipe, drill: &str, keys: &[WrittenKey]) -> PathBuf {
    let hand = match recipe.hands {
        Hands::Together => "",
        Hands::Right => "-right-hand",
        Hands::Left => "-left-hand",
    };
    let end = format!("{hand}{}-{}", partial(recipe), recipe.tempo);
    let tells_all = recipe.form == DocumentForm::Handout;
    let start = start(recipe, (recipe.form.word(), drill), (keys, tells_all), end.len());
    PathBuf::from(format!("{start}{end}.{}", Product::Pdf.row().ending))
}

/// What begins a name: a word and the drill, the keys, unless they are all twelve and not told
/// then, and the student; with room for so many bytes more.
fn start(
    recipe: &Recipe,
    (word, drill): (&str, &str),
    (keys, tells_all): (&[WrittenKey], bool),
    more: usize,
) -> String {
    let mut words = vec![word.to_owned(), drill.to_owned()];
    if keys.len() != ALL_KEYS || tells_all {
        words.extend(keys_in_words(keys));
    }
    words.extend(recipe.student.clone());
    joined(&words, NAME_LIMIT - more)
}

/// Words with hyphens between them, as far as so many bytes hold them.
fn joined(words: &[String], most: usize) -> String {
    let words: Vec<String> =
        words.iter().map(|word| safe(word)).filter(|word| !word.is_empty()).collect();
    cut(&words.join("-"), most).to_owned()
}

/// Keys one by one, or how many there are.
fn keys_in_words(keys: &[WrittenKey]) -> Vec<String> {
    match keys.len() {
        count if count > MOST_KEYS => vec![format!("{count}-keys")],
        _ => keys.iter().map(WrittenKey::in_name).collect(),
    }
}

/// The same of keys.
pub(crate) fn of_keys(keys: impl Iterator<Item = Key>) -> Vec<String> {
    keys_in_words(&keys.map(WrittenKey::of).collect::<Vec<_>>())
}

/// What begins the names of tracks that some words say what they are.
pub(crate) fn of_track(words: &[String]) -> String {
    joined(words, NAME_LIMIT - TEMPO)
}

/// Bytes of a hyphen and a tempo.
const TEMPO: usize = 4;

/// What begins the names of tracks; their tempi come after it, see [`at_rung`].
pub(crate) fn track(recipe: &Recipe, drill: &str, keys: &[WrittenKey]) -> String {
    start(recipe, ("playalong", drill), (keys, false), TEMPO)
}

/// The name of a track at a tempo: with three figures each, so that names sort as tempi do.
pub(crate) fn at_rung(start: &str, tempo: u16, ending: &str) -> PathBuf {
    PathBuf::from(format!("{start}-{tempo:03}.{ending}"))
}

/// The name of a sheet that some words say what it is.
pub(super) fn of_words(words: &[String]) -> PathBuf {
    PathBuf::from(format!("{}.{}", joined(words, NAME_LIMIT), Product::Pdf.row().ending))
}

/// The name of a sheet at another tempo, beside the sheet at `old`: the new tempo stands in the
/// place of the old one, and of the number after it, or else at the end.
pub(crate) fn at_tempo(sheet: &Path, old: u16, new: u16) -> PathBuf {
    let stem = sheet.file_stem().unwrap_or_default();
    let kept = stem.to_str().and_then(|stem| {
        let at_old = |stem: &str| stem.strip_suffix(&format!("-{old}")).map(str::to_owned);
        let (before, number) = stem.rsplit_once('-').unwrap_or((stem, ""));
        let numbered = !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit());
        at_old(stem).or_else(|| at_old(before).filter(|_| numbered))
    });
    let mut name = kept.map_or_else(|| stem.to_owned(), OsString::from);
    name.push(format!("-{new}.{}", Product::Pdf.row().ending));
    sheet.with_file_name(name)
}

/// The folder of a student, with nothing in its name that could lead anywhere else.
pub(super) fn folder(student: &str) -> String {
    /// Names that stand for devices where some systems keep files, in whatever letters.
    const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
    let safe = safe(student);
    let name = cut(&safe, NAME_LIMIT).to_owned();
    let is_device = DEVICES.iter().any(|device| name.eq_ignore_ascii_case(device));
    if is_device { format!("{name}-") } else { name }
}

/// Letters and digits, with hyphens for what stands between them. Letters are composed, so that a
/// name is one name however it was typed.
pub(super) fn safe(word: &str) -> String {
    let mut safe = String::new();
    let mut after_letter = false;
    for c in word.nfc() {
        // Not every letter with a mark is a sign of its own.
        let is_mark = after_letter && is_combining_mark(c);
        if c.is_alphanumeric() || is_mark {
            safe.push(c);
            after_letter = true;
        } else {
            if after_letter {
                safe.push('-');
            }
            after_letter = false;
        }
    }
    safe.truncate(safe.trim_end_matches('-').len());
    safe
}

/// What a day is called in the name of a file: year, month and day, so that names stand in the order
/// of their days, where the day is plain from how it is written; else as it is written.
pub(super) fn day(text: &str) -> String {
    day::iso(text).unwrap_or_else(|| safe(text))
}

/// What is left out of a sheet, to be written in.
fn partial(recipe: &Recipe) -> String {
    let parts: Vec<&str> = recipe.leave_out.iter().map(part_word).collect();
    match parts.as_slice() {
        [] => String::new(),
        parts if recipe.answers => format!("-without-{}-answers", parts.join("-")),
        parts => format!("-without-{}", parts.join("-")),
    }
}

/// The word for what is left out.
pub(crate) fn part_word(part: &WriteIn) -> &'static str {
    let words = row(Field::LeaveOut).words();
    let named = words.iter().find(|word| choice::<WriteIn>(word) == Some(*part));
    named.copied().unwrap_or_default()
}

/// At most `most` bytes of a name, in whole characters.
fn cut(name: &str, most: usize) -> &str {
    name[..name.floor_char_boundary(most)].trim_end_matches('-')
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(recipe: &Recipe, drill: &str) -> String {
        let keys: Vec<WrittenKey> =
            recipe.keys.iter().map(|key| WrittenKey::of(key.key())).collect();
        name(recipe, drill, &keys).to_str().unwrap().to_owned()
    }

    #[test]
    fn sheets_are_named_after_what_they_are() {
        let mut recipe = Recipe::default();
        assert_eq!(named(&recipe, "pushed"), "workbook-pushed-80.pdf");
        recipe.student = Some("Åsa / Müller-Löw, jr.".to_owned());
        recipe.tempo = 60;
        assert_eq!(named(&recipe, "pushed"), "workbook-pushed-Åsa-Müller-Löw-jr-60.pdf");
        recipe.keys = recipe.keys[..7].to_vec();
        recipe.hands = Hands::Left;
        recipe.student = None;
        assert_eq!(named(&recipe, "pushed"), "workbook-pushed-7-keys-left-hand-60.pdf");
        recipe.form = DocumentForm::Handout;
        recipe.keys = vec!["Eb".parse().unwrap(), "F#".parse().unwrap()];
        recipe.student = Some("../..".to_owned());
        recipe.hands = Hands::Right;
        let name = "handout-on-the-beat-Eb-F-sharp-right-hand-60.pdf";
        assert_eq!(named(&recipe, "on-the-beat"), name);
    }

    #[test]
    fn a_partial_sheet_has_a_name_of_its_own() {
        let mut recipe =
            Recipe { leave_out: vec![WriteIn::Left, WriteIn::Symbols], ..Recipe::default() };
        assert_eq!(named(&recipe, "pushed"), "workbook-pushed-without-left-symbols-80.pdf");
        recipe.answers = true;
        assert_eq!(named(&recipe, "pushed"), "workbook-pushed-without-left-symbols-answers-80.pdf");
    }

    #[test]
    fn a_name_is_one_name_however_it_is_typed() {
        assert_eq!(folder("A\u{308}nne"), "\u{c4}nne");
        assert_eq!(safe("Jose\u{301} x\u{302}y"), "Jos\u{e9}-x\u{302}y");
        assert_eq!(safe("\u{301} A\u{a0}B -- c."), "A-B-c");
    }

    #[test]
    fn a_long_name_is_cut_before_hand_and_tempo() {
        for student in ["x ".repeat(60), "\u{1e00}".repeat(120)] {
            let hands = Hands::Right;
            let recipe = Recipe { student: Some(student), hands, ..Recipe::default() };
            let name = named(&recipe, "pushed");
            assert!(name.len() <= NAME_LIMIT + 4, "{name}");
            assert!(name.ends_with("-right-hand-80.pdf") && !name.contains("--"), "{name}");
        }
    }

    #[test]
    fn a_new_tempo_takes_the_place_of_the_old_one() {
        for (sheet, name) in [
            ("of/workbook-pushed-80.pdf", "of/workbook-pushed-112.pdf"),
            ("workbook-pushed-80-3.pdf", "workbook-pushed-112.pdf"),
            ("x.pdf", "x-112.pdf"),
            ("spring-90.pdf", "spring-90-112.pdf"),
            ("x-180.PDF", "x-180-112.pdf"),
            ("x-80-", "x-80--112.pdf"),
            ("80", "80-112.pdf"),
        ] {
            assert_eq!(at_tempo(Path::new(sheet), 80, 112), Path::new(name), "{sheet}");
        }
    }
}
