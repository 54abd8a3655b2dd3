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

/// Why a text in the place of a day is none, or not one alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// It is written as a day, and there is no such day.
    NoDay,
    /// It can be read as two days.
    TwoWays,
    /// It is the number that a spreadsheet has for a day.
    Bare,
}

/// What is wrong with a day as it is written; nothing with what is not written as one.
pub(crate) fn fault(text: &str) -> Option<Fault> {
    let text = text.trim();
    // Spreadsheets count days; eight figures are a year, a month and a day.
    if (4..8).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit()) {
        return (text.len() > 4).then_some(Fault::Bare);
    }
    match readings(text)?.as_slice() {
        [] => Some(Fault::NoDay),
        [_] => None,
        _ => Some(Fault::TwoWays),
    }
}

/// A day as year, month and day (ISO 8601), if there is one way alone to read it: a year of four
/// figures first or last, a month by its name, or figures that leave no choice. Between full stops
/// the day comes before the month, and a year may have its last two figures.
pub(crate) fn iso(text: &str) -> Option<String> {
    match readings(text)?.as_slice() {
        [(year, month, day)] => Some(format!("{year:04}-{month:02}-{day:02}")),
        _ => None,
    }
}

/// The days that a text can mean, as year, month and day; `None` where it is not written as one.
fn readings(text: &str) -> Option<Vec<(u32, u32, u32)>> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || ",./-".contains(c))
        .filter(|word| !word.is_empty() && !is_one_of(&WEEKDAYS, word))
        .collect();
    let [one, two, three] = words.as_slice() else { return None };
    let has_stops = text.contains('.') && !text.contains(['/', '-']);
    let year = |word: &str| number(word).filter(|_| word.len() == 4);
    let short = |word: &str| {
        let is_short =
            has_stops && word.len() == 2 && number(one).is_some() && number(two).is_some();
        number(word).filter(|_| is_short).map(|year| 2000 + year)
    };
    let (year, [first, second], is_first) = match (year(one), year(three).or_else(|| short(three)))
    {
        (Some(year), None) => (year, [two, three], true),
        (None, Some(year)) => (year, [one, two], false),
        _ => return None,
    };
    let ways = match (month(first), month(second), number(first), number(second)) {
        (Some(month), None, None, Some(day)) | (None, Some(month), Some(day), None) => {
            vec![(month, day)]
        }
        (None, None, Some(month), Some(day)) if is_first => vec![(month, day)],
        (None, None, Some(day), Some(month)) if text.contains('.') => vec![(month, day)],
        // The larger can be no month, or it makes no difference.
        (None, None, Some(a), Some(b)) if a == b => vec![(a, b)],
        (None, None, Some(a), Some(b)) => vec![(b, a), (a, b)],
        _ => return None,
    };
    let is_there = |(month, day): &(u32, u32)| (1..=days(year, *month)).contains(day);
    Some(ways.into_iter().filter(is_there).map(|(month, day)| (year, month, day)).collect())
}

/// How many days a month has; none where there is no such month.
fn days(year: u32, month: u32) -> u32 {
    match month {
        2 if year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400)) => {
            29
        }
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => 0,
    }
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
            "30.11.26",
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
            "30/11/26",
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

    #[test]
    fn what_is_written_as_a_day_and_is_none_is_known() {
        for text in
            ["31.02.2026", "2026-13-45", "13/13/2026", "0.1.2026", "31.11.26", "30 Feb 2026"]
        {
            assert_eq!(fault(text), Some(Fault::NoDay), "{text}");
        }
        for text in ["3/4/2026", "12-11-2026"] {
            assert_eq!(fault(text), Some(Fault::TwoWays), "{text}");
        }
        for text in ["45991", "459912"] {
            assert_eq!(fault(text), Some(Fault::Bare), "{text}");
        }
        for text in ["2026", "8.2.", "week 3", "20261130", "30.11.", "spring 2026", "3/3/2026"] {
            assert_eq!(fault(text), None, "{text}");
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
