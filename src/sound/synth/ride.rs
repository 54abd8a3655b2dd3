//! A ride cymbal: the modes of a plate, the ping of the stick's tip, and the tip itself.
//!
//! First energy lies below 1 kHz and in the tip; what shimmers at 3 to 5 kHz grows over tens of
//! milliseconds, as energy goes over from low modes to high ones (Rossing and Shepherd 1983).

use std::f64::consts::TAU;

use super::dsp::{Noise, SecondOrder, add_burst, bring_to_level, fade_in, fade_out, frames};
use super::modes::{BodyMode, ring};

/// The number of General MIDI for a stroke on the bell.
const BELL: u8 = 53;

/// Takes of each of the classes of strength: with three classes six strokes in all, so that no
/// two alike follow.
pub(super) const TAKES: u8 = 2;

/// Seconds a stroke lasts.
pub(super) const LENGTH: f64 = 2.6;

/// Modes of the plate, and the band in which they lie, in hertz.
const MODES: u32 = 144;
const LOWEST: f64 = 310.0;
const HIGHEST: f64 = 16_000.0;

/// T60 of a mode in seconds; measured on recorded strokes: 3.5 at 0.7 kHz, 1.65 at 8.5 kHz.
fn t60(frequency: f64) -> f64 {
    4.0 / (1.0 + libm::pow(frequency / 5200.0, 1.3))
}

/// A stroke; `force` from 0 to 1.
pub(super) fn stroke(pitch: u8, force: f64, take: u8) -> Vec<f32> {
    let is_bell = pitch == BELL;
    // One plate for every stroke; only where it is struck differs.
    let mut plate = Noise::new(0x71de);
    let mut place = Noise::new(0x9071 + u64::from(take) + (force * 64.0) as u64);
    let mut modes = Vec::with_capacity(2 * MODES as usize + 8);
    let step = (HIGHEST - LOWEST) / f64::from(MODES);
    for n in 0..MODES {
        let frequency = LOWEST + step * (f64::from(n) + 0.5 + 0.9 * (plate.unit() - 0.5));
        let struck = 0.35 + 0.65 * place.unit();
        let level = struck * plate_level(frequency, force, is_bell);
        let phase = TAU * place.unit();
        modes.extend(rising(frequency, level, phase));
    }
    let ping = if is_bell { 3.2 } else { 1.0 };
    for (n, &frequency) in
        [1130.0, 2280.0, 3150.0, 3990.0, 4930.0, 6120.0, 7440.0].iter().enumerate()
    {
        let level = ping * (0.5 + 0.3 * place.unit()) * (0.5 + 0.1 * n as f64);
        let t60 = if is_bell { 1.6 } else { 0.32 };
        modes.push(BodyMode { frequency, level: 1.3 * level, t60, phase: 0.0 });
    }
    let mut sound = vec![0.0; frames(LENGTH)];
    ring(&modes, &mut sound);
    tip(&mut sound, &mut place, force);
    bring_to_level(&mut sound, 0.3);
    fade_in(&mut sound, frames(0.0006));
    fade_out(&mut sound, frames(0.25));
    sound
}

/// How strongly a stroke wakes a mode: less where the tip is broader than the waves, more of the
/// high ones when it is fast.
fn plate_level(frequency: f64, force: f64, is_bell: bool) -> f64 {
    let corner = if is_bell { 7000.0 } else { 10_400.0 } + 1200.0 * force;
    (frequency / 1000.0).sqrt() / (1.0 + libm::pow(frequency / corner, 4.0))
}

/// A mode that grows: the mode less the same mode that dies at once.
fn rising(frequency: f64, level: f64, phase: f64) -> [BodyMode; 2] {
    let t60 = t60(frequency);
    // Low modes speak within 4 ms, those at 4 kHz after 26 ms, the highest sooner again.
    let over = libm::log2(frequency / 4000.0);
    let rise = 0.004 + 0.022 * libm::exp(-over * over / 1.2);
    // The time constant of the rise as a T60, taken together with the decay.
    let quick = 1.0 / (1.0 / t60 + 1.0 / (6.9 * rise));
    let share = 0.8;
    [
        BodyMode { frequency, level, t60, phase },
        BodyMode { frequency, level: -share * level, t60: quick, phase },
    ]
}

/// The tip of the stick on the metal, and the spray of the highest modes, too many to count.
fn tip(sound: &mut [f32], noise: &mut Noise, force: f64) {
    let mut click = [SecondOrder::high_pass(6000.0, 0.7)];
    add_burst(sound, noise, &mut click, 9.0 + 4.0 * force, 0.012);
    let mut spray = [SecondOrder::high_pass(8500.0, 0.8), SecondOrder::high_pass(7000.0, 0.7)];
    add_burst(sound, noise, &mut spray, 32.0 + 8.0 * force, 0.13);
}

#[cfg(test)]
mod tests {
    use super::super::dsp::RATE_F;
    use super::*;

    fn energy(sound: &[f32], from: f64, to: f64) -> f64 {
        sound[frames(from)..frames(to)].iter().map(|&x| f64::from(x) * f64::from(x)).sum()
    }

    /// Recorded strokes: T60 of 3.5, 3.3, 2.5 and 1.65 s in four bands.
    #[test]
    fn bands_die_away_as_recorded_ones() {
        let sound = stroke(51, 0.5, 0);
        for (hertz, q, recorded) in
            [(700.0, 1.4, 3.5), (1700.0, 0.9, 3.3), (4200.0, 1.4, 2.5), (8500.0, 1.4, 1.65)]
        {
            let mut filters = [SecondOrder::band_pass(hertz, q), SecondOrder::band_pass(hertz, q)];
            let band: Vec<f32> = sound
                .iter()
                .map(|&x| filters.iter_mut().fold(f64::from(x), |x, f| f.step(x)) as f32)
                .collect();
            let lost = energy(&band, 0.2, 0.7) / energy(&band, 1.2, 1.7);
            let t60 = 6.0 / libm::log10(lost);
            let ratio = t60 / recorded;
            assert!((0.75..1.35).contains(&ratio), "{hertz} Hz: {t60} s for {recorded}");
        }
    }

    /// A stick's tip is bright, and what rings on is not: halves of the energy above 5 kHz.
    #[test]
    fn the_first_50_ms_are_bright_and_the_rest_darkens() {
        for take in 0..TAKES {
            let sound = stroke(51, 0.5, take);
            let mut filter = SecondOrder::high_pass(5000.0, 0.7);
            let high: Vec<f32> = sound.iter().map(|&x| filter.step(f64::from(x)) as f32).collect();
            let part = |from, to| energy(&high, from, to) / energy(&sound, from, to);
            let parts = [part(0.0, 0.05), part(0.05, 0.25), part(0.5, 1.0), part(1.5, 2.0)];
            assert!(parts[0] > 0.7, "{parts:?}");
            assert!(parts.windows(2).all(|pair| pair[0] > pair[1]), "{parts:?}");
            assert!(parts[3] < 0.15, "{parts:?}");
            let last = energy(&sound, LENGTH - 0.02, LENGTH - 1.0 / RATE_F);
            assert!(last < 1e-4, "{last}");
        }
    }
}
