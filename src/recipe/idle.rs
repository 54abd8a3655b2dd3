//! Which fields change nothing in a form, so that whoever asks for one there is told.

use super::Form;
use crate::source::RecipeField as Field;

/// The fields that change nothing in a form. A recipe that serves several forms may hold them; they
/// cannot be asked for of one.
pub(crate) const fn idle(form: Form) -> &'static [Field] {
    match form {
        Form::Workbook => &[Field::Boxes],
        Form::Handout => &[Field::Boxes, Field::Term],
        // Its boxes have the beginnings of drills and nothing round them.
        Form::Review => &[
            Field::Slip,
            Field::Watch,
            Field::Goal,
            Field::Bars,
            Field::KeysAPage,
            Field::Counts,
            Field::LogEvery,
            Field::Term,
            Field::Logo,
        ],
    }
}
