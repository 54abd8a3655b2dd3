//! Reading the chords of a passage.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use crate::drill::language::degree_words::{NoDegree, PROGRESSIONS, progression};
use crate::drill::language::harmony::Degree;
use crate::source::DrillField as Field;
use crate::source::fields::{Fields, Mistakes, as_list, as_whole, one_of};
use crate::source::plain::shortened;
use crate::theory::{ChordProblem, Mode, read_chord};

/// Chords in one passage beyond which a sheet could not hold them.
const MOST_CHORDS: usize = 64;

/// The chords: `degrees`, or the name of a progression in a mode.
pub(crate) fn degrees(
    fields: &mut Fields<'_>,
    mode: Mode,
    mistakes: &mut Mistakes<'_>,
) -> Option<(Vec<Degree>, Range<usize>)> {
    if let Some(changes) = fields.value(Field::Changes) {
        let problem = "field `changes` names a tune, which no sheet or recipe opens";
        let mend = "print the file of the drill, which has the tune beside it";
        mistakes.add(changes.span(), problem, mend);
        fields.value(Field::Degrees);
        return None;
    }
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
    match Degree::parse(&found) {
        Ok(degree) => Some(degree),
        Err(reason) => {
            let (problem, mend) = no_degree(&found, &reason);
            mistakes.add(entry.span(), problem, mend);
            None
        }
    }
}

/// Why a word is no chord of a passage, and how to mend it.
fn no_degree(found: &str, reason: &NoDegree) -> (String, String) {
    let said = shortened(found);
    let in_words = |word: &str| match word.trim_start_matches(['b', '#', '\u{266d}', '\u{266f}']) {
        "1" => "I",
        "2" => "II",
        "3" => "III",
        "4" => "IV",
        "5" => "V",
        "6" => "VI",
        _ => "VII",
    };
    match reason {
        NoDegree::Kind(error) => {
            let mend = match error.problem {
                ChordProblem::SaidTwice => "leave it out once",
                _ => "write a numeral with the kind of its chord, as in V7b9, ii7, IVm6, I6",
            };
            (format!("in `{said}` {error}"), mend.to_owned())
        }
        NoDegree::Bare => {
            let sign = if found.starts_with(['b', '\u{266d}']) { "b" } else { "#" };
            let numeral = format!("{sign}{}", in_words(found));
            let mend =
                format!("write its numeral with its kind, as in {numeral}7 or {numeral}maj7");
            (format!("`{said}` does not say what kind of chord stands there"), mend)
        }
        NoDegree::Bass => {
            let mend = "write the bass as a degree of the major scale, as in I over 3, V7 over b2";
            (format!("`{said}` has no bass that can be read"), mend.to_owned())
        }
        NoDegree::Written => {
            let mend = "write the name of the root as a degree of the major scale, as in bVImaj7 \
                        written #5";
            (format!("`{said}` has no name of its root that can be read"), mend.to_owned())
        }
        NoDegree::Unknown => {
            let is_number = found.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
            if is_number {
                let mend = "write 1 to 7, 8 for the octave, \"low5\" for one below the tonic, or \
                            \"5/2\" for the dominant of 2";
                return (
                    format!("degree {said} is not in a scale of seven notes"),
                    mend.to_owned(),
                );
            }
            if let Some((number, kind)) = number_and_kind(found) {
                let mend = format!("write the numeral with its kind: {}{kind}", in_words(number));
                return (format!("`{said}` is no degree"), mend);
            }
            let is_symbol = read_chord(found).is_ok();
            let mend = if is_symbol {
                "a drill has no key yet: write a numeral with the kind of its chord, as in V7, ii7"
            } else {
                "write 1 to 7, 8 for the octave, \"low5\" for one below the tonic, \"5/2\" for the \
                 dominant of 2, or a numeral with the kind of its chord, as in \"I7\" or \"bVII7\""
            };
            (format!("`{said}` is no degree"), mend.to_owned())
        }
    }
}

/// A number and what somebody wrote behind it for the kind of its chord.
fn number_and_kind(word: &str) -> Option<(&str, &str)> {
    let (number, kind) = word.split_at_checked(1)?;
    let kind = kind.trim_start_matches([':', '-', ' ', '_']);
    let is_kind = !kind.is_empty() && read_chord(&format!("C{kind}")).is_ok();
    (number.chars().all(|c| matches!(c, '1'..='7')) && is_kind).then_some((number, kind))
}
