//! A plucked string of a double bass: the string algorithm of Karplus and Strong with the
//! extensions of Jaffe and Smith (Computer Music Journal 7/2, 1983), and a body.
//!
//! A line of samples as long as a wave runs round through what a string loses: a one-zero filter
//! takes more from high partials, an all-pass filter makes up for the part of a sample by which no
//! line can be as long as the wave. The line starts with what the bridge feels of a string pulled
//! aside at one place.

use std::f64::consts::TAU;

use super::dsp::{
    LN_1000, Noise, RATE_F, SecondOrder, add_burst, amplitude, bring_to_level, decay_a_frame,
    fade_in, frames, hertz,
};

/// How many takes there are, played in turn: fingers differ.
pub(super) const TAKES: u8 = 2;

/// The longest that a note is let ring, in seconds.
pub(super) const LONGEST: f64 = 5.0;

/// Where the finger plucks, as a part of the string from the bridge: over the end of the
/// fingerboard.
const PLUCKED_AT: f64 = 0.22;

/// The share of the older of two samples in the loss of each round.
const LOSS: f64 = 0.30;

/// T60 of the fundamental of A1 in seconds; measured on recorded notes.
const T60: f64 = 2.4;

/// Resonances of the body: hertz, sharpness, level against the string; air, top plate and above
/// (from memory of published bridge admittances).
const BODY: [(f64, f64, f64); 5] =
    [(62.0, 4.0, 0.5), (104.0, 5.0, 0.6), (190.0, 4.0, 0.7), (420.0, 2.5, 0.8), (900.0, 1.5, 0.7)];

/// Above this, in hertz, the body radiates less of the string by half an octave.
const BREATH: f64 = 42.0;

/// What the string gives beside, and what its resonances give: fitted to recorded notes, whose
/// power centre at A1 is 86 Hz in the first 50 ms and 69 Hz in the next 200.
const DIRECT: f64 = 0.065;
const RESONANT: f64 = 0.09;

/// The string as the bridge feels it, before the body: for the laws of its tuning too.
pub(super) fn string(pitch: u8, force: f64, length: usize) -> Vec<f64> {
    let frequency = hertz(pitch);
    let angle = TAU * frequency / RATE_F;
    // The phase delay of the one-zero filter at the fundamental.
    let zero_delay =
        libm::atan2(LOSS * libm::sin(angle), 1.0 - LOSS + LOSS * libm::cos(angle)) / angle;
    let wanted = RATE_F / frequency - zero_delay;
    // An all-pass delay between half a sample and one and a half is nearly even over the partials.
    let line_length = (wanted - 0.5).floor();
    let rest = wanted - line_length;
    let all_pass = libm::sin(angle * (1.0 - rest) / 2.0) / libm::sin(angle * (1.0 + rest) / 2.0);
    let zero_gain = {
        let (re, im) = (1.0 - LOSS + LOSS * libm::cos(angle), LOSS * libm::sin(angle));
        (re * re + im * im).sqrt()
    };
    // High strings ring for a shorter time.
    let t60 = T60 * libm::pow(55.0 / frequency, 0.35);
    let round = libm::exp(-LN_1000 / (t60 * frequency)) / zero_gain;

    let mut line = plucked(line_length as usize, force);
    let (mut at, mut last, mut last_in, mut last_out) = (0, 0.0, 0.0, 0.0);
    let mut out = Vec::with_capacity(length);
    for _ in 0..length {
        let sample = line[at];
        out.push(sample);
        let lost = round * ((1.0 - LOSS) * sample + LOSS * last);
        last = sample;
        let turned = all_pass * (lost - last_out) + last_in;
        last_in = lost;
        last_out = turned;
        line[at] = turned;
        at += 1;
        if at == line.len() {
            at = 0;
        }
    }
    out
}

/// One wave of the force on the bridge of a string pulled aside: high while the corner runs over
/// the short side, low for the rest, with edges as round as a fingertip is broad.
fn plucked(length: usize, force: f64) -> Vec<f64> {
    let wave = length as f64;
    let short = (PLUCKED_AT * wave).round();
    let sharp: Vec<f64> = (0..length).map(|n| if (n as f64) < short { 1.0 } else { 0.0 }).collect();
    // A finger that pulls harder leaves the string with a sharper corner.
    let round = ((0.055 - 0.025 * force) * wave).max(2.0) as usize;
    let mut wide: Vec<f64> = sharp;
    for _ in 0..2 {
        let mean = |n: usize| {
            let taken = (0..round).map(|back| wide[(n + length - back) % length]);
            taken.sum::<f64>() / round as f64
        };
        wide = (0..length).map(mean).collect();
    }
    let mean = wide.iter().sum::<f64>() / wave;
    wide.iter_mut().for_each(|value| *value -= mean);
    wide
}

/// A note; `force` from 0 to 1.
pub(super) fn note(pitch: u8, force: f64, take: u8, length: usize) -> Vec<f32> {
    let mut body = BODY.map(|(hertz, q, level)| (SecondOrder::band_pass(hertz, q), level));
    let mut soft = SecondOrder::low_pass(2200.0 + 1800.0 * force, 0.6);
    // A body as large as this radiates what is low by its whole breath.
    let breath = 1.0 - libm::exp(-TAU * BREATH / RATE_F);
    let string = string(pitch, force, length);
    // It starts where it swings about nothing.
    let a_wave = (RATE_F / hertz(pitch)) as usize;
    let step = |low: &mut f64, sample: &f64| {
        *low += breath * (sample - *low);
        Some(*low)
    };
    let swung: f64 = string.iter().take(a_wave).scan(0.0, step).sum();
    let mut low = -swung / a_wave as f64;
    let mut sound: Vec<f32> = string
        .into_iter()
        .map(|sample| {
            low += breath * (sample - low);
            let bodies = body.iter_mut().map(|(filter, level)| *level * filter.step(sample));
            soft.step(low + DIRECT * sample + RESONANT * bodies.sum::<f64>()) as f32
        })
        .collect();
    bring_to_level(&mut sound, 0.25);
    finger(&mut sound, force, take, pitch);
    fade_in(&mut sound, frames(0.0012));
    sound
}

/// Low notes need more of the same to be heard.
pub(super) fn tilt(pitch: u8) -> f32 {
    libm::pow(hertz(pitch) / 80.0, -0.12) as f32
}

/// The flesh on the string and the knock of the string on the board.
fn finger(sound: &mut [f32], force: f64, take: u8, pitch: u8) {
    let mut noise = Noise::new(0xba55 + u64::from(pitch) * 8 + u64::from(take));
    let flesh = amplitude(-3.0) * (0.5 + force);
    let mut skin = [SecondOrder::high_pass(500.0, 0.7), SecondOrder::low_pass(2600.0, 0.7)];
    add_burst(sound, &mut noise, &mut skin, flesh * 0.55, 0.055);
    let mut board = [SecondOrder::band_pass(1300.0, 1.2)];
    add_burst(sound, &mut noise, &mut board, flesh * 0.35 * force, 0.022);
    let mut thump = [SecondOrder::band_pass(230.0, 1.4)];
    add_burst(sound, &mut noise, &mut thump, flesh * 1.2, 0.10);
}

/// By what each sample shrinks once the finger damps the string: sixty decibels in 0.12 s.
pub(super) fn damping() -> f64 {
    decay_a_frame(0.12)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// How much of a frequency a stretch of sound holds, under a window without ripples.
    fn held(sound: &[f64], hertz: f64) -> f64 {
        let length = sound.len() as f64;
        let (mut re, mut im) = (0.0, 0.0);
        for (n, sample) in sound.iter().enumerate() {
            let part = TAU * n as f64 / length;
            let window = 0.42 - 0.5 * libm::cos(part) + 0.08 * libm::cos(2.0 * part);
            let angle = TAU * hertz * n as f64 / RATE_F;
            re += window * sample * libm::cos(angle);
            im += window * sample * libm::sin(angle);
        }
        libm::hypot(re, im)
    }

    #[test]
    fn partials_of_every_string_are_in_tune() {
        for pitch in (28..=55).step_by(3) {
            let sound = string(pitch, 0.5, frames(1.0));
            for partial in [1.0, 2.0, 3.0, 5.0] {
                let wanted = partial * hertz(pitch);
                // The top of a parabola through three levels around the partial.
                let step = 0.5;
                let [low, middle, high] =
                    [-step, 0.0, step].map(|off| libm::log(held(&sound, wanted + off)));
                let top = step * 0.5 * (low - high) / (low - 2.0 * middle + high);
                let cents = 1200.0 * libm::log2((wanted + top) / wanted);
                assert!(cents.abs() < 3.0, "partial {partial} of {pitch}: {cents} cents");
            }
        }
    }

    /// Recorded notes lose sixty decibels in 2.4 s at A1.
    #[test]
    fn strings_die_away_as_recorded_ones() {
        let sound = string(33, 0.5, frames(2.0));
        let [early, late] =
            [0.3, 1.3].map(|at| held(&sound[frames(at)..frames(at + 0.5)], hertz(33)));
        let t60 = 3.0 / libm::log10(early / late);
        assert!((2.2..2.6).contains(&t60), "{t60}");
    }
}
