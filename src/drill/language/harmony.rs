//! Which chords a passage goes through: degrees, what leads to them, and the chords they are in a key.

use crate::theory::{
    BorrowedTarget, Chord, ChordKind, Interval, Key, Letter, Mode, NoteName, Numeral, Quality,
    Scale, Seventh, Third, Tonality,
};

/// A chord of a passage, before its scale is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Degree {
    /// Where its root stands: in the passage's scale, or in that of its goal.
    pub place: RootPlace,
    /// What kind of chord stands there; the seventh that the scale has, where that is not said.
    pub kind: Option<ChordKind>,
    /// The degree that it leads to, if its place is counted from there.
    pub of: Option<GoalDegree>,
    /// The bass, where that is another note than the root.
    pub over: Option<RootPlace>,
    /// The degree whose name the root has in its symbol, where that is another than its numeral
    /// counts: ♭VI of A♭ is F♭, and a chart writes E.
    pub written: Option<RootPlace>,
}

/// Where a root stands above a tonic. Number 1 is the tonic, 8 its octave, 0 and below lie under
/// the tonic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RootPlace {
    /// On a degree of the scale, whatever scale that is.
    Step(i32),
    /// By so many semitones beside a degree of the major scale, as numerals are counted.
    Against(i32, i32),
}

/// The degree that a chord leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GoalDegree {
    /// Where its root stands.
    pub place: RootPlace,
    /// Whether its chord is minor, where its numeral says so.
    pub is_minor: Option<bool>,
}

/// The key of a passage, as seen from the tonic of its drill.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PassageHome {
    /// Its tonic above that of the drill.
    pub tonic: Interval,
    /// Its scale.
    pub mode: Mode,
    /// What its numerals are counted from, where they say so: they do in another key that has no
    /// signature of its own.
    pub of: Option<BorrowedTarget>,
}

impl PassageHome {
    /// The key of the drill itself.
    pub const fn own(mode: Mode) -> Self {
        Self { tonic: Interval::UNISON, mode, of: None }
    }

    /// The key in a key of the drill, in the spelling that has a signature.
    pub fn in_key(self, key: Key) -> Key {
        Key::on(key.tonic().up(self.tonic), self.mode)
    }
}

/// A chord before any key is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ChordPlan {
    /// Its root above the tonic of the drill.
    pub root: Interval,
    /// What kind of chord it is.
    pub kind: ChordKind,
    /// Its numeral, in root position.
    pub numeral: Numeral,
    /// The key that it stands in.
    pub home: PassageHome,
    /// Its bass above the tonic of the drill, where that is another note than its root.
    pub bass: Option<Interval>,
    /// The degree of that key's scale on which its root stands, if the scale goes with the chord.
    degree: Option<i32>,
    /// Another scale that goes with it.
    there: Option<There>,
    /// Whether its drill says how its root is written.
    is_written: bool,
    /// By what its root is written otherwise than its numeral counts it.
    shift: Interval,
}

/// A scale of another key than the passage's, or another of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct There {
    /// Its tonic above that of the passage.
    tonic: Interval,
    mode: Mode,
    /// The degree on which the root stands.
    degree: i32,
}

impl There {
    fn interval(self, number: i32) -> Interval {
        self.tonic.plus(scale(self.mode).interval(self.degree + number - 1))
    }

    /// The same where it has every tone of a chord on its degree, or on a root that it raises.
    fn with(self, kind: ChordKind) -> Option<Self> {
        let root = self.interval(1);
        let own: Vec<i32> = (1..=7).map(|number| self.interval(number).semitones).collect();
        let has = |tone: Interval| {
            own.iter().any(|note| (note - root.plus(tone).semitones).rem_euclid(12) == 0)
        };
        kind.tones().all(has).then_some(self)
    }
}

impl ChordPlan {
    /// A chord that no scale goes with, as yet.
    fn on(root: Interval, kind: ChordKind, home: PassageHome) -> Self {
        Self {
            root,
            kind,
            numeral: Numeral::new(1, kind),
            home,
            bass: None,
            degree: None,
            there: None,
            is_written: false,
            shift: Interval::UNISON,
        }
    }

    /// The chord in a key of the drill, spelled otherwise by an interval; see
    /// [`respellings`](super::spelling::respellings).
    pub fn in_key(self, key: Key, by: Interval) -> Chord {
        let name = |above: Interval| key.tonic().up(above).up(by);
        let chord = Chord::new(name(self.root), self.kind);
        self.bass.map_or(chord, |bass| chord.over(name(bass)))
    }

    /// What the chord rests on, above the tonic: its root, or its bass within half an octave of the
    /// tonic that lies nearest to the root.
    pub(crate) fn foot(&self) -> Interval {
        let octave = |interval: Interval| (interval.semitones + 6).div_euclid(12);
        self.bass.map_or(self.root, |bass| bass.plus_octaves(octave(self.root) - octave(bass)))
    }

    /// Which inversion its bass of its own makes of it, if it has one: none where that is no tone of
    /// the chord.
    pub(crate) fn inversion(&self) -> Option<u8> {
        let above = self.bass?.plus(self.root.down()).simple();
        let mut frame = (0..).zip(self.kind.frame());
        let own = frame.find(|(_, tone)| *tone == Some(above));
        Some(own.map_or(0, |(inversion, _)| inversion))
    }

    /// Whether the scale of its key goes with it.
    pub(crate) fn is_of_key(&self) -> bool {
        self.degree.is_some()
    }

    /// Whether its drill says how its root is written.
    pub(crate) fn is_written(&self) -> bool {
        self.is_written
    }

    /// Whether it is a dominant over which the scale of a minor goal goes.
    pub(crate) fn leads_to_minor(&self) -> bool {
        let is_five = |there: &There| there.degree.rem_euclid(7) == 5;
        self.there.is_some_and(|it| it.mode == Mode::HarmonicMinor && is_five(&it))
    }

    /// Whether its key has its root.
    pub(crate) fn has_root_of_key(&self) -> bool {
        let above = self.root.plus(self.home.tonic.down());
        scale(self.home.mode).interval(above.steps + 1) == above
    }

    /// The note of a number above its root: the chord's own, else that of the scale of its key, or
    /// of its own scale where that key does not explain it. Asked for the fifth that it has not, an
    /// altered dominant gives the flat one of the altered scale (common practice, no source).
    pub(crate) fn tone(&self, number: i32) -> Interval {
        let own = match self.kind == ChordKind::ALTERED && (number - 1).rem_euclid(7) == 4 {
            true => Some(Interval::DIMINISHED_FIFTH.plus_octaves((number - 1).div_euclid(7))),
            false => self.kind.number(number),
        };
        own.map_or_else(|| self.step(number), |tone| self.root.plus(tone))
    }

    /// An interval above the root as the chord spells it, where it has that key: the minor third of a
    /// blues scale is the ♯9 of a chord with one. A scale's flat fifth stays one where there is no
    /// other fifth beside it: an altered line falls through D♭ over G7alt, not through C♯.
    pub(crate) fn own_spelling(&self, above: Interval) -> Interval {
        let has_fifth = self.kind.tones().any(|tone| tone.simple() == Interval::FIFTH);
        if above.simple() == Interval::DIMINISHED_FIFTH && !has_fifth {
            return above;
        }
        let octave = above.semitones.div_euclid(12);
        let mut tones = self.kind.tones().map(Interval::simple);
        let own = tones.find(|tone| tone.semitones == above.semitones.rem_euclid(12));
        own.map_or(above, |own| own.plus_octaves(octave))
    }

    /// A note of a line as its key has it, where the chord calls it a sharp ninth: over G7alt in C
    /// minor the line has B♭.
    pub(crate) fn named_by_key(&self, note: Interval) -> Interval {
        let above = note.plus(self.root.down()).simple();
        let twin = note.plus(Interval { steps: 1, semitones: 0 });
        let at = twin.plus(self.home.tonic.down());
        let is_of_key = scale(self.home.mode.signature()).interval(at.steps + 1) == at;
        if above == Interval::AUGMENTED_SECOND && is_of_key { twin } else { note }
    }

    /// Whether its tones or its key have a note by name.
    pub(crate) fn knows(&self, note: Interval) -> bool {
        let above = note.plus(self.root.down()).simple();
        let at = note.plus(self.home.tonic.down());
        self.kind.tones().any(|tone| tone.simple() == above)
            || scale(self.home.mode.signature()).interval(at.steps + 1) == at
    }

    /// The note of a number in the scale that goes with it.
    pub(crate) fn step(&self, number: i32) -> Interval {
        match (self.degree, self.there) {
            (Some(degree), _) => {
                let scale = scale(self.home.mode);
                self.home.tonic.plus(scale.interval(degree + number - 1)).plus(self.shift)
            }
            (None, Some(there)) => self.home.tonic.plus(there.interval(number)).plus(self.shift),
            (None, None) => {
                let step = (number - 1).rem_euclid(7) as usize;
                let octaves = (number - 1).div_euclid(7);
                self.root.plus(self.kind.scale()[step]).plus_octaves(octaves)
            }
        }
    }
}

/// A scale whose intervals alone count.
pub(crate) fn scale(mode: Mode) -> Scale {
    Scale { tonic: NoteName::new(Letter::C, 0), mode }
}

impl RootPlace {
    /// The interval above the tonic of a scale.
    pub(super) fn interval(self, scale: Scale) -> Interval {
        match self {
            Self::Step(number) => scale.interval(number),
            Self::Against(number, alter) => {
                let degree = Scale { mode: Mode::Major, ..scale }.interval(number);
                degree.plus(Interval { steps: 0, semitones: alter })
            }
        }
    }

    /// Its number.
    pub(crate) const fn number(self) -> i32 {
        match self {
            Self::Step(number) | Self::Against(number, _) => number,
        }
    }

    /// By how many semitones it differs from that degree of the major scale.
    fn alter(self, scale: Scale) -> i32 {
        match self {
            Self::Step(number) => scale.alteration(number),
            Self::Against(_, alter) => alter,
        }
    }
}

impl Degree {
    /// The seventh chord of a degree of the scale.
    pub const fn step(number: i32) -> Self {
        Self { place: RootPlace::Step(number), kind: None, of: None, over: None, written: None }
    }

    /// The chord in a key. `None` where a mode stacks thirds into no known seventh, and where the
    /// note that its root is written as does not sound like it.
    pub fn chord(self, home: PassageHome) -> Option<ChordPlan> {
        let plan = match self.of {
            None => self.own(home)?,
            Some(goal) => self.leading(goal, home)?,
        };
        let shift = match self.written {
            None => Interval::UNISON,
            Some(place) => {
                let written = place.interval(scale(home.mode));
                let octaves = (plan.root.semitones - written.semitones).div_euclid(12);
                let shift = written.plus_octaves(octaves).plus(plan.root.down());
                if shift.semitones != 0 || shift.steps.abs() > 1 {
                    return None;
                }
                shift
            }
        };
        let root = home.tonic.plus(plan.root).plus(shift);
        let of = plan.numeral.of.or(home.of);
        let is_written = self.written.is_some();
        let bass = self.over.map(|place| home.tonic.plus(place.interval(scale(home.mode))));
        let bass = bass.filter(|bass| bass.plus(root.down()).simple() != Interval::UNISON);
        let numeral = Numeral { of, ..plan.numeral };
        let hangs =
            bass.filter(|bass| plan.kind.is_suspended_over(bass.semitones - root.semitones));
        let numeral = match (hangs, self.of) {
            (Some(bass), None) => suspended(bass.plus(home.tonic.down()), of),
            (Some(bass), Some(goal)) => {
                let tonic = home.tonic.plus(goal.place.interval(scale(home.mode)));
                suspended(bass.plus(tonic.down()), of)
            }
            (None, _) => numeral,
        };
        Some(ChordPlan { root, numeral, bass, is_written, shift, ..plan })
    }

    /// The chord on a degree, its root above the tonic of its key.
    fn own(self, home: PassageHome) -> Option<ChordPlan> {
        let scale = scale(home.mode);
        let (root, number) = (self.place.interval(scale), self.place.number());
        let own = Quality::on_degree(scale, number).map(ChordKind::from);
        let kind = self.kind.or(own)?;
        // A key explains what its own notes make.
        let is_in_scale = |tone: Interval| {
            let at = root.plus(tone);
            scale.interval(at.steps + 1) == at
        };
        let degree = kind.tones().all(is_in_scale).then_some(number);
        // The V of a minor key has the leading tone, and ♭9 and ♭13 with it.
        let is_five = number.rem_euclid(7) == 5 && root == scale.interval(number);
        let is_minor = home.mode.tonality() == Tonality::Minor;
        let harmonic = There { tonic: Interval::UNISON, mode: Mode::HarmonicMinor, degree: number };
        let there = (is_five && is_minor && is_dominant(kind)).then_some(harmonic);
        let there = there.filter(|_| degree.is_none()).and_then(|there| there.with(kind));
        let alter = self.place.alter(scale);
        let numeral = Numeral { alter, ..Numeral::new(number, kind) };
        Some(ChordPlan { numeral, degree, there, ..ChordPlan::on(root, kind, home) })
    }

    /// The chord that leads to a goal, its root above the tonic of its key.
    fn leading(self, goal: GoalDegree, home: PassageHome) -> Option<ChordPlan> {
        let scale = scale(home.mode);
        let (at, number) = (goal.place.interval(scale), goal.place.number());
        let own = Quality::on_degree(scale, number).map(|own| own.has_minor_third());
        let is_minor = goal.is_minor.or(own)?;
        let of = BorrowedTarget {
            degree: (number - 1).rem_euclid(7) + 1,
            alter: goal.place.alter(scale),
            is_minor,
        };
        let mode = if is_minor { Mode::NaturalMinor } else { Mode::Major };
        let there = Scale { mode, ..scale };
        let octaves = (self.place.number() - 1).div_euclid(7);
        let place = self.place.number() - 7 * octaves;
        let (own, alter) = match self.place {
            RootPlace::Step(_) => (RootPlace::Step(place), 0),
            RootPlace::Against(_, alter) => (RootPlace::Against(place, alter), alter),
        };
        let (root, degree, usual) = match (place, alter) {
            // Below its target's octave: the root falls a fifth, or rises a fourth.
            (5, 0) => (at.plus(Interval::FIFTH), number + 4, Some(ChordKind::DOMINANT)),
            (7, 0) => {
                let below = at.plus(Interval::MINOR_SECOND.down());
                (below, number - 1, Some(Quality::DiminishedSeventh.into()))
            }
            _ => {
                // Beside the degrees of its scale no kind is usual.
                let is_degree = own.interval(there) == there.interval(place);
                let usual = Quality::on_degree(there, place).filter(|_| is_degree);
                let usual = usual.map(ChordKind::from);
                (at.plus(own.interval(there)), number + place - 1, usual)
            }
        };
        let (root, degree) = (root.plus_octaves(octaves), degree + 7 * octaves);
        let kind = self.kind.or(usual)?;
        // What the key has between the tones of such a chord leads home all the same, if the key has
        // its goal and its names are those of the key. Beside the key, and under tensions of its own, the chord has the scale of its
        // goal: ♭9 and ♭13 of the V of a minor chord, no E♯ over the vi of E in A♭.
        let is_usual = usual == Some(kind);
        let has_goal = scale.interval(at.steps + 1) == at;
        let is_home = has_goal && self.written.is_none();
        let degree = (is_usual && is_home).then_some(degree);
        let leads = matches!((place, alter), (5 | 7, 0));
        let mode = if is_minor && leads { Mode::HarmonicMinor } else { mode };
        let there = There { tonic: at, mode, degree: place };
        let is_its = there.interval(1).plus(root.down()).simple() == Interval::UNISON;
        let octave = |there: There| {
            let octaves = (root.semitones - there.interval(1).semitones).div_euclid(12);
            There { tonic: there.tonic.plus_octaves(octaves), ..there }
        };
        let is_beside = !is_home || is_minor && is_dominant(kind) && place == 5;
        let there = Some(there).filter(|_| is_its && is_beside && degree.is_none());
        let there = there.map(octave).and_then(|there| there.with(kind));
        let numeral = Numeral { alter, of: Some(of), ..Numeral::new(place, kind) };
        Some(ChordPlan { numeral, degree, there, ..ChordPlan::on(root, kind, home) })
    }
}

/// The numeral of a suspended dominant at an interval above a tonic.
fn suspended(at: Interval, of: Option<BorrowedTarget>) -> Numeral {
    let at = at.simple();
    let alter = at.semitones - Letter::from_steps(at.steps).semitones();
    Numeral { alter, of, ..Numeral::new(at.steps + 1, ChordKind::SUSPENDED) }
}

/// Whether a kind is a dominant seventh, with whatever tensions.
fn is_dominant(kind: ChordKind) -> bool {
    kind.third() == Third::Major && kind.seventh() == Seventh::Minor
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{NumeralStyle, SymbolStyle, plain_text};

    #[test]
    fn borrowed_dominants_stand_a_fifth_above_their_goal() {
        let chord = Degree::parse("5/2").unwrap().chord(PassageHome::own(Mode::Major)).unwrap();
        assert_eq!((chord.root, chord.kind), (Interval::MAJOR_SIXTH, ChordKind::DOMINANT));
        assert_eq!(plain_text(&chord.numeral.parts(NumeralStyle::On, SymbolStyle::Mixed)), "V7/ii");
        let low = Degree::parse("5/low2").unwrap().chord(PassageHome::own(Mode::Major)).unwrap();
        assert_eq!(low.root, chord.root.plus_octaves(-1));
        let chord = Degree::parse("7/5").unwrap().chord(PassageHome::own(Mode::Major)).unwrap();
        assert_eq!(chord.root, Interval::AUGMENTED_FOURTH);
        assert_eq!(
            plain_text(&chord.numeral.parts(NumeralStyle::On, SymbolStyle::Mixed)),
            "vii°7/V"
        );
    }
}
