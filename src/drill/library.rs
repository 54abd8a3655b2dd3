//! The drills that come with the program.

use crate::source::nearest;

/// A drill of the library: its name and the text of its template.
pub type LibraryDrill = (&'static str, &'static str);

macro_rules! library {
    ($($name:literal),* $(,)?) => {
        &[$(($name, include_str!(concat!("../../templates/drills/", $name, ".toml")))),*]
    };
}

const LIBRARY: &[LibraryDrill] = library![
    "solid",
    "on-the-beat",
    "pushed",
    "falling",
    "alternating",
    "broken",
    "left-hand",
    "inversions",
    "fourths",
    "two-five-one",
    "shells",
    "three-chord-blues",
    "guide-tones",
    "two-feel",
    "turnaround",
    "jazz-waltz",
    "natural-minor",
    "harmonic-minor",
    "melodic-minor",
    "two-five-one-minor",
    "minor-blues",
    "secondary-dominants",
    "passing-diminished",
    "approach",
    "enclosures",
    "blues-lines",
    "bossa",
    "rootless",
    "blues-comping",
    "blues-changes",
    "walking-bass",
    "dominant-bridge",
    "bebop-lines",
    "pentatonics",
    "tritone-substitutes",
    "backdoor",
    "altered-dominants",
    "drop-2",
    "sixth-diminished",
    "block-chords",
    "five-note-voicings",
    "quartal-dorian",
    "upper-structures",
    "stride",
];

/// Every drill, from first lesson to last.
pub fn all() -> impl Iterator<Item = LibraryDrill> {
    LIBRARY.iter().copied()
}

/// The template text of a drill.
pub fn find(name: &str) -> Option<&'static str> {
    all().find(|(known, _)| *known == name).map(|(_, text)| text)
}

/// Where the drills for each stage begin: the first two parts of the graded course are for those who
/// begin, the next two rest on the cadence, and the last two on lines and chords without roots.
const STAGES: [(&str, &str); 3] =
    [("solid", "beginner"), ("natural-minor", "intermediate"), ("dominant-bridge", "advanced")];

/// For whom a drill is, in a word: the library goes from first lesson to last.
pub fn stage(name: &str) -> Option<&'static str> {
    let mut now = None;
    for (own, _) in all() {
        let begins = STAGES.iter().find(|(first, _)| *first == own);
        now = begins.map(|(_, stage)| *stage).or(now);
        if own == name {
            return now;
        }
    }
    None
}

/// What the text of a template gives a field of the whole drill, as it is written between quotation
/// marks on a line of its own.
pub fn said<'a>(text: &'a str, field: &str) -> Option<&'a str> {
    let value = |line: &'a str| {
        let value = line.strip_prefix(field)?.trim_start().strip_prefix('=')?.trim_start();
        value.strip_prefix('"')?.split('"').next()
    };
    text.lines().take_while(|line| !line.starts_with('[')).find_map(value)
}

/// Whether words are a name or a title, in small or capital letters, whatever stands between them.
pub fn is_called(words: &str, name: &str) -> bool {
    fn plain(words: &str) -> impl Iterator<Item = String> {
        let words = words.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        words.map(str::to_lowercase)
    }
    plain(words).eq(plain(name)) && plain(name).next().is_some()
}

/// The short name of the drill that is called so: by that name or by its title.
pub fn called(words: &str) -> Option<&'static str> {
    let is_it = |(name, text): &LibraryDrill| {
        is_called(words, name) || said(text, "title").is_some_and(|title| is_called(words, title))
    };
    all().find(is_it).map(|(name, _)| name)
}

/// The short name of the drill that a name or a title was probably meant for.
pub fn meant(unknown: &str) -> Option<&'static str> {
    let titles = all().filter_map(|(_, text)| said(text, "title"));
    nearest(unknown, all().map(|(name, _)| name).chain(titles)).and_then(called)
}

/// What to write in place of a name that no drill has.
pub fn advice(unknown: &str) -> String {
    let names = || all().map(|(name, _)| name);
    match meant(unknown) {
        Some(name) => format!("did you mean `{name}`?"),
        None => format!(
            "write one of {}, or the path of a drill file ending in .toml",
            names().collect::<Vec<_>>().join(", ")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::Template;

    #[test]
    fn every_drill_of_the_library_reads_and_bears_the_name_of_its_file() {
        for (name, text) in all() {
            let template = Template::parse(text, name).unwrap();
            assert_eq!(template.name, name);
            assert_eq!(find(name), Some(text));
        }
    }

    /// A drill goes by its name and by its title, and by those of no other.
    #[test]
    fn every_drill_is_found_by_its_name_and_by_its_title() {
        for (name, text) in all() {
            let template = Template::parse(text, name).unwrap();
            assert_eq!(said(text, "title"), Some(&*template.title));
            assert_eq!(said(text, "name"), Some(name));
            let shouted = template.title.to_uppercase().replace(['-', ','], " ");
            for words in [name, &template.title, &shouted, &name.replace('-', " ")] {
                assert_eq!(called(words), Some(name), "{words}");
            }
            // A slip in a title leads to the drill of that title.
            let slip: String = template.title.chars().skip(1).collect();
            assert_eq!(meant(&slip), Some(name), "{slip}");
        }
        for words in ["", " ", "-", "two-five", "waltz"] {
            assert_eq!(called(words), None, "{words}");
        }
    }

    #[test]
    fn stages_follow_each_other() {
        let mut stages: Vec<_> = all().map(|(name, _)| stage(name).unwrap()).collect();
        stages.dedup();
        assert_eq!(stages, STAGES.map(|(_, stage)| stage));
        assert_eq!(stage("no drill"), None);
    }

    /// What is printed is set with the signs of print.
    #[test]
    fn no_printed_word_has_the_signs_of_a_typewriter() {
        for (name, text) in all() {
            let words = text.lines().filter(|line| !line.starts_with('#'));
            let typed = words.filter(|line| line.contains('\'') || line.contains("--"));
            assert_eq!(typed.collect::<Vec<_>>(), [""; 0], "{name}");
        }
    }
}
