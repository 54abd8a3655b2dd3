//! Reading the chords of a passage.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::drill::language::harmony::{Degree, PROGRESSIONS, progression};
use crate::source::DrillField as Field;
use crate::source::fields::{Fields, Mistakes, as_list, as_whole, one_of};
use crate::theory::Mode;

/// Chords in one passage beyond which a sheet could not hold them.
const MOST_CHORDS: usize = 64;

/// The chords: `degrees`, or the name of a progression in a mode.
pub(crate) fn degrees(
    fields: &mut Fields<'_>,
    mode: Mode,
    mistakes: &mut Mistakes<'_>,
) -> Option<(Vec<Degree>, Range<usize>)> {
    let named = fields.text(Field::Progression, mistakes);
    let value = fields.value(Field::Degrees);
    match (named, value) {
        (Some(name), None) => {
            let known: Vec<(&str, usize)> =
                PROGRESSIONS.iter().enumerate().map(|(row, (name, _))| (*name, row)).collect();
            let row = one_of("progression", &name, &known, mistakes)?;
            Some((progression(row, mode), name.span()))
        }
        (Some(_), Some(value)) => {
            let problem = "a passage has `degrees` or a `progression`, not both";
            mistakes.add(value.span(), problem, "leave one of them out");
            None
        }
        (None, None) => {
            let mend = "write degrees = [1, 2, 3, 4] or progression = \"scale-up\"";
            mistakes.add(fields.span(), "field `degrees` is missing", mend);
            None
        }
        (None, Some(value)) => Some((written_degrees(value, mistakes)?, value.span())),
    }
}

fn written_degrees(
    value: &Spanned<DeValue<'_>>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<Degree>> {
    let array = as_list(Field::Degrees, value, "[2, 5, 1]", mistakes)?;
    if array.is_empty() || array.len() > MOST_CHORDS {
        let problem = format!("field `degrees` has {} entries", array.len());
        mistakes.add(value.span(), problem, format!("write 1 to {MOST_CHORDS}"));
        return None;
    }
    let degrees: Vec<Option<Degree>> =
        array.iter().map(|entry| written_degree(entry, mistakes)).collect();
    degrees.into_iter().collect()
}

fn written_degree(entry: &Spanned<DeValue<'_>>, mistakes: &mut Mistakes<'_>) -> Option<Degree> {
    let found = match entry.get_ref() {
        DeValue::String(word) => word.trim().to_owned(),
        other => as_whole(other).map_or_else(|| other.type_str().to_owned(), |n| n.to_string()),
    };
    let degree = Degree::parse(&found);
    if degree.is_none() {
        let problem = if found.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-') {
            format!("degree {found} is not in a scale of seven notes")
        } else {
            format!("`{found}` is no degree")
        };
        let mend = "write 1 to 7, 8 for the octave, \"low5\" for one below the tonic, or \
                    \"5/2\" for the dominant of 2";
        mistakes.add(entry.span(), problem, mend);
    }
    degree
}
