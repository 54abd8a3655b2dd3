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

/// What to write in place of a name that no drill has.
pub fn advice(unknown: &str) -> String {
    let names = || all().map(|(name, _)| name);
    match nearest(unknown, names()) {
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
