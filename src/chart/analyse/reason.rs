//! Why a chord is read as it is, in a line that a student understands: the row of the table, and
//! what comes of it.

use super::family::ChordFamily;
use super::label;
use super::path::KeyState;
use super::readings::{CandidateReading, ReadingMaker};
use super::resolve::{FIFTH_DOWN, FIFTH_UP, How, SEMITONE_DOWN};
use super::table::{ChordRole, KeyMode};
use crate::chart::{Function, Unfolded};
use crate::theory::{
    BorrowedTarget, Chord, ChordStyle, Interval, Key, Mode as Church, NoteName, Numeral,
    NumeralStyle, Scale, chord_symbol, plain_text,
};

/// Semitones from the tonic up to the leading tone, and from a dominant to its substitute.
const LEADING_TONE: i32 = 11;
const TRITONE: i32 = 6;

/// What is told of one harmony.
pub(super) struct Telling<'a> {
    pub(super) tune: &'a Unfolded,
    pub(super) reader: &'a ReadingMaker<'a>,
    pub(super) place: usize,
    pub(super) it: CandidateReading,
    /// The reading of the harmony that comes next.
    pub(super) after: CandidateReading,
    pub(super) state: KeyState,
    pub(super) key: Key,
    /// The root that it leads to.
    pub(super) target: Option<NoteName>,
    /// Whether the tune lives in this key.
    pub(super) is_home: bool,
    /// Whether no cadence says where home is.
    pub(super) is_modal: bool,
}

impl Telling<'_> {
    /// The reason of a chord of the harmony, whose numeral is given.
    pub(super) fn reason(&self, heard: usize, numeral: Numeral) -> String {
        let degree = plain_text(&numeral_alone(numeral).parts(NumeralStyle::Plain, style()));
        let key = self.key.words();
        let mut reason = match self.it.role {
            ChordRole::Scale | ChordRole::Borrowed | ChordRole::Unexplained
                if self.of_the_mode().is_some() =>
            {
                let tone = self.of_the_mode().unwrap_or_default();
                format!("{degree} of {key}: {}, {tone}", self.does())
            }
            ChordRole::Home if self.is_modal => format!("{degree} of {key}: modal, no cadence"),
            ChordRole::Home => self.home(&degree),
            ChordRole::Scale => self.scale(&degree),
            ChordRole::Five => format!("V of {key}: {}", self.wish()),
            ChordRole::Leading => self.leading(&key),
            ChordRole::Substitute => self.substitute(&format!("V of {key}")),
            ChordRole::Backdoor => {
                format!("{degree} of {key}, the back door: {}", self.back_door())
            }
            ChordRole::Borrowed => self.borrowed(&degree),
            ChordRole::Rest => {
                format!("{degree} of {key}: {}, a seventh at rest, as in the blues", self.does())
            }
            ChordRole::Passing if self.it.function == Function::Subdominant => {
                let (what, told) = (self.does(), self.passing(&degree));
                told.replacen(": ", &format!(": {what}, "), 1)
            }
            ChordRole::Passing => self.passing(&degree),
            ChordRole::CommonTone => {
                let tonic = self.key.tonic();
                format!(
                    "{degree}: {tonic} stays, the other notes step aside and back to {}",
                    self.next()
                )
            }
            ChordRole::Applied => format!("V of {}: {}", self.goal(), self.wish()),
            ChordRole::AppliedSubstitute => self.substitute(&format!("V of {}", self.goal())),
            ChordRole::AppliedLeading => self.applied_leading(),
            ChordRole::RelatedTwo => self.related(),
            ChordRole::SubstituteTwo => self.two_of_substitute(),
            ChordRole::Outside => format!("V of {}, outside {key}: {}", self.goal(), self.wish()),
            ChordRole::Unexplained => {
                format!("not explained in {key}: a colour of its own {}", self.does())
            }
        };
        let first = self.reader.harmonies.list[self.place].chords.start;
        if heard > first {
            reason.push_str("; one harmony with ");
            reason.push_str(&self.symbol(first));
        }
        reason
    }

    /// The symbol of a chord that is heard.
    fn symbol(&self, heard: usize) -> String {
        let change = self.reader.harmonies.heard[heard].change;
        self.tune.changes[change]
            .chord
            .map_or_else(String::new, |chord| plain_text(&chord_symbol(chord, style())))
    }

    /// The symbol of the first chord of a harmony.
    fn of_harmony(&self, place: usize) -> String {
        self.symbol(self.reader.harmonies.list[place].chords.start)
    }

    fn next(&self) -> String {
        self.of_harmony(self.reader.harmonies.after(self.place))
    }

    /// The numeral of what it is applied to.
    fn goal(&self) -> String {
        self.it.goal.map_or_else(String::new, |step| words(label::goal(self.state.mode(), step)))
    }

    /// The name of the root that it leads to.
    fn wanted(&self) -> String {
        self.target.map_or_else(String::new, |target| target.to_string())
    }

    /// What a dominant wants, and whether it gets it.
    fn wish(&self) -> String {
        let Some(comes) = label::comes(self.reader, self.place, self.it) else {
            let (wanted, next) = (self.wanted(), self.next());
            return match self.is_in_its_place() {
                true => format!("it wants {wanted}; {next} comes in its place"),
                false => format!("it wants {wanted}, but {next} comes"),
            };
        };
        let by = self.of_harmony(comes.by);
        let goal = self.it.goal.unwrap_or(0);
        let is_goal = label::step_of(self.reader.harmonies, comes.by, self.state) == goal;
        match comes.how {
            _ if !is_goal => {
                let wanted = label::above(self.key, goal);
                format!("it goes to {by}, which stands in for {wanted}, a tritone away")
            }
            How::AtOnce => self.gets(comes.by, goal),
            How::Replaced | How::Delayed => {
                format!("{}, by way of {}", self.gets(comes.by, goal), self.next())
            }
        }
    }

    /// What a dominant gets on the root that it wants: the chord that the key has there, or another.
    fn gets(&self, by: usize, goal: i32) -> String {
        let comes = self.of_harmony(by);
        let is_minor = self.chord(by).is_some_and(|chord| chord.kind.has_minor_third());
        let mode = self.state.mode();
        let is_of_key = goal == 0 || mode.goals().iter().any(|own| own.step == goal);
        let own = if goal == 0 { self.state.is_minor() } else { mode.is_minor_goal(goal) };
        if !is_of_key || self.key.is_of_church_mode() || own == is_minor {
            return format!("it wants {comes} and gets it");
        }
        let kind = match (own, goal) {
            (true, _) => "m",
            (false, FIFTH_UP) => "7",
            (false, _) => "",
        };
        format!("it wants {}{kind}, and {comes} comes on that root", self.wanted())
    }

    /// Whether what comes next lies a third from what is wanted, and shares two of its notes.
    fn is_in_its_place(&self) -> bool {
        let next = self.reader.harmonies.next(self.place);
        let above = self.target.map(|it| (next.root - it.pitch_class()).rem_euclid(12));
        match next.family {
            ChordFamily::Minor => matches!(above, Some(4 | 9)),
            ChordFamily::Major => matches!(above, Some(3 | 8)),
            _ => false,
        }
    }

    /// What a leading tone wants.
    fn wish_up(&self) -> String {
        let target = self.target.map(NoteName::pitch_class);
        let next = self.reader.harmonies.next(self.place).root;
        match target == Some(next) {
            true if self.rise() == 1 => format!("a semitone below {}, it leads up", self.next()),
            true => format!("it wants {} and gets it", self.next()),
            false => format!("it wants {}, but {} comes", self.wanted(), self.next()),
        }
    }

    /// A chord on the leading tone, or the same tones on another.
    fn leading(&self, key: &str) -> String {
        if self.it.step == LEADING_TONE {
            return format!("vii of {key}, a dominant: {}", self.wish_up());
        }
        let root = label::above(self.key, LEADING_TONE);
        format!("the tones of {root}\u{b0}7, vii\u{b0} of {key}: {}", self.wish_up())
    }

    /// How far above the harmony the root of the next lies.
    fn rise(&self) -> i32 {
        self.reader.harmonies.rise(self.place)
    }

    /// The dominant that a substitute stands in for, whose harmony lies so many steps above the
    /// tonic.
    fn replaced(&self, step: i32) -> String {
        format!("{}7", label::above(self.key, (step + TRITONE) % 12))
    }

    /// What a substitute stands in for, and where it falls.
    fn substitute(&self, five: &str) -> String {
        let replaced = self.replaced(self.it.step);
        format!("in place of {replaced}, {five}, whose third and seventh it has: {}", self.fall())
    }

    /// Where a substitute falls.
    fn fall(&self) -> String {
        match label::comes(self.reader, self.place, self.it) {
            Some(comes) if comes.how == How::AtOnce => {
                format!("it falls a semitone to {}", self.of_harmony(comes.by))
            }
            Some(_) => self.wish(),
            // It may fall to what is no goal of the key.
            None if self.rise() == SEMITONE_DOWN => {
                format!("it falls a semitone to {}", self.next())
            }
            None => {
                format!("it would fall a semitone to {}, but {} comes", self.wanted(), self.next())
            }
        }
    }

    /// The ii of a substitute.
    fn two_of_substitute(&self) -> String {
        let next = self.next();
        match self.after.role {
            ChordRole::Substitute | ChordRole::AppliedSubstitute => {
                format!("ii of {next}, which stands in for {}", self.replaced(self.after.step))
            }
            _ => format!("ii of {next}: the two go together"),
        }
    }

    /// Where the back door opens.
    fn back_door(&self) -> String {
        let next = self.next();
        match label::comes(self.reader, self.place, self.it) {
            Some(comes) if comes.how == How::AtOnce => format!("up a whole tone to {next}"),
            Some(_) => format!("it leads up a whole tone to {}; {next} comes first", self.wanted()),
            None if self.after.function == Function::Tonic => {
                format!("it leads up a whole tone to {}; {next} comes for it", self.wanted())
            }
            None => format!("it leads up a whole tone to {}, but {next} comes", self.wanted()),
        }
    }

    fn home(&self, degree: &str) -> String {
        match self.state.mode() {
            KeyMode::Blues if self.is_home => {
                format!("{degree} of a blues in {}: home", self.key.tonic())
            }
            _ if self.is_home => format!("{degree} of {}: home", self.key.words()),
            _ => format!("{degree} of {}: the tonic for a while", self.key.words()),
        }
    }

    /// What a chord of its function does.
    fn does(&self) -> String {
        match self.it.function {
            Function::Tonic if self.it.step == 0 => "at home".to_owned(),
            Function::Tonic => "in place of the tonic".to_owned(),
            Function::Subdominant => "away from home".to_owned(),
            Function::Dominant => "a dominant without its leading tone".to_owned(),
            Function::Passing => format!("on the way to {}", self.next()),
        }
    }

    /// The tone that makes a church mode what it is, where a chord of the mode has it; of a chord that
    /// has none but its notes, that it is one.
    fn of_the_mode(&self) -> Option<String> {
        let (semitones, words) = match self.key.mode() {
            Church::Dorian => (9, "the raised sixth of the mode"),
            Church::Phrygian => (1, "the lowered second of the mode"),
            Church::Lydian => (6, "the raised fourth of the mode"),
            Church::Mixolydian => (10, "the lowered seventh of the mode"),
            Church::Locrian => (6, "the lowered fifth of the mode"),
            _ => return None,
        };
        let harmonies = self.reader.harmonies;
        let sound = harmonies.heard[harmonies.list[self.place].chords.start].sound;
        let tonic = self.key.tonic().pitch_class();
        let above = |tone: Interval| (sound.root.up(tone).pitch_class() - tonic).rem_euclid(12);
        let scale = Scale { tonic: self.key.tonic(), mode: self.key.mode() };
        let own: Vec<i32> =
            (1..=7).map(|number| scale.interval(number).semitones.rem_euclid(12)).collect();
        let tones: Vec<i32> = sound.kind.tones().map(above).collect();
        let is_own = tones.iter().all(|tone| own.contains(tone));
        let is_explained = self.it.role != ChordRole::Unexplained;
        match tones.contains(&semitones) {
            _ if !is_own => None,
            true => {
                let number = own.iter().position(|it| *it == semitones)? as i32 + 1;
                let tone = self.key.tonic().up(scale.interval(number));
                Some(format!("with {tone}, {words}"))
            }
            false => (!is_explained).then(|| "a chord of the mode".to_owned()),
        }
    }

    fn scale(&self, degree: &str) -> String {
        let what = self.does();
        let key = self.key.words();
        match self.target {
            Some(_) if self.it.function == Function::Subdominant => {
                format!("{degree} of {key}: leads to {}", self.next())
            }
            Some(_) => format!("{degree} of {key}: {what}, {}", self.leads_on()),
            None => format!("{degree} of {key}: {what}"),
        }
    }

    /// Where a chord leads that is something else too: as the ii of what follows, if it is that.
    fn leads_on(&self) -> String {
        let next = self.next();
        let is_two = self.reader.harmonies.is_two_of_next(self.place);
        match self.after.goal.filter(|_| is_two) {
            Some(step) => {
                format!("and ii of {} with {next}", words(label::goal(self.state.mode(), step)))
            }
            None if is_two && self.rise() == FIFTH_DOWN => format!("and leads to {next} as its ii"),
            None => format!("and leads to {next}"),
        }
    }

    fn borrowed(&self, degree: &str) -> String {
        let tonic = self.key.tonic();
        let from = if self.state.is_minor() { "major" } else { "minor" };
        let leads = self.target.filter(|_| self.it.function == Function::Subdominant);
        let what = leads.map_or_else(|| self.does(), |_| format!("leads to {}", self.next()));
        let key = self.key.words();
        match (self.state.is_minor(), self.it.step) {
            (_, 1) => format!("{degree} of {key}: {what}, a semitone above the tonic"),
            (true, step) if step != 0 => format!("{degree} of {key}: {what}"),
            _ => format!("{degree}, borrowed from {tonic} {from}: {what}"),
        }
    }

    fn passing(&self, degree: &str) -> String {
        let harmonies = self.reader.harmonies;
        let family = harmonies.list[self.place].family;
        let (before, next) = (self.of_harmony(harmonies.before(self.place)), self.next());
        if !matches!(family, ChordFamily::Diminished | ChordFamily::HalfDiminished) {
            return format!("slides by a semitone to {next}");
        }
        let bass = |place: usize| {
            self.chord(place).map_or(0, |chord| chord.bass.unwrap_or(chord.root).pitch_class())
        };
        let own = bass(self.place);
        let down = (own - bass(harmonies.after(self.place))).rem_euclid(12);
        let from = (bass(harmonies.before(self.place)) - own).rem_euclid(12);
        let key = self.key.words();
        match (from, down) {
            (1, 1) | (11, 11) => {
                format!("{degree} of {key}: the bass steps by semitones, {before} to {next}")
            }
            (_, 1) => format!("{degree} of {key}: a semitone above {next}, it leads down"),
            (_, 11) => format!("{degree} of {key}: a semitone below {next}, it leads up"),
            _ => format!("{degree} of {key}: passes to {next}{}", self.staying()),
        }
    }

    /// The first chord of a harmony.
    fn chord(&self, place: usize) -> Option<Chord> {
        let harmonies = self.reader.harmonies;
        let first = harmonies.list[place].chords.start;
        self.tune.changes[harmonies.heard[first].change].chord
    }

    /// The notes that stay from here to the next harmony, after a comma; nothing where none does.
    fn staying(&self) -> String {
        let tones = |place| self.chord(place).into_iter().flat_map(Chord::notes);
        let after = self.reader.harmonies.after(self.place);
        // As the next chord spells them: the seventh of E♭°7 that stays in a chord on G is a C.
        let own: Vec<i32> = tones(self.place).map(NoteName::pitch_class).collect();
        let is_shared = |note: &NoteName| own.contains(&note.pitch_class());
        let shared: Vec<String> =
            tones(after).filter(is_shared).map(|note| note.to_string()).collect();
        match shared.split_last() {
            None => String::new(),
            Some((one, [])) => format!(", {one} staying"),
            Some((last, rest)) => format!(", {} and {last} staying", rest.join(", ")),
        }
    }

    fn applied_leading(&self) -> String {
        let is_below = self.it.goal.is_some_and(|goal| (goal - self.it.step).rem_euclid(12) == 1);
        let tones = if is_below { "" } else { "the tones of " };
        format!("{tones}vii\u{b0} of {}: {}", self.goal(), self.wish_up())
    }

    fn related(&self) -> String {
        let goal = self.goal();
        let five = self.next();
        let is_substitute =
            matches!(self.after.role, ChordRole::Substitute | ChordRole::AppliedSubstitute);
        match self.target {
            Some(_) if is_substitute => {
                let replaced = self.replaced(self.after.step);
                format!("ii of {goal}: with {five}, in place of {replaced}, V of {goal}")
            }
            Some(_) => format!("ii of {goal}: with {five}, which is V of {goal}"),
            None => format!("ii of {goal}"),
        }
    }
}

/// How chords are written in reasons.
fn style() -> ChordStyle {
    ChordStyle::default()
}

/// The letters of a degree, with its accidental: `♭III`.
fn words(target: BorrowedTarget) -> String {
    let kind = if target.is_minor {
        crate::theory::ChordKind::MINOR
    } else {
        crate::theory::ChordKind::MAJOR
    };
    let numeral = Numeral { alter: target.alter, ..Numeral::new(target.degree, kind) };
    plain_text(&numeral.parts(NumeralStyle::Plain, style()))
}

/// A numeral without what it is applied to.
fn numeral_alone(numeral: Numeral) -> Numeral {
    Numeral { of: None, ..numeral }
}
