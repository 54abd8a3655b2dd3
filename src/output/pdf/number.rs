//! Numbers in the operators of a page: the better part of a file, and as short as they can be.

/// No number with its sign, point and space is longer.
const LONGEST: usize = 24;

/// Writes a decimal fraction, `value` counting the last of its `PLACES`, without trailing zeros;
/// and a space.
pub(super) fn write<const PLACES: u32>(out: &mut Vec<u8>, value: i64) {
    let size = value.unsigned_abs();
    if PLACES == 2 && (1..100 * WHOLES as u64).contains(&size) {
        let (whole, fraction) = (WHOLE[size as usize / 100], FRACTION[size as usize % 100]);
        return write_parts(out, value < 0, whole, fraction);
    }
    let one = const { 10_u64.pow(PLACES) };
    let (mut whole, mut fraction) = (size / one, size % one);
    // Written from the back: the space, the fraction, its point, the whole part, the sign.
    let mut text = [b' '; LONGEST];
    let mut start = text.len() - 1;
    let mut put = |byte: u8| {
        start -= 1;
        text[start] = byte;
    };
    if fraction > 0 {
        let mut is_trailing = true;
        for _ in 0..PLACES {
            let digit = (fraction % 10) as u8;
            fraction /= 10;
            is_trailing &= digit == 0;
            if !is_trailing {
                put(b'0' + digit);
            }
        }
        put(b'.');
    }
    while whole > 0 {
        put(b'0' + (whole % 10) as u8);
        whole /= 10;
    }
    if value == 0 {
        put(b'0');
    }
    if value < 0 {
        put(b'-');
    }
    out.extend_from_slice(&text[start..]);
}

/// A few bytes, the first in the lowest place, and how many they are.
#[derive(Clone, Copy)]
struct FewBytes {
    bytes: u32,
    count: u8,
}

impl FewBytes {
    /// The same with one more.
    const fn and(self, byte: u8) -> Self {
        Self { bytes: self.bytes | (byte as u32) << (8 * self.count), count: self.count + 1 }
    }
}

/// A number of hundredths, which is not nought, put together from its parts: with its sign and its
/// space it has eight bytes at the most, which are written as one word and cut.
fn write_parts(out: &mut Vec<u8>, is_negative: bool, whole: FewBytes, fraction: FewBytes) {
    let sign = u32::from(is_negative);
    let mut word = u64::from(sign * u32::from(b'-'));
    let mut count = sign;
    for part in [whole, fraction] {
        word |= u64::from(part.bytes) << (8 * count);
        count += u32::from(part.count);
    }
    let end = out.len() + count as usize;
    out.extend_from_slice(&word.to_le_bytes());
    out.truncate(end);
}

/// How many whole numbers are known: no coordinate of a page that is printed at home is larger.
const WHOLES: usize = 1000;

/// Whole numbers; nought is not written before a fraction.
static WHOLE: [FewBytes; WHOLES] = {
    let mut all = [FewBytes { bytes: 0, count: 0 }; WHOLES];
    let mut number = 1;
    while number < WHOLES {
        let figures = [number / 100, number / 10 % 10, number % 10];
        let mut part = FewBytes { bytes: 0, count: 0 };
        let mut place = 0;
        while place < 3 {
            if part.count > 0 || figures[place] > 0 {
                part = part.and(b'0' + figures[place] as u8);
            }
            place += 1;
        }
        all[number] = part;
        number += 1;
    }
    all
};

/// Hundredths with their point, and the space after a number.
static FRACTION: [FewBytes; 100] = {
    let none = FewBytes { bytes: 0, count: 0 };
    let mut all = [none.and(b' '); 100];
    let mut number = 1;
    while number < 100 {
        let (tens, ones) = (b'0' + (number / 10) as u8, b'0' + (number % 10) as u8);
        let tens = none.and(b'.').and(tens);
        all[number] = if ones == b'0' { tens } else { tens.and(ones) }.and(b' ');
        number += 1;
    }
    all
};

#[cfg(test)]
mod tests {
    use super::*;

    fn written<const PLACES: u32>(value: i64) -> String {
        let mut out = b"0 ".to_vec();
        write::<PLACES>(&mut out, value);
        String::from_utf8_lossy(&out[2..]).into_owned()
    }

    #[test]
    fn numbers_are_as_short_as_they_can_be() {
        assert_eq!(written::<2>(0), "0 ");
        assert_eq!(written::<2>(5), ".05 ");
        assert_eq!(written::<2>(-50), "-.5 ");
        assert_eq!(written::<2>(1200), "12 ");
        assert_eq!(written::<2>(120_305), "1203.05 ");
        assert_eq!(written::<3>(-1234), "-1.234 ");
        assert_eq!(written::<0>(100), "100 ");
        assert_eq!(written::<3>(i64::MIN), "-9223372036854775.808 ");
    }

    /// Small numbers and large ones are written alike: as the library writes them, without a
    /// nought before the point or zeros at the end.
    #[test]
    fn every_hundredth_is_written_as_it_is_read() {
        for value in -110_000..110_000_i64 {
            let text = written::<2>(value);
            let plain = format!("{:.2}", value as f64 / 100.0);
            let short = plain.trim_end_matches('0').trim_end_matches('.');
            let short = short.replacen("0.", ".", usize::from(value.abs() < 100));
            let short = if value == 0 { "0".to_owned() } else { short };
            assert_eq!(text, format!("{short} "), "{value}");
        }
    }
}
