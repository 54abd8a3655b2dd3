//! The recipe: everything a teacher chose.
//!
//! A recipe is written by hand as TOML and travels inside each finished PDF as JSON, so that a
//! sheet can be made again, or made anew at another tempo, from the PDF alone.

mod address;
mod check;
mod course;
mod course_toml;
pub mod fields;
mod idle;
mod lesson;
mod order;
mod own;
mod own_fields;
mod read;
mod settings;
mod write;

use serde::{Deserialize, Serialize};

pub use crate::book::{DocumentForm, WriteIn};
pub use crate::canvas::paper::{Binding, Orientation, Paper};
pub use crate::drill::Hands;
pub use crate::engrave::{NoSuchStaffSize, StaffSize};
pub use crate::fingering::{FingeringMarks, HandSize, Measure};
pub use crate::score::{Counts, Feel};
pub use crate::theory::{AskedKey, MajorStyle, MinorStyle, NumeralStyle, Spelling, SymbolStyle};

pub(crate) use check::drill_twice;
pub use check::{LARGEST_RECIPE, TEMPI};
pub(crate) use course::check_count;
pub use course::{CourseDrill, MOST_DRILLS, WHOLE_LIBRARY, is_path_of_drill};
pub use fields::{LARGEST_TEMPLATE, NOTE_LINES, TEXT_LIMIT};
pub(crate) use idle::idle;
pub use lesson::{Level, LevelSettings};
pub use order::KeyOrder;
pub use own::OwnSettings;
pub use read::{line_of_course_template, line_of_field, line_of_template};
pub use settings::Settings;

/// The version of the recipe that this program writes, and the newest it can read.
///
/// Version 2 knows courses, levels, orders of keys, hands and their sizes, spans. A recipe of version 1
/// reads as before.
pub const RECIPE_VERSION: u32 = 2;

/// Drill that is made where none is asked for.
pub const DEFAULT_DRILL: &str = "pushed";

/// Everything a teacher chose.
///
/// Every field has a default, so the empty TOML file is a recipe: the twelve-key workbook of
/// the pushed drill.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields, expecting = "a recipe")]
pub struct Recipe {
    /// The version of the recipe; see [`RECIPE_VERSION`].
    pub quintfall: u32,
    /// Workbook or handout.
    pub form: DocumentForm,
    /// Title in place of the drill's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// Who practises.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub student: Option<String>,
    /// Who teaches: a name or a studio.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub studio: Option<String>,
    /// The teacher's own words, of up to [`NOTE_LINES`] lines.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The day of the sheet, as it is to be printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Whether there is a slip to be torn off and handed back.
    #[serde(skip_serializing_if = "is_no")]
    pub slip: bool,
    /// The bars to watch, counted from 1, in order.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub watch: Vec<u32>,
    /// The names of the tracks that go with the sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tracks: Option<String>,
    /// The address of the folder where they are.
    #[serde(rename = "tracks-at", skip_serializing_if = "Option::is_none")]
    pub tracks_at: Option<String>,
    /// Name of a drill of the library, or path of a teacher's own drill file; empty where
    /// `course` names the drills.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub drill: String,
    /// The whole text of the drill template. Where present, it is what counts, not `drill`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub template: Option<String>,
    /// Several drills in the order in which they are printed, in place of `drill`.
    #[serde(skip_serializing_if = "Vec::is_empty", deserialize_with = "course::read")]
    pub course: Vec<CourseDrill>,
    /// The keys, in the order in which they are printed; never two that sound the same.
    pub keys: Vec<AskedKey>,
    /// The order that the keys are put in; `None` leaves them as they stand.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub order: Option<KeyOrder>,
    /// What a shuffled order is drawn from; 0 where there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub seed: Option<u32>,
    /// The level that filled in what was left open.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    /// First tempo, in beats a minute: quarters, or dotted quarters in 6/8; see [`TEMPI`].
    pub tempo: u16,
    /// Tempo to arrive at, in the same; never below `tempo`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goal: Option<u16>,
    /// Swing or even eighths; `None` leaves it to the drill.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feel: Option<Feel>,
    /// The sheet it is printed on.
    pub paper: Paper,
    /// Which side of the sheet is up.
    pub orientation: Orientation,
    /// The height of the staves; `None` leaves it to the page, which may then shrink them to
    /// make a drill fit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub staff: Option<StaffSize>,
    /// How many bars stand on a line; `None` leaves it to their width and to the phrases.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bars: Option<u32>,
    /// How many keys share a page; `None` leaves it to the length of the drill.
    #[serde(rename = "keys-a-page", skip_serializing_if = "Option::is_none")]
    pub keys_a_page: Option<u32>,
    /// Where room is left for binding.
    pub binding: Binding,
    /// Whether pages are printed in pairs, to be folded and stapled.
    pub booklet: bool,
    /// How chord symbols are written.
    pub symbols: SymbolStyle,
    /// How minor chords are written; `None` leaves it to `symbols`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minor: Option<MinorStyle>,
    /// How major sevenths are written; `None` leaves it to `symbols`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub major: Option<MajorStyle>,
    /// What of the numerals is printed.
    pub numerals: NumeralStyle,
    /// Where counts stand between the staves.
    pub counts: Counts,
    /// Which notes show their finger.
    pub fingering: FingeringMarks,
    /// The hand that fingers are chosen for.
    pub hand: HandSize,
    /// How distances are measured when the ease of a span is judged.
    pub spans: Measure,
    /// Which hands play.
    pub hands: Hands,
    /// What is left out, to be written in.
    #[serde(rename = "leave-out", skip_serializing_if = "Vec::is_empty")]
    pub leave_out: Vec<WriteIn>,
    /// Whether each sheet is followed by its answers.
    #[serde(skip_serializing_if = "is_no")]
    pub answers: bool,
    /// How many boxes a review has; `None` leaves it to the page.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub boxes: Option<u32>,
    /// After how many sheets each there is a page of the practice log; `None` for one in all.
    #[serde(rename = "log-every", skip_serializing_if = "Option::is_none")]
    pub log_every: Option<u32>,
    /// How many weeks the term has; a workbook then has a plan of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub term: Option<u32>,
    /// Path of a picture for the sheet; names the picture where `logo_data` holds it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub logo: Option<String>,
    /// The bytes of a PNG or JPEG picture in base64. Where present, `logo` is not read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub logo_data: Option<String>,
}

impl Default for Recipe {
    fn default() -> Self {
        Self {
            quintfall: RECIPE_VERSION,
            form: DocumentForm::default(),
            title: None,
            student: None,
            studio: None,
            note: None,
            date: None,
            slip: false,
            watch: Vec::new(),
            tracks: None,
            tracks_at: None,
            drill: DEFAULT_DRILL.to_owned(),
            template: None,
            course: Vec::new(),
            keys: AskedKey::round(Spelling::Customary).to_vec(),
            order: None,
            seed: None,
            level: None,
            tempo: 80,
            goal: None,
            feel: None,
            paper: Paper::default(),
            orientation: Orientation::default(),
            staff: None,
            bars: None,
            keys_a_page: None,
            binding: Binding::default(),
            booklet: false,
            symbols: SymbolStyle::default(),
            minor: None,
            major: None,
            numerals: NumeralStyle::default(),
            counts: Counts::default(),
            fingering: FingeringMarks::default(),
            hand: HandSize::default(),
            spans: Measure::default(),
            hands: Hands::default(),
            leave_out: Vec::new(),
            answers: false,
            boxes: None,
            log_every: None,
            term: None,
            logo: None,
            logo_data: None,
        }
    }
}

/// What serde asks of a flag that is left out where it says no.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands a reference over")]
fn is_no(flag: &bool) -> bool {
    !*flag
}

impl Recipe {
    /// Whether it asks for a course of drills.
    pub fn is_course(&self) -> bool {
        !self.course.is_empty()
    }

    /// Whether any of its drills has the keys of the whole.
    pub(crate) fn shares_keys(&self) -> bool {
        !self.is_course() || self.course.iter().any(|part| part.own.keys.is_empty())
    }

    /// The first file that has to be opened to print it, and what that file should be.
    pub fn named_file(&self) -> Option<(&'static str, &str)> {
        if self.logo_data.is_none()
            && let Some(logo) = &self.logo
        {
            return Some(("picture", logo));
        }
        let alone = (self.drill.as_str(), self.template.is_none());
        let course = self.course.iter().map(|part| (part.drill.as_str(), part.template.is_none()));
        let drill = [alone]
            .into_iter()
            .chain(course)
            .find(|(drill, is_open)| *is_open && is_path_of_drill(drill));
        drill.map(|(drill, _)| ("drill", drill))
    }

    /// The recipe at another tempo. A goal that the new tempo has passed, and that was not chosen
    /// anew, moves up by as much as the tempo did, so that the student still has the same way to
    /// go.
    #[must_use]
    pub fn at_tempo(self, tempo: Option<u16>, goal: Option<u16>) -> Self {
        let new_tempo = tempo.unwrap_or(self.tempo);
        let moved = |old: u16| {
            let way = old.saturating_sub(self.tempo);
            // A goal that was slower all along is a mistake, and is told as one.
            let is_passed = old >= self.tempo && old < new_tempo;
            if is_passed { (new_tempo + way).min(*TEMPI.end()) } else { old }
        };
        Self { tempo: new_tempo, goal: goal.or_else(|| self.goal.map(moved)), ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_default_drill_is_in_the_library() {
        assert!(crate::drill::library::find(DEFAULT_DRILL).is_some());
    }

    #[test]
    fn a_goal_that_was_passed_keeps_its_distance() {
        let recipe = Recipe { tempo: 80, goal: Some(120), ..Recipe::default() };
        let goal = |tempo, goal| recipe.clone().at_tempo(Some(tempo), goal).goal;
        assert_eq!(goal(112, None), Some(120));
        assert_eq!(goal(120, None), Some(120));
        assert_eq!(goal(132, None), Some(172));
        assert_eq!(goal(390, None), Some(400));
        assert_eq!(goal(60, None), Some(120));
        assert_eq!(goal(132, Some(140)), Some(140));
        assert_eq!(Recipe::default().at_tempo(Some(132), None).goal, None);
        assert_eq!(recipe.clone().at_tempo(None, None), recipe);
    }
    /// A recipe from before minor and major were chosen apart.
    #[test]
    fn an_old_recipe_writes_its_chords_as_before() {
        use crate::theory::ChordStyle;
        for (word, style) in [
            ("letters", SymbolStyle::Letters),
            ("signs", SymbolStyle::Signs),
            ("mixed", SymbolStyle::Mixed),
        ] {
            let old = Recipe::from_toml(&format!("symbols = \"{word}\""), "old.toml").unwrap();
            let chords = ChordStyle::with(old.symbols, old.minor, old.major);
            assert_eq!((chords, old.numerals), (style.into(), NumeralStyle::On));
            let json = format!("{{\"quintfall\": 1, \"symbols\": \"{word}\"}}");
            let carried = Recipe::from_json(&json, "old.pdf").unwrap();
            assert_eq!((carried.minor, carried.major), (None, None));
            assert_eq!((carried.symbols, carried.numerals), (style, NumeralStyle::On));
        }
    }
}
