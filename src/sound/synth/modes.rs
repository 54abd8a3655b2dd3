//! Many damped sines at once: what strings, plates and drums ring with.

use std::f64::consts::TAU;

use super::dsp::{LN_1000, RATE_F, frames};

/// One of the ways in which a body rings.
#[derive(Clone, Copy, Debug)]
pub(super) struct BodyMode {
    /// Hertz.
    pub(super) frequency: f64,
    /// The amplitude at the start.
    pub(super) level: f64,
    /// Seconds in which it loses sixty decibels.
    pub(super) t60: f64,
    /// Radians at the start; 0 begins from nothing.
    pub(super) phase: f64,
}

/// Modes that are computed side by side: one alone would wait for its own last result.
const LANES: usize = 8;

/// How far below the strongest mode one is let go, as an amplitude: ninety decibels.
const FLOOR: f64 = 3e-5;

/// Adds the modes to a sound. Each is a phasor turned and shrunk from sample to sample, which in
/// single precision stays within a hundredth of a cent at 40 Hz, where a recursion over two
/// samples would be off by cents.
pub(super) fn ring(modes: &[BodyMode], sound: &mut [f32]) {
    let strongest = modes.iter().map(|mode| mode.level.abs()).fold(0.0, f64::max);
    let life = |mode: &BodyMode| {
        let over = libm::log(mode.level.abs() / (FLOOR * strongest));
        if over > 0.0 { frames(mode.t60 * over / LN_1000) } else { 0 }
    };
    let is_heard = |mode: &&BodyMode| mode.frequency < RATE_F * 0.47 && mode.level != 0.0;
    let mut by_life: Vec<(usize, &BodyMode)> =
        modes.iter().filter(is_heard).map(|mode| (life(mode), mode)).collect();
    by_life.sort_by_key(|&(life, _)| std::cmp::Reverse(life));
    for group in by_life.chunks(LANES) {
        let end = group[0].0.min(sound.len());
        Group::new(group.iter().map(|&(_, mode)| mode)).add(&mut sound[..end]);
    }
}

/// Phasors beside one another.
struct Group {
    turn_re: [f32; LANES],
    turn_im: [f32; LANES],
    re: [f32; LANES],
    im: [f32; LANES],
}

impl Group {
    fn new<'a>(modes: impl Iterator<Item = &'a BodyMode>) -> Self {
        let none = [0.0; LANES];
        let mut group = Self { turn_re: none, turn_im: none, re: none, im: none };
        for (lane, mode) in modes.enumerate() {
            let angle = TAU * mode.frequency / RATE_F;
            let shrink = libm::exp(-LN_1000 / (mode.t60 * RATE_F));
            group.turn_re[lane] = (shrink * libm::cos(angle)) as f32;
            group.turn_im[lane] = (shrink * libm::sin(angle)) as f32;
            group.re[lane] = (mode.level * libm::cos(mode.phase)) as f32;
            group.im[lane] = (mode.level * libm::sin(mode.phase)) as f32;
        }
        group
    }

    fn add(mut self, sound: &mut [f32]) {
        for sample in sound {
            let mut sums = [0.0f32; 4];
            for lane in 0..LANES {
                sums[lane % 4] += self.im[lane];
            }
            *sample += (sums[0] + sums[1]) + (sums[2] + sums[3]);
            for lane in 0..LANES {
                let (re, im) = (self.re[lane], self.im[lane]);
                self.re[lane] = re * self.turn_re[lane] - im * self.turn_im[lane];
                self.im[lane] = re * self.turn_im[lane] + im * self.turn_re[lane];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn modes_are_the_damped_sines_they_say() {
        let modes: Vec<BodyMode> = (0..40)
            .map(|n| {
                let n = f64::from(n);
                let frequency = 40.0 + 397.0 * n;
                BodyMode { frequency, level: 1.0 / (1.0 + n), t60: 0.2 + 0.05 * n, phase: 0.3 * n }
            })
            .collect();
        let mut sound = vec![0.0f32; 60_000];
        ring(&modes, &mut sound);
        for at in (0..60_000).step_by(997) {
            let time = at as f64 / RATE_F;
            let exact: f64 = modes
                .iter()
                .map(|m| {
                    let angle = TAU * m.frequency * time + m.phase;
                    m.level * libm::exp(-LN_1000 * time / m.t60) * libm::sin(angle)
                })
                .sum();
            let found = f64::from(sound[at]);
            assert!((found - exact).abs() < 2e-3, "frame {at}: {found} for {exact}");
        }
    }
}
