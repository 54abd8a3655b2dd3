//! Drills of a few bars, for pages that keys share.

use quintfall::drill::{Template, library};

/// How many chords a short drill has at the most.
const CHORDS: usize = 4;

/// The first chords of every drill of the library, as far as these make a drill: its name and its
/// text.
pub(crate) fn drills() -> Vec<(String, String)> {
    let short = |(name, text): (&'static str, &'static str)| {
        let mut drill: toml::Table = text.parse().expect("library drills are TOML");
        let passages = drill.get_mut("passage")?.as_array_mut()?;
        passages.truncate(1);
        let passage = passages[0].as_table_mut()?;
        if let Some(degrees) = passage.get_mut("degrees").and_then(toml::Value::as_array_mut) {
            degrees.truncate(CHORDS);
        }
        let text = drill.to_string();
        Template::parse(&text, name).is_ok().then(|| (name.to_owned(), text))
    };
    let drills: Vec<(String, String)> = library::all().filter_map(short).collect();
    assert!(drills.len() > 15, "{} drills can be made short", drills.len());
    drills
}
