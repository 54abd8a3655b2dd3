//! WAV: a head of 44 bytes and the samples (Microsoft and IBM 1991).

use super::dsp::RATE;

/// Bytes of a sample.
const WIDTH: u32 = 2;

/// The head of a file of one channel.
pub(super) fn head(frames: u64) -> Vec<u8> {
    // No track is long enough to pass what the head can say.
    let bytes = u32::try_from(frames * u64::from(WIDTH)).unwrap_or(u32::MAX - 36);
    let mut head = Vec::with_capacity(44);
    head.extend(b"RIFF");
    head.extend((36 + bytes).to_le_bytes());
    head.extend(b"WAVEfmt ");
    head.extend(16u32.to_le_bytes());
    for word in [1u16, 1] {
        head.extend(word.to_le_bytes());
    }
    for long in [RATE, RATE * WIDTH] {
        head.extend(long.to_le_bytes());
    }
    for word in [WIDTH as u16, 16] {
        head.extend(word.to_le_bytes());
    }
    head.extend(b"data");
    head.extend(bytes.to_le_bytes());
    head
}

/// Samples as they stand in the file.
pub(super) fn body(samples: &[i16]) -> Vec<u8> {
    samples.iter().flat_map(|sample| sample.to_le_bytes()).collect()
}
