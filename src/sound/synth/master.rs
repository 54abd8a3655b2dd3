//! From the mix to the samples of a file: no rumble, the loudness of every track, no peak over the
//! ceiling, 16 bits.

use super::dsp::{Noise, SecondOrder};
use super::limiter::Limiter;

/// Below this, in hertz, nothing is music and loudspeakers only suffer.
const RUMBLE: f64 = 20.0;

/// By how much of each sample the mean is corrected: a high-pass of the first order at 3 Hz.
const MEAN_A_FRAME: f64 = std::f64::consts::TAU * 3.0 / super::dsp::RATE_F;

/// The filter against rumble and against a mean other than 0.
pub(super) fn against_rumble() -> SecondOrder {
    SecondOrder::high_pass(RUMBLE, std::f64::consts::FRAC_1_SQRT_2)
}

/// Makes samples of 16 bits, in order.
pub(super) struct Master {
    rumble: SecondOrder,
    gain: f32,
    limiter: Limiter,
    /// The mean that limiting one side of a wave more than the other leaves.
    mean: f64,
    dither: Noise,
    /// Frames that come before the first of the mix.
    early: usize,
}

impl Master {
    pub(super) fn new(gain: f32) -> Self {
        Self {
            rumble: against_rumble(),
            gain,
            limiter: Limiter::new(),
            mean: 0.0,
            dither: Noise::new(0xd17e),
            early: Limiter::delay(),
        }
    }

    /// The samples that are ready once these have come.
    pub(super) fn take(&mut self, mix: &[f32]) -> Vec<i16> {
        let shaped = self.shaped(mix);
        shaped.into_iter().map(|sample| self.rounded(sample.into())).collect()
    }

    /// The same before it is rounded, for those who measure it.
    pub(super) fn shaped(&mut self, mix: &[f32]) -> Vec<f32> {
        let mut ready = Vec::with_capacity(mix.len());
        for &sample in mix {
            let clean = self.rumble.step(f64::from(sample)) as f32 * self.gain;
            let limited = f64::from(self.limiter.step(clean));
            let even = limited - self.mean;
            self.mean += MEAN_A_FRAME * even;
            if self.early > 0 {
                self.early -= 1;
            } else {
                ready.push(even as f32);
            }
        }
        ready
    }

    /// The samples that are left at the end.
    pub(super) fn rest(&mut self) -> Vec<i16> {
        self.take(&vec![0.0; Limiter::delay()])
    }

    /// To 16 bits, with noise of a triangular spread of a step either way, so that quiet tails
    /// end in hiss below hearing and in no rasp.
    fn rounded(&mut self, sample: f64) -> i16 {
        let bits = self.dither.bits();
        let half = |bits: u64| (bits & 0xffff_ffff) as f64 / f64::from(u32::MAX);
        let spread = half(bits) - half(bits >> 32);
        let steps = sample * 32_767.0 + spread;
        // Rounding towards nothing of what is above it is rounding down.
        let whole = (steps.clamp(-32_767.0, 32_767.0) + 32_768.5) as i32 - 32_768;
        whole as i16
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_samples_come_as_went_in_and_silence_is_a_step_of_noise() {
        let mut master = Master::new(1.0);
        let mut out = master.take(&vec![0.0; 50_000]);
        out.extend(master.rest());
        assert_eq!(out.len(), 50_000);
        assert!(out.iter().all(|x| (-1..=1).contains(x)));
        let mean = out.iter().map(|&x| f64::from(x)).sum::<f64>() / 50_000.0;
        assert!(mean.abs() < 0.02, "{mean}");
    }

    #[test]
    fn a_mean_other_than_nothing_is_taken_away() {
        let mut master = Master::new(1.0);
        let out = master.take(&vec![0.3; 200_000]);
        let end = &out[150_000..];
        assert!((end.iter().map(|&x| f64::from(x)).sum::<f64>() / end.len() as f64).abs() < 0.05);
    }
}
