//! Small tools of signal processing: noise, filters of the second order, fades.
//!
//! Sines and exponentials come from `libm`, so that every machine computes the same bits.

use std::f64::consts::PI;

/// Samples a second of every file of sound: the rate of the compact disc, which plays everywhere.
pub(super) const RATE: u32 = 44_100;

/// [`RATE`] to compute with.
pub(super) const RATE_F: f64 = RATE as f64;

/// Natural logarithm of 1000: what is left after a T60 is a thousandth.
pub(super) const LN_1000: f64 = 6.907_755_278_982_137;

/// The samples that a time takes, to the nearest.
pub(super) fn frames(seconds: f64) -> usize {
    (seconds * RATE_F + 0.5) as usize
}

/// The frequency of a pitch as MIDI numbers it, in hertz, in equal temperament from A = 440.
pub(super) fn hertz(pitch: u8) -> f64 {
    440.0 * libm::exp2((f64::from(pitch) - 69.0) / 12.0)
}

/// An amplitude from decibels.
pub(super) fn amplitude(decibels: f64) -> f64 {
    libm::pow(10.0, decibels / 20.0)
}

/// By what each sample is multiplied where sixty decibels are lost in a time.
pub(super) fn decay_a_frame(t60: f64) -> f64 {
    libm::exp(-LN_1000 / (t60 * RATE_F))
}

/// A row of numbers that look random and are the same every time (SplitMix64, Steele, Lea and
/// Flood 2014).
#[derive(Clone)]
pub(super) struct Noise(u64);

impl Noise {
    pub(super) fn new(seed: u64) -> Self {
        // One step, so that neighbouring seeds part company at once.
        let mut noise = Self(seed.wrapping_mul(0xd134_2543_de82_ef95));
        noise.bits();
        noise
    }

    pub(super) fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to 1.
    pub(super) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Evenly from -1 to 1.
    pub(super) fn signed(&mut self) -> f64 {
        2.0 * self.unit() - 1.0
    }
}

/// A filter of the second order, by the formulas of Bristow-Johnson's collection for equalisers.
#[derive(Clone, Debug)]
pub(super) struct SecondOrder {
    forward: [f64; 3],
    back: [f64; 2],
    kept: [f64; 2],
}

impl SecondOrder {
    /// From coefficients whose `a0` is 1.
    pub(super) fn from_coefficients(forward: [f64; 3], back: [f64; 2]) -> Self {
        Self { forward, back, kept: [0.0; 2] }
    }

    pub(super) fn low_pass(hertz: f64, q: f64) -> Self {
        let (cosine, alpha) = Self::angle(hertz, q);
        let side = (1.0 - cosine) / 2.0;
        Self::normed([side, 1.0 - cosine, side], cosine, alpha)
    }

    pub(super) fn high_pass(hertz: f64, q: f64) -> Self {
        let (cosine, alpha) = Self::angle(hertz, q);
        let side = f64::midpoint(1.0, cosine);
        Self::normed([side, -1.0 - cosine, side], cosine, alpha)
    }

    /// A band whose middle keeps its level.
    pub(super) fn band_pass(hertz: f64, q: f64) -> Self {
        let (cosine, alpha) = Self::angle(hertz, q);
        Self::normed([alpha, 0.0, -alpha], cosine, alpha)
    }

    fn angle(hertz: f64, q: f64) -> (f64, f64) {
        let angle = 2.0 * PI * hertz / RATE_F;
        (libm::cos(angle), libm::sin(angle) / (2.0 * q))
    }

    fn normed(forward: [f64; 3], cosine: f64, alpha: f64) -> Self {
        let first = 1.0 + alpha;
        let back = [-2.0 * cosine / first, (1.0 - alpha) / first];
        Self::from_coefficients(forward.map(|value| value / first), back)
    }

    /// The next sample of the filtered sound (transposed direct form II).
    #[inline]
    pub(super) fn step(&mut self, sample: f64) -> f64 {
        let out = self.forward[0] * sample + self.kept[0];
        self.kept[0] = self.forward[1] * sample - self.back[0] * out + self.kept[1];
        self.kept[1] = self.forward[2] * sample - self.back[1] * out;
        out
    }
}

/// Adds filtered noise that dies away: `level` at the start, less by sixty decibels after each
/// `t60` seconds. It stops at a hundred decibels below its start.
pub(super) fn add_burst(
    sound: &mut [f32],
    noise: &mut Noise,
    filters: &mut [SecondOrder],
    level: f64,
    t60: f64,
) {
    let decay = decay_a_frame(t60);
    let mut now = level;
    for sample in sound.iter_mut().take(frames(t60 * 5.0 / 3.0)) {
        let filtered = filters.iter_mut().fold(noise.signed(), |value, filter| filter.step(value));
        *sample += (now * filtered) as f32;
        now *= decay;
    }
}

/// Lets a sound begin from nothing, over some frames.
pub(super) fn fade_in(sound: &mut [f32], over: usize) {
    for (at, sample) in sound.iter_mut().take(over).enumerate() {
        *sample *= ease(at, over);
    }
}

/// Lets a sound end in nothing, over its last frames.
pub(super) fn fade_out(sound: &mut [f32], over: usize) {
    for (at, sample) in sound.iter_mut().rev().take(over).enumerate() {
        *sample *= ease(at, over);
    }
}

/// Half a wave of a cosine from 0 to 1.
fn ease(at: usize, over: usize) -> f32 {
    (0.5 - 0.5 * libm::cos(PI * at as f64 / over as f64)) as f32
}

/// Brings the mean square of the first `window` seconds to that of 0.1 throughout, so that one
/// stroke is as strong as the next whatever its spectrum.
pub(super) fn bring_to_level(sound: &mut [f32], window: f64) {
    let counted = frames(window);
    let energy: f64 = sound.iter().take(counted).map(|&x| f64::from(x) * f64::from(x)).sum();
    if energy > 0.0 {
        let by = (0.1 / (energy / counted as f64).sqrt()) as f32;
        for sample in sound.iter_mut() {
            *sample *= by;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gain_at(mut filter: SecondOrder, hertz: f64) -> f64 {
        let wave = |n: usize| libm::sin(2.0 * PI * hertz * n as f64 / RATE_F);
        let out: Vec<f64> = (0..44_100).map(|n| filter.step(wave(n))).collect();
        let squares: f64 = out[22_050..].iter().map(|x| x * x).sum();
        (2.0 * squares / 22_050.0).sqrt()
    }

    #[test]
    fn filters_keep_and_drop_what_they_should() {
        let half = std::f64::consts::FRAC_1_SQRT_2;
        for (filter, kept, dropped) in [
            (SecondOrder::low_pass(1000.0, half), 100.0, 10_000.0),
            (SecondOrder::high_pass(1000.0, half), 10_000.0, 100.0),
            (SecondOrder::band_pass(1000.0, 2.0), 1000.0, 20.0),
        ] {
            assert!((gain_at(filter.clone(), kept) - 1.0).abs() < 0.01);
            assert!(gain_at(filter, dropped) < 0.03);
        }
        assert!((gain_at(SecondOrder::low_pass(1000.0, half), 1000.0) - half).abs() < 0.001);
    }

    #[test]
    fn noise_has_no_mean_and_is_the_same_every_time() {
        let row = |seed| {
            let mut noise = Noise::new(seed);
            (0..100_000).map(|_| noise.signed()).collect::<Vec<f64>>()
        };
        assert_eq!(row(3), row(3));
        assert_ne!(row(3)[..8], row(4)[..8]);
        assert!(row(3).iter().sum::<f64>().abs() / 100_000.0 < 0.01);
        assert!(row(3).iter().all(|x| (-1.0..1.0).contains(x)));
    }
}
