//! A click to practise with: a small block of wood, struck.

use super::dsp::{bring_to_level, fade_in, fade_out, frames};
use super::modes::{BodyMode, ring};

/// Seconds a click lasts.
pub(super) const LENGTH: f64 = 0.48;

/// The numbers of General MIDI that begin a bar: the bell of a metronome, claves, the high block.
const FIRST_OF_A_BAR: [u8; 3] = [34, 75, 76];

/// A click; the first of a bar is higher by a fourth.
pub(super) fn stroke(pitch: u8) -> Vec<f32> {
    let frequency = if FIRST_OF_A_BAR.contains(&pitch) { 1760.0 } else { 1320.0 };
    // A short bar of wood, free at both ends: its second mode lies at 2.76 times the first. It rings
    // long enough to be as loud alone as any other part, within what peaks allow.
    let modes = [(1.0, 1.0, 0.34), (2.0, 0.12, 0.12), (2.756, 0.35, 0.07), (5.4, 0.12, 0.025)].map(
        |(ratio, level, t60)| BodyMode { frequency: frequency * ratio, level, t60, phase: 0.0 },
    );
    let mut sound = vec![0.0; frames(LENGTH)];
    ring(&modes, &mut sound);
    bring_to_level(&mut sound, 0.03);
    fade_in(&mut sound, frames(0.0004));
    fade_out(&mut sound, frames(0.02));
    sound
}
