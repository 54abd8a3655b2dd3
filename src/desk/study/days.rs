//! A plan day by day: a few keys each, and rests.

use super::plan::PlanStep;

/// New keys of a day, and days from one rest to the next (ours: short portions, and a day to let
/// things settle).
const NEW_A_DAY: usize = 2;
const WEEK: usize = 7;

/// A key of a drill, by their places in the steps.
pub(super) type KeyPortion = (usize, usize);

/// A day of the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct PlanDay {
    /// What is new.
    pub(super) new: Vec<KeyPortion>,
    /// What comes again: what was new the day before, and once more after three days.
    pub(super) again: Vec<KeyPortion>,
    /// Whether it is a day for playing alone.
    pub(super) is_free: bool,
}

/// The days of a plan: a few new keys each, the keys of several drills by turns so that the hands
/// change what they do, and every seventh day for playing.
pub(super) fn days(steps: &[PlanStep]) -> Vec<PlanDay> {
    const AGAIN_AFTER: usize = 3;
    let all = in_turns(steps);
    let mut days: Vec<PlanDay> = Vec::new();
    let mut portions = all.chunks(NEW_A_DAY);
    let mut worked: Vec<Vec<KeyPortion>> = Vec::new();
    loop {
        if days.len() % WEEK == WEEK - 1 {
            days.push(PlanDay { is_free: true, ..PlanDay::default() });
            continue;
        }
        let new = portions.next().unwrap_or_default().to_vec();
        let before = |back: usize| worked.len().checked_sub(back).and_then(|at| worked.get(at));
        let again: Vec<KeyPortion> = [1, AGAIN_AFTER]
            .into_iter()
            .filter_map(before)
            .enumerate()
            .flat_map(|(nth, own)| own.iter().take(if nth == 0 { 2 } else { 1 }))
            .copied()
            .collect();
        if new.is_empty() && again.is_empty() {
            break;
        }
        worked.push(new.clone());
        days.push(PlanDay { new, again, is_free: false });
        if worked.len() > all.len() + AGAIN_AFTER {
            break;
        }
    }
    while days.last().is_some_and(|day| day.is_free || day.new.is_empty() && day.again.len() < 2) {
        days.pop();
    }
    days
}

/// All keys of all drills: what more tunes want first, then those that they stay in before those only
/// visited; then the first key of each drill, then the second of each, and so on.
fn in_turns(steps: &[PlanStep]) -> Vec<KeyPortion> {
    let longest = steps.iter().map(|step| step.keys.len()).max().unwrap_or(0);
    let round = |round: usize| {
        let own = steps.iter().enumerate().filter(move |(_, step)| round < step.keys.len());
        own.map(move |(step, _)| (step, round))
    };
    let mut all: Vec<KeyPortion> = (0..longest).flat_map(round).collect();
    all.sort_by_key(|&(step, key)| {
        let wanted = &steps[step].keys[key];
        std::cmp::Reverse((wanted.places.len(), wanted.is_stayed))
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::study::plan::{DrillOf, WantedKey};
    use crate::theory::Key;

    /// Every key of every drill is new on one day, no day has more than its portion, and every
    /// seventh is free.
    #[test]
    fn every_key_is_new_once_and_days_are_short() {
        let key: Key = "C".parse().unwrap();
        for counts in [vec![1], vec![3, 1, 2], vec![12; 8]] {
            let wanted = |_| WantedKey {
                key,
                written: key.tonic(),
                times: 1,
                bars: 1.0,
                is_stayed: true,
                places: vec![(0, vec![1])],
            };
            let step = |count: &usize| PlanStep {
                drill: DrillOf::Library("solid"),
                why: "",
                keys: (0..*count).map(wanted).collect(),
                tempi: [60, 120],
                time: None,
            };
            let steps: Vec<PlanStep> = counts.iter().map(step).collect();
            let days = days(&steps);
            let mut new: Vec<KeyPortion> = days.iter().flat_map(|day| day.new.clone()).collect();
            new.sort_unstable();
            let all = |(step, count): (usize, &usize)| (0..*count).map(move |key| (step, key));
            let all: Vec<KeyPortion> = counts.iter().enumerate().flat_map(all).collect();
            assert_eq!(new, all);
            for (index, day) in days.iter().enumerate() {
                assert!(day.new.len() <= NEW_A_DAY && day.again.len() <= 3);
                assert_eq!(day.is_free, index % WEEK == WEEK - 1);
            }
        }
    }
}
