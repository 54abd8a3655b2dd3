//! The readings of chords in a key, as a table: the rows that ask for a root, a family and what
//! comes next. Applied chords, which each goal has alike, are made in `readings` from `goals`.
//!
//! Why these numbers: sevenths were heard by analysts as dominants in 88 of 100 cases, at rest in
//! 8; minor sevenths as part of a chain to a dominant in 81, at rest in 13; major sevenths at rest
//! in 89. Of diminished sevenths a third rise by a semitone and a third fall by one: both are
//! normal. Counts are sums over charts analysed by people.

use super::costs::UNRESOLVED;
use super::family::ChordFamily;
use crate::chart::Function;

/// A mode that a key can be in. A blues is a mode of its own, since its I7 and IV7 are at rest; it
/// prints as major.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum KeyMode {
    Major,
    Minor,
    Blues,
}

/// What a row, or an applied chord, is called. The reason is made from it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum ChordRole {
    /// The tonic chord.
    Home,
    /// A chord of the scale.
    Scale,
    /// A dominant of the tonic on its fifth degree.
    Five,
    /// A triad or a seventh on the leading tone, or the same diminished chord on another tone.
    Leading,
    /// The tritone substitute of V7.
    Substitute,
    /// ♭VII7 on its way to the tonic or what stands for it.
    Backdoor,
    /// A chord of the parallel key.
    Borrowed,
    /// I7 or IV7 that leads nowhere: a colour of the blues.
    Rest,
    /// A diminished or chromatic chord between its neighbours.
    Passing,
    /// I°7 between two I.
    CommonTone,
    /// V7/x.
    Applied,
    /// The tritone substitute of V7/x.
    AppliedSubstitute,
    /// vii°/x.
    AppliedLeading,
    /// The ii of V7/x.
    RelatedTwo,
    /// The ii of a substitute, a fifth above it.
    SubstituteTwo,
    /// A dominant of a root outside the key.
    Outside,
    /// Nothing of these.
    Unexplained,
}

/// What must come next for a row to hold, the steps counted from the tonic.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum When {
    /// Anything.
    Always,
    /// A harmony on one of some steps.
    Next(&'static [i32]),
    /// The tonic, at once or after its own preparation.
    Resolves,
    /// A harmony on one of some steps; else the row costs more by so much.
    NextElse(&'static [i32], f64),
    /// Not a dominant of which this is the ii; else the row costs more by so much.
    NotTwo(f64),
    /// No fall by a fifth or a semitone; else the row costs more by so much.
    NotResolved(f64),
    /// No fall by a fifth or a semitone and, behind its own ii, the tonic next; else the row costs more
    /// by so much.
    Dorian(f64),
    /// No fall by a semitone; else the row costs more by so much.
    NotFalling(f64),
    /// No fall by a semitone; else the row costs more by so much. With its own ii before it it is a
    /// dominant, and the row costs more by half as much again.
    AtRest(f64),
}

/// A chord of a key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ChordRow {
    /// Semitones above the tonic.
    pub(super) step: i32,
    /// The families that the row is for.
    pub(super) families: &'static [ChordFamily],
    pub(super) cost: f64,
    pub(super) function: Function,
    pub(super) role: ChordRole,
    pub(super) when: When,
}

const fn row(
    step: i32,
    families: &'static [ChordFamily],
    cost: f64,
    function: Function,
    role: ChordRole,
) -> ChordRow {
    ChordRow { step, families, cost, function, role, when: When::Always }
}

impl ChordRow {
    const fn when(self, when: When) -> Self {
        Self { when, ..self }
    }
}

const MAJOR: &[ChordFamily] = &[ChordFamily::Major];
const MINOR: &[ChordFamily] = &[ChordFamily::Minor];
const SEVENTH: &[ChordFamily] = &[ChordFamily::Dominant, ChordFamily::Suspended];
const HALF: &[ChordFamily] = &[ChordFamily::HalfDiminished];
const DIMINISHED: &[ChordFamily] = &[ChordFamily::Diminished];
const AUGMENTED: &[ChordFamily] = &[ChordFamily::Augmented];

use ChordRole as R;
use Function::{Dominant as D, Passing as P, Subdominant as S, Tonic as T};

/// Where a leading tone leads: to the tonic and to what stands in its place, or to V, with which it
/// shares its tones.
const LEADS_TO: &[i32] = &[0, 3, 4, 7, 8, 9];

/// The rows that major and blues share.
const COMMON: &[ChordRow] = &[
    // At home in the scale.
    row(7, SEVENTH, -0.1, D, R::Five),
    row(2, MINOR, 0.0, S, R::Scale),
    row(9, MINOR, 0.2, T, R::Scale),
    row(4, MINOR, 0.3, T, R::Scale),
    row(5, MAJOR, 0.3, S, R::Scale),
    // A major triad may be V, a major seventh hardly ever: see `readings`.
    row(7, MAJOR, 0.3, D, R::Five),
    row(7, AUGMENTED, 0.3, D, R::Five),
    // A raised fifth over the tonic is a line on its way to vi or IV.
    row(0, AUGMENTED, 0.9, T, R::Home),
    // On the leading tone; before III7 a half-diminished chord is the ii of vi.
    row(11, HALF, 0.7, D, R::Leading).when(When::NotTwo(1.0)),
    row(11, DIMINISHED, 0.8, D, R::Leading).when(When::NextElse(LEADS_TO, UNRESOLVED)),
    // The same four tones as vii°7, on their way to I or to V.
    row(2, DIMINISHED, 1.2, D, R::Leading).when(When::Next(&[0, 7])),
    row(5, DIMINISHED, 1.2, D, R::Leading).when(When::Next(&[0, 7])),
    row(8, DIMINISHED, 1.2, D, R::Leading).when(When::Next(&[0, 7])),
    // Backdoor: to I, or to iii in its place; a semitone down to vi it is a substitute.
    row(10, SEVENTH, 1.0, D, R::Backdoor).when(When::Resolves),
    row(10, SEVENTH, 1.0, D, R::Backdoor).when(When::Next(&[4])),
    row(10, SEVENTH, 1.8, D, R::Backdoor),
    // Borrowed from the parallel minor.
    row(2, HALF, 0.9, S, R::Borrowed),
    row(5, MINOR, 1.0, S, R::Borrowed),
    row(8, MAJOR, 1.4, S, R::Borrowed),
    row(3, MAJOR, 1.6, T, R::Borrowed),
    row(1, MAJOR, 1.6, S, R::Borrowed),
    row(10, MAJOR, 1.7, S, R::Borrowed),
    row(7, MINOR, 1.9, S, R::Borrowed),
    row(0, MINOR, 2.2, T, R::Borrowed),
    // Diminished chords between their neighbours.
    row(3, DIMINISHED, 0.8, P, R::Passing).when(When::Next(&[2, 7])),
    row(6, DIMINISHED, 0.8, P, R::Passing).when(When::Next(&[0, 4, 5])),
    row(0, DIMINISHED, 0.9, P, R::CommonTone).when(When::Next(&[0])),
    row(1, DIMINISHED, 1.2, P, R::Passing).when(When::Next(&[0])),
    row(6, HALF, 1.0, S, R::Passing).when(When::Next(&[0, 4, 5, 7])),
    row(8, DIMINISHED, 1.2, P, R::Passing).when(When::Next(&[7])),
    row(10, DIMINISHED, 1.2, P, R::Passing).when(When::Next(&[9])),
];

/// What major has beside them.
const IN_MAJOR: &[ChordRow] = &[
    row(0, MAJOR, -0.6, T, R::Home),
    row(0, SEVENTH, 1.0, T, R::Rest).when(When::AtRest(1.0)),
    row(5, SEVENTH, 1.2, S, R::Rest).when(When::AtRest(1.0)),
];

/// What a blues has beside them. Without it a blues would be read a fifth too low, since I7 looks
/// like V of IV.
const IN_BLUES: &[ChordRow] = &[
    row(0, SEVENTH, -0.4, T, R::Home).when(When::AtRest(1.5)),
    // Where the tonic is heard without its seventh, a seventh on it is on its way to IV.
    row(0, MAJOR, 0.6, T, R::Home),
    row(5, SEVENTH, 0.1, S, R::Rest).when(When::AtRest(1.0)),
];

const IN_MINOR: &[ChordRow] = &[
    row(0, MINOR, -0.6, T, R::Home),
    row(7, SEVENTH, -0.1, D, R::Five),
    row(2, HALF, 0.0, S, R::Scale),
    row(5, MINOR, 0.1, S, R::Scale),
    row(8, MAJOR, 0.3, S, R::Scale),
    row(7, MAJOR, 0.3, D, R::Five),
    row(7, AUGMENTED, 0.3, D, R::Five),
    row(11, DIMINISHED, 0.5, D, R::Leading).when(When::NextElse(LEADS_TO, UNRESOLVED)),
    row(11, HALF, 1.0, D, R::Leading).when(When::NotTwo(1.0)),
    row(3, MAJOR, 0.6, T, R::Scale),
    row(3, AUGMENTED, 0.6, T, R::Scale),
    row(2, MINOR, 0.8, S, R::Scale),
    row(10, MAJOR, 0.8, S, R::Scale),
    // Down a fifth to ♭III it is the dominant of that, and IV7 to ♭VII of that.
    row(10, SEVENTH, 0.8, D, R::Backdoor).when(When::NotResolved(1.0)),
    // i6 over its sixth; before II7 the ii of V.
    row(9, HALF, 0.8, T, R::Scale).when(When::NotTwo(1.0)),
    row(7, MINOR, 0.9, D, R::Scale).when(When::NotTwo(1.0)),
    // Dorian, about i; behind i that goes on elsewhere it is the dominant of ♭VII, with i as its ii.
    row(5, SEVENTH, 0.9, S, R::Scale).when(When::Dorian(1.5)),
    row(5, MAJOR, 0.9, S, R::Scale),
    row(1, MAJOR, 1.0, S, R::Borrowed),
    row(0, MAJOR, 1.8, T, R::Borrowed),
    row(0, SEVENTH, 1.8, T, R::Rest).when(When::NotFalling(1.0)),
    // The same four tones as vii°7.
    row(2, DIMINISHED, 0.9, D, R::Leading).when(When::Next(&[0, 7])),
    row(5, DIMINISHED, 0.9, D, R::Leading).when(When::Next(&[0, 7])),
    row(8, DIMINISHED, 0.9, D, R::Leading).when(When::Next(&[0, 7])),
    row(6, DIMINISHED, 0.8, P, R::Passing).when(When::Next(&[0])),
    row(0, DIMINISHED, 0.9, P, R::CommonTone).when(When::Next(&[0])),
    row(6, HALF, 1.0, S, R::Passing).when(When::Next(&[0, 5, 7])),
];

/// A goal that dominants of its own may point to, and what V7 of it costs.
pub(super) struct AppliedGoal {
    /// Semitones above the tonic.
    pub(super) step: i32,
    pub(super) cost: f64,
}

const fn goal(step: i32, cost: f64) -> AppliedGoal {
    AppliedGoal { step, cost }
}

const MAJOR_GOALS: &[AppliedGoal] =
    &[goal(7, 0.6), goal(2, 0.7), goal(5, 0.7), goal(9, 0.7), goal(4, 1.0)];

const MINOR_GOALS: &[AppliedGoal] =
    &[goal(7, 0.6), goal(5, 0.7), goal(3, 0.8), goal(8, 1.0), goal(10, 1.1)];

impl KeyMode {
    /// The rows of its table.
    pub(super) fn rows(self) -> impl Iterator<Item = &'static ChordRow> {
        let (own, common) = match self {
            Self::Major => (IN_MAJOR, COMMON),
            Self::Blues => (IN_BLUES, COMMON),
            Self::Minor => (IN_MINOR, &[] as &[ChordRow]),
        };
        own.iter().chain(common)
    }

    /// What applied dominants point to.
    pub(super) const fn goals(self) -> &'static [AppliedGoal] {
        match self {
            Self::Major | Self::Blues => MAJOR_GOALS,
            Self::Minor => MINOR_GOALS,
        }
    }

    /// Whether a goal of its own is a minor chord, as its numeral is written.
    pub(super) const fn is_minor_goal(self, step: i32) -> bool {
        match self {
            Self::Major | Self::Blues => matches!(step, 2 | 4 | 9),
            Self::Minor => matches!(step, 0 | 2 | 5),
        }
    }

    /// What V7 of the tonic's own substitute costs: subV7, only when it falls a semitone.
    pub(super) const SUBSTITUTE_OF_FIVE: f64 = 0.8;

    /// vii°/x, up a semitone to a chord of the key.
    pub(super) const APPLIED_LEADING: f64 = 0.8;

    /// The same diminished chord on another of its tones, and a half-diminished one in its place.
    pub(super) const APPLIED_LEADING_OTHER: f64 = 1.2;

    /// Any other diminished chord, and one that falls by a semitone, which is normal.
    pub(super) const OTHER_DIMINISHED: f64 = 1.6;
    pub(super) const FALLING_DIMINISHED: f64 = 1.2;

    /// ♭VI7 to V in minor: of the scale but for its seventh.
    pub(super) const FLAT_SIX_TO_FIVE: f64 = 0.6;

    /// A diminished triad on ii, which is no leading-tone chord: in minor and in major.
    pub(super) const TWO_TRIAD: [f64; 2] = [0.3, 1.2];

    /// I with a major seventh in a blues.
    pub(super) const BLUES_MAJOR_SEVENTH: f64 = 1.0;

    /// V with a major seventh.
    pub(super) const FIVE_MAJOR_SEVENTH: f64 = 2.0;

    /// A chord between two of its kind that lie a semitone to either side, and one that slides by a
    /// semitone into the next.
    pub(super) const CHROMATIC: [f64; 2] = [1.4, 1.8];
}
