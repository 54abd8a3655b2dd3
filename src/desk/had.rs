//! Which keys a sheet has, from those that its drills have: the keys of the course for some of them,
//! keys of their own for others.

use super::keys::of_drill;
use crate::recipe::AskedKey;
use crate::theory::{Key, Mode, NoteName, Tonality};

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

/// A key as pages have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct WrittenKey {
    tonic: NoteName,
    /// The word for its kind; none where that is major, or where drills differ in it.
    kind: Option<&'static str>,
}

impl WrittenKey {
    /// A key by itself.
    pub(crate) fn of(key: Key) -> Self {
        let kind = Some(key.mode_word()).filter(|word| *word != Tonality::Major.word());
        Self { tonic: key.tonic(), kind }
    }

    /// Its name: `E♭`, `C minor`.
    pub(crate) fn words(&self) -> String {
        self.with_kind(self.tonic.to_string(), ' ')
    }

    /// The same for the name of a file.
    pub(crate) fn in_name(&self) -> String {
        self.with_kind(self.tonic.plain().replace('#', "-sharp"), '-')
    }

    fn with_kind(self, tonic: String, between: char) -> String {
        match self.kind {
            None => tonic,
            Some(kind) => format!("{tonic}{between}{kind}"),
        }
    }
}

/// The keys that stand on the pages of drills. One that is written in two ways in the same kind of
/// drill is two; where drills of several kinds share a key, major ones say how it is written.
pub(crate) fn written(course: &[AskedKey], drills: &[Keyed<'_>]) -> Vec<WrittenKey> {
    let on_pages = |drill: &Keyed<'_>| of_drill(drill.asked(course), drill.mode);
    let all: Vec<WrittenKey> = drills.iter().flat_map(on_pages).map(WrittenKey::of).collect();
    let places: Vec<usize> = drills
        .iter()
        .flat_map(|drill| drill.asked(course))
        .map(|key| key.place_in_round())
        .collect();
    let mut printed = Vec::new();
    for key in keys(course, drills) {
        let here = || all.iter().zip(&places).filter(|(_, at)| **at == key.place_in_round());
        let is_major = here().any(|(own, _)| own.kind.is_none());
        let mut ways: Vec<WrittenKey> = Vec::new();
        for (own, _) in here().filter(|(own, _)| !is_major || own.kind.is_none()) {
            if ways.iter().all(|way| way.tonic != own.tonic) {
                ways.push(*own);
            }
        }
        let is_mixed = here().any(|(own, _)| ways.iter().any(|way| way.kind != own.kind));
        ways.iter_mut().filter(|_| is_mixed).for_each(|way| way.kind = None);
        printed.extend(ways);
    }
    printed
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
        let written = written(&asked(course), &drills);
        written.iter().map(WrittenKey::in_name).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn the_keys_of_a_sheet_are_those_that_its_drills_have() {
        let (major, minor, dorian) = (Mode::Major, Mode::HarmonicMinor, Mode::Dorian);
        for (course, drills, tonics) in [
            ("C F", &[(major, ""), (major, "")][..], "C F"),
            ("C F", &[(major, "G D"), (major, "D A")], "G D A"),
            ("C D F", &[(major, "G D"), (minor, "F")], "G D F-minor"),
            ("C F", &[(major, ""), (major, "F D")], "C F D"),
            ("Db C", &[(minor, "")], "C-sharp-minor C-minor"),
            ("Db C", &[(minor, ""), (major, "")], "Db C"),
            ("C", &[(major, "C"), (minor, "Db Cb")], "C C-sharp-minor B-minor"),
            ("C", &[(major, "Db"), (minor, "Db")], "Db"),
            // Written in two ways, it is two keys on paper; in two kinds it is one.
            ("C", &[(major, "C#"), (major, "Db")], "C-sharp Db"),
            ("C", &[(major, "C#"), (major, "Db"), (minor, "C#")], "C-sharp Db"),
            ("C F", &[(major, ""), (minor, "")], "C F"),
            ("D", &[(dorian, "")], "D-dorian"),
            ("D", &[(dorian, ""), (minor, "")], "D"),
        ] {
            assert_eq!(had(course, drills), tonics, "{course} {drills:?}");
        }
    }
}
