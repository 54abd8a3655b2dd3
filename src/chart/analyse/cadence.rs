//! Cadences, by pattern and not by path: a minor or half-diminished chord, then a dominant a fifth
//! or a semitone lower; and a dominant, then a chord of rest a fifth or a semitone lower. The key
//! decides only the name.
//!
//! Pattern alone finds practically all that analysts bracket, with one false in thirty.

use super::family::ChordFamily;
use super::label;
use super::path::KeyState;
use super::readings::{CandidateReading, ReadingMaker};
use super::resolve::{FIFTH_DOWN, How, SEMITONE_DOWN};
use super::spelling::Names;
use super::table::ChordRole;
use crate::chart::{Cadence, CadenceForm, CadenceKind, Function, Unfolded};
use crate::theory::NoteName;

/// The cadences of a tune.
pub(super) fn cadences(
    tune: &Unfolded,
    reader: &ReadingMaker<'_>,
    path: &[KeyState],
    read: &[CandidateReading],
    names: &Names,
) -> Vec<Cadence> {
    let count = reader.harmonies.list.len();
    let finder = Finder { tune, reader, path, read, names };
    let with_two = (0..count.saturating_sub(1)).filter_map(|two| {
        reader.harmonies.is_two_of_next(two).then(|| finder.cadence(Some(two), two + 1)).flatten()
    });
    let alone = (0..count).filter_map(|five| {
        let has_two = five > 0 && reader.harmonies.is_two_of_next(five - 1);
        (!has_two).then(|| finder.cadence(None, five)).flatten()
    });
    let mut found: Vec<Cadence> = with_two.chain(alone).collect();
    found.sort_by_key(|cadence| cadence.at);
    found
}

struct Finder<'a> {
    tune: &'a Unfolded,
    reader: &'a ReadingMaker<'a>,
    path: &'a [KeyState],
    read: &'a [CandidateReading],
    names: &'a Names,
}

impl Finder<'_> {
    /// The cadence of a dominant, with its ii or without.
    fn cadence(&self, two: Option<usize>, five: usize) -> Option<Cadence> {
        let harmonies = self.reader.harmonies;
        let list = &harmonies.list;
        let goal = harmonies.next(five);
        let key = self.names.key(self.path[five]);
        let form = self.form(five);
        // i and IV7 of a Dorian tune are no cadence.
        let role = self.read[five].role;
        if role == ChordRole::Scale && self.read[five].function != Function::Dominant {
            return None;
        }
        let arrives = self.comes_next(five, form);
        // I7 of a blues is a chord of rest there.
        let is_home = self.read[harmonies.after(five)].role == ChordRole::Home;
        let is_rest = arrives && (goal.family.is_rest() || is_home);
        let is_minor = goal.family.is_two();
        let kind = match (two, is_rest) {
            // A minor chord that is itself the ii of a further dominant is a link of a chain; i
            // before IV7 is at home.
            (Some(_), true) if harmonies.is_two_of_next(harmonies.after(five)) && !is_home => {
                CadenceKind::TwoFive
            }
            (Some(_), true) if is_minor => CadenceKind::TwoFiveOneMinor,
            (Some(_), true) => CadenceKind::TwoFiveOneMajor,
            (Some(_), false) => CadenceKind::TwoFive,
            (None, _) if !self.is_five_one(five, form, is_rest) => return None,
            (None, _) if is_minor => CadenceKind::FiveOneMinor,
            (None, _) => CadenceKind::FiveOneMajor,
        };
        let change = |place: usize| harmonies.heard[list[place].chords.start].change;
        let first = two.unwrap_or(five);
        let written = [first, five].map(|place| self.tune.changes[change(place)].written);
        let target = label::target(self.reader, five, self.led(five, form), key);
        // The key that it strays into does not spell its goal, nor does what stands in for it.
        let below = self.below(five, form);
        let is_goal = |name: &NoteName| name.pitch_class() == below.pitch_class();
        let target = target.filter(|name| is_goal(name) && !harmonies.is_strayed(five));
        Some(Cadence {
            at: list[first].at,
            dominant_at: list[five].at,
            written,
            kind,
            form,
            is_resolved: arrives || self.is_delayed(five, form),
            target: target.unwrap_or(below),
            key,
        })
    }

    /// Which dominant it is: the one that its goal or its reading makes it.
    fn form(&self, five: usize) -> CadenceForm {
        match (self.reader.harmonies.rise(five), self.read[five].role) {
            (FIFTH_DOWN, _) => CadenceForm::Fifth,
            _ if self.reader.harmonies.is_strayed(five) => CadenceForm::Fifth,
            // The key's own V points to its tonic, whatever lies a semitone below.
            (SEMITONE_DOWN, ChordRole::Five) if !self.reader.harmonies.next(five).is_restful => {
                CadenceForm::Fifth
            }
            // The ii of another key is no goal of a dominant that points a fifth down.
            (SEMITONE_DOWN, ChordRole::Applied | ChordRole::Outside)
                if self.reader.harmonies.is_two_of_next(self.reader.harmonies.after(five)) =>
            {
                CadenceForm::Fifth
            }
            (SEMITONE_DOWN, _) => CadenceForm::Tritone,
            (_, ChordRole::Backdoor) => CadenceForm::Backdoor,
            (_, ChordRole::Substitute | ChordRole::AppliedSubstitute) => CadenceForm::Tritone,
            _ => CadenceForm::Fifth,
        }
    }

    /// Whether the goal is the next harmony.
    fn comes_next(&self, five: usize, form: CadenceForm) -> bool {
        let ahead = self.reader.ahead[five];
        let comes = match form {
            CadenceForm::Fifth => ahead.fifth,
            CadenceForm::Tritone => ahead.semitone,
            CadenceForm::Backdoor => ahead.tone,
        };
        comes.is_some_and(|it| it.how == How::AtOnce)
    }

    /// Whether it comes later.
    fn is_delayed(&self, five: usize, form: CadenceForm) -> bool {
        let ahead = self.reader.ahead[five];
        match form {
            CadenceForm::Fifth => ahead.fifth.is_some_and(|it| it.is_told),
            CadenceForm::Tritone => ahead.semitone.is_some_and(|it| it.is_told),
            // What comes home by another way has not come by this one.
            CadenceForm::Backdoor => false,
        }
    }

    /// Whether a dominant without ii is a cadence: it arrives at a chord of rest that goes nowhere
    /// itself, and is not at rest, as IV7 of a blues is.
    fn is_five_one(&self, five: usize, form: CadenceForm, is_rest: bool) -> bool {
        let harmonies = self.reader.harmonies;
        let goes_on = harmonies.is_two_of_next(harmonies.after(five));
        let role = self.read[five].role;
        let is_five = match harmonies.list[five].family {
            ChordFamily::Dominant | ChordFamily::Suspended => {
                !matches!(role, ChordRole::Rest | ChordRole::Home)
            }
            // A triad is a dominant where it is read as one.
            ChordFamily::Major | ChordFamily::Augmented => {
                matches!(role, ChordRole::Five | ChordRole::Applied)
            }
            _ => false,
        };
        // IV7 is a whole tone below v and leads nowhere by that.
        let is_led = form != CadenceForm::Backdoor || role == ChordRole::Backdoor;
        is_five && is_rest && !goes_on && is_led
    }

    /// The reading of a dominant as its form has it, for the root that it leads to.
    fn led(&self, five: usize, form: CadenceForm) -> CandidateReading {
        let read = self.read[five];
        let tonic = self.path[five].tonic();
        let root = self.reader.harmonies.list[five].root;
        let (role, rise) = match form {
            CadenceForm::Fifth => (ChordRole::Applied, FIFTH_DOWN),
            CadenceForm::Tritone => (ChordRole::AppliedSubstitute, SEMITONE_DOWN),
            CadenceForm::Backdoor => return read,
        };
        CandidateReading { role, goal: Some((root + rise - tonic).rem_euclid(12)), ..read }
    }

    /// The root a fifth or a semitone below, by letters.
    fn below(&self, five: usize, form: CadenceForm) -> NoteName {
        use crate::theory::Interval;
        let harmonies = self.reader.harmonies;
        let root = harmonies.heard[harmonies.list[five].chords.start].sound.root;
        root.up(match form {
            CadenceForm::Fifth => Interval::FOURTH,
            CadenceForm::Tritone => Interval::MINOR_SECOND.down(),
            CadenceForm::Backdoor => Interval::MAJOR_SECOND,
        })
    }
}
