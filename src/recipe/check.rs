//! What a recipe must keep to beyond the types of its fields.

use std::ops::RangeInclusive;

use thiserror::Error;

use super::{Binding, CourseDrill, KeyOrder, Orientation, RECIPE_VERSION, Recipe};
use crate::theory::AskedKey;

/// Tempi a recipe may ask for, in beats a minute: wider than a clockwork metronome's 40
/// to 208 (common practice, no source), since half-time and double-time practice are usual.
pub const TEMPI: RangeInclusive<u16> = 20..=400;

/// Most characters of a line of text; more would not fit on a cover.
pub const TEXT_LIMIT: usize = 120;

/// Most characters of a path.
const PATH_LIMIT: usize = 1024;

/// Most bytes of a drill template; the longest of the library is a tenth of it.
pub const LARGEST_TEMPLATE: usize = 64 * 1024;

/// Most bytes of a picture in base64: 8 MiB of picture.
const LOGO_DATA_LIMIT: usize = (8 * 1024 * 1024) / 3 * 4 + 4;

/// Most drills of a course.
pub const MOST_DRILLS: usize = 64;

/// Most bytes of all templates of a course together.
const LARGEST_COURSE: usize = 4 * LARGEST_TEMPLATE;

/// Most bytes of a recipe as TOML or JSON. Templates count eightfold, since JSON writes some
/// characters with six, and what else there is fits in the rest.
pub const LARGEST_RECIPE: usize = LOGO_DATA_LIMIT + 8 * LARGEST_COURSE;

/// Why a field of a recipe cannot stand.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum FieldError {
    /// Made by a later program.
    #[error(
        "made by a newer Quintfall (recipe version {found}; this program knows {RECIPE_VERSION})"
    )]
    Newer {
        /// The version found.
        found: i64,
    },
    /// No version there ever was.
    #[error("there is no recipe version {found}")]
    NoSuchVersion {
        /// The version found.
        found: i64,
    },
    /// A tempo or goal outside [`TEMPI`].
    #[error("{field} {found} is out of range")]
    OutOfRange {
        /// The field.
        field: &'static str,
        /// The number found.
        found: i64,
    },
    /// The goal is slower than the start.
    #[error("goal {goal} is slower than tempo {tempo}")]
    GoalBelowTempo {
        /// The goal found.
        goal: u16,
        /// The tempo found.
        tempo: u16,
    },
    /// No key at all.
    #[error("keys is empty")]
    NoKeys,
    /// The same key twice.
    #[error("keys has {0} twice")]
    KeyTwice(AskedKey),
    /// Two keys that sound the same.
    #[error("keys has {first} and {second}, which sound the same")]
    SameKey {
        /// The first of them.
        first: AskedKey,
        /// The second of them.
        second: AskedKey,
    },
    /// A line break, tab or other control character in a line of text.
    #[error("{field} has a control character (U+{:04X})", *.found as u32)]
    ControlCharacter {
        /// The field.
        field: &'static str,
        /// The character found.
        found: char,
    },
    /// More text than the field can hold.
    #[error("{field} is {length} {unit} long")]
    TooLong {
        /// The field.
        field: &'static str,
        /// Its length.
        length: usize,
        /// The most it may be.
        limit: usize,
        /// What lengths are counted in.
        unit: &'static str,
    },
    /// An empty drill.
    #[error("drill is empty")]
    NoDrill,
    /// A course with an empty drill in it.
    #[error("course has a drill without a name")]
    NamelessDrill,
    /// One drill beside a course of them.
    #[error("{field} and course are both there")]
    BesideCourse {
        /// The field of the one drill.
        field: &'static str,
    },
    /// The same drill twice.
    #[error("course has `{0}` twice")]
    DrillTwice(String),
    /// More drills than a course may have.
    #[error("course has {found} drills")]
    TooManyDrills {
        /// How many it has.
        found: usize,
    },
    /// A seed for keys that are not shuffled.
    #[error("there is a seed but nothing to shuffle")]
    SeedForNothing,
    /// A booklet whose pages cannot be folded into one.
    #[error("a booklet is folded from upright pages and has its binding in the fold")]
    BookletLaidOut,
}

impl FieldError {
    /// The field at fault.
    pub fn field(&self) -> &'static str {
        match self {
            Self::Newer { .. } | Self::NoSuchVersion { .. } => "quintfall",
            Self::OutOfRange { field, .. }
            | Self::ControlCharacter { field, .. }
            | Self::TooLong { field, .. } => field,
            Self::GoalBelowTempo { .. } => "goal",
            Self::NoKeys | Self::KeyTwice(_) | Self::SameKey { .. } => "keys",
            Self::NoDrill => "drill",
            Self::NamelessDrill | Self::DrillTwice(_) | Self::TooManyDrills { .. } => "course",
            Self::BesideCourse { field } => field,
            Self::SeedForNothing => "seed",
            Self::BookletLaidOut => "booklet",
        }
    }

    /// How to mend it.
    pub fn mend(&self) -> String {
        match self {
            Self::Newer { .. } => "use that newer program".to_owned(),
            Self::NoSuchVersion { .. } => format!("write {RECIPE_VERSION} or leave it out"),
            Self::OutOfRange { .. } => {
                format!("write {} to {} beats a minute", TEMPI.start(), TEMPI.end())
            }
            Self::GoalBelowTempo { tempo, .. } => {
                format!("raise the goal to {tempo} or more, or lower the tempo")
            }
            Self::NoKeys => "write at least one, as in C or Bb".to_owned(),
            Self::KeyTwice(_) | Self::SameKey { .. } => "keep one of them".to_owned(),
            Self::ControlCharacter { .. } => "write it on one line of plain text".to_owned(),
            Self::TooLong { limit, unit, .. } => format!("shorten it to {limit} {unit}"),
            Self::NoDrill | Self::NamelessDrill => {
                "write the name of a drill or the path of a drill file".to_owned()
            }
            Self::BesideCourse { .. } | Self::DrillTwice(_) => "keep one of them".to_owned(),
            Self::TooManyDrills { .. } => format!("keep {MOST_DRILLS} or fewer"),
            Self::SeedForNothing => "write order = \"shuffled\" or leave the seed out".to_owned(),
            Self::BookletLaidOut => {
                "leave orientation at portrait and binding at none, or booklet at false".to_owned()
            }
        }
    }

    /// What is wrong and how to mend it, in one line.
    pub fn line(&self) -> String {
        format!("{self}; {}", self.mend())
    }
}

impl Recipe {
    /// The same recipe with its texts trimmed and blank ones left out, if every field can stand.
    /// Errors with the first field that cannot.
    pub fn checked(mut self) -> Result<Self, FieldError> {
        check_version(i64::from(self.quintfall))?;
        self.quintfall = RECIPE_VERSION;
        for text in [&mut self.title, &mut self.student, &mut self.studio, &mut self.logo] {
            *text = text.take().map(|text| text.trim().to_owned()).filter(|text| !text.is_empty());
        }
        self.drill = self.drill.trim().to_owned();
        self.template = self.template.take().filter(|text| !text.trim().is_empty());
        for part in &mut self.course {
            part.drill = part.drill.trim().to_owned();
            part.template = part.template.take().filter(|text| !text.trim().is_empty());
        }
        self.logo_data = self.logo_data.take().filter(|text| !text.trim().is_empty());
        self.check_texts()?;
        check_beats("tempo", i64::from(self.tempo))?;
        if let Some(goal) = self.goal {
            check_beats("goal", i64::from(goal))?;
            if goal < self.tempo {
                return Err(FieldError::GoalBelowTempo { goal, tempo: self.tempo });
            }
        }
        self.check_course()?;
        self.check_keys()?;
        if self.seed.is_some() && self.order != Some(KeyOrder::Shuffled) {
            return Err(FieldError::SeedForNothing);
        }
        if let Some(order) = self.order {
            order.arrange(&mut self.keys, self.seed.unwrap_or(0));
        }
        let is_landscape = self.orientation == Orientation::Landscape;
        if self.booklet && (is_landscape || self.binding != Binding::None) {
            return Err(FieldError::BookletLaidOut);
        }
        Ok(self)
    }

    /// Checks the lengths and characters of all texts.
    fn check_texts(&self) -> Result<(), FieldError> {
        let lines = [
            ("title", self.title.as_deref(), TEXT_LIMIT),
            ("student", self.student.as_deref(), TEXT_LIMIT),
            ("studio", self.studio.as_deref(), TEXT_LIMIT),
            ("drill", Some(self.drill.as_str()), PATH_LIMIT),
            ("logo", self.logo.as_deref(), PATH_LIMIT),
        ];
        for (field, text, limit) in lines {
            let text = text.unwrap_or_default();
            if let Some(found) = text.chars().find(|c| c.is_control()) {
                return Err(FieldError::ControlCharacter { field, found });
            }
            check_length(field, text.chars().count(), limit, "characters")?;
        }
        if self.drill.is_empty() && !self.is_course() {
            return Err(FieldError::NoDrill);
        }
        let length = |text: &Option<String>| text.as_ref().map_or(0, String::len);
        check_length("template", length(&self.template), LARGEST_TEMPLATE, "bytes")?;
        check_length("logo_data", length(&self.logo_data), LOGO_DATA_LIMIT, "bytes")
    }

    /// Checks that the course has drills enough and none twice, and stands alone.
    fn check_course(&self) -> Result<(), FieldError> {
        if !self.is_course() {
            return Ok(());
        }
        for (field, is_there) in
            [("drill", !self.drill.is_empty()), ("template", self.template.is_some())]
        {
            if is_there {
                return Err(FieldError::BesideCourse { field });
            }
        }
        if self.course.len() > MOST_DRILLS {
            return Err(FieldError::TooManyDrills { found: self.course.len() });
        }
        let mut bytes = 0;
        for (index, part) in self.course.iter().enumerate() {
            if part.drill.is_empty() {
                return Err(FieldError::NamelessDrill);
            }
            if let Some(found) = part.drill.chars().find(|c| c.is_control()) {
                return Err(FieldError::ControlCharacter { field: "course", found });
            }
            check_length("course", part.drill.chars().count(), PATH_LIMIT, "characters")?;
            // Files of one name in two folders may hold two drills.
            let is_same =
                |other: &CourseDrill| other.template.is_none() && other.drill == part.drill;
            if part.template.is_none() && self.course[..index].iter().any(is_same) {
                return Err(FieldError::DrillTwice(part.drill.clone()));
            }
            bytes += part.template.as_ref().map_or(0, String::len);
        }
        check_length("course", bytes, LARGEST_COURSE, "bytes")
    }

    /// Checks that there are keys and that no two sound the same.
    fn check_keys(&self) -> Result<(), FieldError> {
        let mut places: [Option<AskedKey>; 12] = [None; 12];
        for &second in &self.keys {
            match places[second.place_in_round()].replace(second) {
                Some(first) if first == second => return Err(FieldError::KeyTwice(first)),
                Some(first) => return Err(FieldError::SameKey { first, second }),
                None => {}
            }
        }
        if self.keys.is_empty() { Err(FieldError::NoKeys) } else { Ok(()) }
    }
}

/// Errors if this program cannot read recipes of this version.
pub(super) fn check_version(found: i64) -> Result<(), FieldError> {
    if found > i64::from(RECIPE_VERSION) {
        Err(FieldError::Newer { found })
    } else if found < 1 {
        Err(FieldError::NoSuchVersion { found })
    } else {
        Ok(())
    }
}

/// A tempo or goal as a number of beats a minute, if it lies in [`TEMPI`].
pub(super) fn check_beats(field: &'static str, found: i64) -> Result<u16, FieldError> {
    u16::try_from(found)
        .ok()
        .filter(|beats| TEMPI.contains(beats))
        .ok_or(FieldError::OutOfRange { field, found })
}

fn check_length(
    field: &'static str,
    length: usize,
    limit: usize,
    unit: &'static str,
) -> Result<(), FieldError> {
    if length <= limit { Ok(()) } else { Err(FieldError::TooLong { field, length, limit, unit }) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn fails(change: impl FnOnce(&mut Recipe), field: &str, line: &str) {
        let mut recipe = Recipe::default();
        change(&mut recipe);
        let error = recipe.checked().unwrap_err();
        assert_eq!((error.field(), error.line().as_str()), (field, line));
    }

    #[test]
    fn the_default_recipe_can_stand_as_it_is() {
        assert_eq!(Recipe::default().checked(), Ok(Recipe::default()));
    }

    #[test]
    fn every_rule_says_what_is_wrong_and_how_to_mend_it() {
        fails(
            |recipe| recipe.quintfall = 3,
            "quintfall",
            "made by a newer Quintfall (recipe version 3; this program knows 2); \
             use that newer program",
        );
        fails(
            |recipe| recipe.quintfall = 0,
            "quintfall",
            "there is no recipe version 0; write 2 or leave it out",
        );
        fails(
            |recipe| recipe.tempo = 401,
            "tempo",
            "tempo 401 is out of range; write 20 to 400 beats a minute",
        );
        fails(
            |recipe| recipe.goal = Some(19),
            "goal",
            "goal 19 is out of range; write 20 to 400 beats a minute",
        );
        fails(
            |recipe| recipe.goal = Some(79),
            "goal",
            "goal 79 is slower than tempo 80; raise the goal to 80 or more, or lower the tempo",
        );
        fails(
            |recipe| recipe.keys.clear(),
            "keys",
            "keys is empty; write at least one, as in C or Bb",
        );
        fails(
            |recipe| recipe.keys.push("F#".parse().unwrap()),
            "keys",
            "keys has G♭ and F♯, which sound the same; keep one of them",
        );
        fails(
            |recipe| recipe.keys.push("C".parse().unwrap()),
            "keys",
            "keys has C twice; keep one of them",
        );
        fails(
            |recipe| recipe.student = Some("Anna\nBen".to_owned()),
            "student",
            "student has a control character (U+000A); write it on one line of plain text",
        );
        fails(
            |recipe| recipe.title = Some("x".repeat(121)),
            "title",
            "title is 121 characters long; shorten it to 120 characters",
        );
        fails(
            |recipe| (recipe.booklet, recipe.orientation) = (true, Orientation::Landscape),
            "booklet",
            "a booklet is folded from upright pages and has its binding in the fold; \
             leave orientation at portrait and binding at none, or booklet at false",
        );
        fails(
            |recipe| (recipe.booklet, recipe.binding) = (true, Binding::Duplex),
            "booklet",
            "a booklet is folded from upright pages and has its binding in the fold; \
             leave orientation at portrait and binding at none, or booklet at false",
        );
        fails(
            |recipe| recipe.drill = " ".to_owned(),
            "drill",
            "drill is empty; write the name of a drill or the path of a drill file",
        );
    }

    #[test]
    fn blank_texts_are_left_out_and_others_trimmed() {
        let recipe = Recipe {
            student: Some("  ".to_owned()),
            studio: Some(" Room 4 ".to_owned()),
            ..Recipe::default()
        };
        let checked = recipe.checked().unwrap();
        assert_eq!(checked.student, None);
        assert_eq!(checked.studio.as_deref(), Some("Room 4"));
    }

    #[test]
    fn both_ends_of_the_tempi_can_be_asked_for() {
        for tempo in [*TEMPI.start(), *TEMPI.end()] {
            let recipe = Recipe { tempo, goal: Some(400), ..Recipe::default() };
            assert!(recipe.checked().is_ok(), "{tempo}");
        }
    }
}
