//! Swing: how much later than half way the off-beat eighth comes.

use std::fmt;
use std::str::FromStr;

use super::performance::{PULSES, Pulses};
use crate::source;

/// How pairs of eighths are divided.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Swing {
    /// As was measured of players, but at most two to one.
    #[default]
    Usual,
    /// Alike.
    Even,
    /// Two to one, at any tempo.
    Triplet,
    /// As was measured of drummers: the slower, the longer the first.
    Measured,
    /// As soloists lean on it: 1.3 to 1.
    Light,
    /// The first this many times as long as the second.
    Ratio(f64),
}

/// The short note that drummers keep to, in milliseconds (Friberg & Sundström, *Swing ratios and
/// ensemble timing in jazz performance*, Music Perception 19, 2002, from the abstract: near 100 ms
/// at medium and fast tempi).
const SHORT_NOTE: f64 = 100.0;
/// The longest first note that they measured, in lengths of the second.
const MOST_MEASURED: f64 = 3.5;
/// The most where nothing was chosen: what a beginner still hears as a pair (ours).
const MOST_USUAL: f64 = 2.0;
/// What most soloists play (Corcoran & Frieler, *Playing it straight*, Music Perception 38, 2021,
/// from the abstract).
const LIGHT: f64 = 1.3;
/// The ratios that can be asked for: even, to past what anybody was measured to play (ours).
pub const RATIOS: std::ops::RangeInclusive<f64> = 1.0..=4.0;

impl Swing {
    /// Those that have a word.
    pub const WORDS: [(&'static str, Self); 5] = [
        ("usual", Self::Usual),
        ("even", Self::Even),
        ("triplet", Self::Triplet),
        ("measured", Self::Measured),
        ("light", Self::Light),
    ];

    /// How many times as long as the second eighth the first is, at so many beats a minute.
    pub fn ratio(self, tempo: f64) -> f64 {
        // The second lasts as long at any tempo, and the first what is left of the beat.
        let measured = (60_000.0 / SHORT_NOTE / tempo - 1.0).clamp(1.0, MOST_MEASURED);
        match self {
            Self::Usual => measured.min(MOST_USUAL),
            Self::Even => 1.0,
            Self::Triplet => 2.0,
            Self::Measured => measured,
            Self::Light => LIGHT,
            Self::Ratio(ratio) => ratio,
        }
    }

    /// When the off-beat eighth is struck, from its beat on.
    pub fn off_beat(self, tempo: f64) -> Pulses {
        let ratio = self.ratio(tempo);
        (f64::from(PULSES) * ratio / (1.0 + ratio)).round() as Pulses
    }
}

/// Why a word is no swing, with what to write.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoSwing(String);

impl fmt::Display for NoSwing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for NoSwing {}

/// A word, or a ratio as `1.5` or `3:2`.
impl FromStr for Swing {
    type Err = NoSwing;

    fn from_str(text: &str) -> Result<Self, NoSwing> {
        let text = text.trim();
        let word = text.to_lowercase();
        if let Some((_, swing)) = Self::WORDS.iter().find(|(name, _)| *name == word) {
            return Ok(*swing);
        }
        let number = |text: &str| text.trim().parse::<f64>().ok().filter(|it| it.is_finite());
        let ratio = match word.split_once(':') {
            Some((long, short)) => {
                number(long).zip(number(short)).map(|(long, short)| long / short)
            }
            None => number(&word),
        };
        let (least, most) = (RATIOS.start(), RATIOS.end());
        match ratio {
            Some(ratio) if RATIOS.contains(&ratio) => Ok(Self::Ratio(ratio)),
            Some(_) => Err(NoSwing(format!(
                "the ratio {text} is out of reach; write one from {least} to {most}"
            ))),
            None => {
                let words = Self::WORDS.map(|(name, _)| name);
                let mend = source::advice_or(text, &words, "write a ratio such as 1.5");
                Err(NoSwing(format!("unknown swing `{text}`; {mend}")))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The short note of 100 ms by arithmetic: beats a minute, ratio, pulse of the off-beat.
    const TABLE: [(f64, f64, Pulses); 11] = [
        (60.0, 3.5, 373),
        (120.0, 3.5, 373),
        (140.0, 3.29, 368),
        (160.0, 2.75, 352),
        (180.0, 2.33, 336),
        (200.0, 2.0, 320),
        (220.0, 1.73, 304),
        (240.0, 1.5, 288),
        (260.0, 1.31, 272),
        (280.0, 1.14, 256),
        (300.0, 1.0, 240),
    ];

    #[test]
    fn the_measured_swing_is_that_of_the_table_and_the_usual_one_no_more_than_two_to_one() {
        for (tempo, ratio, pulse) in TABLE {
            assert!((Swing::Measured.ratio(tempo) - ratio).abs() < 0.006, "{tempo}");
            assert_eq!(Swing::Measured.off_beat(tempo), pulse, "{tempo}");
            assert_eq!(Swing::Usual.off_beat(tempo), pulse.min(320), "{tempo}");
            assert_eq!(Swing::Triplet.off_beat(tempo), 320);
            assert_eq!(Swing::Even.off_beat(tempo), 240);
            assert_eq!(Swing::Light.off_beat(tempo), 271);
        }
        assert_eq!(Swing::Measured.off_beat(400.0), 240);
    }

    #[test]
    fn words_and_ratios_are_read_and_what_is_neither_is_mended() {
        for (name, swing) in Swing::WORDS {
            assert_eq!(name.parse(), Ok(swing));
        }
        assert_eq!("3:2".parse(), Ok(Swing::Ratio(1.5)));
        assert_eq!("2.25".parse(), Ok(Swing::Ratio(2.25)));
        for (wrong, words) in [
            ("measurd", "did you mean `measured`?"),
            ("5", "write one from 1 to 4"),
            ("0.5", "write one from 1 to 4"),
            ("1:0", "write one from 1 to 4"),
            ("nan", "write a ratio such as 1.5"),
            ("", "write a ratio such as 1.5"),
        ] {
            let refusal = wrong.parse::<Swing>().unwrap_err().to_string();
            assert!(refusal.contains(words), "{wrong}: {refusal}");
        }
    }
}
