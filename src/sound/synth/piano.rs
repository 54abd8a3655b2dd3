//! A piano: stiff strings that a felt hammer strikes, two decays each, and the knock of the key.
//!
//! Partials lie at `n f sqrt(1 + B n^2)` (Fletcher, Blackham and Stratton 1962); the strings of a
//! note first move together, which the bridge drains, and then against each other (Weinreich
//! 1977). Both from memory.

use std::f64::consts::TAU;

use super::dsp::{
    Noise, SecondOrder, add_burst, amplitude, bring_to_level, decay_a_frame, fade_in, frames, hertz,
};
use super::modes::{BodyMode, ring};

/// Where the hammer strikes, as a part of the string.
const STRUCK_AT: f64 = 0.122;

/// The highest pitch that has a damper.
const LAST_DAMPED: u8 = 88;

/// The longest that a note is let ring, in seconds.
pub(super) const LONGEST: f64 = 6.0;

/// Partials above this, in hertz, are left to the knock.
const HIGHEST: f64 = 9000.0;

/// The stiffness of the strings: 1e-4 at A2, double every eight semitones.
fn stiffness(pitch: u8) -> f64 {
    1e-4 * libm::exp2((f64::from(pitch) - 45.0) / 8.0)
}

/// T60 of the after-sound of the first partial in seconds: nine at C4, half as much every
/// thirteen semitones.
fn after_sound(pitch: u8) -> f64 {
    (9.0 * libm::exp2((60.0 - f64::from(pitch)) / 13.0)).min(20.0)
}

/// The partials of a note; `force` from 0 to 1.
pub(super) fn partials(pitch: u8, force: f64) -> Vec<BodyMode> {
    let stiff = stiffness(pitch);
    // The first partial is in tune, and the others where stiffness puts them.
    let base = hertz(pitch) / (1.0 + stiff).sqrt();
    let longest = after_sound(pitch);
    // Felt is harder the faster it strikes; small hammers are harder than large ones.
    let corner = (380.0 + 800.0 * force) * libm::pow(hertz(pitch) / 261.6, 0.45);
    let mut board = Noise::new(0x91a0 + u64::from(pitch));
    let mut modes = Vec::new();
    for n in 1..=48 {
        let n = f64::from(n);
        let frequency = base * n * (1.0 + stiff * n * n).sqrt();
        if frequency > HIGHEST {
            break;
        }
        let comb = libm::sin(std::f64::consts::PI * n * STRUCK_AT).abs() + 0.04;
        let felt = 1.0 / (1.0 + libm::pow(frequency / corner, 2.3));
        let level = comb * felt * amplitude(2.0 * board.signed());
        let t60 = longest / (1.0 + 0.45 * (n - 1.0) + libm::pow(frequency / 2200.0, 1.4));
        // Strings of one note differ by a part of a cent, which beats slowly.
        let apart = 1.0 + 0.0003 * board.signed();
        // Partials in step would all peak at once.
        let phase = TAU * board.unit();
        let mut push = |frequency, part: f64, t60| {
            modes.push(BodyMode { frequency, level: part * level, t60, phase });
        };
        push(frequency, 0.66, (0.10 + 0.36 / n) * t60);
        push(frequency * apart, 0.34, t60);
        // What the hammer wakes of high partials and no string keeps.
        push(frequency, 0.75 * (n - 1.0) / (n + 2.0), 0.13);
    }
    modes
}

/// A note; `force` from 0 to 1.
pub(super) fn note(pitch: u8, force: f64, length: usize) -> Vec<f32> {
    let mut sound = vec![0.0; length];
    ring(&partials(pitch, force), &mut sound);
    bring_to_level(&mut sound, 0.2);
    knock(&mut sound, pitch, force);
    // The hammer stays on the string for a time, less when it is fast.
    fade_in(&mut sound, frames(0.0036 - 0.0016 * force));
    sound
}

/// The hammer on wire and the key on its bed, heard through the board.
fn knock(sound: &mut [f32], pitch: u8, force: f64) {
    let mut noise = Noise::new(0x0c0c + u64::from(pitch));
    let level = amplitude(-12.0) * (0.5 + 0.8 * force);
    let mut wire = [SecondOrder::band_pass(1900.0, 0.6), SecondOrder::low_pass(5200.0, 0.6)];
    add_burst(sound, &mut noise, &mut wire, level, 0.04);
    let mut bed = [SecondOrder::band_pass(310.0, 0.8)];
    add_burst(sound, &mut noise, &mut bed, 0.55 * level, 0.11);
    let board = [(92.0, 0.10, 0.20), (187.0, 0.08, 0.16)].map(|(frequency, part, t60)| BodyMode {
        frequency,
        level: part * level,
        t60,
        phase: 0.0,
    });
    ring(&board, sound);
}

/// By what each sample shrinks once the damper lies on the strings: long strings take longer.
/// The highest have none.
pub(super) fn damping(pitch: u8) -> Option<f64> {
    let t60 = 0.16 + 0.20 * libm::exp2((36.0 - f64::from(pitch)) / 24.0);
    (pitch <= LAST_DAMPED).then(|| decay_a_frame(t60))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_are_in_tune_stiff_and_brighter_when_struck_harder() {
        for pitch in (21..=108).step_by(7) {
            let modes = partials(pitch, 0.5);
            let cents = 1200.0 * libm::log2(modes[0].frequency / hertz(pitch));
            assert!(cents.abs() < 0.01, "{pitch}: {cents}");
            let bright = |force| {
                let modes = partials(pitch, force);
                let sum = |by: fn(&BodyMode) -> f64| modes.iter().map(by).sum::<f64>();
                sum(|m| m.level * m.frequency) / sum(|m| m.level)
            };
            assert!(bright(0.1) < bright(0.5) && bright(0.5) < bright(0.9), "{pitch}");
            // What sounds on lasts several times as long as what is struck.
            assert!(modes[1].t60 > 1.8 * modes[0].t60);
        }
        // The tenth partial of A2 lies 8.6 cents above ten times the first: B = 1e-4 there.
        let modes = partials(45, 0.5);
        let tenth = modes[27].frequency / modes[0].frequency / 10.0;
        let cents = 1200.0 * libm::log2(tenth);
        assert!((cents - 8.5).abs() < 0.3, "{cents}");
    }
}
