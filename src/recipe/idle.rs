//! Which fields change nothing in a form, so that whoever asks for one there is told.

use super::DocumentForm;
use crate::source::RecipeField as Field;

/// The fields that change nothing in a form. A recipe that serves several forms may hold them; they
/// cannot be asked for of one.
pub(crate) const fn idle(form: DocumentForm) -> &'static [Field] {
    match form {
        DocumentForm::Workbook => &[Field::Boxes],
        DocumentForm::Handout => &[Field::Boxes, Field::Term],
        // Its boxes have the beginnings of drills and nothing round them.
        DocumentForm::Review => &[
            Field::Slip,
            Field::Watch,
            Field::Tracks,
            Field::TracksAt,
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
