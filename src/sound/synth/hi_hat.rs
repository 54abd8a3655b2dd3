//! A hi-hat: two cymbals that a pedal brings together, or that a stick strikes.

use super::dsp::{Noise, SecondOrder, add_burst, bring_to_level, fade_in, fade_out, frames};
use super::modes::{BodyMode, ring};

/// The number of General MIDI for an open hi-hat.
const OPEN: u8 = 46;

/// How many takes there are, played in turn.
pub(super) const TAKES: u8 = 4;

/// Seconds a stroke lasts.
pub(super) fn length(pitch: u8) -> f64 {
    if pitch == OPEN { 0.9 } else { 0.32 }
}

/// A stroke by the pedal, or an open one.
pub(super) fn stroke(pitch: u8, take: u8) -> Vec<f32> {
    let mut noise = Noise::new(0x4a7 + u64::from(take));
    let mut sound = vec![0.0; frames(length(pitch))];
    let longer = if pitch == OPEN { 4.0 } else { 1.0 };
    // The edges meet, then the air between them, then what still rings.
    let bright = || [SecondOrder::high_pass(9000.0, 0.8), SecondOrder::high_pass(7200.0, 0.7)];
    add_burst(&mut sound, &mut noise, &mut bright(), 1.0, 0.055);
    add_burst(&mut sound, &mut noise, &mut bright(), 0.42, 0.19 * longer);
    let mut edge = [SecondOrder::band_pass(5200.0, 1.0)];
    add_burst(&mut sound, &mut noise, &mut edge, 0.14, 0.05);
    // The foot: a dull knock of the stand.
    let mut foot = [SecondOrder::band_pass(420.0, 1.2)];
    add_burst(&mut sound, &mut noise, &mut foot, 0.10, 0.035);
    let modes = [3170.0, 4680.0, 7330.0].map(|frequency| BodyMode {
        frequency: frequency * (1.0 + 0.004 * noise.signed()),
        level: 0.035,
        t60: 0.16 * longer,
        phase: 0.0,
    });
    ring(&modes, &mut sound);
    bring_to_level(&mut sound, 0.05);
    fade_in(&mut sound, frames(0.0008));
    fade_out(&mut sound, frames(0.03));
    sound
}
