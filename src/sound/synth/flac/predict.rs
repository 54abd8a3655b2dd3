//! Each sample guessed from those before it; only what was guessed wrong is written.

use std::f64::consts::PI;

/// The most samples that a guess is made from.
pub(super) const MOST: usize = 10;

/// Bits of a weight.
pub(super) const PRECISION: u32 = 14;

/// How samples are guessed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Guess {
    /// As the polynomial through the last few goes on.
    Fixed(usize),
    /// From weights in parts of a power of two, the last sample's first.
    Weighted {
        /// The weights.
        weights: Vec<i32>,
        /// The power of two.
        shift: u32,
    },
}

impl Guess {
    /// How many samples it needs.
    pub(super) fn order(&self) -> usize {
        match self {
            Self::Fixed(order) => *order,
            Self::Weighted { weights, .. } => weights.len(),
        }
    }

    /// What it guesses wrong of every sample after its first few.
    pub(super) fn errors(&self, samples: &[i32]) -> Vec<i32> {
        match self {
            Self::Fixed(order) => {
                let mut errors = samples.to_vec();
                for _ in 0..*order {
                    errors = errors.windows(2).map(|pair| pair[1] - pair[0]).collect();
                }
                errors
            }
            Self::Weighted { weights, shift } => {
                let order = weights.len();
                let reversed: Vec<i64> = weights.iter().rev().map(|&w| i64::from(w)).collect();
                let error = |seen: &[i32]| {
                    let past = reversed.iter().zip(seen);
                    let sum: i64 = past.map(|(weight, &sample)| weight * i64::from(sample)).sum();
                    seen[order] - (sum >> shift) as i32
                };
                samples.windows(order + 1).map(error).collect()
            }
        }
    }
}

/// The weights that guess a block best, by its correlation with itself and the recursion of
/// Levinson and Durbin; none for silence.
pub(super) fn weighted(samples: &[i32]) -> Option<Guess> {
    let correlation = correlation(samples)?;
    let mut weights = [0.0f64; MOST];
    let mut error = correlation[0] * (1.0 + 1e-9);
    for order in 0..MOST {
        let known: f64 = (0..order).map(|n| weights[n] * correlation[order - n]).sum();
        let reflection = (correlation[order + 1] - known) / error;
        let before = weights;
        weights[order] = reflection;
        for n in 0..order {
            weights[n] = before[n] - reflection * before[order - 1 - n];
        }
        error *= 1.0 - reflection * reflection;
        if error <= 0.0 || !error.is_finite() {
            return None;
        }
    }
    let largest = weights.iter().fold(0.0f64, |largest, w| largest.max(w.abs()));
    let most = f64::from(1 << (PRECISION - 1)) - 1.0;
    let shift = (0..=14).rev().find(|&shift| largest * f64::from(1 << shift) <= most)?;
    // What one weight loses by rounding the next makes good.
    let mut over = 0.0;
    let rounded = weights.map(|weight| {
        let wanted = weight * f64::from(1 << shift) + over;
        let whole = (wanted + 0.5).floor().clamp(-most, most);
        over = wanted - whole;
        whole as i32
    });
    Some(Guess::Weighted { weights: rounded.to_vec(), shift })
}

/// How alike a block is to itself some samples later, under a window that spares its ends.
fn correlation(samples: &[i32]) -> Option<[f64; MOST + 1]> {
    let length = samples.len();
    if length <= 2 * MOST {
        return None;
    }
    // A cosine over the first and the last quarter.
    let side = length / 4;
    let ramp: Vec<f64> =
        (0..side).map(|n| 0.5 - 0.5 * libm::cos(PI * (n as f64 + 0.5) / side as f64)).collect();
    let mut windowed: Vec<f64> = samples.iter().map(|&sample| f64::from(sample)).collect();
    for (n, weight) in ramp.iter().enumerate() {
        windowed[n] *= weight;
        windowed[length - 1 - n] *= weight;
    }
    let mut sums = [0.0; MOST + 1];
    for now in windowed.windows(MOST + 1) {
        for (sum, later) in sums.iter_mut().zip(now) {
            *sum += now[0] * later;
        }
    }
    (sums[0] > 0.0).then_some(sums)
}
