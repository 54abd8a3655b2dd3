//! What a tune asks of whoever wants to play it: its keys by the bars they last, and what occurs in
//! them that a drill is made for.

use super::minor_scale::minor_scale;
use super::shares::{KeyShare, is_same, key_shares};
use super::turnaround::{leads_back, turns_round};
use super::{Analysis, Area, Cadence, CadenceForm, Chart, ChordReading, Function, Unfolded};
use crate::score::{Feel, Metre, Ticks};
use crate::theory::{
    Chord, ChordFamily, ChordKind, Fifth, Key, Mode, NoteName, Seventh, Tension, Third,
};

/// What occurs in a tune, and has a drill of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// The seven chords of a major key.
    MajorKey,
    /// The seven chords of a minor key whose seventh is not raised for longer than it is lowered.
    MinorKey,
    /// The same where its seventh is raised for longer.
    HarmonicKey,
    /// The same where its sixth is too.
    MelodicKey,
    /// The seven chords of a church mode.
    ModeKey,
    /// A cadence in major.
    MajorCadence,
    /// A cadence in minor.
    MinorCadence,
    /// A cadence in minor whose ii has a perfect fifth.
    MelodicCadence,
    /// A suspended dominant that leads to a major chord.
    Suspended,
    /// A suspended dominant that leads to a minor chord.
    MinorSuspended,
    /// A dominant of a degree other than the first.
    Applied,
    /// The tritone substitute of a dominant.
    Substitute,
    /// The tritone substitute of the dominant of a minor chord.
    MinorSubstitute,
    /// The dominant a whole tone below its goal.
    Backdoor,
    /// A diminished seventh between two chords.
    Diminished,
    /// Dominants that fall in fifths, three or more.
    Chain,
    /// An altered dominant that leads to a minor chord.
    Altered,
    /// Sevenths at rest, as in a blues.
    Blues,
    /// A blues in minor.
    MinorBlues,
    /// Chords that lead back to the first: a ii-V at the end of a part, or one, six, two, five
    /// anywhere.
    Turnaround,
    /// The same in minor.
    MinorTurnaround,
    /// A tune without cadence, or a long stay in a church mode.
    Modal,
    /// A bossa nova: four even beats to a bar, with its eighths alike.
    Bossa,
}

/// A thing that occurs in a tune, in a key.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// What it is.
    pub purpose: Purpose,
    /// The key that it is practised in, in the spelling of fewer signs.
    pub key: Key,
    /// Its tonic as the tune writes it.
    pub written: NoteName,
    /// Where it occurs: bars, as heard and counted from 1.
    pub bars: Vec<usize>,
}

/// A tonic as it is written, and whether it is minor.
type WrittenTonic = (NoteName, bool);

/// What occurs in a tune, in the order of [`Purpose`], and within each the commonest key first.
pub fn needs(chart: &Chart, tune: &Unfolded, analysis: &Analysis) -> Vec<Need> {
    let mut found = Found { tune, analysis, needs: Vec::new() };
    // Without a cadence home is the chord that is heard longest, at rest or not.
    let is_lived_in = |share: &&KeyShare| {
        share.is_stayed || analysis.is_modal && is_same(share.key, analysis.home)
    };
    for share in key_shares(tune, analysis).iter().filter(is_lived_in) {
        let purpose = match share.key.mode() {
            Mode::Major => Purpose::MajorKey,
            Mode::NaturalMinor => match minor_scale(tune, analysis, share.key) {
                Mode::HarmonicMinor => Purpose::HarmonicKey,
                Mode::MelodicMinor => Purpose::MelodicKey,
                _ => Purpose::MinorKey,
            },
            _ => Purpose::ModeKey,
        };
        for [first, last] in &share.stretches {
            found.add_key(purpose, share.key, *first);
            if purpose == Purpose::ModeKey && last - first + 1 >= LONG_STAY {
                found.add_key(Purpose::Modal, share.key, *first);
            }
        }
    }
    for cadence in analysis.written_cadences() {
        found.cadence(cadence);
    }
    for reading in &analysis.readings {
        found.reading(reading);
    }
    found.chains();
    let home = analysis.home;
    if analysis.is_blues {
        found.add(Purpose::Blues, (home.tonic(), false), 0);
    } else if home.is_minor() && is_minor_blues(tune, home) {
        found.add(Purpose::MinorBlues, (home.tonic(), true), 0);
    }
    if analysis.is_modal {
        found.add_key(Purpose::Modal, home, 1);
    }
    let is_bossa = chart.style.as_deref().is_some_and(|it| it.to_lowercase().contains(BOSSA));
    if is_bossa && chart.metre == Metre::FourFour && chart.feel == Feel::Even {
        // In the major key that the tune is in longest.
        let mut shares = key_shares(tune, analysis).into_iter();
        let major = shares.find(|share| share.is_stayed && share.key.mode() == Mode::Major);
        if let Some(major) = major {
            let [first, _] = major.stretches[0];
            found.add_bar(Purpose::Bossa, (major.key.tonic(), false), first);
        }
    }
    let mut needs = found.needs;
    for need in &mut needs {
        need.bars.sort_unstable();
    }
    needs.sort_by_key(|need| (need.purpose, std::cmp::Reverse(need.bars.len())));
    needs
}

struct Found<'a> {
    tune: &'a Unfolded,
    analysis: &'a Analysis,
    needs: Vec<Need>,
}

impl Found<'_> {
    fn add(&mut self, purpose: Purpose, key: WrittenTonic, at: Ticks) {
        let bar = at.max(0).div_euclid(self.tune.metre.bar()) as usize + 1;
        self.add_bar(purpose, key, bar);
    }

    fn add_bar(&mut self, purpose: Purpose, (written, is_minor): WrittenTonic, bar: usize) {
        let mode = if is_minor { Mode::NaturalMinor } else { Mode::Major };
        self.add_in(purpose, Key::on(written, mode).customary(), written, bar);
    }

    /// What is of a key as a whole, in its mode.
    fn add_key(&mut self, purpose: Purpose, key: Key, bar: usize) {
        self.add_in(purpose, key.customary(), key.tonic(), bar);
    }

    fn add_in(&mut self, purpose: Purpose, key: Key, written: NoteName, bar: usize) {
        let same = |need: &&mut Need| need.purpose == purpose && is_same(need.key, key);
        match self.needs.iter_mut().find(same) {
            Some(need) if need.bars.contains(&bar) => {}
            Some(need) => need.bars.push(bar),
            None => self.needs.push(Need { purpose, key, written, bars: vec![bar] }),
        }
    }

    /// Whether the tune has a key: it is in it somewhere, or arrives there on a chord of rest.
    fn has(&self, tonic: NoteName, is_minor: bool) -> bool {
        let is_it = |note: NoteName| note.pitch_class() == tonic.pitch_class();
        let is_area = |area: &Area| is_it(area.key.tonic()) && area.key.is_minor() == is_minor;
        let arrives = |it: &Cadence| is_it(it.target) && it.kind.arrival() == Some(is_minor);
        self.analysis.areas.iter().any(is_area) || self.analysis.cadences.iter().any(arrives)
    }

    /// The mode of what comes on a root after a moment, where that is a chord to arrive at: no
    /// dominant, and no chord without a perfect fifth.
    fn arrival(&self, at: Ticks, root: NoteName) -> Option<bool> {
        let is_goal = |chord: &Chord| chord.root.pitch_class() == root.pitch_class();
        let later = self.tune.changes.iter().filter(|change| change.at > at);
        let round = later.chain(&self.tune.changes).filter_map(|change| change.chord);
        let goal = round.into_iter().find(is_goal)?;
        let is_minor = goal.kind.has_minor_third();
        let is_rest = is_minor || !is_dominant(goal.kind);
        (is_rest && goal.kind.fifth() == Fifth::Perfect).then_some(is_minor)
    }

    /// Whether a written dominant leads to a minor chord on a root in any of its hearings: at once, or
    /// after one chord that is no other dominant.
    fn arrives_on_minor(&self, written: usize, root: NoteName) -> bool {
        let heard = self.tune.changes.iter().filter_map(|it| Some((it.written, it.chord?)));
        let heard: Vec<(usize, Chord)> = heard.collect();
        let is_on = |chord: &Chord, class: i32| chord.root.pitch_class() == class.rem_euclid(12);
        let is_goal = |chord: &Chord| is_on(chord, root.pitch_class());
        let is_minor =
            |chord: &Chord| chord.kind.has_minor_third() && chord.kind.fifth() == Fifth::Perfect;
        let arrives = |place: usize| {
            let own = heard[place].1.root.pitch_class();
            let round = heard[place + 1..].iter().chain(&heard[..place]).map(|it| it.1);
            let mut later = round.skip_while(|it| is_on(it, own) && !it.kind.has_minor_third());
            let Some(next) = later.next() else { return false };
            if is_goal(&next) {
                return is_minor(&next);
            }
            let is_passing = !is_dominant(next.kind) || is_on(&next, own + TRITONE);
            let after = later.find(|it| !is_on(it, next.root.pitch_class()));
            is_passing && after.is_some_and(|it| is_goal(&it) && is_minor(&it))
        };
        (0..heard.len()).any(|place| heard[place].0 == written && arrives(place))
    }

    fn cadence(&mut self, cadence: &Cadence) {
        let target = cadence.target;
        let reading = self.analysis.reading(cadence.written[0]);
        // A ii-V that does not arrive is that of the chord it points to, as its dominant is read or
        // else as its ii tells.
        let is_minor = cadence.kind.arrival().unwrap_or_else(|| {
            let goal = self.analysis.reading(cadence.written[1]).and_then(|it| it.goal);
            let is_half = || reading.is_some_and(|it| it.chord.kind.fifth() == Fifth::Diminished);
            let is_home = cadence.key.tonic().pitch_class() == target.pitch_class();
            let at_home = || is_home && cadence.key.is_minor() || is_half();
            goal.map_or_else(at_home, |goal| goal.is_minor)
        });
        // What comes as a link of a chain is a goal too, though no key.
        let linked = || self.arrival(cadence.dominant_at, target);
        let comes = linked().filter(|_| cadence.is_resolved && cadence.kind.arrival().is_none());
        let is_had = |is_minor: bool| self.has(target, is_minor) || comes == Some(is_minor);
        // What points to a key that the tune never has is told where it stands; what points to the
        // other mode of a key that it has is practised in the mode that it has.
        let key = [is_minor, !is_minor].into_iter().find(|it| is_had(*it)).map(|it| (target, it));
        match (cadence.form, key) {
            (CadenceForm::Fifth, None) => {}
            (CadenceForm::Fifth, Some(key)) => {
                let is_perfect = |it: &ChordReading| it.chord.kind.fifth() == Fifth::Perfect;
                let two = reading.filter(|_| cadence.kind.has_two());
                let is_melodic = two.is_some_and(is_perfect);
                let is_of_minor = two.is_some() && !is_melodic && self.has_flat_ninth(cadence);
                match key.1 {
                    // What minor lends to a major key is practised in minor, if the tune has that, and
                    // otherwise by itself, among the tune's own cadences.
                    false if is_of_minor => {
                        if self.has(target, true) {
                            self.add(Purpose::MinorCadence, (target, true), cadence.at);
                        }
                    }
                    false => self.add(Purpose::MajorCadence, key, cadence.at),
                    // A ii of major before what would be minor, which does not come, is neither's.
                    true if is_melodic && cadence.kind.arrival().or(comes) != Some(true) => {}
                    true if is_melodic => self.add(Purpose::MelodicCadence, key, cadence.at),
                    true => self.add(Purpose::MinorCadence, key, cadence.at),
                }
            }
            // What does not arrive is told by its dominant, if at all; so is the back door.
            (CadenceForm::Tritone, _) if !cadence.is_resolved => {}
            (CadenceForm::Backdoor, _) => {}
            (CadenceForm::Tritone, _) => self.substitute(cadence.dominant_at, target),
        }
        let home = self.analysis.home;
        let leads_home = target.pitch_class() == home.tonic().pitch_class();
        let turn = |is_minor| if is_minor { Purpose::MinorTurnaround } else { Purpose::Turnaround };
        if leads_home && cadence.kind.has_two() && leads_back(self.tune, cadence, target) {
            self.add(turn(home.is_minor()), (home.tonic(), home.is_minor()), cadence.at);
        }
        let own = cadence.key;
        let is_own = own.tonic().pitch_class() == target.pitch_class();
        if let Some(at) = turns_round(self.tune, cadence, target).filter(|_| is_own) {
            self.add(turn(own.is_minor()), (own.tonic(), own.is_minor()), at);
        }
    }

    /// Whether the dominant of a cadence has the ninth of minor.
    fn has_flat_ninth(&self, cadence: &Cadence) -> bool {
        let five = self.analysis.reading(cadence.written[1]);
        five.is_some_and(|it| it.chord.kind.tensions().has(Tension::FlatNinth))
    }

    /// A dominant that falls a semitone is practised in the key that its goal makes, if the tune has
    /// that key.
    fn substitute(&mut self, at: Ticks, target: NoteName) {
        let Some(is_minor) = self.arrival(at, target) else { return };
        if !self.has(target, is_minor) {
            return;
        }
        let purpose = if is_minor { Purpose::MinorSubstitute } else { Purpose::Substitute };
        self.add(purpose, (target, is_minor), at);
    }

    fn reading(&mut self, reading: &ChordReading) {
        let kind = reading.chord.kind;
        let leads = reading.function == Function::Dominant;
        let key = (reading.key.tonic(), false);
        if kind.seventh() == Seventh::Diminished && !reading.key.is_minor() {
            self.add(Purpose::Diminished, key, reading.at);
        }
        let falls = |by: i32| {
            let root = reading.chord.root.pitch_class();
            reading.target.is_some_and(|it| (it.pitch_class() - root).rem_euclid(12) == by)
        };
        let is_seventh = is_dominant(kind);
        if let Some(target) = reading.target.filter(|_| leads && is_seventh && falls(11)) {
            self.substitute(reading.at, target);
        }
        if leads && is_seventh && falls(WHOLE_TONE) && !reading.key.is_minor() {
            self.add(Purpose::Backdoor, key, reading.at);
        }
        if let Some(target) = reading.target.filter(|_| leads && falls(FOURTH))
            && kind.family() == ChordFamily::Suspended
            && let Some(is_minor) = self.arrival(reading.at, target)
            && self.has(target, is_minor)
        {
            let purpose = if is_minor { Purpose::MinorSuspended } else { Purpose::Suspended };
            self.add(purpose, (target, is_minor), reading.at);
        }
        // What stands in for the dominant of a degree points there as that does.
        let points = falls(FOURTH) || falls(11);
        if leads && is_seventh && reading.goal.is_some() && points && !reading.key.is_minor() {
            self.add(Purpose::Applied, key, reading.at);
        }
        if let Some(target) = reading.target.filter(|_| leads && falls(FOURTH))
            && is_altered(kind)
            && self.arrives_on_minor(reading.written, target)
        {
            self.add(Purpose::Altered, (target, true), reading.at);
        }
    }

    /// Three dominants or more, each a fifth above the next.
    fn chains(&mut self) {
        const LEAST: usize = 3;
        let chords: Vec<(Ticks, Chord)> =
            self.tune.changes.iter().filter_map(|it| Some((it.at, it.chord?))).collect();
        let falls = |(_, one): &(Ticks, Chord), (_, other): &(Ticks, Chord)| {
            is_dominant(one.kind)
                && is_dominant(other.kind)
                && (other.root.pitch_class() - one.root.pitch_class()).rem_euclid(12) == FOURTH
        };
        for chain in chords.chunk_by(falls).filter(|chain| chain.len() >= LEAST) {
            let ([(at, _), ..], [.., (_, last)]) = (chain, chain) else { continue };
            let goal = (last.root.pitch_class() + FOURTH).rem_euclid(12);
            let key = Key::majors().find(|key| key.tonic().pitch_class() == goal);
            if let Some(key) = key.filter(|key| self.has(key.tonic(), false)) {
                self.add(Purpose::Chain, (key.tonic(), false), *at);
            }
        }
    }
}

/// Whether a tune in minor has the twelve bars of a blues: the tonic first, and iv in the fifth.
fn is_minor_blues(tune: &Unfolded, home: Key) -> bool {
    let bar = tune.metre.bar();
    let root = |at: Ticks| {
        let heard =
            tune.changes.iter().find(|change| (change.at..change.at + change.length).contains(&at));
        heard.and_then(|change| change.chord).map(|chord| chord.root.pitch_class())
    };
    let tonic = home.tonic().pitch_class();
    let has = |nth: Ticks, above: i32| root(nth * bar) == Some((tonic + above).rem_euclid(12));
    tune.bars == 12 && has(0, 0) && has(4, FOURTH)
}

/// How long a stay in a church mode is that asks for what keeps it open, in bars (ours).
const LONG_STAY: usize = 8;

/// What the style of a tune says that is a bossa nova.
const BOSSA: &str = "bossa";

/// What a root rises by the back door, in semitones.
const WHOLE_TONE: i32 = 2;

/// From a dominant to what stands in for it, in semitones.
const TRITONE: i32 = 6;

/// What a root rises that falls a fifth, in semitones.
const FOURTH: i32 = 5;

/// Whether a chord is a seventh that may lead on: with a major third or a suspension.
fn is_dominant(kind: ChordKind) -> bool {
    kind.third() != Third::Minor && kind.seventh() == Seventh::Minor
}

/// Whether a dominant has an altered ninth or thirteenth.
fn is_altered(kind: ChordKind) -> bool {
    let own = [Tension::FlatNinth, Tension::SharpNinth, Tension::FlatThirteenth];
    kind.third() == Third::Major
        && kind.seventh() == Seventh::Minor
        && own.into_iter().any(|tension| kind.tensions().has(tension))
}
