//! For which tempi of a ladder there is a track.

use crate::sound::ChoiceWord;

/// Tempi of a ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Rungs {
    /// The first.
    Slow,
    /// The one half way up.
    Middle,
    /// The last.
    Goal,
    /// Each.
    All,
}

impl ChoiceWord for Rungs {
    const KIND: &'static str = "rung";

    fn all() -> Vec<(&'static str, Self)> {
        let all = [Self::Slow, Self::Middle, Self::Goal, Self::All];
        all.map(|rungs| (rungs.word(), rungs)).to_vec()
    }
}

impl Rungs {
    /// Its word.
    const fn word(self) -> &'static str {
        match self {
            Self::Slow => "slow",
            Self::Middle => "middle",
            Self::Goal => "goal",
            Self::All => "all",
        }
    }

    /// Those of a ladder, which has one rung at the least.
    fn of(self, ladder: &[u16]) -> &[u16] {
        let last = ladder.len().saturating_sub(1);
        let middle = last.div_ceil(2);
        match self {
            Self::Slow => &ladder[..1],
            Self::Middle => &ladder[middle..=middle],
            Self::Goal => &ladder[last..],
            Self::All => ladder,
        }
    }

    /// The tempi of a ladder that several ask for, rising, each once.
    pub(super) fn tempi(asked: &[Self], ladder: &[u16]) -> Vec<u16> {
        let mut tempi: Vec<u16> =
            asked.iter().flat_map(|rungs| rungs.of(ladder)).copied().collect();
        tempi.sort_unstable();
        tempi.dedup();
        tempi
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rungs_are_found_on_ladders_of_any_length() {
        for (ladder, middle) in [(&[80][..], 80), (&[80, 90], 90), (&[80, 90, 100], 90)] {
            let asked = [Rungs::Slow, Rungs::Middle, Rungs::Goal];
            let tempi = Rungs::tempi(&asked, ladder);
            assert!(tempi.contains(&middle), "{ladder:?}");
            assert_eq!((tempi[0], tempi.last()), (ladder[0], ladder.last()));
            assert!(tempi.is_sorted_by(|a, b| a < b));
            assert_eq!(Rungs::tempi(&[Rungs::All], ladder), ladder);
        }
    }
}
