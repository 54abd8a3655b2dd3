//! The readings that a harmony can have in a key: the rows of the table, and the applied chords of
//! each goal. The cheapest is taken; of equal ones the first, which has the simpler name.

use super::costs;
use super::family::ChordFamily;
use super::harmonies::{Harmonies, HeardHarmony};
use super::resolve::{FIFTH_DOWN, Resolution, SEMITONE_DOWN, TONE_UP, resolution};
use super::table::{AppliedGoal, ChordRole, ChordRow, KeyMode, When};
use crate::chart::Function;

/// One reading of a harmony in a key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CandidateReading {
    pub(super) cost: f64,
    pub(super) function: Function,
    pub(super) role: ChordRole,
    /// Semitones of the root above the tonic.
    pub(super) step: i32,
    /// The step of what it is applied to.
    pub(super) goal: Option<i32>,
}

/// How the goals come that a harmony may have, whatever the key.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ahead {
    /// The goal a fifth lower.
    pub(super) fifth: Option<Resolution>,
    /// A semitone lower.
    pub(super) semitone: Option<Resolution>,
    /// A whole tone higher.
    pub(super) tone: Option<Resolution>,
}

/// All that readings are made from.
pub(super) struct ReadingMaker<'a> {
    pub(super) harmonies: &'a Harmonies,
    pub(super) ahead: Vec<Ahead>,
    /// The rows of each mode, by their steps.
    rows: [[Vec<&'static ChordRow>; 12]; 3],
}

impl<'a> ReadingMaker<'a> {
    /// Looks ahead from every harmony.
    pub(super) fn new(harmonies: &'a Harmonies) -> Self {
        let look = |(place, harmony): (usize, &HeardHarmony)| {
            if harmonies.is_strayed(place) {
                return Ahead::default();
            }
            let goal = |above: i32| resolution(harmonies, place, (harmony.root + above) % 12);
            match harmony.family {
                // Without its tritone a suspended chord is no substitute.
                ChordFamily::Suspended => {
                    Ahead { fifth: goal(FIFTH_DOWN), semitone: None, tone: goal(TONE_UP) }
                }
                ChordFamily::Dominant => Ahead {
                    fifth: goal(FIFTH_DOWN),
                    semitone: goal(SEMITONE_DOWN),
                    tone: goal(TONE_UP),
                },
                ChordFamily::Major | ChordFamily::Augmented => {
                    Ahead { fifth: goal(FIFTH_DOWN), ..Ahead::default() }
                }
                _ => Ahead::default(),
            }
        };
        let ahead = harmonies.list.iter().enumerate().map(look).collect();
        let mut rows: [[Vec<&'static ChordRow>; 12]; 3] = Default::default();
        for mode in [KeyMode::Major, KeyMode::Minor, KeyMode::Blues] {
            for row in mode.rows() {
                rows[mode as usize][row.step as usize].push(row);
            }
        }
        Self { harmonies, ahead, rows }
    }

    /// The cheapest reading of a harmony whose root lies so many semitones above a tonic.
    pub(super) fn best(&self, place: usize, mode: KeyMode, step: i32) -> CandidateReading {
        let mut best = UNEXPLAINED.on(step);
        self.each(place, mode, step, &mut |candidate| {
            if candidate.cost < best.cost {
                best = candidate;
            }
        });
        best
    }

    /// The cheapest reading that is called otherwise.
    pub(super) fn second(
        &self,
        place: usize,
        mode: KeyMode,
        step: i32,
        is_other: impl Fn(CandidateReading) -> bool,
    ) -> Option<CandidateReading> {
        let mut found: Option<CandidateReading> = None;
        self.each(place, mode, step, &mut |candidate| {
            if found.is_none_or(|found| candidate.cost < found.cost) && is_other(candidate) {
                found = Some(candidate);
            }
        });
        found
    }

    /// Every reading, the simpler names first.
    fn each(
        &self,
        place: usize,
        mode: KeyMode,
        step: i32,
        offer: &mut dyn FnMut(CandidateReading),
    ) {
        let harmony = &self.harmonies.list[place];
        let seat = HarmonySeat { reader: self, place, harmony, mode, step };
        for goal in mode.goals() {
            seat.applied(goal, offer);
        }
        for row in &self.rows[mode as usize][step as usize] {
            if let Some(cost) = seat.row(row) {
                offer(CandidateReading {
                    cost,
                    function: row.function,
                    role: row.role,
                    step,
                    goal: None,
                });
            }
        }
        match harmony.family {
            ChordFamily::Dominant | ChordFamily::Suspended => seat.dominant(offer),
            ChordFamily::Minor | ChordFamily::HalfDiminished => seat.two(offer),
            ChordFamily::Diminished => seat.diminished(offer),
            ChordFamily::Major | ChordFamily::Augmented => {}
        }
        seat.chromatic(offer);
        offer(UNEXPLAINED.on(step));
    }
}

impl CandidateReading {
    const fn on(self, step: i32) -> Self {
        Self { step, ..self }
    }
}

const UNEXPLAINED: CandidateReading = CandidateReading {
    cost: costs::UNEXPLAINED,
    function: Function::Passing,
    role: ChordRole::Unexplained,
    step: 0,
    goal: None,
};

/// A harmony in a key.
struct HarmonySeat<'a> {
    reader: &'a ReadingMaker<'a>,
    place: usize,
    harmony: &'a HeardHarmony,
    mode: KeyMode,
    step: i32,
}

impl HarmonySeat<'_> {
    fn ahead(&self) -> Ahead {
        self.reader.ahead[self.place]
    }

    fn ahead_of_next(&self) -> Ahead {
        self.reader.ahead[self.reader.harmonies.after(self.place)]
    }

    /// How far the root of the next harmony lies above this one.
    fn rise(&self) -> i32 {
        self.reader.harmonies.rise(self.place)
    }

    fn next_step(&self) -> i32 {
        (self.step + self.rise()) % 12
    }

    /// Whether this is a ii before a dominant that lies so far above it.
    fn is_two_before(&self, above: i32) -> bool {
        self.rise() == above && self.reader.harmonies.is_two_of_next(self.place)
    }

    /// Whether it falls a semitone into a dominant or a minor chord, which outweighs the scale; the
    /// ii of that dominant may come before it.
    fn is_falling(&self) -> bool {
        let harmonies = self.reader.harmonies;
        if harmonies.is_strayed(self.place) {
            return false;
        }
        let next = harmonies.after(self.place);
        let family = harmonies.list[next].family;
        let is_two = harmonies.is_two_of_next(next);
        match (self.rise(), (self.rise() + harmonies.rise(next)) % 12) {
            (SEMITONE_DOWN, _) => family.is_dominant() || family.is_two(),
            (_, SEMITONE_DOWN) => is_two,
            _ => false,
        }
    }

    /// Whether it falls a semitone, to whatever is not a diminished chord: to a chord at rest too.
    fn falls(&self) -> bool {
        let harmonies = self.reader.harmonies;
        let is_rest = harmonies.next(self.place).family.is_rest();
        let is_goal = is_rest && !harmonies.is_strayed(self.place);
        self.is_falling() || self.rise() == SEMITONE_DOWN && is_goal
    }

    /// Whether its own ii comes right before it.
    fn has_two(&self) -> bool {
        let before = self.reader.harmonies.before(self.place);
        self.reader.harmonies.rise(before) == FIFTH_DOWN
            && self.reader.harmonies.is_two_of_next(before)
    }

    /// Whether the chord before is one of rest, such as a minor sixth, which is no ii.
    fn is_after_rest(&self) -> bool {
        self.reader.harmonies.previous(self.place).is_restful
    }

    /// Whether it came already, before the chord that came before: two chords that go round.
    fn goes_round(&self) -> bool {
        let harmonies = self.reader.harmonies;
        let earlier = harmonies.previous(harmonies.before(self.place));
        (earlier.root, earlier.family) == (self.harmony.root, self.harmony.family)
    }

    /// What a row costs here, if it holds.
    fn row(&self, row: &ChordRow) -> Option<f64> {
        if !row.families.contains(&self.harmony.family) {
            return None;
        }
        if row.role == ChordRole::Five && self.harmony.has_major_seventh {
            return Some(KeyMode::FIVE_MAJOR_SEVENTH);
        }
        let is_blues_home = self.mode == KeyMode::Blues && row.role == ChordRole::Home;
        if is_blues_home && self.harmony.has_major_seventh {
            return Some(KeyMode::BLUES_MAJOR_SEVENTH);
        }
        match row.when {
            When::Always => Some(row.cost),
            When::NextElse(steps, more) if !steps.contains(&self.next_step()) => {
                Some(row.cost + more)
            }
            When::Next(steps) => steps.contains(&self.next_step()).then_some(row.cost),
            When::Resolves => {
                let to_tonic = self.ahead().tone.filter(|_| self.step == 12 - TONE_UP);
                to_tonic.map(|it| row.cost + it.extra)
            }
            When::NotTwo(more) if self.is_two_before(5) => Some(row.cost + more),
            When::AtRest(more) if self.has_two() => Some(row.cost + 1.5 * more),
            When::AtRest(more) if self.is_falling() => Some(row.cost + more),
            When::NotFalling(more) if self.is_falling() => Some(row.cost + more),
            When::NotResolved(more) if self.is_falling() || self.rise() == FIFTH_DOWN => {
                Some(row.cost + more)
            }
            When::Dorian(more)
                if self.is_falling()
                    || self.rise() == FIFTH_DOWN
                    || self.has_two()
                        && !self.is_after_rest()
                        && self.next_step() != 0
                        && !self.goes_round() =>
            {
                Some(row.cost + more)
            }
            When::NotTwo(_)
            | When::NotFalling(_)
            | When::Dorian(_)
            | When::AtRest(_)
            | When::NotResolved(_)
            | When::NextElse(..) => Some(row.cost),
        }
    }

    /// The chords that are applied to a goal.
    fn applied(&self, goal: &AppliedGoal, offer: &mut dyn FnMut(CandidateReading)) {
        let above = (self.step - goal.step).rem_euclid(12);
        let mut to = |cost, function, role, goal| {
            offer(CandidateReading { cost, function, role, step: self.step, goal: Some(goal) });
        };
        let own = goal.step;
        match (self.harmony.family, above) {
            (ChordFamily::Dominant | ChordFamily::Suspended, 7) => {
                let comes = self.ahead().fifth;
                let cost = goal.cost + wanted(comes);
                // What falls by a semitone instead is a substitute of another dominant.
                let is_partner = self.reader.harmonies.is_partner_in_chain(self.place);
                if is_partner || comes.is_none() && self.falls() {
                    let fallen = (self.step + SEMITONE_DOWN) % 12;
                    to(cost, Function::Dominant, ChordRole::AppliedSubstitute, fallen);
                } else {
                    to(cost, Function::Dominant, ChordRole::Applied, own);
                }
            }
            (ChordFamily::Dominant, 1) => {
                let comes = self.ahead().semitone;
                // With its own ii before it it points a fifth down, unless it falls.
                let pair = if self.has_two() { costs::RELATED_UNRESOLVED } else { 0.0 };
                let pair = if comes.is_some() { 0.0 } else { pair };
                let cost = self.substitute(goal) + wanted(comes) + pair;
                // What falls by a fifth instead is no substitute either.
                if self.rise() == FIFTH_DOWN {
                    let fallen = (self.step + FIFTH_DOWN) % 12;
                    to(cost, Function::Dominant, ChordRole::Outside, fallen);
                } else {
                    to(cost, Function::Dominant, ChordRole::AppliedSubstitute, own);
                }
            }
            (ChordFamily::Major | ChordFamily::Augmented, 7) => {
                let falls = self.harmony.is_triad && self.rise() == FIFTH_DOWN;
                if falls && self.ahead().fifth.is_some() {
                    to(goal.cost + costs::PLAIN_TRIAD, Function::Dominant, ChordRole::Applied, own);
                }
            }
            (ChordFamily::Minor | ChordFamily::HalfDiminished, 2) => {
                let comes = if self.is_two_before(FIFTH_DOWN) {
                    self.ahead_of_next().fifth
                } else if self.is_two_before(SEMITONE_DOWN) {
                    self.ahead_of_next().semitone
                } else {
                    return;
                };
                let cost = goal.cost + costs::RELATED_TWO + related(comes);
                to(cost, Function::Subdominant, ChordRole::RelatedTwo, own);
            }
            (ChordFamily::Minor | ChordFamily::HalfDiminished, 8)
                if self.is_two_before(FIFTH_DOWN) =>
            {
                let cost = two_of_substitute(self.substitute(goal));
                let cost = cost + related(self.ahead_of_next().semitone);
                if self.reader.harmonies.rise(self.reader.harmonies.after(self.place)) == FIFTH_DOWN
                {
                    let fallen = (self.step + 2 * FIFTH_DOWN) % 12;
                    to(cost, Function::Subdominant, ChordRole::RelatedTwo, fallen);
                } else {
                    to(cost, Function::Subdominant, ChordRole::SubstituteTwo, own);
                }
            }
            (ChordFamily::Diminished, 11) if self.rise() == 1 => {
                to(KeyMode::APPLIED_LEADING, Function::Dominant, ChordRole::AppliedLeading, own);
            }
            (ChordFamily::HalfDiminished, 11) if self.rise() == 1 => {
                to(
                    KeyMode::APPLIED_LEADING_OTHER,
                    Function::Dominant,
                    ChordRole::AppliedLeading,
                    own,
                );
            }
            (ChordFamily::Diminished, _) if self.next_step() == goal.step && above % 3 == 2 => {
                to(
                    KeyMode::APPLIED_LEADING_OTHER,
                    Function::Dominant,
                    ChordRole::AppliedLeading,
                    own,
                );
            }
            _ => {}
        }
    }

    /// What the substitute of the dominant of a goal costs.
    fn substitute(&self, goal: &AppliedGoal) -> f64 {
        if self.mode == KeyMode::Minor && goal.step == 7 {
            KeyMode::FLAT_SIX_TO_FIVE
        } else {
            goal.cost + costs::SUBSTITUTE
        }
    }

    /// Dominants that are applied to nothing of the key.
    fn dominant(&self, offer: &mut dyn FnMut(CandidateReading)) {
        let mut say = |cost, role, goal| {
            offer(CandidateReading {
                cost,
                function: Function::Dominant,
                role,
                step: self.step,
                goal,
            });
        };
        if self.step == 1 && self.harmony.family == ChordFamily::Dominant {
            let cost = KeyMode::SUBSTITUTE_OF_FIVE + wanted(self.ahead().semitone);
            say(cost, ChordRole::Substitute, None);
        }
        // A suspended chord that goes nowhere is a colour and points to nothing.
        let points = self.harmony.family == ChordFamily::Dominant || self.ahead().fifth.is_some();
        let goal = self.outside((self.step + FIFTH_DOWN) % 12).filter(|_| points);
        if let Some(goal) = goal {
            say(self.cost_outside(self.ahead().fifth), ChordRole::Outside, Some(goal));
        }
    }

    /// A goal that is none of the key's own.
    fn outside(&self, goal: i32) -> Option<i32> {
        (goal != 0 && self.mode.goals().iter().all(|own| own.step != goal)).then_some(goal)
    }

    /// What a dominant of a root outside the key costs: less as the link of a chain.
    fn cost_outside(&self, comes: Option<Resolution>) -> f64 {
        let harmonies = self.reader.harmonies;
        let goes_on = |it: &Resolution| {
            harmonies.list[it.by].family.is_dominant() || harmonies.is_two_of_next(it.by)
        };
        match comes.filter(goes_on) {
            Some(it) => costs::LINK + it.extra,
            // A ii-V says what it points to, whether or not that comes.
            None if comes.is_none() && self.has_two() => costs::LINK,
            None => costs::OUTSIDE,
        }
    }

    /// The ii of a substitute of the tonic's own dominant, and of dominants outside the key.
    fn two(&self, offer: &mut dyn FnMut(CandidateReading)) {
        let mut say = |cost, role, goal| {
            offer(CandidateReading {
                cost,
                function: Function::Subdominant,
                role,
                step: self.step,
                goal,
            });
        };
        if !self.is_two_before(FIFTH_DOWN) {
            return;
        }
        if self.step == 8 {
            let cost = two_of_substitute(KeyMode::SUBSTITUTE_OF_FIVE);
            say(cost + related(self.ahead_of_next().semitone), ChordRole::SubstituteTwo, None);
        }
        if let Some(goal) = self.outside((self.step + 2 * FIFTH_DOWN) % 12) {
            let comes = self.ahead_of_next().fifth;
            let cost = self.cost_outside(comes) + costs::RELATED_TWO + related(comes);
            say(cost, ChordRole::RelatedTwo, Some(goal));
        }
    }

    fn diminished(&self, offer: &mut dyn FnMut(CandidateReading)) {
        let mut say = |cost, function, role| {
            offer(CandidateReading { cost, function, role, step: self.step, goal: None });
        };
        if self.step == 2 && self.harmony.is_triad {
            let place = usize::from(self.mode != KeyMode::Minor);
            say(KeyMode::TWO_TRIAD[place], Function::Subdominant, ChordRole::Borrowed);
        }
        let falls = self.rise() == SEMITONE_DOWN
            && self.reader.harmonies.next(self.place).family != ChordFamily::Diminished;
        let cost = if falls { KeyMode::FALLING_DIMINISHED } else { KeyMode::OTHER_DIMINISHED };
        say(cost, Function::Passing, ChordRole::Passing);
    }

    /// A chord that slides by semitones among its kind.
    fn chromatic(&self, offer: &mut dyn FnMut(CandidateReading)) {
        let harmonies = self.reader.harmonies;
        let family = self.harmony.family;
        let [previous, next] = [harmonies.previous(self.place), harmonies.next(self.place)];
        if matches!(family, ChordFamily::Suspended | ChordFamily::Diminished)
            || next.family != family
        {
            return;
        }
        let rise = self.rise();
        // A dominant that falls by a semitone is a substitute; one that rises leads nowhere of its own.
        if family == ChordFamily::Dominant && rise != 1 {
            return;
        }
        let from = (self.harmony.root - previous.root).rem_euclid(12);
        let [between, sliding] = KeyMode::CHROMATIC;
        let cost = match rise {
            1 | 11 if previous.family == family && from == rise => between,
            1 | 11 => sliding,
            _ => return,
        };
        let (function, role) = (Function::Passing, ChordRole::Passing);
        offer(CandidateReading { cost, function, role, step: self.step, goal: None });
    }
}

/// What it costs that a goal is wanted.
fn wanted(comes: Option<Resolution>) -> f64 {
    comes.map_or(costs::UNRESOLVED, |it| it.extra)
}

/// What it costs a related ii whether its dominant resolves.
fn related(comes: Option<Resolution>) -> f64 {
    if comes.is_some() { 0.0 } else { costs::RELATED_UNRESOLVED }
}

/// What the ii of a substitute costs.
fn two_of_substitute(substitute: f64) -> f64 {
    let [least, most] = costs::SUBSTITUTE_TWO;
    (substitute + costs::RELATED_TWO).clamp(least, most)
}
