//! A frame of the file: a block of samples, written the shortest way that is tried.

use super::BLOCK;
use super::bits::{BitWriter, crc8, crc16};
use super::predict::{Guess, PRECISION, weighted};
use super::rice::Rice;

/// Fewer samples than these are written as they are.
const FEWEST: usize = 32;

/// The frame of a number, counted from 0.
pub(super) fn packed(samples: &[i16], number: u64) -> Vec<u8> {
    let mut bits = head(samples.len(), number);
    let wide: Vec<i32> = samples.iter().map(|&sample| i32::from(sample)).collect();
    if wide.iter().all(|&sample| sample == wide[0]) {
        bits.put(0, 8);
        bits.put(samples[0] as u64, 16);
    } else {
        match shortest(&wide) {
            Some((guess, errors, rice)) => put_guessed(&wide, &guess, &errors, &rice, &mut bits),
            None => {
                bits.put(0b0000_0010, 8);
                samples.iter().for_each(|&sample| bits.put(sample as u64, 16));
            }
        }
    }
    bits.align();
    let crc = crc16(bits.so_far());
    bits.put(u64::from(crc), 16);
    bits.bytes()
}

fn head(length: usize, number: u64) -> BitWriter {
    let mut bits = BitWriter::default();
    bits.put(0b1111_1111_1111_1000, 16);
    let is_whole = length == BLOCK;
    bits.put(if is_whole { 0b1100 } else { 0b0111 }, 4);
    bits.put(0b1001, 4); // 44.1 kHz
    bits.put(0b0000_1000, 8); // one channel of 16 bits
    put_number(number, &mut bits);
    if !is_whole {
        bits.put(length as u64 - 1, 16);
    }
    let crc = crc8(bits.so_far());
    bits.put(u64::from(crc), 8);
    bits
}

/// A number the way UTF-8 writes the code of a character.
fn put_number(number: u64, bits: &mut BitWriter) {
    if number < 0x80 {
        return bits.put(number, 8);
    }
    // Each byte that follows has six bits, and takes one more from the first.
    let following = (1..=6).find(|&n| number < 1 << (6 * n + 6 - n)).unwrap_or(6);
    let ones = (0xff00_u64 >> (following + 1)) & 0xff;
    bits.put(ones | number >> (6 * following), 8);
    for n in (0..following).rev() {
        bits.put(0x80 | (number >> (6 * n) & 0x3f), 8);
    }
}

/// The guess that takes the fewest bits; none if the samples as they are take no more.
fn shortest(samples: &[i32]) -> Option<(Guess, Vec<i32>, Rice)> {
    if samples.len() < FEWEST {
        return None;
    }
    let guesses = (0..=4).map(Guess::Fixed).chain(weighted(samples));
    let tried = guesses.map(|guess| {
        let errors = guess.errors(samples);
        let rice = Rice::new(&errors, guess.order());
        let weights = match &guess {
            Guess::Fixed(_) => 0,
            Guess::Weighted { weights, .. } => 9 + weights.len() as u64 * u64::from(PRECISION),
        };
        (rice.bits + weights + 16 * guess.order() as u64, guess, errors, rice)
    });
    let (bits, guess, errors, rice) = tried.min_by_key(|(bits, ..)| *bits)?;
    (bits < 16 * samples.len() as u64).then_some((guess, errors, rice))
}

fn put_guessed(samples: &[i32], guess: &Guess, errors: &[i32], rice: &Rice, bits: &mut BitWriter) {
    let order = guess.order();
    let kind = match guess {
        Guess::Fixed(_) => 0b00_1000 | order,
        Guess::Weighted { .. } => 0b10_0000 | (order - 1),
    };
    bits.put((kind << 1) as u64, 8);
    samples[..order].iter().for_each(|&sample| bits.put(sample as u64, 16));
    if let Guess::Weighted { weights, shift } = guess {
        bits.put(u64::from(PRECISION - 1), 4);
        bits.put(u64::from(*shift), 5);
        weights.iter().for_each(|&weight| bits.put(weight as u64, PRECISION));
    }
    rice.put(errors, order, bits);
}
