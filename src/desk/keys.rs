//! Whether the drills of a sheet can be in the keys that were asked for.

use crate::recipe::{AskedKey, DEFAULT_DRILL};
use crate::source::{Complaint, RecipeField as Field};
use crate::theory::{Key, Misfit, Mode, Spelling, Tonality};

/// A drill of minor keys that is named as an example.
const MINOR_DRILL: &str = "natural-minor";

/// Most drills that are named one by one.
const MOST_NAMED: usize = 3;

/// The keys of a sheet whose drills, by name and mode, can be in all of them: those that were asked
/// for, as its recipe remembers them. Minor drills take the customary twelve of minor in place of
/// the whole round, and what the drills say anyway is left unsaid, so that `Bb` and `Bb major` make
/// one sheet.
///
/// Errors with the first key that one of the drills cannot be in.
pub(crate) fn settled(
    asked: &[AskedKey],
    drills: &[(String, Mode)],
) -> Result<Vec<AskedKey>, Complaint> {
    if drills.is_empty() {
        return Ok(asked.to_vec());
    }
    if let Some(complaint) = asked.iter().find_map(|key| misfit(*key, drills)) {
        return Err(complaint);
    }
    let printed = |keys: &[AskedKey]| -> Vec<Vec<Key>> {
        drills.iter().map(|(_, mode)| of_drill(keys, *mode)).collect()
    };
    let have_minor_signature =
        drills.iter().all(|(_, mode)| mode.signature() == Mode::NaturalMinor);
    let is_customary = is_whole_round(asked) && have_minor_signature;
    let custom = |key: &AskedKey| if is_customary { key.customary_in_minor() } else { *key };
    let keys: Vec<AskedKey> = asked.iter().map(custom).collect();
    let unsaid: Vec<AskedKey> = keys.iter().map(|key| key.unsaid()).collect();
    Ok(if printed(&unsaid) == printed(asked) { unsaid } else { keys })
}

/// Whether these are the tonics of the whole round, so that none was asked for by name.
fn is_whole_round(asked: &[AskedKey]) -> bool {
    AskedKey::round(Spelling::Customary).iter().all(|key| asked.contains(key))
}

/// What is to be said where minor drills write a tonic otherwise than it was asked for by name, or
/// where the key that sounds the same has fewer signs.
pub(crate) fn written_otherwise(asked: &[AskedKey], drills: &[(String, Mode)]) -> Option<String> {
    if is_whole_round(asked) {
        return None;
    }
    let mut modes: Vec<Mode> = Vec::new();
    for mode in drills.iter().map(|(_, mode)| mode.signature()) {
        if !modes.contains(&mode) {
            modes.push(mode);
        }
    }
    let other = |(key, mode): (&AskedKey, &Mode)| {
        let printed = key.in_mode(*mode);
        (printed.tonic() != key.tonic()).then(|| {
            format!("{} {} is printed as {}", key.tonic(), printed.mode_word(), printed.words())
        })
    };
    let heavy = |(key, mode): (&AskedKey, &Mode)| {
        let printed = key.in_mode(*mode);
        let lighter = printed.customary();
        let is_asked = printed.tonic() == key.tonic() && *mode != Mode::Major;
        (is_asked && lighter != printed).then(|| {
            let [signs, fewer] = [printed, lighter].map(|key| key.fifths().abs());
            let (own, other) = (printed.words(), lighter.words());
            format!("{own} has {signs} signs; {other} sounds the same and has {fewer}")
        })
    };
    let pairs = || asked.iter().flat_map(|key| modes.iter().map(move |mode| (key, mode)));
    let others: Vec<String> = pairs().filter_map(other).collect();
    let others =
        (!others.is_empty()).then(|| format!("{}, which sounds the same", others.join(", ")));
    let told: Vec<String> = others.into_iter().chain(pairs().filter_map(heavy)).collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// The keys of a drill in a mode, in the order asked for.
///
/// Whoever has the tonics of the whole round in her recipe asked for none of them by name, so drills
/// of other modes take the customary twelve of these, beside major drills too.
pub(crate) fn of_drill(asked: &[AskedKey], mode: Mode) -> Vec<Key> {
    let is_customary = is_whole_round(asked) && mode.signature() != Mode::Major;
    let own = |asked: &AskedKey| {
        let key = asked.in_mode(mode);
        if is_customary && asked.tonality().is_none() { key.customary() } else { key }
    };
    asked.iter().map(own).collect()
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
            // There may be no key of the drill's own tonality on this tonic.
            let (theirs, such) = match tonality {
                Some(Tonality::Minor) => (key.in_mode(Mode::Major), MINOR_DRILL),
                _ => (key.in_mode(Mode::NaturalMinor), DEFAULT_DRILL),
            };
            let problem = format!("{is} in {}, not in {key}", theirs.mode_word());
            let mend = if names.len() < drills.len() {
                let both = key.serving_both().plain();
                format!("write {both} alone, which serves major and minor drills alike")
            } else {
                let own = tonality.map_or("", Tonality::word);
                let plain = theirs.tonic().plain();
                let theirs = theirs.words();
                format!("write {plain} for {theirs}, or take a {own} drill, such as {such}")
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
    use crate::recipe::{CourseDrill, Recipe};

    fn drills(words: &[(&str, Mode)]) -> Vec<(String, Mode)> {
        words.iter().map(|(name, mode)| ((*name).to_owned(), *mode)).collect()
    }

    fn keys(words: &[&str]) -> Vec<AskedKey> {
        words.iter().map(|word| word.parse().unwrap()).collect()
    }

    const MAJOR: (&str, Mode) = ("pushed", Mode::Major);
    const MINOR: (&str, Mode) = ("harmonic-minor", Mode::HarmonicMinor);

    #[test]
    fn keys_that_fit_are_left_as_they_are() {
        for (words, with) in [
            (&["C", "Ab"][..], &[MAJOR, MINOR][..]),
            (&["G", "G#", "Db"], &[MINOR]),
            (&["Bb", "Gb"], &[MAJOR]),
        ] {
            assert_eq!(settled(&keys(words), &drills(with)), Ok(keys(words)));
        }
    }

    #[test]
    fn what_the_drills_say_anyway_is_left_unsaid() {
        let settled = |words: &[&str], with| settled(&keys(words), &drills(&[with])).unwrap();
        assert_eq!(settled(&["Bb major", "C"], MAJOR), keys(&["Bb", "C"]));
        assert_eq!(settled(&["Ab minor"], MINOR), keys(&["Ab"]));
        // Without its word it would be taken for the round that nobody asked for by name.
        let mut round = AskedKey::round(Spelling::Customary).to_vec();
        round[4] = "Ab minor".parse().unwrap();
        assert_eq!(super::settled(&round, &drills(&[MINOR])), Ok(round));
    }

    /// Every key that a refusal tells to write is taken by the same drills, in every key.
    #[test]
    fn what_a_refusal_tells_to_write_is_taken() {
        let mut told = 0;
        for with in [&[MAJOR][..], &[MINOR], &[MAJOR, MINOR]] {
            let with = drills(with);
            for tonic in "CDEFGAB".chars().flat_map(|letter| ["", "b", "#"].map(|s| (letter, s))) {
                for way in ["", " major", " minor"] {
                    let text = format!("{}{}{way}", tonic.0, tonic.1);
                    let Ok(key) = text.parse::<AskedKey>() else { continue };
                    let Err(refusal) = settled(&[key], &with) else { continue };
                    let mend = refusal.mend.unwrap().to_string();
                    let word = mend.strip_prefix("write ").unwrap().split([' ', ',']).next();
                    let told_key = word.unwrap().parse().unwrap();
                    assert!(settled(&[told_key], &with).is_ok(), "{text}: {mend}");
                    told += 1;
                }
            }
        }
        assert!(told > 30, "{told}");
    }

    #[test]
    fn a_tonic_that_is_written_otherwise_is_told() {
        let minor = drills(&[MINOR]);
        let said = "D♭ minor is printed as C♯ minor, which sounds the same";
        assert_eq!(written_otherwise(&keys(&["Db", "A"]), &minor).as_deref(), Some(said));
        assert_eq!(written_otherwise(&keys(&["Db minor"]), &minor).as_deref(), Some(said));
        assert_eq!(written_otherwise(&keys(&["C#", "A"]), &minor), None);
        // D flat dorian has a signature of its own, A sharp dorian too; G flat dorian has none.
        let dorian = [("own".to_owned(), Mode::Dorian)];
        let said = "D♭ dorian has 7 signs; C♯ dorian sounds the same and has 5";
        assert_eq!(written_otherwise(&keys(&["Db", "C"]), &dorian).as_deref(), Some(said));
        let said = "G♭ dorian is printed as F♯ dorian, which sounds the same";
        assert_eq!(written_otherwise(&keys(&["Gb"]), &dorian).as_deref(), Some(said));
        assert_eq!(written_otherwise(&AskedKey::round(Spelling::Customary), &minor), None);
    }

    #[test]
    fn keys_that_do_not_fit_are_refused_with_their_mend() {
        let refused = |word: &str, with: &[(&str, Mode)]| {
            settled(&keys(&[word]), &drills(with)).unwrap_err().to_string()
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
    fn every_commission_has_its_keys_settled() {
        let minor = |keys| Recipe { drill: "harmonic-minor".to_owned(), keys, ..Recipe::default() };
        let made = pipeline::commission(&minor(Recipe::default().keys)).unwrap();
        assert_eq!(made.recipe.keys[3..6], keys(&["Eb", "G#", "Db"]));
        assert_eq!(made.course.exercises[0].keys[4].words(), "G♯ minor");
        let refused = pipeline::commission(&minor(keys(&["C major"]))).err().unwrap();
        assert!(matches!(refused, pipeline::PipelineError::Keys(_)), "{refused}");
    }

    #[test]
    fn minor_drills_take_their_own_twelve_beside_major_ones() {
        let course = ["pushed", "harmonic-minor"].map(CourseDrill::named).to_vec();
        let recipe = |keys| Recipe {
            drill: String::new(),
            course: course.clone(),
            keys,
            ..Recipe::default()
        };
        let made = |keys: Vec<AskedKey>| -> Vec<Vec<String>> {
            let course = pipeline::commission(&recipe(keys)).unwrap().course;
            let words = |exercise: &Exercise| exercise.keys.iter().map(|key| key.words()).collect();
            course.exercises.iter().map(words).collect()
        };
        let [major, minor] = made(Recipe::default().keys).try_into().unwrap();
        assert_eq!(major[3..6], ["E♭ major", "A♭ major", "D♭ major"]);
        assert_eq!(minor[3..6], ["E♭ minor", "G♯ minor", "C♯ minor"]);
        // What was asked for by name stays.
        assert_eq!(made(keys(&["Ab", "C"])), [["A♭ major", "C major"], ["A♭ minor", "C minor"]]);
    }

    #[test]
    fn minor_drills_take_their_own_twelve_where_nobody_asked() {
        let round = AskedKey::round(Spelling::Customary);
        let minor = settled(&round, &drills(&[MINOR])).unwrap();
        assert_eq!(minor[3..6], keys(&["Eb", "G#", "Db"]));
        assert_eq!(settled(&minor, &drills(&[MINOR])), Ok(minor.clone()));
        assert_eq!(settled(&round, &drills(&[MINOR, MAJOR])), Ok(round.to_vec()));
    }
}
