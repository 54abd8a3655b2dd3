//! The names of keys: as the chart spells their tonics, where such keys exist.

use std::collections::BTreeMap;

use super::harmonies::HeardChord;
use super::path::KeyState;
use crate::chart::Unfolded;
use crate::score::Ticks;
use crate::theory::{Key, Mode, NoteName};

/// How a chart spells its roots.
pub(super) struct Names {
    /// By pitch class, the spelling that is heard longest.
    roots: BTreeMap<i32, NoteName>,
    /// Signs of the signature of home, for keys whose tonic the chart does not spell.
    fifths: i32,
    /// The key that the chart names.
    named: Option<Key>,
    /// The modes of keys whose notes say one.
    modes: BTreeMap<KeyState, Mode>,
}

impl Names {
    /// Looks at the roots of a tune.
    pub(super) fn new(
        tune: &Unfolded,
        heard: &[HeardChord],
        home: KeyState,
        named: Option<Key>,
        modes: BTreeMap<KeyState, Mode>,
    ) -> Self {
        let mut lengths: BTreeMap<(i32, NoteName), Ticks> = BTreeMap::new();
        for one in heard {
            let root = one.sound.root;
            let length = lengths.entry((root.pitch_class(), root)).or_default();
            *length += tune.changes[one.change].length;
        }
        let mut longest: BTreeMap<i32, (Ticks, NoteName)> = BTreeMap::new();
        for ((class, root), length) in lengths {
            let best = longest.entry(class).or_insert((length, root));
            let is_plainer = root.alter.abs() < best.1.alter.abs();
            if length > best.0 || length == best.0 && is_plainer {
                *best = (length, root);
            }
        }
        let roots = longest.into_iter().map(|(class, (_, root))| (class, root)).collect();
        let named = named.filter(|key| key.is_of_church_mode());
        let mut names = Self { roots, fifths: 0, named, modes };
        names.fifths = names.key(home).fifths();
        names
    }

    /// The key of a state. Where the chart does not spell its tonic, the signature nearest to that
    /// of home.
    pub(super) fn key(&self, state: KeyState) -> Key {
        // A chart that names a mode means it wherever its tonic is home.
        let is_own = |key: &Key| {
            key.tonic().pitch_class() == state.tonic() && key.is_minor() == state.is_minor()
        };
        if let Some(key) = self.named.filter(is_own) {
            return key;
        }
        let plain = if state.is_minor() { Mode::NaturalMinor } else { Mode::Major };
        let mode = self.modes.get(&state.printed()).copied().unwrap_or(plain);
        if let Some(tonic) = self.roots.get(&state.tonic()) {
            return Key::on(*tonic, mode);
        }
        let keys = Key::all(mode).filter(|key| key.tonic().pitch_class() == state.tonic());
        let far = |key: &Key| ((key.fifths() - self.fifths).abs(), key.fifths().abs());
        keys.min_by_key(far).expect("a key on every pitch class")
    }
}
