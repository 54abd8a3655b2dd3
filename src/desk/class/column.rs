//! The columns of a class list: every field of a recipe that can be typed, and two of the list's
//! own.

use crate::recipe::fields::FIELDS;
use crate::source::{RecipeField as Field, slip};

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum ClassColumn {
    /// A field of the recipe.
    Field(Field),
    /// The day of the lesson, which names of files begin with.
    Date,
    /// Whether last week's sheet went well, so that the next one may be faster.
    WentWell,
}

/// The head of the column of students, who are fields of a recipe by another name, and of the
/// columns that are no such fields.
const NAME: &str = "name";
const DATE: &str = "date";
const WENT_WELL: &str = "went-well";

/// Heads that are taken for others.
const ALIASES: [(&str, &str); 2] = [("student", NAME), ("key", "keys")];

/// The fields that can be columns: those that can be typed.
fn fields() -> impl Iterator<Item = Field> {
    FIELDS.iter().filter(|row| !row.help.is_empty()).map(|row| row.field)
}

impl ClassColumn {
    /// Every column there can be.
    pub(crate) fn all() -> impl Iterator<Item = Self> {
        let own = [Self::Date, Self::WentWell];
        let is_own = move |field: &Field| own.iter().any(|column| column.head() == field.name());
        fields().filter(move |field| !is_own(field)).map(Self::Field).chain(own)
    }

    /// What stands at its head.
    pub(crate) fn head(self) -> &'static str {
        match self {
            Self::Field(Field::Student) => NAME,
            Self::Field(field) => field.name(),
            Self::Date => DATE,
            Self::WentWell => WENT_WELL,
        }
    }

    /// The field of the recipe that it fills, where there is one. A recipe may know dates or not.
    pub(crate) fn field(self) -> Option<Field> {
        match self {
            Self::Field(field) => Some(field),
            Self::Date | Self::WentWell => fields().find(|field| field.name() == self.head()),
        }
    }

    /// The column of a head, in small or capital letters and with blanks for hyphens.
    pub(crate) fn named(head: &str) -> Option<Self> {
        let head = plain(head);
        let alias = ALIASES.iter().find(|(alias, _)| *alias == head);
        let head = alias.map_or(head.as_str(), |(_, meant)| meant);
        Self::all().find(|column| column.head() == head)
    }

    /// The head that was probably meant by one that nobody knows.
    pub(crate) fn meant(head: &str) -> Option<&'static str> {
        slip(&plain(head), Self::all().map(Self::head))
    }
}

fn plain(head: &str) -> String {
    let words = head.trim().to_lowercase();
    words.split([' ', '_', '-']).filter(|word| !word.is_empty()).collect::<Vec<_>>().join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_column_is_found_by_its_head_and_every_field_that_can_be_typed_has_one() {
        for column in ClassColumn::all() {
            assert_eq!(ClassColumn::named(column.head()), Some(column));
        }
        for field in fields() {
            let of_field = |column: &ClassColumn| column.field() == Some(field);
            assert_eq!(ClassColumn::all().filter(of_field).count(), 1, "{field}");
        }
    }

    #[test]
    fn heads_are_read_as_people_write_them() {
        for (head, column) in [
            (" Name", ClassColumn::Field(Field::Student)),
            ("STUDENT", ClassColumn::Field(Field::Student)),
            ("Key", ClassColumn::Field(Field::Keys)),
            ("Went well", ClassColumn::WentWell),
            ("keys_a_page", ClassColumn::Field(Field::KeysAPage)),
        ] {
            assert_eq!(ClassColumn::named(head), Some(column), "{head}");
        }
        assert_eq!(ClassColumn::named("phone"), None);
    }

    #[test]
    fn a_slip_is_told_from_a_column_of_the_teachers_own() {
        for (head, meant) in
            [("tmepo", "tempo"), ("Keyes", "keys"), ("leveel", "level"), ("went wel", "went-well")]
        {
            assert_eq!(ClassColumn::meant(head), Some(meant));
        }
        for own in ["phone", "time", "age", "e-mail", "teacher", "instrument", "day", "room"] {
            assert_eq!(ClassColumn::meant(own), None, "{own}");
        }
    }
}
