//! Numbers in the operators of a page: the better part of a file, and as short as they can be.

/// No number with its sign, point and space is longer.
const LONGEST: usize = 24;

/// Writes a decimal fraction, `value` counting the last of its `PLACES`, without trailing zeros;
/// and a space.
pub(super) fn write<const PLACES: u32>(out: &mut Vec<u8>, value: i64) {
    let Some((word, count)) = in_a_word::<PLACES>(value) else {
        return write_any::<PLACES>(out, value);
    };
    let end = out.len() + count as usize;
    out.extend_from_slice(&word.to_le_bytes());
    out.truncate(end);
}

/// Writes two numbers of hundredths.
pub(super) fn write_pair(out: &mut Vec<u8>, one: i64, other: i64) {
    let (Some((word, count)), Some((next, next_count))) =
        (in_a_word::<2>(one), in_a_word::<2>(other))
    else {
        write::<2>(out, one);
        return write::<2>(out, other);
    };
    let words = u128::from(word) | u128::from(next) << (8 * count);
    let end = out.len() + (count + next_count) as usize;
    out.extend_from_slice(&words.to_le_bytes());
    out.truncate(end);
}

/// The letters of a number, the first in the lowest place, and how many they are; none of nought, nor of
/// one that has or may have more than eight with its sign and its space.
fn in_a_word<const PLACES: u32>(value: i64) -> Option<(u64, u32)> {
    let size = value.unsigned_abs();
    let (whole, fraction) = match PLACES {
        1 if (1..10 * 10_000).contains(&size) => {
            (whole(size as usize / 10), FRACTION[size as usize % 10 * 10])
        }
        2 if (1..100 * WHOLES as u64).contains(&size) => {
            (WHOLE[size as usize / 100], FRACTION[size as usize % 100])
        }
        _ => return None,
    };
    let sign = u32::from(value < 0);
    let mut word = u64::from(sign * u32::from(b'-'));
    let mut count = sign;
    for part in [whole, fraction] {
        word |= u64::from(part.bytes) << (8 * count);
        count += u32::from(part.count);
    }
    Some((word, count))
}

/// A whole number below 10,000.
fn whole(number: usize) -> FewBytes {
    if number < WHOLES {
        return WHOLE[number];
    }
    let figures = [number / 1000, number / 100 % 10, number / 10 % 10, number % 10];
    figures.into_iter().fold(NONE, |part, figure| part.and(b'0' + figure as u8))
}

/// The same of any size.
fn write_any<const PLACES: u32>(out: &mut Vec<u8>, value: i64) {
    let size = value.unsigned_abs();
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

const NONE: FewBytes = FewBytes { bytes: 0, count: 0 };

/// How many whole numbers are known: no coordinate of a page that is printed at home is larger.
const WHOLES: usize = 1000;

/// Whole numbers; nought is not written before a fraction.
static WHOLE: [FewBytes; WHOLES] = {
    let mut all = [NONE; WHOLES];
    let mut number = 1;
    while number < WHOLES {
        let figures = [number / 100, number / 10 % 10, number % 10];
        let mut part = NONE;
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
    let mut all = [NONE.and(b' '); 100];
    let mut number = 1;
    while number < 100 {
        let (tens, ones) = (b'0' + (number / 10) as u8, b'0' + (number % 10) as u8);
        let tens = NONE.and(b'.').and(tens);
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

    /// As the library writes a number, without a nought before the point or zeros at the end.
    fn as_the_library<const PLACES: usize>(value: i64) -> String {
        let size = 10_i64.pow(PLACES as u32);
        let plain = format!("{:.PLACES$}", value as f64 / size as f64);
        let short = plain.trim_end_matches('0').trim_end_matches('.');
        let short = short.replacen("0.", ".", usize::from(value.abs() < size));
        if value == 0 { "0 ".to_owned() } else { format!("{short} ") }
    }

    /// Small numbers and large ones are written alike.
    #[test]
    fn every_number_is_written_as_it_is_read() {
        for value in -110_000..110_000_i64 {
            assert_eq!(written::<1>(value), as_the_library::<1>(value), "{value}");
            assert_eq!(written::<2>(value), as_the_library::<2>(value), "{value}");
        }
    }

    #[test]
    fn two_numbers_are_written_as_one_and_one() {
        let values = [0, 1, -1, 70, -12_345, 99_999, -99_999, 100_000, -1_234_567];
        for (one, other) in values.iter().flat_map(|one| values.map(|other| (*one, other))) {
            let mut out = b"0 ".to_vec();
            write_pair(&mut out, one, other);
            let both = format!("0 {}{}", written::<2>(one), written::<2>(other));
            assert_eq!(String::from_utf8_lossy(&out), both);
        }
    }
}
