//! Does it resolve? The one answer that every row uses.

use super::costs;
use super::family::ChordFamily;
use super::harmonies::Harmonies;

/// How a goal comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum How {
    /// The next harmony is on it.
    AtOnce,
    /// Its tritone partner comes in its place.
    Replaced,
    /// Its own preparation comes before it.
    Delayed,
}

/// That a goal comes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Resolution {
    /// How it comes.
    pub(super) how: How,
    /// The harmony that is on the goal or in its place.
    pub(super) by: usize,
    /// What the delay costs.
    pub(super) extra: f64,
    /// Whether a listener connects it with its dominant: it comes at once, or after one chord.
    pub(super) is_told: bool,
}

/// The interval above its root at which the goal of a dominant lies: a fifth lower, of a tritone
/// substitute a semitone lower, of the backdoor a whole tone higher.
pub(super) const FIFTH_DOWN: i32 = 5;
pub(super) const SEMITONE_DOWN: i32 = 11;
pub(super) const TONE_UP: i32 = 2;
/// The dominant of a key above its tonic.
pub(super) const FIFTH_UP: i32 = 7;

/// Whether and how the goal of a dominant comes.
///
/// It comes at once, or its tritone partner does; or before it come only the dominant's own ii and
/// the dominant again, its tritone partner, the goal's next dominant or ii, the ii of the dominant
/// that is the goal, and chains that lead to one of these: the goal is prepared again, and ii V,
/// iii VI, ii V, I share one goal.
pub(super) fn resolution(harmonies: &Harmonies, place: usize, goal: i32) -> Option<Resolution> {
    let walk = LookAhead { harmonies, place, goal };
    let (mut at, mut left, mut again) = (place, costs::LOOK_AHEAD, false);
    for step in 0..costs::LOOK_AHEAD_IN_ALL {
        at = harmonies.after(at);
        if at == place {
            return None;
        }
        if let Some(mut how) = walk.arrives(at) {
            let is_told = walk.is_told(step, at, how);
            // The partner may lead to the goal itself, which then has come.
            let after = harmonies.after(at);
            if how == How::Replaced && after != place && walk.arrives(after) == Some(How::AtOnce) {
                (how, at) = (How::Delayed, after);
            }
            let (how, extra) = match (step, how) {
                (0, How::Replaced) => (How::Replaced, costs::REPLACED),
                (0, how) => (how, 0.0),
                (_, _) if again => (How::Delayed, costs::PREPARED_AGAIN),
                (_, _) => (How::Delayed, costs::DELAYED),
            };
            return Some(Resolution { how, by: at, extra, is_told });
        }
        left -= 1;
        match walk.delay(at) {
            Some(Delay::Own) => {}
            Some(Delay::Again) => {
                again = true;
                left = costs::LOOK_AHEAD;
            }
            Some(Delay::Chain) => again = true,
            None => return None,
        }
        if left == 0 {
            return None;
        }
    }
    None
}

/// What may come before a goal.
enum Delay {
    /// A chord of the same preparation.
    Own,
    /// A dominant of the goal, which prepares it again.
    Again,
    /// A link of a chain, which may lead there.
    Chain,
}

/// One look ahead.
struct LookAhead<'a> {
    harmonies: &'a Harmonies,
    place: usize,
    goal: i32,
}

impl LookAhead<'_> {
    /// How far above the goal a root lies, 0 to 11.
    fn above_goal(&self, at: usize) -> i32 {
        (self.harmonies.list[at].root - self.goal).rem_euclid(12)
    }

    /// Whether a harmony is on the goal, or is its tritone partner: a further dominant, or the minor
    /// ii of one, a tritone away; a half-diminished chord shares neither third nor seventh with it.
    fn arrives(&self, at: usize) -> Option<How> {
        let family = self.harmonies.list[at].family;
        let is_two = family == ChordFamily::Minor
            && self.harmonies.is_two_of_next(at)
            && self.harmonies.rise(at) == FIFTH_DOWN;
        match self.above_goal(at) {
            0 if family != ChordFamily::Diminished => Some(How::AtOnce),
            6 if family == ChordFamily::Dominant || is_two => Some(How::Replaced),
            _ => None,
        }
    }

    /// Whether a goal that comes after so many others is told as that of its dominant: after one at the
    /// most, which is no other dominant unless it stands in for this one. Only a dominant stands in for
    /// a goal, by itself or with its ii.
    fn is_told(&self, step: usize, at: usize, how: How) -> bool {
        let list = &self.harmonies.list;
        let is_dominant = list[at].family == ChordFamily::Dominant;
        let between = self.harmonies.after(self.place);
        match (step, how) {
            (0, How::Replaced) => is_dominant,
            (0, _) => true,
            (1, How::Replaced) => is_dominant && self.harmonies.is_two_of_next(between),
            (1, _) => {
                let above_own = (list[between].root - list[self.place].root).rem_euclid(12);
                !list[between].family.is_dominant() || matches!(above_own, 0 | 6)
            }
            _ => false,
        }
    }

    /// What a harmony before the goal is to it; nothing where it has other ends.
    fn delay(&self, at: usize) -> Option<Delay> {
        let harmony = &self.harmonies.list[at];
        let own = self.harmonies.list[self.place].root;
        let above_own = (harmony.root - own).rem_euclid(12);
        let above_goal = self.above_goal(at);
        let next_above_goal = self.above_goal(self.harmonies.after(at));
        let leads = self.harmonies.is_two_of_next(at) && matches!(next_above_goal, 0 | 6);
        match harmony.family {
            ChordFamily::Dominant | ChordFamily::Suspended => match (above_goal, above_own) {
                (7 | 1, _) => Some(Delay::Again),
                (_, 0 | 6) => Some(Delay::Own),
                _ => self.chain(at),
            },
            ChordFamily::Minor | ChordFamily::HalfDiminished => match (above_goal, above_own) {
                (2 | 8, _) | (_, 7 | 1) => Some(Delay::Own),
                (7 | 1, _) if leads => Some(Delay::Own),
                _ => self.chain(at),
            },
            ChordFamily::Diminished if above_goal == 11 => Some(Delay::Own),
            _ => None,
        }
    }

    fn chain(&self, at: usize) -> Option<Delay> {
        self.harmonies.is_link(at).then_some(Delay::Chain)
    }
}
