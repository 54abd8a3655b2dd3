//! Which keys a sheet has, from those that its drills have: the keys of the course for some of them,
//! keys of their own for others.

use super::keys::of_drill;
use crate::recipe::AskedKey;
use crate::theory::{Mode, NoteName};

/// A drill as far as its keys go.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Keyed<'a> {
    /// Its mode.
    pub(crate) mode: Mode,
    /// The keys that it has of its own; none where it has those of its course.
    pub(crate) own: &'a [AskedKey],
}

impl<'a> Keyed<'a> {
    /// The keys that it is asked to be in.
    fn asked(self, course: &'a [AskedKey]) -> &'a [AskedKey] {
        if self.own.is_empty() { course } else { self.own }
    }
}

/// The keys that any drill has, each once: those of the course first, in its order, if any drill has
/// them.
pub(crate) fn keys(course: &[AskedKey], drills: &[Keyed<'_>]) -> Vec<AskedKey> {
    let asked = || drills.iter().flat_map(|drill| drill.asked(course));
    let is_shared = drills.iter().any(|drill| drill.own.is_empty());
    let first = if is_shared { course } else { &[] };
    let sounds = |key: &AskedKey| {
        let place = key.place_in_round();
        move |other: &AskedKey| other.place_in_round() == place
    };
    let mut keys: Vec<AskedKey> = Vec::new();
    for key in first.iter().chain(asked()) {
        if !keys.iter().any(sounds(key)) {
            keys.push(*key);
        }
    }
    keys
}

/// The tonics that stand on the pages of drills, each once. Where major and minor drills write one of
/// them otherwise, it stays as it was asked for.
pub(crate) fn tonics(course: &[AskedKey], drills: &[Keyed<'_>]) -> Vec<NoteName> {
    let printed = |key: &AskedKey| {
        let same = |other: &AskedKey| other.place_in_round() == key.place_in_round();
        let having = || drills.iter().filter(|drill| drill.asked(course).iter().any(same));
        if having().any(|drill| !drill.mode.is_minor()) {
            return key.tonic();
        }
        let asked = having().next().map_or(course, |drill| drill.asked(course));
        let index = asked.iter().position(same).unwrap_or(0);
        of_drill(asked, Mode::NaturalMinor).get(index).map_or(key.tonic(), |key| key.tonic())
    };
    keys(course, drills).iter().map(printed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(words: &str) -> Vec<AskedKey> {
        words.split_whitespace().map(|word| word.parse().unwrap()).collect()
    }

    fn had(course: &str, drills: &[(Mode, &str)]) -> String {
        let own: Vec<(Mode, Vec<AskedKey>)> =
            drills.iter().map(|(mode, own)| (*mode, asked(own))).collect();
        let drills: Vec<Keyed<'_>> =
            own.iter().map(|(mode, own)| Keyed { mode: *mode, own }).collect();
        let tonics = tonics(&asked(course), &drills);
        assert_eq!(tonics.len(), keys(&asked(course), &drills).len());
        tonics.iter().map(|tonic| tonic.plain()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_keys_of_a_sheet_are_those_that_its_drills_have() {
        let (major, minor) = (Mode::Major, Mode::HarmonicMinor);
        for (course, drills, tonics) in [
            ("C F", &[(major, ""), (major, "")][..], "C F"),
            ("C F", &[(major, "G D"), (major, "D A")], "G D A"),
            ("C D F", &[(major, "G D"), (minor, "F")], "G D F"),
            ("C F", &[(major, ""), (major, "F D")], "C F D"),
            ("Db C", &[(minor, "")], "C# C"),
            ("Db C", &[(minor, ""), (major, "")], "Db C"),
            ("C", &[(major, "C"), (minor, "Db Cb")], "C C# B"),
            ("C", &[(major, "Db"), (minor, "Db")], "Db"),
        ] {
            assert_eq!(had(course, drills), tonics, "{course} {drills:?}");
        }
    }
}
