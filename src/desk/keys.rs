//! Whether the drills of a sheet can be in the keys that were asked for.

use crate::recipe::{AskedKey, DEFAULT_DRILL, Recipe};
use crate::source::{Complaint, RecipeField as Field};
use crate::theory::{Key, Misfit, Mode, Spelling, Tonality};

/// A drill of minor keys that is named as an example.
const MINOR_DRILL: &str = "natural-minor";

/// Most drills that are named one by one.
const MOST_NAMED: usize = 3;

/// The recipe with the keys that its drills, by name and mode, can be in. Where nobody asked for
/// keys, minor drills take the customary twelve of minor.
///
/// Errors with the first key that one of them cannot be in.
pub(crate) fn settled(
    mut recipe: Recipe,
    drills: &[(String, Mode)],
    are_asked_for: bool,
) -> Result<Recipe, Complaint> {
    if !are_asked_for && drills.iter().all(|(_, mode)| mode.is_minor()) {
        for key in &mut recipe.keys {
            *key = key.customary_in_minor();
        }
    }
    match recipe.keys.iter().find_map(|key| misfit(*key, drills)) {
        Some(complaint) => Err(complaint),
        None => Ok(recipe),
    }
}

/// The keys of a drill in a mode, in the order asked for.
///
/// Whoever has the tonics of the whole round in her recipe asked for none of them by name, so minor
/// drills take the customary twelve of minor, beside major drills too.
pub(crate) fn of_drill(asked: &[AskedKey], mode: Mode) -> Vec<Key> {
    let round = AskedKey::round(Spelling::Customary);
    let is_whole = round.iter().all(|key| asked.contains(key));
    let is_customary = is_whole && mode.is_minor();
    let key = |key: &AskedKey| if is_customary { key.customary_in_minor() } else { *key };
    asked.iter().map(|asked| key(asked).in_mode(mode)).collect()
}

/// What to say of a key that some drills cannot be in.
fn misfit(key: AskedKey, drills: &[(String, Mode)]) -> Option<Complaint> {
    let misfits: Vec<(&str, Misfit)> = drills
        .iter()
        .filter_map(|(name, mode)| Some((name.as_str(), key.fit(*mode).err()?)))
        .collect();
    let (_, first) = *misfits.first()?;
    let names: Vec<&str> = misfits.iter().map(|(name, _)| *name).collect();
    let (is, tonic) = (named(&names), key.tonic());
    Some(match (first, key.tonality()) {
        (Misfit::Signs { instead }, _) => {
            let problem = format!("{is} in major, and there is no key of {tonic} major");
            let other = match names.len() == drills.len() {
                true => format!(", or take a minor drill, such as {MINOR_DRILL}"),
                false => String::new(),
            };
            let mend = format!("write {}, which sounds the same{other}", instead.tonic().plain());
            Complaint::of(Field::Keys, problem).mend(mend)
        }
        (Misfit::Tonality, tonality) => {
            let (theirs, such) = match tonality {
                Some(Tonality::Minor) => (Tonality::Major, MINOR_DRILL),
                _ => (Tonality::Minor, DEFAULT_DRILL),
            };
            let problem = format!("{is} in {}, not in {key}", theirs.word());
            let plain = tonic.plain();
            let mend = if names.len() < drills.len() {
                format!("write {plain} alone, which serves major and minor drills alike")
            } else {
                let own = tonality.map_or("", Tonality::word);
                format!(
                    "write {plain} for {tonic} {}, or take a {own} drill, such as {such}",
                    theirs.word()
                )
            };
            Complaint::of(Field::Keys, problem).mend(mend)
        }
    })
}

/// Some drills and the verb that goes with them.
fn named(names: &[&str]) -> String {
    let each: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match each.as_slice() {
        [one] => format!("the drill {one} is"),
        [first, .., last] if each.len() <= MOST_NAMED => {
            let between: Vec<&str> = each[1..each.len() - 1].iter().map(String::as_str).collect();
            let start = [&[first.as_str()], &between[..]].concat().join(", ");
            format!("the drills {start} and {last} are")
        }
        _ => {
            let more = each.len() - MOST_NAMED;
            format!("the drills {} and {more} more are", each[..MOST_NAMED].join(", "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::pipeline;
    use crate::drill::Exercise;
    use crate::recipe::CourseDrill;

    fn drills(words: &[(&str, Mode)]) -> Vec<(String, Mode)> {
        words.iter().map(|(name, mode)| ((*name).to_owned(), *mode)).collect()
    }

    fn keys(words: &[&str]) -> Recipe {
        let keys = words.iter().map(|word| word.parse().unwrap()).collect();
        Recipe { keys, ..Recipe::default() }
    }

    const MAJOR: (&str, Mode) = ("pushed", Mode::Major);
    const MINOR: (&str, Mode) = ("harmonic-minor", Mode::HarmonicMinor);

    #[test]
    fn keys_that_fit_are_left_as_they_are() {
        for (words, with) in [
            (&["C", "Ab"][..], &[MAJOR, MINOR][..]),
            (&["G minor", "G#", "Db"], &[MINOR]),
            (&["Bb major", "Gb"], &[MAJOR]),
        ] {
            let recipe = keys(words);
            assert_eq!(settled(recipe.clone(), &drills(with), true), Ok(recipe));
        }
    }

    #[test]
    fn keys_that_do_not_fit_are_refused_with_their_mend() {
        let refused = |word: &str, with: &[(&str, Mode)]| {
            settled(keys(&[word]), &drills(with), true).unwrap_err().to_string()
        };
        assert_eq!(
            refused("G minor", &[MAJOR]),
            "the drill `pushed` is in major, not in G minor; \
             write G for G major, or take a minor drill, such as natural-minor"
        );
        assert_eq!(
            refused("Bb major", &[MINOR]),
            "the drill `harmonic-minor` is in minor, not in B♭ major; \
             write Bb for B♭ minor, or take a major drill, such as pushed"
        );
        assert_eq!(
            refused("G minor", &[MAJOR, MINOR]),
            "the drill `pushed` is in major, not in G minor; \
             write G alone, which serves major and minor drills alike"
        );
        assert_eq!(
            refused("G#", &[MAJOR]),
            "the drill `pushed` is in major, and there is no key of G♯ major; \
             write Ab, which sounds the same, or take a minor drill, such as natural-minor"
        );
        let many = ["a", "b", "c", "d"].map(|name| (name, Mode::Major));
        assert!(refused("C minor", &many[..2]).starts_with("the drills `a` and `b` are in major"));
        let all = refused("C minor", &many);
        assert!(all.starts_with("the drills `a`, `b`, `c` and 1 more are in major"), "{all}");
    }

    #[test]
    fn minor_drills_take_their_own_twelve_beside_major_ones() {
        let course = ["pushed", "harmonic-minor"].map(CourseDrill::named).to_vec();
        let recipe = |keys: Recipe| Recipe { drill: String::new(), course: course.clone(), ..keys };
        let made = |keys: Recipe| -> Vec<Vec<String>> {
            let course = pipeline::commission(&recipe(keys)).unwrap().course;
            let words =
                |exercise: &Exercise| exercise.parts.iter().map(|p| p.key.words()).collect();
            course.exercises.iter().map(words).collect()
        };
        let [major, minor] = made(Recipe::default()).try_into().unwrap();
        assert_eq!(major[3..6], ["E♭ major", "A♭ major", "D♭ major"]);
        assert_eq!(minor[3..6], ["E♭ minor", "G♯ minor", "C♯ minor"]);
        // What was asked for by name stays.
        assert_eq!(made(keys(&["Ab", "C"])), [["A♭ major", "C major"], ["A♭ minor", "C minor"]]);
    }

    #[test]
    fn minor_drills_take_their_own_twelve_where_nobody_asked() {
        let letters = |recipe: Recipe| -> Vec<String> {
            recipe.keys.iter().map(|key| key.to_string()).collect()
        };
        let minor = letters(settled(Recipe::default(), &drills(&[MINOR]), false).unwrap());
        assert_eq!(minor[3..6], ["E♭", "G♯ minor", "D♭"]);
        for (with, are_asked_for) in [(&[MINOR][..], true), (&[MINOR, MAJOR], false)] {
            let same = settled(Recipe::default(), &drills(with), are_asked_for).unwrap();
            assert_eq!(same, Recipe::default());
        }
    }
}
