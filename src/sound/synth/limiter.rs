//! A limiter that looks ahead, so that no peak between samples either passes the ceiling.

use std::collections::VecDeque;
use std::f64::consts::PI;

use super::dsp::{amplitude, frames};

/// The ceiling in decibels below full scale; half a decibel under what is promised, for what
/// rounding and another interpolation add.
pub(super) const CEILING: f64 = -1.5;

/// Samples on either side from which a value between two is computed.
const SIDE: usize = 12;

/// Values between two samples that are looked at: with the sample itself four times the rate.
const BETWEEN: usize = 3;

/// Seconds over which the level comes down before a peak.
const AHEAD: f64 = 0.003;

/// Seconds over which it goes up again by most of the way.
const RECOVERY: f64 = 0.08;

/// Multiplies a sound by what keeps its peaks below the ceiling; the sound comes out
/// [`Limiter::delay`] frames late.
pub(super) struct Limiter {
    ceiling: f32,
    /// For each sample around a place, its weight in the values between the two in the middle; the
    /// fourth is the left of these itself.
    points: [[f32; 4]; 2 * SIDE],
    /// Samples below this, among their like, have no peak between them.
    harmless: f32,
    /// How many samples were harmless in a row.
    calm: usize,
    /// The last samples twice, so that those in a row lie in a row wherever they begin.
    late: Vec<f32>,
    /// Where the oldest of them is.
    oldest: usize,
    /// What is allowed at the frames that are looked at, falling: the frame, the level.
    lowest: VecDeque<(u64, f32)>,
    at: u64,
    level: f32,
    recover: f32,
    /// The levels whose mean is applied.
    ramp: VecDeque<f32>,
    /// Their sum, and how many of them are 1.
    sum: f64,
    ones: usize,
}

impl Limiter {
    pub(super) fn new() -> Self {
        let mut points = [[0.0f32; 4]; 2 * SIDE];
        let mut gain = 1.0f64;
        for point in 1..=BETWEEN {
            let part = point as f64 / (BETWEEN + 1) as f64;
            let weights: [f64; 2 * SIDE] = std::array::from_fn(|tap| {
                // The sinc function under half a wave of a cosine.
                let away = tap as f64 - (SIDE as f64 - 1.0) - part;
                let window = libm::cos(PI * away / (2.0 * SIDE as f64 + 1.0));
                libm::sin(PI * away) / (PI * away) * window
            });
            let sum: f64 = weights.iter().sum();
            gain = gain.max(weights.iter().map(|weight| (weight / sum).abs()).sum());
            for (around, weight) in points.iter_mut().zip(weights) {
                around[point] = (weight / sum) as f32;
            }
        }
        points[SIDE - 1][0] = 1.0;
        let ceiling = amplitude(CEILING) as f32;
        let ramp = frames(AHEAD);
        Self {
            ceiling,
            points,
            harmless: ceiling / gain as f32,
            calm: 2 * SIDE,
            late: vec![0.0; 2 * Self::delay()],
            oldest: 0,
            lowest: VecDeque::new(),
            at: 0,
            level: 1.0,
            recover: 1.0 - libm::exp(-1.0 / frames(RECOVERY) as f64) as f32,
            ramp: vec![1.0; ramp].into(),
            sum: ramp as f64,
            ones: ramp,
        }
    }

    /// Frames by which it is late.
    pub(super) fn delay() -> usize {
        frames(AHEAD) + 2 * SIDE
    }

    /// The next sample, limited.
    pub(super) fn step(&mut self, sample: f32) -> f32 {
        let length = self.late.len() / 2;
        let late = self.late[self.oldest];
        self.late[self.oldest] = sample;
        self.late[self.oldest + length] = sample;
        self.oldest = if self.oldest + 1 == length { 0 } else { self.oldest + 1 };
        self.at += 1;
        let allowed = self.allowed(sample);
        // Most of the time nothing is to be done, and nothing was.
        if allowed == 1.0 && self.lowest.is_empty() && self.ones == self.ramp.len() {
            self.sum = self.ones as f64;
            return late;
        }
        let lowest = self.lowest_of(allowed);
        // Down at once, since the ramp makes it slow, and up slowly.
        self.level = if lowest < self.level {
            lowest
        } else {
            let up = self.level + (lowest - self.level) * self.recover;
            if up > 0.9999 * lowest { lowest } else { up }
        };
        let left = self.ramp.pop_front().unwrap_or(1.0);
        self.ramp.push_back(self.level);
        self.ones = self.ones + usize::from(self.level == 1.0) - usize::from(left == 1.0);
        self.sum += f64::from(self.level) - f64::from(left);
        late * (self.sum / self.ramp.len() as f64) as f32
    }

    /// What the samples that have come allow, by the peak in their middle.
    fn allowed(&mut self, sample: f32) -> f32 {
        self.calm = if sample.abs() < self.harmless { self.calm + 1 } else { 0 };
        if self.calm >= 2 * SIDE {
            return 1.0;
        }
        let end = self.oldest + self.late.len() / 2;
        let seen = &self.late[end - 2 * SIDE..end];
        // Two sums side by side, since each waits for its last result.
        let mut sums = [[0.0f32; 4]; 2];
        for (weights, samples) in self.points.chunks(2).zip(seen.chunks(2)) {
            for half in 0..2 {
                for point in 0..4 {
                    sums[half][point] += weights[half][point] * samples[half];
                }
            }
        }
        let values = (0..4).map(|point| (sums[0][point] + sums[1][point]).abs());
        let peak = values.fold(0.0, f32::max);
        if peak > self.ceiling { self.ceiling / peak } else { 1.0 }
    }

    /// The least that was allowed over the ramp and the width of a peak.
    fn lowest_of(&mut self, allowed: f32) -> f32 {
        let span = (self.ramp.len() + 2 * SIDE) as u64;
        while self.lowest.front().is_some_and(|&(at, _)| at + span <= self.at) {
            self.lowest.pop_front();
        }
        while self.lowest.back().is_some_and(|&(_, level)| level >= allowed) {
            self.lowest.pop_back();
        }
        if allowed < 1.0 {
            self.lowest.push_back((self.at, allowed));
        }
        self.lowest.front().map_or(1.0, |&(_, level)| level)
    }
}

#[cfg(test)]
mod tests {
    use super::super::dsp::{Noise, RATE_F};
    use super::super::testing::true_peak;
    use super::*;

    fn limited(sound: &[f32]) -> Vec<f32> {
        let mut limiter = Limiter::new();
        let late = std::iter::repeat_n(0.0, Limiter::delay());
        let all: Vec<f32> = sound.iter().copied().chain(late).map(|x| limiter.step(x)).collect();
        all[Limiter::delay()..].to_vec()
    }

    #[test]
    fn what_is_below_the_ceiling_passes_untouched_and_in_time() {
        let wave = |n: usize| (0.3 * libm::sin(n as f64 * 0.2)) as f32;
        let sound: Vec<f32> = (0..5000).map(wave).collect();
        assert!(limited(&sound) == sound);
    }

    #[test]
    fn no_peak_passes_the_ceiling_even_between_samples() {
        let mut noise = Noise::new(1);
        let cases: [Vec<f32>; 4] = [
            // Whose peaks lie between samples.
            (0..9000)
                .map(|n| {
                    let angle = std::f64::consts::TAU * (RATE_F / 4.0) / RATE_F * n as f64;
                    (1.6 * libm::sin(angle + 0.785)) as f32
                })
                .collect(),
            (0..9000).map(|_| (1.5 * noise.signed()) as f32).collect(),
            (0..9000).map(|n| if n % 2000 == 1000 { 2.0 } else { 0.0 }).collect(),
            (0..9000).map(|n| if n < 4000 { 0.1 } else { 1.4 }).collect(),
        ];
        for (n, sound) in cases.iter().enumerate() {
            let out = limited(sound);
            let top = out.iter().fold(0.0f32, |top, x| top.max(x.abs()));
            assert!(f64::from(top) <= amplitude(CEILING) + 1e-4, "case {n}: {top}");
            let peak = 20.0 * libm::log10(true_peak(&out));
            assert!(peak < -1.0, "case {n}: {peak} dBTP");
            assert!(peak > -3.0, "case {n} is pressed down to {peak}");
        }
    }
}
