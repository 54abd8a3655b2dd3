//! Bits in a row, the highest first, and what proves that they arrived.

/// Bits that become bytes.
#[derive(Debug, Default)]
pub(super) struct BitWriter {
    bytes: Vec<u8>,
    /// Bits that make no byte yet, in the low end.
    kept: u64,
    count: u32,
}

impl BitWriter {
    /// Adds the low bits of a number; at most 56.
    #[inline]
    pub(super) fn put(&mut self, value: u64, bits: u32) {
        self.kept = self.kept << bits | (value & ((1 << bits) - 1));
        self.count += bits;
        while self.count >= 8 {
            self.count -= 8;
            self.bytes.push((self.kept >> self.count) as u8);
        }
    }

    /// Adds so many zeros and a one.
    #[inline]
    pub(super) fn put_unary(&mut self, mut zeros: u32) {
        while zeros >= 32 {
            self.put(0, 32);
            zeros -= 32;
        }
        self.put(1, zeros + 1);
    }

    /// Fills up with zeros to a whole byte.
    pub(super) fn align(&mut self) {
        if self.count > 0 {
            self.put(0, 8 - self.count);
        }
    }

    /// What there is so far, in whole bytes.
    pub(super) fn so_far(&self) -> &[u8] {
        &self.bytes
    }

    /// All of it, filled up.
    pub(super) fn bytes(mut self) -> Vec<u8> {
        self.align();
        self.bytes
    }
}

/// The remainder of bytes by the polynomial x^8 + x^2 + x + 1.
pub(super) fn crc8(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |crc, byte| {
        (0..8).fold(crc ^ byte, |crc, _| crc << 1 ^ if crc & 0x80 != 0 { 0x07 } else { 0 })
    })
}

/// The remainder of bytes by the polynomial x^16 + x^15 + x^2 + 1.
pub(super) fn crc16(bytes: &[u8]) -> u16 {
    const TABLE: [u16; 256] = {
        let mut table = [0u16; 256];
        let mut byte = 0;
        while byte < 256 {
            let mut crc = (byte as u16) << 8;
            let mut bit = 0;
            while bit < 8 {
                crc = crc << 1 ^ if crc & 0x8000 != 0 { 0x8005 } else { 0 };
                bit += 1;
            }
            table[byte] = crc;
            byte += 1;
        }
        table
    };
    bytes.iter().fold(0, |crc, &byte| crc << 8 ^ TABLE[usize::from((crc >> 8) as u8 ^ byte)])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bits_come_out_in_order() {
        let mut bits = BitWriter::default();
        bits.put(0b101, 3);
        bits.put_unary(2);
        bits.put(0x1234, 16);
        bits.put_unary(70);
        bits.align();
        let found = bits.bytes();
        assert_eq!(found[..3], [0b1010_0100, 0b0100_1000, 0b1101_0000]);
        assert_eq!(found.len(), (3 + 3 + 16 + 71_usize).div_ceil(8));
    }

    /// The check values of the catalogue of these polynomials.
    #[test]
    fn remainders_are_those_of_the_catalogue() {
        assert_eq!(crc8(b"123456789"), 0xf4);
        assert_eq!(crc16(b"123456789"), 0xfee8);
    }
}
