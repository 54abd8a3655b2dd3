//! Days as people write them.

/// Names of months, of which three letters are enough.
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Names of days of the week, which say nothing that the rest does not.
const WEEKDAYS: [&str; 7] =
    ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

/// A day as year, month and day (ISO 8601), if there is one way alone to read it: a year of four
/// figures first or last, a month by its name, or figures that leave no choice. Between full stops
/// the day comes before the month.
pub(crate) fn iso(text: &str) -> Option<String> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || ",./-".contains(c))
        .filter(|word| !word.is_empty() && !is_one_of(&WEEKDAYS, word))
        .collect();
    let [one, two, three] = words.as_slice() else { return None };
    let year = |word: &str| number(word).filter(|_| word.len() == 4);
    let (year, [first, second], is_first) = match (year(one), year(three)) {
        (Some(year), None) => (year, [two, three], true),
        (None, Some(year)) => (year, [one, two], false),
        _ => return None,
    };
    let (month, day) = match (month(first), month(second), number(first), number(second)) {
        (Some(month), None, None, Some(day)) | (None, Some(month), Some(day), None) => (month, day),
        (None, None, Some(month), Some(day)) if is_first => (month, day),
        (None, None, Some(day), Some(month)) if text.contains('.') => (month, day),
        // The larger can be no month, or it makes no difference.
        (None, None, Some(a), Some(b)) if a > 12 || a == b => (b, a),
        (None, None, Some(a), Some(b)) if b > 12 => (a, b),
        _ => return None,
    };
    let days = match month {
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => {
            29
        }
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    (1..=days).contains(&day).then(|| format!("{year:04}-{month:02}-{day:02}"))
}

fn number(word: &str) -> Option<u32> {
    let is_number = word.len() <= 4 && word.bytes().all(|byte| byte.is_ascii_digit());
    // As in 30th.
    let ordinal = || ["st", "nd", "rd", "th"].iter().find_map(|end| word.strip_suffix(end));
    if is_number { word.parse().ok() } else { ordinal()?.parse().ok() }
}

fn month(word: &str) -> Option<u32> {
    let index = MONTHS.iter().position(|month| is_one_of(&[*month], word))?;
    u32::try_from(index + 1).ok()
}

/// Whether a word is one of some names, or three letters or more of it.
fn is_one_of(names: &[&str], word: &str) -> bool {
    let word = word.to_lowercase();
    word.len() >= 3 && names.iter().any(|name| name.starts_with(&word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_that_is_plain_is_written_in_order() {
        for text in [
            "2026-11-30",
            "2026/11/30",
            "30.11.2026",
            "30. 11. 2026",
            "30/11/2026",
            "11/30/2026",
            "Monday, 30 November 2026",
            "Nov 30, 2026",
            "November 30th, 2026",
            "Mon 30-Nov-2026",
        ] {
            assert_eq!(iso(text).as_deref(), Some("2026-11-30"), "{text}");
        }
        assert_eq!(iso("1.2.2026").as_deref(), Some("2026-02-01"));
        assert_eq!(iso("2/2/2026").as_deref(), Some("2026-02-02"));
        assert_eq!(iso("29.2.2028").as_deref(), Some("2028-02-29"));
    }

    #[test]
    fn what_can_be_read_in_two_ways_or_in_none_is_left_alone() {
        for text in [
            "1/2/2026",
            "8.2.",
            "30.11.26",
            "31.11.2026",
            "29.2.2026",
            "2026",
            "week 3",
            "0.1.2026",
            "13/13/2026",
            "30 2026 11",
            "2026-11-30 2026",
        ] {
            assert_eq!(iso(text), None, "{text}");
        }
    }

    /// Every day of some years, in every way of writing it that is plain.
    #[test]
    fn every_day_comes_out_as_it_went_in() {
        for (year, month, day) in (2027..=2028)
            .flat_map(|year| (1..=12).map(move |month| (year, month)))
            .flat_map(|(year, month)| (1..=31).map(move |day| (year, month, day)))
        {
            let written = format!("{year:04}-{month:02}-{day:02}");
            let Some(iso_day) = iso(&written) else {
                assert!(day > 28);
                continue;
            };
            assert_eq!(iso_day, written);
            let name = MONTHS[month as usize - 1];
            for other in [
                format!("{day}.{month}.{year}"),
                format!("{day} {name} {year}"),
                format!("{} {day}, {year}", &name[..3]),
            ] {
                assert_eq!(iso(&other).as_deref(), Some(written.as_str()), "{other}");
            }
        }
    }
}
