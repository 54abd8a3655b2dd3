//! From changes to harmonies: neighbours on one root and of one family are one harmony.

use std::collections::BTreeMap;
use std::ops::Range;

use super::costs;
use super::family::{ChordFamily, WorkingChord};
use crate::chart::Unfolded;
use crate::score::Ticks;

/// One harmony: a chord, or several on one root, such as a line cliché or a suspension and what
/// resolves it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct HeardHarmony {
    /// The pitch class of its root.
    pub(super) root: i32,
    pub(super) family: ChordFamily,
    /// Whether one of its chords is restful: a plain triad, a sixth or a major seventh.
    pub(super) is_restful: bool,
    /// Whether all of its chords are triads.
    pub(super) is_triad: bool,
    /// Whether one of its chords has a major seventh.
    pub(super) has_major_seventh: bool,
    /// Its chords among those that are heard.
    pub(super) chords: Range<usize>,
    pub(super) at: Ticks,
    pub(super) length: Ticks,
    /// Its length in bars.
    pub(super) bars: f64,
    /// What its reading counts.
    pub(super) weight: f64,
}

/// A chord that is heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct HeardChord {
    /// Its place among the changes of the tune.
    pub(super) change: usize,
    pub(super) sound: WorkingChord,
}

/// The harmonies of a tune, the last followed by the first: most charts go round.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Harmonies {
    pub(super) heard: Vec<HeardChord>,
    pub(super) list: Vec<HeardHarmony>,
    /// What comes after each harmony.
    after: Vec<usize>,
    /// What comes before each.
    before: Vec<usize>,
    /// Whether each leaves its goal for another part.
    strayed: Vec<bool>,
}

impl Harmonies {
    /// The harmonies of a tune.
    pub(super) fn of(tune: &Unfolded) -> Self {
        let sounding = tune.changes.iter().enumerate();
        let heard: Vec<HeardChord> = sounding
            .filter_map(|(change, it)| {
                Some(HeardChord { change, sound: WorkingChord::of(it.chord?) })
            })
            .collect();
        let families = families(&heard);
        let mut list: Vec<HeardHarmony> = Vec::new();
        for (place, one) in heard.iter().enumerate() {
            let change = tune.changes[one.change];
            let root = one.sound.root.pitch_class();
            match list.last_mut() {
                Some(last) if (last.root, last.family) == (root, families[place]) => {
                    last.chords.end = place + 1;
                    last.length += change.length;
                    last.is_restful |= one.sound.is_restful();
                    last.is_triad &= one.sound.is_triad();
                    last.has_major_seventh |= one.sound.has_major_seventh();
                }
                _ => list.push(HeardHarmony {
                    root,
                    family: families[place],
                    is_restful: one.sound.is_restful(),
                    is_triad: one.sound.is_triad(),
                    has_major_seventh: one.sound.has_major_seventh(),
                    chords: place..place + 1,
                    at: change.at,
                    length: change.length,
                    bars: 0.0,
                    weight: 0.0,
                }),
            }
        }
        let bar = f64::from(tune.metre.bar());
        for harmony in &mut list {
            harmony.bars = f64::from(harmony.length) / bar;
            let [least, most] = costs::WEIGHT;
            harmony.weight = harmony.bars.sqrt().clamp(least, most);
        }
        let (after, before) = neighbours(&list);
        let mut own = Self { heard, list, after, before, strayed: Vec::new() };
        own.strayed = own.strayed(tune);
        own
    }

    /// Whether a dominant has its goal a fifth lower where the form goes one way, and here a chord
    /// a semitone lower, because the form goes another: it keeps its goal and does not reach it,
    /// and is no substitute for what begins next.
    pub(super) fn is_strayed(&self, place: usize) -> bool {
        self.strayed[place]
    }

    fn strayed(&self, tune: &Unfolded) -> Vec<bool> {
        // By the last chord of each dominant as it is written: how often it falls a fifth, and how
        // often a semitone.
        let written = |place: usize| {
            let last = self.list[place].chords.end - 1;
            tune.changes[self.heard[last].change].written
        };
        let mut ways: BTreeMap<usize, [usize; 2]> = BTreeMap::new();
        for place in (0..self.list.len()).filter(|it| self.list[*it].family.is_dominant()) {
            let [fifths, semitones] = ways.entry(written(place)).or_default();
            match self.rise(place) {
                5 => *fifths += 1,
                11 => *semitones += 1,
                _ => {}
            }
        }
        let is_strayed = |place: usize| {
            let ways = ways.get(&written(place)).filter(|_| self.rise(place) == 11);
            let before = self.before[place];
            let has_two = || self.rise(before) == 5 && self.is_two_of_next(before);
            match ways {
                Some([0, _]) | None => false,
                Some([fifths, semitones]) => fifths > semitones || fifths == semitones && has_two(),
            }
        };
        (0..self.list.len()).map(is_strayed).collect()
    }

    /// The harmony that comes next.
    pub(super) fn next(&self, place: usize) -> &HeardHarmony {
        &self.list[self.after[place]]
    }

    /// The place of the harmony that comes next.
    pub(super) fn after(&self, place: usize) -> usize {
        self.after[place]
    }

    /// The place of the harmony that came before.
    pub(super) fn before(&self, place: usize) -> usize {
        self.before[place]
    }

    /// The harmony that came before.
    pub(super) fn previous(&self, place: usize) -> &HeardHarmony {
        &self.list[self.before[place]]
    }

    /// How far above a harmony the root of the next lies, 0 to 11.
    pub(super) fn rise(&self, place: usize) -> i32 {
        (self.next(place).root - self.list[place].root).rem_euclid(12)
    }

    /// Whether a harmony is a ii right before its dominant: the next is a dominant a fifth lower,
    /// or a semitone lower, which is the tritone substitute of that.
    pub(super) fn is_two_of_next(&self, place: usize) -> bool {
        self.list[place].family.is_two()
            && match self.rise(place) {
                5 => self.next(place).family.is_dominant(),
                11 => self.next(place).family == ChordFamily::Dominant,
                _ => false,
            }
    }

    /// Whether a harmony is a link of a chain: it falls into the next by a fifth, or by a semitone
    /// in place of a fifth.
    pub(super) fn is_link(&self, place: usize) -> bool {
        let next = self.next(place).family;
        let own = self.list[place].family;
        let goes_on = next.is_two() || next.is_dominant();
        match self.rise(place) {
            5 => own.is_dominant() || own.is_two() && goes_on,
            11 => {
                own.is_dominant() && next != ChordFamily::Diminished || self.is_two_of_next(place)
            }
            _ => false,
        }
    }

    /// Whether a dominant stands in for another in a chain in fifths, each second link of which is
    /// replaced by its tritone partner, so that roots fall by semitones: of E7 D♯7 D7 C♯m the first and
    /// the third do. The ii of a link may come before it.
    pub(super) fn is_partner_in_chain(&self, place: usize) -> bool {
        let (mut at, mut falls) = (place, 0);
        while falls < self.list.len() {
            let is_dominant = self.list[at].family == ChordFamily::Dominant;
            if !is_dominant || self.is_strayed(at) {
                break;
            }
            let next = self.after(at);
            at = match self.rise(at) {
                11 if self.list[next].family != ChordFamily::Diminished => next,
                rise if self.is_two_of_next(next) && (rise + self.rise(next)) % 12 == 11 => {
                    self.after(next)
                }
                _ => break,
            };
            falls += 1;
        }
        falls % 2 == 1 && self.falls_to_dominant(place)
    }

    /// Whether what a harmony falls to, at once or after its ii, is a dominant.
    fn falls_to_dominant(&self, place: usize) -> bool {
        let next = self.after(place);
        let at = if self.rise(place) == 11 { next } else { self.after(next) };
        self.list[at].family == ChordFamily::Dominant
    }
}

/// The family of each chord, where neighbours on its root change it: a suspension takes that of
/// the chord that resolves it, and a raised fifth in a line is colour.
fn families(heard: &[HeardChord]) -> Vec<ChordFamily> {
    let mut families: Vec<ChordFamily> = heard.iter().map(|one| one.sound.family).collect();
    let root = |place: usize| heard[place].sound.root.pitch_class();
    // From the last, so that a suspension that is held through several symbols follows along.
    for place in (0..heard.len()).rev() {
        let next = (place + 1 < heard.len()).then_some(place + 1);
        let near = |other: usize| root(other) == root(place);
        let before = place.checked_sub(1).filter(|other| near(*other));
        let after = next.filter(|other| near(*other));
        match families[place] {
            ChordFamily::Suspended => {
                let is_open = heard[place].sound.is_open();
                let takes = |other: &usize| {
                    let family = families[*other];
                    family == ChordFamily::Dominant || is_open && family.is_rest()
                };
                if let Some(other) = after.filter(takes).or(before.filter(takes)) {
                    families[place] = families[other];
                }
            }
            ChordFamily::Augmented => {
                let falls =
                    next.is_some_and(|other| (root(other) - root(place)).rem_euclid(12) == 5);
                let takes = |other: &usize| match families[*other] {
                    ChordFamily::Dominant => true,
                    ChordFamily::Major => !falls,
                    _ => false,
                };
                if let Some(other) = before.filter(takes).or(after.filter(takes)) {
                    families[place] = families[other];
                }
            }
            _ => {}
        }
    }
    families
}

/// What comes after each harmony and before it, round the form; where the last is the first again
/// the two are one. A pick-up is played once: the form comes round to its first bar.
fn neighbours(list: &[HeardHarmony]) -> (Vec<usize>, Vec<usize>) {
    let count = list.len();
    let round = list.iter().position(|it| it.at + it.length > 0).unwrap_or(0);
    let mut after: Vec<usize> =
        (1..=count).map(|place| if place == count { round } else { place }).collect();
    let mut before: Vec<usize> = (0..count).map(|place| (place + count - 1) % count).collect();
    if let ([first, .., last], true) = (&list[round..], count - round > 2)
        && (first.root, first.family) == (last.root, last.family)
    {
        after[count - 1] = round + 1;
        if round == 0 {
            before[0] = count - 2;
        }
    }
    (after, before)
}
