//! Reading fields of a drill that hold words.

use toml::Spanned;
use toml::de::DeValue;

use crate::source::DrillField as Field;
use crate::source::fields::{Fields, Mistakes, as_text, one_of};

/// A text that must be there and say something.
pub(super) fn words(
    fields: &mut Fields<'_>,
    name: Field,
    example: &str,
    mistakes: &mut Mistakes<'_>,
) -> Option<String> {
    let value = fields.required(name, example)?;
    let text = as_text(name, value, mistakes)?;
    let words = text.get_ref().trim();
    if words.is_empty() {
        mistakes.add(
            text.span(),
            format!("field `{}` is empty", name.name()),
            "write a word or two",
        );
        return None;
    }
    Some(words.to_owned())
}

/// One of a field's words, if the field is there.
pub(super) fn word<T: Copy>(
    fields: &mut Fields<'_>,
    name: Field,
    known: &[(&str, T)],
    mistakes: &mut Mistakes<'_>,
) -> Option<T> {
    let found = fields.text(name, mistakes)?;
    one_of(name.name(), &found, known, mistakes)
}

/// One of the words of a field that must be there.
pub(super) fn required_word<T: Copy>(
    fields: &mut Fields<'_>,
    (name, example): (Field, &str),
    known: &[(&str, T)],
    mistakes: &mut Mistakes<'_>,
) -> Option<T> {
    let value = fields.required(name, example)?;
    let found = as_text(name, value, mistakes)?;
    one_of(name.name(), &found, known, mistakes)
}

/// What a field holds: one value, or a list of several that take turns.
pub(super) fn of_turns<'a, T>(
    value: &'a Spanned<DeValue<'a>>,
    name: Field,
    example: &str,
    mistakes: &mut Mistakes<'_>,
    mut read: impl FnMut(&'a Spanned<DeValue<'a>>, &mut Mistakes<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    let Some(array) = value.get_ref().as_array() else {
        return Some(vec![read(value, mistakes)?]);
    };
    if array.is_empty() {
        let problem = format!("field `{}` is empty", name.name());
        mistakes.add(value.span(), problem, format!("write {example}"));
        return None;
    }
    let each: Vec<Option<T>> = array.iter().map(|value| read(value, mistakes)).collect();
    each.into_iter().collect()
}

/// A text, or several that take turns.
pub(super) fn turns<'a, T>(
    value: &'a Spanned<DeValue<'a>>,
    (name, example): (Field, &str),
    mistakes: &mut Mistakes<'_>,
    mut read: impl FnMut(&Spanned<&'a str>, &mut Mistakes<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    of_turns(value, name, example, mistakes, |value, mistakes| {
        let text = as_text(name, value, mistakes)?;
        read(&text, mistakes)
    })
}
