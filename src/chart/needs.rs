//! What a tune asks of whoever wants to play it: its keys by the bars they last, and what occurs in
//! them that a drill is made for.

use super::{
    Analysis, Area, Cadence, CadenceForm, CadenceKind, Chart, ChordReading, Function, HeldChord,
    Unfolded,
};
use crate::score::{Feel, Metre, Ticks};
use crate::theory::{Chord, ChordKind, Fifth, Key, Mode, NoteName, Seventh, Tension, Third};

/// How long a tune is in a key.
#[derive(Clone, Debug, PartialEq)]
pub struct KeyShare {
    /// The key.
    pub key: Key,
    /// How many bars it lasts, as heard.
    pub bars: f64,
    /// Whether its tonic ever sounds at rest: stayed in, not only touched.
    pub is_stayed: bool,
    /// Its stretches, each with its first and its last bar, counted from 1.
    pub stretches: Vec<[usize; 2]>,
}

/// What occurs in a tune, and has a drill of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Purpose {
    /// The seven chords of a major key.
    MajorKey,
    /// The seven chords of a minor key.
    MinorKey,
    /// The seven chords of a church mode.
    ModeKey,
    /// A cadence in major.
    MajorCadence,
    /// A cadence in minor.
    MinorCadence,
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
    /// A ii-V at the end of a part that leads back to the first chord.
    Turnaround,
    /// The same in minor.
    MinorTurnaround,
    /// A tune without cadence.
    Modal,
    /// Four even beats to a bar, with its eighths alike.
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

/// The keys of a tune, the longest first.
pub fn key_shares(tune: &Unfolded, analysis: &Analysis) -> Vec<KeyShare> {
    let mut shares: Vec<KeyShare> = Vec::new();
    for area in &analysis.areas {
        let bars = f64::from(area.until - area.from.max(0)) / f64::from(tune.metre.bar());
        let stretch = [area.first_bar + 1, area.last_bar + 1];
        match shares.iter_mut().find(|share| is_same(share.key, area.key)) {
            Some(share) => {
                share.bars += bars;
                share.is_stayed |= area.is_stayed;
                share.stretches.push(stretch);
            }
            None => shares.push(KeyShare {
                key: area.key,
                bars,
                is_stayed: area.is_stayed,
                stretches: vec![stretch],
            }),
        }
    }
    shares.sort_by(|one, other| other.bars.total_cmp(&one.bars));
    shares
}

/// Whether two keys sound the same.
pub fn is_same(one: Key, other: Key) -> bool {
    one.is_minor() == other.is_minor() && one.tonic().pitch_class() == other.tonic().pitch_class()
}

/// A tonic as it is written, and whether it is minor.
type WrittenTonic = (NoteName, bool);

/// What occurs in a tune, in the order of [`Purpose`], and within each the commonest key first.
pub fn needs(chart: &Chart, tune: &Unfolded, analysis: &Analysis) -> Vec<Need> {
    let mut found = Found { metre: tune.metre, needs: Vec::new() };
    for share in key_shares(tune, analysis).iter().filter(|share| share.is_stayed) {
        let purpose = match share.key.mode() {
            Mode::Major => Purpose::MajorKey,
            Mode::NaturalMinor => Purpose::MinorKey,
            _ => Purpose::ModeKey,
        };
        for stretch in &share.stretches {
            found.add_key(purpose, share.key, stretch[0]);
        }
    }
    for cadence in analysis.written_cadences() {
        found.cadence(cadence, tune, analysis);
    }
    for reading in &analysis.readings {
        found.reading(reading, tune);
    }
    found.chains(tune);
    let home = analysis.home;
    if analysis.is_blues {
        found.add(Purpose::Blues, (home.tonic(), false), 0);
    } else if home.is_minor() && tune.bars == 12 {
        found.add(Purpose::MinorBlues, (home.tonic(), true), 0);
    }
    if analysis.is_modal {
        found.add(Purpose::Modal, (home.tonic(), home.is_minor()), 0);
    }
    if chart.metre == Metre::FourFour && chart.feel == Feel::Even {
        // In the major key that the tune is in longest.
        let mut shares = key_shares(tune, analysis).into_iter();
        let major = shares.find(|share| share.is_stayed && share.key.mode() == Mode::Major);
        if let Some(major) = major {
            let [first, _] = major.stretches[0];
            found.add_bar(Purpose::Bossa, (major.key.tonic(), false), first);
        }
    }
    let mut needs = found.needs;
    needs.sort_by_key(|need| (need.purpose, std::cmp::Reverse(need.bars.len())));
    needs
}

struct Found {
    metre: Metre,
    needs: Vec<Need>,
}

impl Found {
    fn add(&mut self, purpose: Purpose, key: WrittenTonic, at: Ticks) {
        let bar = at.max(0).div_euclid(self.metre.bar()) as usize + 1;
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

    fn cadence(&mut self, cadence: &Cadence, tune: &Unfolded, analysis: &Analysis) {
        let target = cadence.target;
        let reading = analysis.reading(cadence.written[0]);
        // A ii-V that does not arrive is that of the chord it points to, as its dominant is read or
        // else as its ii tells.
        let is_minor = match cadence.kind {
            CadenceKind::TwoFiveOneMajor | CadenceKind::FiveOneMajor => false,
            CadenceKind::TwoFiveOneMinor | CadenceKind::FiveOneMinor => true,
            CadenceKind::TwoFive => {
                let goal = analysis.reading(cadence.written[1]).and_then(|it| it.goal);
                let is_half =
                    || reading.is_some_and(|it| it.chord.kind.fifth() == Fifth::Diminished);
                let is_home = cadence.key.tonic().pitch_class() == target.pitch_class();
                let at_home = || is_home && cadence.key.is_minor() || is_half();
                goal.map_or_else(at_home, |goal| goal.is_minor)
            }
        };
        let key = (target, is_minor);
        let is_own = |area: &Area| area.key.tonic().pitch_class() == target.pitch_class();
        match (cadence.form, is_minor) {
            // What points to a key that the tune never has, and does not reach it, is told where it
            // stands; the key is none of the tune's.
            (CadenceForm::Fifth, _)
                if !cadence.is_resolved && !analysis.areas.iter().any(is_own) => {}
            (CadenceForm::Fifth, false) => self.add(Purpose::MajorCadence, key, cadence.at),
            (CadenceForm::Fifth, true) => self.add(Purpose::MinorCadence, key, cadence.at),
            // What does not arrive is told by its dominant, if at all; so is the back door.
            (CadenceForm::Tritone, _) if !cadence.is_resolved => {}
            (CadenceForm::Backdoor, _) => {}
            (CadenceForm::Tritone, _) => self.substitute(tune, cadence.dominant_at, target),
        }
        let home = analysis.home;
        let leads_home = target.pitch_class() == home.tonic().pitch_class();
        if leads_home && cadence.kind.has_two() && leads_back(tune, cadence, target) {
            let is_minor = home.is_minor();
            let purpose = if is_minor { Purpose::MinorTurnaround } else { Purpose::Turnaround };
            self.add(purpose, (home.tonic(), is_minor), cadence.at);
        }
    }

    /// A dominant that falls a semitone is practised in the key that its goal makes: that of the
    /// chord which comes there.
    fn substitute(&mut self, tune: &Unfolded, at: Ticks, target: NoteName) {
        let is_goal = |chord: &Chord| chord.root.pitch_class() == target.pitch_class();
        let later = tune.changes.iter().filter(|change| change.at > at);
        let round = later.chain(&tune.changes).filter_map(|change| change.chord);
        let Some(goal) = round.into_iter().find(is_goal) else { return };
        let is_minor = goal.kind.has_minor_third();
        let purpose = if is_minor { Purpose::MinorSubstitute } else { Purpose::Substitute };
        self.add(purpose, (target, is_minor), at);
    }

    fn reading(&mut self, reading: &ChordReading, tune: &Unfolded) {
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
        let goal_is_minor = reading.goal.map_or(reading.key.is_minor(), |goal| goal.is_minor);
        if let Some(target) = reading.target.filter(|_| leads && is_seventh && falls(11)) {
            self.substitute(tune, reading.at, target);
        }
        if leads && is_seventh && falls(WHOLE_TONE) && !reading.key.is_minor() {
            self.add(Purpose::Backdoor, key, reading.at);
        }
        let has_goal = reading.goal.is_some();
        if leads && is_seventh && has_goal && falls(FOURTH) && !reading.key.is_minor() {
            self.add(Purpose::Applied, key, reading.at);
        }
        if let Some(target) = reading.target.filter(|_| leads && falls(FOURTH) && goal_is_minor)
            && is_altered(kind)
        {
            self.add(Purpose::Altered, (target, true), reading.at);
        }
    }

    /// Three dominants or more, each a fifth above the next.
    fn chains(&mut self, tune: &Unfolded) {
        const LEAST: usize = 3;
        let chords: Vec<(Ticks, Chord)> =
            tune.changes.iter().filter_map(|change| Some((change.at, change.chord?))).collect();
        let falls = |(_, one): &(Ticks, Chord), (_, other): &(Ticks, Chord)| {
            is_dominant(one.kind)
                && is_dominant(other.kind)
                && (other.root.pitch_class() - one.root.pitch_class()).rem_euclid(12) == FOURTH
        };
        for chain in chords.chunk_by(falls).filter(|chain| chain.len() >= LEAST) {
            let ([(at, _), ..], [.., (_, last)]) = (chain, chain) else { continue };
            let goal = (last.root.pitch_class() + FOURTH).rem_euclid(12);
            let key = Key::majors().find(|key| key.tonic().pitch_class() == goal);
            if let Some(key) = key {
                self.add(Purpose::Chain, (key.tonic(), false), *at);
            }
        }
    }
}

/// Whether what comes of a cadence is the first chord of a part: the tonic, where a section begins;
/// or whatever began a part before, to which a repeat or the end of the tune leads back.
fn leads_back(tune: &Unfolded, cadence: &Cadence, tonic: NoteName) -> bool {
    let Some(five) = tune.changes.iter().position(|change| change.at == cadence.dominant_at) else {
        return false;
    };
    let root = |change: &HeldChord| change.chord.map(|chord| chord.root.pitch_class());
    let own = root(&tune.changes[five]);
    let later = tune.changes[five + 1..].iter();
    let Some(goal) = later.into_iter().find(|it| it.chord.is_some() && root(it) != own) else {
        return true;
    };
    let bar = tune.metre.bar();
    let begins = goal.at % bar == 0 && tune.sections.contains(&((goal.at / bar) as usize));
    begins && root(goal) == Some(tonic.pitch_class()) || goal.written <= cadence.written[0]
}

/// What a root rises by the back door, in semitones.
const WHOLE_TONE: i32 = 2;

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
