//! A snare drum played with brushes: a tap, and a swish that is drawn over the head.

use super::dsp::{Noise, SecondOrder, add_burst, bring_to_level, fade_in, fade_out, frames};
use super::modes::{BodyMode, ring};

/// The number of General MIDI 2 for a swirl in the set for brushes.
const SWIRL: u8 = 40;

/// How many takes there are, played in turn.
pub(super) const TAKES: u8 = 4;

/// Seconds a tap lasts.
pub(super) const TAP: f64 = 0.35;

/// Whether a stroke is drawn over the head for as long as it is held.
pub(super) fn is_drawn(pitch: u8) -> bool {
    pitch == SWIRL
}

/// The wires fall on the head all at once.
pub(super) fn tap(force: f64, take: u8) -> Vec<f32> {
    let mut noise = Noise::new(0x7a9 + u64::from(take));
    let mut sound = vec![0.0; frames(TAP)];
    let mut wires =
        [SecondOrder::high_pass(1500.0, 0.6), SecondOrder::low_pass(5000.0 + 4000.0 * force, 0.6)];
    add_burst(&mut sound, &mut noise, &mut wires, 1.0, 0.09);
    let mut snares = [SecondOrder::band_pass(4200.0, 0.7)];
    add_burst(&mut sound, &mut noise, &mut snares, 0.35, 0.24);
    // The head: its first modes as a membrane over a closed air space, from memory.
    let head = [(186.0, 0.22, 0.14), (331.0, 0.12, 0.10), (452.0, 0.06, 0.07)];
    let modes = head.map(|(frequency, level, t60)| BodyMode {
        frequency,
        level: level * (0.6 + 0.6 * force),
        t60,
        phase: 0.0,
    });
    ring(&modes, &mut sound);
    bring_to_level(&mut sound, 0.06);
    fade_in(&mut sound, frames(0.0015));
    fade_out(&mut sound, frames(0.03));
    sound
}

/// The wires are drawn in a curve: they begin with a small push, swell and leave.
pub(super) fn swish(take: u8, seconds: f64) -> Vec<f32> {
    let mut noise = Noise::new(0x5715 + u64::from(take));
    let held = frames(seconds);
    let mut sound = vec![0.0f32; held];
    let mut low = [SecondOrder::high_pass(900.0, 0.6), SecondOrder::low_pass(4200.0, 0.6)];
    let mut high = [SecondOrder::high_pass(4000.0, 0.6), SecondOrder::low_pass(9500.0, 0.6)];
    let attack = frames(0.006) as f64;
    for (at, sample) in sound.iter_mut().enumerate() {
        let part = at as f64 / held as f64;
        // A parabola from a third to the whole and back, after the push.
        let swell = 0.30 + 2.8 * part * (1.0 - part);
        let push = 0.5 * libm::exp(-(at as f64) / 1400.0);
        let rise = (at as f64 / attack).min(1.0);
        let white = noise.signed();
        let dark = low.iter_mut().fold(white, |value, filter| filter.step(value));
        let light = high.iter_mut().fold(white, |value, filter| filter.step(value));
        // The faster the hand, the brighter the wires.
        *sample = (rise * (swell + push) * (dark + (0.25 + swell * 0.5) * light)) as f32;
    }
    bring_to_level(&mut sound, seconds);
    fade_out(&mut sound, frames(0.05).min(held / 3));
    sound
}
