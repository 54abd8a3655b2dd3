//! Time: ticks, and the metres that bars are counted in.

use std::fmt;

use serde::Deserialize;

/// A length of time or a moment, in ticks; [`QUARTER`] of them make a quarter note.
pub type Ticks = i32;

/// Ticks in a quarter note: divides evenly into eighths, triplets and sixteenths.
pub const QUARTER: Ticks = 48;

/// A metre.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub enum Metre {
    /// Three quarters.
    #[serde(rename = "3/4")]
    ThreeFour,
    /// Four quarters.
    #[serde(rename = "4/4")]
    FourFour,
    /// Five quarters, felt as three and two.
    #[serde(rename = "5/4")]
    FiveFour,
    /// Six eighths, felt as two dotted quarters.
    #[serde(rename = "6/8")]
    SixEight,
}

impl Metre {
    /// Every metre, by its signature.
    pub const ALL: [Self; 4] = [Self::ThreeFour, Self::FourFour, Self::FiveFour, Self::SixEight];

    /// The upper figure of the time signature: how many counts a bar has.
    pub const fn beats(self) -> i32 {
        match self {
            Self::ThreeFour => 3,
            Self::FourFour => 4,
            Self::FiveFour => 5,
            Self::SixEight => 6,
        }
    }

    /// The lower figure of the time signature: 4 for quarters, 8 for eighths.
    pub const fn unit(self) -> i32 {
        match self {
            Self::ThreeFour | Self::FourFour | Self::FiveFour => 4,
            Self::SixEight => 8,
        }
    }

    /// The length of the note that the lower figure names, each of which has a number when a
    /// bar is counted.
    pub const fn count_unit(self) -> Ticks {
        4 * QUARTER / self.unit()
    }

    /// The length of a felt beat: a quarter, or a dotted quarter in six eighths.
    pub const fn felt_beat(self) -> Ticks {
        match self {
            Self::ThreeFour | Self::FourFour | Self::FiveFour => QUARTER,
            Self::SixEight => 3 * QUARTER / 2,
        }
    }

    /// Whether felt beats divide into three of themselves, so that no triplet is needed.
    pub const fn is_compound(self) -> bool {
        matches!(self, Self::SixEight)
    }

    /// The length of a bar.
    pub const fn bar(self) -> Ticks {
        self.beats() * self.count_unit()
    }

    /// The imaginary barlines inside a bar that rhythm must show: beat 3 of four, beat 4 of
    /// five, the middle of six eighths. (Imaginary barlines as taught at Berklee, read in
    /// summary; those of five and six: common practice, no source.)
    pub const fn divisions(self) -> &'static [Ticks] {
        match self {
            Self::ThreeFour => &[],
            Self::FourFour => &[2 * QUARTER],
            Self::FiveFour => &[3 * QUARTER],
            Self::SixEight => &[3 * QUARTER / 2],
        }
    }

    /// Where the stretch of the bar that holds `moment` (counted from the barline) begins and
    /// ends, between imaginary barlines.
    pub fn group_of(self, moment: Ticks) -> (Ticks, Ticks) {
        let start = self.divisions().iter().rfind(|division| **division <= moment);
        let end = self.divisions().iter().find(|division| **division > moment);
        (start.copied().unwrap_or(0), end.copied().unwrap_or(self.bar()))
    }

    /// Where the felt beat that holds `moment` begins; both counted from any barline.
    pub fn beat_of(self, moment: Ticks) -> Ticks {
        // Bars are whole numbers of felt beats, so beats may be counted through them.
        moment - moment.rem_euclid(self.felt_beat())
    }
}

impl fmt::Display for Metre {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.beats(), self.unit())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bar_is_a_whole_number_of_counts_and_of_felt_beats_and_its_parts_of_beats() {
        for metre in Metre::ALL {
            assert_eq!(metre.bar() % metre.count_unit(), 0, "{metre}");
            assert_eq!(metre.bar() % metre.felt_beat(), 0, "{metre}");
            for division in metre.divisions() {
                assert_eq!(division % metre.felt_beat(), 0, "{metre}");
                assert!((1..metre.bar()).contains(division), "{metre}");
            }
        }
    }

    #[test]
    fn metres_are_read_as_they_are_written() {
        #[derive(Deserialize)]
        struct Holder {
            metre: Metre,
        }
        for metre in Metre::ALL {
            let holder: Holder = toml::from_str(&format!("metre = \"{metre}\"")).unwrap();
            assert_eq!(holder.metre, metre);
        }
    }

    #[test]
    fn five_is_felt_as_three_and_two() {
        assert_eq!(Metre::FiveFour.group_of(2 * QUARTER), (0, 3 * QUARTER));
        assert_eq!(Metre::FiveFour.group_of(3 * QUARTER), (3 * QUARTER, 5 * QUARTER));
        assert_eq!(Metre::SixEight.group_of(QUARTER), (0, 72));
        assert_eq!(Metre::SixEight.beat_of(240), 216);
    }
}
