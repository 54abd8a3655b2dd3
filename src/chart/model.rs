//! Charts: what a teacher writes down of a tune.

use std::ops::Range;

use crate::score::{Feel, Metre, Ticks};
use crate::theory::{Chord, Key};

/// The changes of a tune as they are written: each section once, and the order in which sections
/// are played.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// What the tune is called.
    pub title: String,
    /// Who made it.
    pub composer: Option<String>,
    /// What its rhythm is called, as in `Bossa nova`.
    pub style: Option<String>,
    /// The metre of every bar.
    pub metre: Metre,
    /// Felt beats a minute.
    pub tempo: u16,
    /// How eighths are played.
    pub feel: Feel,
    /// The key, where the teacher names one.
    pub key: Option<Key>,
    /// What sounds before the first bar, at moments below 0.
    pub pick_up: Vec<ChordStand>,
    /// The sections, each once; one at the least.
    pub sections: Vec<Section>,
    /// The sections as they are played, by their places among those that are written.
    pub form: Vec<usize>,
}

/// A section of a tune, written once.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its letter or name.
    pub name: String,
    /// Its bars; one at the least.
    pub bars: Vec<ChartBar>,
    /// The same as they are played, with what is repeated.
    pub stretches: Vec<SectionStretch>,
}

/// Bars of a section that are played together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SectionStretch {
    /// Bars that are played once.
    Once(Range<usize>),
    /// Bars that are repeated.
    Repeated {
        /// What every round has.
        body: Range<usize>,
        /// How many rounds there are.
        rounds: u8,
        /// The endings in order, each with its rounds.
        endings: Vec<(Vec<u8>, Range<usize>)>,
    },
}

/// A bar of a section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ChartBar {
    /// Its changes, the first of them on the first beat; none where it repeats the bar before.
    pub changes: Vec<ChordStand>,
    /// Whether a repeat begins with it.
    pub begins_repeat: bool,
    /// How often what ends with it is played; none where no repeat ends.
    pub ends_repeat: Option<u8>,
    /// The rounds of the ending that begins with it; none where no ending begins.
    pub ending: Vec<u8>,
    /// Whether the tune goes on from its end to the coda, the last time.
    pub to_coda: bool,
}

/// A chord where it stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChordStand {
    /// The moment in its bar; in a pick-up before 0, counted from the first bar.
    pub at: Ticks,
    /// The chord; none where no chord is played.
    pub chord: Option<Chord>,
}

/// The name of the section that `to-coda` leads to.
pub(super) const CODA: &str = "coda";

impl ChartBar {
    /// Whether it repeats the bar before.
    pub fn is_repeat(&self) -> bool {
        self.changes.is_empty()
    }
}

impl Section {
    /// Whether it is the one that `to-coda` leads to.
    pub fn is_coda(&self) -> bool {
        self.name.eq_ignore_ascii_case(CODA)
    }
}

impl Chart {
    /// How many bars are written, without a pick-up.
    pub fn written_bars(&self) -> usize {
        self.sections.iter().map(|section| section.bars.len()).sum()
    }

    /// All changes as they are written, the pick-up first.
    pub fn written(&self) -> impl Iterator<Item = ChordStand> + '_ {
        let bars = self.sections.iter().flat_map(|section| &section.bars);
        let inner = bars.flat_map(|bar| &bar.changes);
        self.pick_up.iter().chain(inner).copied()
    }
}
