//! The bars of a tune as a sheet has them: every section once, with its repeats and endings, parted
//! where a sheet or a passage would be too long.

use super::rhythm::{Chunk, held};
use crate::chart::{Chart, ChartBar, Section, SectionStretch};
use crate::score::{Metre, Ticks};
use crate::theory::Chord;

/// Bars of a part of a tune: what is practised in one piece (ours).
pub(super) const MOST_BARS: usize = 32;
/// Chords of a passage beyond which a drill is refused.
const MOST_CHORDS: usize = 64;
/// Most chords of a bar.
const MOST_IN_A_BAR: usize = 4;
/// After how many bars a chord that goes on is written again: a phrase (ours).
const LONGEST: Ticks = 4;
/// Rounds of a repeat whose endings a drill can say.
const MOST_ROUNDS: u8 = 4;
/// Characters of a section's name, and of words over a bar, that a drill can say.
const LONGEST_NAME: usize = 3;
pub(super) const LONGEST_TITLE: usize = 32;

/// A chord of a run, or a silence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct RunStand {
    /// Its place among the changes that are written.
    pub(super) written: usize,
    /// The chord; none where no chord is played.
    pub(super) chord: Option<Chord>,
    /// When it begins, from the first bar of its run.
    pub(super) at: Ticks,
    /// How long it lasts.
    pub(super) length: Ticks,
}

/// Bars that are played one after another.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct BarRun {
    /// The letter of the section that begins with it.
    pub(super) section: Option<String>,
    /// What stands over its beginning.
    pub(super) title: Option<String>,
    /// Whether a repeat begins with it, or ends other than by an ending.
    pub(super) begins_repeat: bool,
    /// See [`BarRun::begins_repeat`].
    pub(super) ends_repeat: bool,
    /// How often the repeat is played that ends with it, where that is not twice.
    pub(super) times: Option<u8>,
    /// The rounds that it is the ending of.
    pub(super) ending: Vec<u8>,
    /// Whether a section ends with it.
    pub(super) ends_section: bool,
    /// After how many of its bars the tune goes to the coda, the last time.
    pub(super) to_coda: Option<usize>,
    /// Where the tune goes on from the end of a section, in words.
    pub(super) way_on: Option<String>,
    /// How many bars it has.
    pub(super) bars: usize,
    /// Its chords, without gaps.
    pub(super) stands: Vec<RunStand>,
}

/// The runs of a tune, sheet by sheet of so many bars at the most.
pub(super) fn sheets(chart: &Chart, most: usize) -> Vec<Vec<BarRun>> {
    let mut written = chart.pick_up.len();
    let mut sheets: Vec<Vec<BarRun>> = Vec::new();
    let mut bars = 0;
    for (place, section) in chart.sections.iter().enumerate() {
        let mut runs = runs(section, written, chart.metre.bar());
        if let Some(last) = runs.last_mut() {
            last.way_on = chart.way_on(place);
        }
        written += section.bars.iter().map(|bar| bar.changes.len()).sum::<usize>();
        let own: usize = runs.iter().map(|run| run.bars).sum();
        // A section that a sheet holds stands on one whole.
        let mut groups = if own <= most { vec![runs] } else { pieces(runs) };
        for group in groups.drain(..) {
            let own: usize = group.iter().map(|run| run.bars).sum();
            match sheets.last_mut().filter(|_| bars + own <= most) {
                Some(sheet) => sheet.extend(group),
                None => {
                    sheets.push(group);
                    bars = 0;
                }
            }
            bars += own;
        }
    }
    sheets
}

/// Runs of a section that is longer than a sheet, each for itself and without repeats.
fn pieces(runs: Vec<BarRun>) -> Vec<Vec<BarRun>> {
    let plain = runs.into_iter().map(|run| BarRun {
        begins_repeat: false,
        ends_repeat: false,
        times: None,
        ending: Vec::new(),
        ..run
    });
    plain.map(|run| vec![run]).collect()
}

/// The runs of a section whose first change has a place.
fn runs(section: &Section, first: usize, bar: Ticks) -> Vec<BarRun> {
    let bars = Bars::of(section, first);
    let mut runs: Vec<BarRun> = Vec::new();
    for stretch in &section.stretches {
        match stretch {
            SectionStretch::Once(own) => runs.extend(bars.run(own.clone(), bar).parted(bar)),
            SectionStretch::Repeated { body, rounds, endings } => {
                let is_sayable = endings.is_empty() || *rounds <= MOST_ROUNDS;
                let title = (!is_sayable).then(|| format!("{rounds} times"));
                let body = BarRun {
                    begins_repeat: is_sayable,
                    ends_repeat: endings.is_empty(),
                    times: (*rounds > 2 && endings.is_empty()).then_some(*rounds),
                    title,
                    ..bars.run(body.clone(), bar)
                };
                runs.extend(body.parted(bar));
                for (rounds, own) in endings {
                    let ending = if is_sayable { rounds.clone() } else { Vec::new() };
                    runs.extend(BarRun { ending, ..bars.run(own.clone(), bar) }.parted(bar));
                }
            }
        }
    }
    if let Some(first) = runs.first_mut() {
        let is_short = section.name.chars().count() <= LONGEST_NAME;
        if is_short {
            first.section = Some(section.name.clone());
        } else if first.title.is_none() {
            first.title = Some(section.name.chars().take(LONGEST_TITLE).collect());
        }
    }
    if let Some(last) = runs.last_mut() {
        last.ends_section = true;
    }
    runs
}

/// The bars of a section, each with its changes; one that repeats the bar before has that one's.
struct Bars<'a>(Vec<(&'a ChartBar, usize)>);

impl<'a> Bars<'a> {
    fn of(section: &'a Section, first: usize) -> Self {
        let mut bars: Vec<(&ChartBar, usize)> = Vec::new();
        let mut place = first;
        for bar in &section.bars {
            match bars.last() {
                Some(before) if bar.is_repeat() => bars.push(*before),
                _ => {
                    bars.push((bar, place));
                    place += bar.changes.len();
                }
            }
        }
        Self(bars)
    }

    /// Some of them as a run.
    fn run(&self, own: std::ops::Range<usize>, bar: Ticks) -> BarRun {
        let mut stands: Vec<RunStand> = Vec::new();
        let mut before = None;
        for (nth, index) in own.clone().enumerate() {
            let (written, first) = self.0[index];
            // A chord that alone fills the bar before and comes again goes on.
            let goes_on = before == Some(first) && written.changes.len() == 1;
            before = Some(first);
            let held = stands.last_mut().filter(|last| goes_on && last.length < LONGEST * bar);
            if let Some(last) = held {
                last.length += bar;
                continue;
            }
            for (place, stand) in written.changes.iter().enumerate() {
                let next = written.changes.get(place + 1).map_or(bar, |next| next.at);
                stands.push(RunStand {
                    written: first + place,
                    chord: stand.chord,
                    at: nth as Ticks * bar + stand.at,
                    length: next - stand.at,
                });
            }
        }
        let coda = own.clone().find(|index| self.0[*index].0.to_coda);
        let to_coda = coda.map(|index| index - own.start + 1);
        BarRun { bars: own.len(), stands, to_coda, ..BarRun::default() }
    }
}

/// What stands after so many bars of a run, in the part that has so many bars before it and so many of
/// its own.
fn within(to_coda: Option<usize>, before: usize, bars: usize) -> Option<usize> {
    to_coda?.checked_sub(before).filter(|after| (1..=bars).contains(after))
}

impl BarRun {
    /// The run cut where bars with silence begin and end, so that what cannot rest plays on in the
    /// others; whole where it is an ending, which is one bracket.
    pub(super) fn parted_at_silence(self, bar: Ticks) -> Vec<Self> {
        if self.stands.iter().all(|stand| stand.chord.is_some()) || !self.ending.is_empty() {
            return vec![self];
        }
        // A silence belongs to the chord before it, or at the beginning to the one after.
        let mut units: Vec<(Vec<RunStand>, bool)> = Vec::new();
        for stand in &self.stands {
            let is_silent = stand.chord.is_none();
            let has_chord = |unit: &Vec<RunStand>| unit.iter().any(|stand| stand.chord.is_some());
            match units.last_mut() {
                Some((unit, silent)) if is_silent || !has_chord(unit) => {
                    unit.push(*stand);
                    *silent |= is_silent;
                }
                _ => units.push((vec![*stand], is_silent)),
            }
        }
        // Units that share a bar stand together.
        let mut groups: Vec<(Vec<RunStand>, bool)> = Vec::new();
        for (unit, is_silent) in units {
            let starts_bar = unit.first().is_some_and(|stand| stand.at % bar == 0);
            match groups.last_mut() {
                Some((group, silent)) if !starts_bar => {
                    group.extend(unit);
                    *silent |= is_silent;
                }
                _ => groups.push((unit, is_silent)),
            }
        }
        let mut parts: Vec<(Vec<RunStand>, bool)> = Vec::new();
        for (group, is_silent) in groups {
            match parts.last_mut() {
                Some((part, silent)) if *silent == is_silent => part.extend(group),
                _ => parts.push((group, is_silent)),
            }
        }
        self.in_parts(parts.into_iter().map(|(stands, _)| stands).collect(), bar)
    }

    /// The run cut at barlines where what is known of its chords changes; whole where it is an ending.
    /// A bar whose chords differ in it has what is known of none.
    pub(super) fn parted_by<T: Copy + Default + PartialEq>(
        self,
        bar: Ticks,
        of: impl Fn(&RunStand) -> T,
    ) -> Vec<Self> {
        if !self.ending.is_empty() {
            return vec![self];
        }
        let mut groups: Vec<(Vec<RunStand>, T)> = Vec::new();
        for stand in &self.stands {
            let own = of(stand);
            let has_chord = |group: &Vec<RunStand>| group.iter().any(|it| it.chord.is_some());
            match groups.last_mut() {
                // A silence belongs to the chord before it, or at the beginning to the one after.
                Some((group, _)) if stand.chord.is_none() => group.push(*stand),
                Some((group, known)) if !has_chord(group) => {
                    group.push(*stand);
                    *known = own;
                }
                Some((group, known)) if stand.at % bar != 0 => {
                    group.push(*stand);
                    if *known != own {
                        *known = T::default();
                    }
                }
                _ => groups.push((vec![*stand], own)),
            }
        }
        let mut parts: Vec<(Vec<RunStand>, T)> = Vec::new();
        for (group, known) in groups {
            match parts.last_mut() {
                Some((part, before)) if *before == known => part.extend(group),
                _ => parts.push((group, known)),
            }
        }
        if parts.len() < 2 {
            return vec![self];
        }
        self.in_parts(parts.into_iter().map(|(stands, _)| stands).collect(), bar)
    }

    /// The run as so many; its signs stay at its ends.
    fn in_parts(&self, parts: Vec<Vec<RunStand>>, bar: Ticks) -> Vec<Self> {
        let last = parts.len().saturating_sub(1);
        let start = self.stands.first().map_or(0, |stand| stand.at);
        let part = |(index, stands): (usize, Vec<RunStand>)| {
            let from = stands.first().map_or(0, |stand| stand.at);
            let shifted = stands.into_iter().map(|stand| RunStand { at: stand.at - from, ..stand });
            let stands: Vec<RunStand> = shifted.collect();
            let length: Ticks = stands.iter().map(|stand| stand.length).sum();
            let before = ((from - start) / bar) as usize;
            let bars = (length / bar) as usize;
            Self {
                section: self.section.clone().filter(|_| index == 0),
                title: self.title.clone().filter(|_| index == 0),
                begins_repeat: self.begins_repeat && index == 0,
                ends_repeat: self.ends_repeat && index == last,
                times: self.times.filter(|_| index == last),
                ending: if last == 0 { self.ending.clone() } else { Vec::new() },
                ends_section: self.ends_section && index == last,
                to_coda: within(self.to_coda, before, bars),
                way_on: self.way_on.clone().filter(|_| index == last),
                bars,
                stands,
            }
        };
        parts.into_iter().enumerate().map(part).collect()
    }

    /// Its chords, each with the silences about it, bar by bar.
    pub(super) fn units(&self, metre: Metre) -> Vec<Vec<Chunk>> {
        let mut units: Vec<Vec<Chunk>> = Vec::new();
        let mut early: Vec<Chunk> = Vec::new();
        for stand in &self.stands {
            let own = held(stand.at, stand.length, stand.chord.is_some(), metre);
            match (stand.chord, units.last_mut()) {
                (None, Some(before)) => before.extend(own),
                (None, None) => early.extend(own),
                (Some(_), _) => {
                    let mut unit = std::mem::take(&mut early);
                    unit.extend(own);
                    units.push(unit);
                }
            }
        }
        units
    }

    /// Whether anything in it is silent.
    pub(super) fn has_silence(&self) -> bool {
        self.stands.iter().any(|stand| stand.chord.is_none())
    }

    /// The run in as many as sheet and passage hold; signs of repeats stay at their ends.
    fn parted(self, bar: Ticks) -> Vec<Self> {
        let mut parts: Vec<Self> = Vec::new();
        for stand in &self.stands {
            let mut stand = *stand;
            while stand.length > 0 {
                let full = |part: &Self| {
                    let is_at_barline = part.length() % bar == 0;
                    let is_crowded = part.stands.len() + MOST_IN_A_BAR > MOST_CHORDS;
                    is_at_barline && (part.bars == MOST_BARS || is_crowded)
                };
                if parts.last().is_none_or(full) {
                    parts.push(Self::default());
                }
                let Some(part) = parts.last_mut() else { break };
                let begun = part.length();
                let room = MOST_BARS as Ticks * bar - begun;
                let own = stand.length.min(room);
                part.stands.push(RunStand { at: begun, length: own, ..stand });
                part.bars = ((begun + own + bar - 1) / bar) as usize;
                stand.at += own;
                stand.length -= own;
            }
        }
        let last = parts.len().saturating_sub(1);
        let mut before = 0;
        for (index, part) in parts.iter_mut().enumerate() {
            part.to_coda = within(self.to_coda, before, part.bars);
            before += part.bars;
            if index == last {
                part.way_on.clone_from(&self.way_on);
            }
            if index == 0 {
                part.section.clone_from(&self.section);
                part.title.clone_from(&self.title);
                part.begins_repeat = self.begins_repeat;
            }
            if last == 0 {
                part.ending.clone_from(&self.ending);
            }
            part.ends_repeat = self.ends_repeat && index == last;
            part.times = self.times.filter(|_| index == last);
            part.ends_section = self.ends_section && index == last;
        }
        parts
    }

    fn length(&self) -> Ticks {
        self.stands.last().map_or(0, |last| last.at + last.length)
    }
}
