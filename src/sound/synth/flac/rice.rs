//! Small numbers in few bits, by the code of Golomb and Rice: a number is cut into what is counted
//! and what is spelled.

use super::bits::BitWriter;

/// The most times that a block is halved for parameters of its own.
const MOST_HALVED: u32 = 5;

/// The largest parameter of the first coding method.
const LARGEST: u32 = 14;

/// How the errors of a block are written, and in how many bits.
#[derive(Clone, Debug)]
pub(super) struct Rice {
    halved: u32,
    parameters: Vec<u32>,
    /// Bits of all, but for the guess itself.
    pub(super) bits: u64,
}

/// Signs moved to the lowest bit: 0, -1, 1, -2, 2.
#[inline]
fn unsigned(error: i32) -> u32 {
    (error << 1 ^ error >> 31) as u32
}

impl Rice {
    /// The shortest way; the block has `order` samples more than errors.
    pub(super) fn new(errors: &[i32], order: usize) -> Self {
        let length = errors.len() + order;
        let fits = |halved: &u32| length.is_multiple_of(1 << halved) && length >> halved > order;
        let finest = (0..=MOST_HALVED).rev().find(fits).unwrap_or(0);
        let part = length >> finest;
        // Sums of the finest parts, of which those of coarser ones are made.
        let mut sums: Vec<(u64, u64)> = (0..1usize << finest)
            .map(|n| {
                let range = (n * part).max(order) - order..(n + 1) * part - order;
                let sum = errors[range.clone()].iter().map(|&e| u64::from(unsigned(e))).sum();
                (sum, range.len() as u64)
            })
            .collect();
        let mut best: Option<Self> = None;
        for halved in (0..=finest).rev() {
            let chosen = sums.iter().map(|&(sum, count)| cheapest(sum, count));
            let (parameters, costs): (Vec<u32>, Vec<u64>) = chosen.unzip();
            let bits = 6 + costs.iter().map(|cost| cost + 4).sum::<u64>();
            if best.as_ref().is_none_or(|best| bits < best.bits) {
                best = Some(Self { halved, parameters, bits });
            }
            sums = sums
                .chunks(2)
                .map(|pair| pair.iter().fold((0, 0), |a, b| (a.0 + b.0, a.1 + b.1)))
                .collect();
        }
        best.unwrap_or(Self { halved: 0, parameters: vec![0], bits: u64::MAX })
    }

    /// Writes the errors.
    pub(super) fn put(&self, errors: &[i32], order: usize, bits: &mut BitWriter) {
        bits.put(0, 2);
        bits.put(u64::from(self.halved), 4);
        let part = (errors.len() + order) >> self.halved;
        let mut rest = errors;
        for (n, &parameter) in self.parameters.iter().enumerate() {
            let count = if n == 0 { part - order } else { part };
            let (now, later) = rest.split_at(count.min(rest.len()));
            rest = later;
            bits.put(u64::from(parameter), 4);
            for &error in now {
                let value = unsigned(error);
                bits.put_unary(value >> parameter);
                bits.put(u64::from(value), parameter);
            }
        }
    }
}

/// The parameter that takes the fewest bits for numbers of a sum, and about how many.
fn cheapest(sum: u64, count: u64) -> (u32, u64) {
    let bits = |parameter: u32| count * u64::from(parameter + 1) + (sum >> parameter);
    let mean = (sum / count.max(1)).max(1);
    let near = mean.ilog2().min(LARGEST);
    let tried = near.saturating_sub(1)..=(near + 1).min(LARGEST);
    tried
        .map(|parameter| (parameter, bits(parameter)))
        .min_by_key(|&(_, bits)| bits)
        .unwrap_or((0, bits(0)))
}
