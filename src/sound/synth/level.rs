//! Loudness: how loud a mix is by ITU-R BS.1770-4, and by what it is to be multiplied.

use super::dsp::{RATE_F, SecondOrder, amplitude};

/// How loud every track is, in LUFS.
pub(super) const LOUDNESS: f64 = -18.0;

/// Peaks of a sparse track are not driven further than this over the ceiling, in decibels, for the
/// sake of its loudness: a limiter takes most of what is beyond that away again, and strokes lose
/// their attack.
const MOST_OVER: f64 = 18.0;

/// What a limiter takes of the loudness, in decibels, for the square of the decibels that peaks are
/// over the ceiling; a first guess, measured on pianos, whose peaks are short.
const LOST: f64 = 0.015;

/// How near to the loudness of every track is near enough, in decibels.
const NEAR: f64 = 0.1;

/// How much of a decibel more is heard behind a limiter, at the least: what a guess is divided by.
const LEAST_HEARD: f64 = 0.4;

/// Hops of a tenth of a second in a block of 0.4 s.
const HOPS: usize = 4;

/// The rate for which the recommendation prints its filters.
const PRINTED_RATE: f64 = 48_000.0;

/// Table 1 of the recommendation: what a head does to high tones. Forward, back.
const SHELF: ([f64; 3], [f64; 2]) = (
    [1.535_124_859_586_97, -2.691_696_189_406_38, 1.198_392_810_852_85],
    [-1.690_659_293_182_41, 0.732_480_774_215_85],
);

/// Table 2: low tones are heard less.
const HIGH_PASS: ([f64; 3], [f64; 2]) =
    ([1.0, -2.0, 1.0], [-1.990_047_454_833_98, 0.990_072_250_366_21]);

/// Measures a mix as it goes by.
pub(super) struct Meter {
    shelf: SecondOrder,
    high_pass: SecondOrder,
    /// The sum of squares of the hop that is under way, and its frames.
    hop: (f64, usize),
    last_hops: [f64; HOPS],
    seen: usize,
    /// Mean squares of blocks that overlap by three quarters.
    blocks: Vec<f32>,
    peak: f32,
}

impl Meter {
    pub(super) fn new() -> Self {
        let [shelf, high_pass] =
            [SHELF, HIGH_PASS].map(|(forward, back)| at_our_rate(forward, back));
        Self {
            shelf,
            high_pass,
            hop: (0.0, 0),
            last_hops: [0.0; HOPS],
            seen: 0,
            blocks: Vec::new(),
            peak: 0.0,
        }
    }

    pub(super) fn listen(&mut self, sound: &[f32]) {
        let hop = (RATE_F / 10.0) as usize;
        for &sample in sound {
            self.peak = self.peak.max(sample.abs());
            let weighted = self.high_pass.step(self.shelf.step(f64::from(sample)));
            self.hop.0 += weighted * weighted;
            self.hop.1 += 1;
            if self.hop.1 == hop {
                self.last_hops[self.seen % HOPS] = self.hop.0 / hop as f64;
                self.seen += 1;
                self.hop = (0.0, 0);
                if self.seen >= HOPS {
                    let mean = self.last_hops.iter().sum::<f64>() / HOPS as f64;
                    self.blocks.push(mean as f32);
                }
            }
        }
    }

    /// The integrated loudness in LUFS, gated; none of what is silent or shorter than a block.
    pub(super) fn loudness(&self) -> Option<f64> {
        let mean_over = |gate: f64| {
            let heard = || self.blocks.iter().map(|&b| f64::from(b)).filter(|&b| b > gate);
            let count = heard().count();
            (count > 0).then(|| heard().sum::<f64>() / count as f64)
        };
        let absolute = square(-70.0);
        let ungated = mean_over(absolute)?;
        // Ten units below what is left by the first gate.
        mean_over(absolute.max(ungated / 10.0)).map(|mean| -0.691 + 10.0 * libm::log10(mean))
    }

    /// How far the mix can be raised, once it was heard whole.
    pub(super) fn search(&self, ceiling: f64) -> Option<GainSearch> {
        let wanted = LOUDNESS - self.loudness()?;
        let over = wanted + 20.0 * libm::log10(f64::from(self.peak) / ceiling);
        let pressed = over.clamp(0.0, MOST_OVER);
        let most = wanted - over.max(0.0) + MOST_OVER;
        let gain = (wanted + LOST * pressed * pressed).min(most);
        Some(GainSearch { gain, most, is_free: over <= 0.0, nearest: None, last: None })
    }
}

/// The search for what a mix is multiplied by, so that behind the limiter it is as loud as every
/// track is, or as near to it as its peaks allow. All in decibels.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct GainSearch {
    gain: f64,
    most: f64,
    /// Whether no peak comes near the ceiling, so that nothing is lost.
    is_free: bool,
    /// How far off the nearest was, and its gain.
    nearest: Option<(f64, f64)>,
    /// The gain that was heard last, and how loud it was.
    last: Option<(f64, f64)>,
}

impl GainSearch {
    /// Whether there is anything to hear before it is known.
    pub(super) fn is_known(&self) -> bool {
        self.is_free
    }

    /// What is to be tried.
    pub(super) fn factor(&self) -> f32 {
        amplitude(self.gain) as f32
    }

    /// Takes in how loud the last gain was behind the limiter, and whether another one is worth a
    /// try; if not, the nearest of all stays.
    pub(super) fn heard(&mut self, loudness: f64) -> bool {
        let missing = LOUDNESS - loudness;
        if self.nearest.is_none_or(|(least, _)| missing.abs() < least) {
            self.nearest = Some((missing.abs(), self.gain));
        }
        let slope = self.last.map(|(gain, before)| (loudness - before) / (self.gain - gain));
        let slope = slope.filter(|it| it.is_finite()).map_or(1.0, |it| it.clamp(LEAST_HEARD, 1.0));
        self.last = Some((self.gain, loudness));
        let next = (self.gain + missing / slope).min(self.most);
        if missing.abs() <= NEAR || (next - self.gain).abs() < NEAR / 2.0 {
            self.settle();
            return false;
        }
        self.gain = next;
        true
    }

    /// Stays with the nearest of what was heard.
    pub(super) fn settle(&mut self) {
        self.gain = self.nearest.map_or(self.gain, |(_, gain)| gain);
    }
}

/// The mean square that has a loudness.
fn square(lufs: f64) -> f64 {
    libm::pow(10.0, (lufs + 0.691) / 10.0)
}

/// A filter printed for 48 kHz, at our rate: back from `z` to `s` by the bilinear transform of the
/// one rate, and to `z` by that of the other.
fn at_our_rate(forward: [f64; 3], back: [f64; 2]) -> SecondOrder {
    let moved = |[zero, one, two]: [f64; 3]| {
        // A polynomial in 1/z, times (1 + s)^2 with s in units of twice the printed rate.
        let by_power = [zero + one + two, 2.0 * (zero - two), zero - one + two];
        let ratio = RATE_F / PRINTED_RATE;
        let [constant, linear, squared] =
            [by_power[0], by_power[1] * ratio, by_power[2] * ratio * ratio];
        [constant + linear + squared, 2.0 * (constant - squared), constant - linear + squared]
    };
    let (over, under) = (moved(forward), moved([1.0, back[0], back[1]]));
    SecondOrder::from_coefficients(
        over.map(|value| value / under[0]),
        [under[1] / under[0], under[2] / under[0]],
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loudness(pieces: &[(f64, f64, f64)]) -> f64 {
        let mut meter = Meter::new();
        for &(hertz, decibels, seconds) in pieces {
            let wave = |n: usize| {
                let angle = std::f64::consts::TAU * hertz * n as f64 / RATE_F;
                (amplitude(decibels) * libm::sin(angle)) as f32
            };
            let sound: Vec<f32> = (0..(seconds * RATE_F) as usize).map(wave).collect();
            meter.listen(&sound);
        }
        meter.loudness().unwrap()
    }

    /// The recommendation: 997 Hz at full scale in one channel is -3.01. EBU Tech 3341, cases 1 to
    /// 4, are for two channels, so that one is 3.01 below them.
    #[test]
    fn the_meter_reads_what_the_recommendations_say() {
        for (pieces, expected) in [
            (&[(997.0, 0.0, 5.0)][..], -3.01),
            (&[(1000.0, -23.0, 20.0)], -26.01),
            (&[(1000.0, -33.0, 20.0)], -36.01),
            (&[(1000.0, -36.0, 10.0), (1000.0, -23.0, 60.0), (1000.0, -36.0, 10.0)], -26.01),
            (
                &[
                    (1000.0, -72.0, 10.0),
                    (1000.0, -36.0, 10.0),
                    (1000.0, -23.0, 60.0),
                    (1000.0, -36.0, 10.0),
                    (1000.0, -72.0, 10.0),
                ],
                -26.01,
            ),
        ] {
            let found = loudness(pieces);
            assert!((found - expected).abs() < 0.1, "{found} for {expected}");
        }
    }

    /// How much filters of the second order let through of a frequency at a rate.
    fn let_through(filters: [([f64; 3], [f64; 2]); 2], hertz: f64, rate: f64) -> f64 {
        let angle = std::f64::consts::TAU * hertz / rate;
        let size = |[zero, one, two]: [f64; 3]| {
            let re = zero + one * libm::cos(angle) + two * libm::cos(2.0 * angle);
            let im = one * libm::sin(angle) + two * libm::sin(2.0 * angle);
            libm::hypot(re, im)
        };
        let gain = |(forward, [first, second]): ([f64; 3], [f64; 2])| {
            size(forward) / size([1.0, first, second])
        };
        filters.map(gain).iter().product()
    }

    #[test]
    fn the_weighting_at_our_rate_is_that_of_the_recommendation() {
        let reference = |hertz| let_through([SHELF, HIGH_PASS], hertz, PRINTED_RATE);
        let flat = loudness(&[(997.0, -20.0, 4.0)]);
        for hertz in [30.0, 50.0, 100.0, 500.0, 2000.0, 3000.0, 8000.0, 12_000.0] {
            let found = loudness(&[(hertz, -20.0, 4.0)]) - flat;
            let expected = 20.0 * libm::log10(reference(hertz) / reference(997.0));
            assert!((found - expected).abs() < 0.05, "{hertz}: {found} for {expected}");
        }
    }

    #[test]
    fn silence_has_no_loudness_and_keeps_its_level() {
        let mut meter = Meter::new();
        meter.listen(&vec![0.0; 100_000]);
        assert_eq!(meter.loudness(), None);
        assert_eq!(meter.search(0.8), None);
    }
}
