//! What a recipe must keep to beyond the types of its fields.

use std::ops::RangeInclusive;

use unicode_normalization::UnicodeNormalization as _;

use super::address::check_address;
use super::course::check_count;
use super::fields::{
    FIELDS, FieldKind, FieldRow, LARGEST_TEMPLATE, LOGO_DATA_LIMIT, PATH_LIMIT, row,
};
use super::{
    AskedKey, Binding, Counts, CourseDrill, DocumentForm, FingeringMarks, Hands, KeyOrder,
    NumeralStyle, Orientation, OwnSettings, RECIPE_VERSION, Recipe, WHOLE_LIBRARY, WriteIn,
};
use crate::drill::library;
use crate::score;
use crate::source::{Advice, Complaint, RecipeField as Field};

/// Tempi a recipe may ask for, in beats a minute: those of teachers.
pub const TEMPI: RangeInclusive<u16> = score::TEMPI;

/// Most bytes of all templates of a course together.
const LARGEST_COURSE: usize = 4 * LARGEST_TEMPLATE;

/// Most bytes of a recipe as TOML or JSON. Templates count eightfold, since JSON writes some
/// characters with six, and what else there is fits in the rest.
pub const LARGEST_RECIPE: usize = LOGO_DATA_LIMIT + 8 * LARGEST_COURSE;

/// How to mend what there is once too often.
const KEEP_ONE: &str = "keep one of them";

/// How a drill is named.
const NAME_DRILL: &str = "write the name of a drill or the path of a drill file";

impl Recipe {
    /// The same recipe with its texts trimmed and blank ones left out, if every field can stand.
    /// Errors with the first field that cannot, at a place that is not told.
    pub fn checked(mut self) -> Result<Self, Complaint> {
        check_version(i64::from(self.quintfall))?;
        self.quintfall = RECIPE_VERSION;
        let Self { title, student, studio, date, logo, tracks, tracks_at, .. } = &mut self;
        *logo = logo.take().map(|path| path.trim().to_owned()).filter(|path| !path.is_empty());
        for text in [title, student, studio, date, tracks, tracks_at] {
            *text = text.take().map(|text| composed(text.trim())).filter(|text| !text.is_empty());
        }
        let note = self.note.take().map(|note| composed(&trimmed(&note)));
        self.note = note.filter(|note| !note.is_empty());
        self.watch.sort_unstable();
        self.watch.dedup();
        self.leave_out.sort_unstable();
        self.leave_out.dedup();
        self.drill = self.drill.trim().to_owned();
        if self.template.is_none() {
            self.drill = in_small_letters(&self.drill);
        }
        self.template = self.template.take().filter(|text| !text.trim().is_empty());
        for part in &mut self.course {
            part.drill = part.drill.trim().to_owned();
            if part.template.is_none() {
                part.drill = in_small_letters(&part.drill);
            }
            part.template = part.template.take().filter(|text| !text.trim().is_empty());
        }
        self.logo_data = self.logo_data.take().filter(|text| !text.trim().is_empty());
        self.check_texts()?;
        self.tracks_at.as_deref().map_or(Ok(()), check_address)?;
        self.check_tempi()?;
        if let Some(bars) = self.bars {
            check_number(row(Field::Bars), i64::from(bars))?;
        }
        if let Some(boxes) = self.boxes {
            check_number(row(Field::Boxes), i64::from(boxes))?;
        }
        if let Some(weeks) = self.term {
            check_number(row(Field::Term), i64::from(weeks))?;
        }
        if let Some(sheets) = self.log_every {
            check_number(row(Field::LogEvery), i64::from(sheets))?;
        }
        if let Some(keys) = self.keys_a_page {
            check_number(row(Field::KeysAPage), i64::from(keys))?;
        }
        for bar in &self.watch {
            check_number(row(Field::Watch), i64::from(*bar))?;
        }
        self.check_blanks()?;
        self.check_course()?;
        self.check_keys()?;
        let draws = self.order == Some(KeyOrder::Shuffled) || self.form == DocumentForm::Review;
        if self.seed.is_some() && !draws {
            let complaint = Complaint::of(Field::Seed, "there is a seed but nothing to shuffle");
            let mend = Advice::words("write ").give(Field::Order, "shuffled");
            return Err(complaint.mend(mend.and(" or leave the seed out")));
        }
        if let Some(order) = self.order {
            order.arrange(&mut self.keys, self.seed.unwrap_or(0));
        }
        let is_landscape = self.orientation == Orientation::Landscape;
        if self.booklet && (is_landscape || self.binding != Binding::None) {
            let problem = "a booklet is folded from upright pages and has its binding in the fold";
            let mend = Advice::words("write ").give(Field::Orientation, "portrait").and(" and ");
            let mend = mend.give(Field::Binding, "none").and(", or ").give(Field::Booklet, false);
            return Err(Complaint::of(Field::Booklet, problem).mend(mend));
        }
        Ok(self)
    }

    /// Checks the lengths and characters of all texts, as the table of fields has them.
    fn check_texts(&self) -> Result<(), Complaint> {
        for row in &FIELDS {
            let text = row.get(self);
            let text = text.as_ref().and_then(toml::Value::as_str).unwrap_or_default();
            match row.kind {
                FieldKind::Line(most) => {
                    check_line(row.field, text)?;
                    check_length(row.field, text.chars().count(), most, "characters")?;
                }
                FieldKind::Lines(lines, most) => check_lines(row.field, text, (lines, most))?,
                FieldKind::Block(most) => check_length(row.field, text.len(), most, "bytes")?,
                _ => {}
            }
        }
        if self.drill.is_empty() && !self.is_course() {
            return Err(Complaint::of(Field::Drill, "drill is empty").mend(NAME_DRILL));
        }
        Ok(())
    }

    /// Checks that what is left out is there, and that answers have something to answer.
    fn check_blanks(&self) -> Result<(), Complaint> {
        // A review has its answers overleaf, whatever is left out.
        if self.answers && self.leave_out.is_empty() && self.form != DocumentForm::Review {
            let complaint = Complaint::of(Field::Answers, "nothing is left out that has an answer");
            let mend = Advice::words("write ").give(Field::LeaveOut, vec!["left"]);
            return Err(complaint.mend(mend.and(" or leave the answers out")));
        }
        for part in &self.leave_out {
            let missing = match part {
                WriteIn::Right if self.hands == Hands::Left => "the right hand, which rests",
                WriteIn::Left if self.hands == Hands::Right => "the left hand, which rests",
                WriteIn::Numerals if self.numerals == NumeralStyle::Off => {
                    "the numerals, which are off"
                }
                WriteIn::Fingers if self.fingering == FingeringMarks::None => {
                    "the fingers, of which there are none"
                }
                WriteIn::Counts if self.counts == Counts::None => {
                    "the counts, of which there are none"
                }
                WriteIn::Spelling if self.form != DocumentForm::Workbook => {
                    "the spelling, which stands in the tables of a workbook"
                }
                _ => continue,
            };
            let problem = format!("there is no leaving out {missing}");
            return Err(Complaint::of(Field::LeaveOut, problem).mend("take it out of the list"));
        }
        Ok(())
    }

    /// Checks that the course has drills enough and none twice, and stands alone.
    fn check_course(&self) -> Result<(), Complaint> {
        if !self.is_course() {
            return Ok(());
        }
        for (field, is_there) in
            [(Field::Drill, !self.drill.is_empty()), (Field::Template, self.template.is_some())]
        {
            if is_there {
                let problem = format!("{field} and course are both there");
                return Err(Complaint::of(field, problem).mend(KEEP_ONE));
            }
        }
        check_count(self.course.len())?;
        let mut bytes = 0;
        for (index, part) in self.course.iter().enumerate() {
            if part.drill.is_empty() {
                let complaint = Complaint::of(Field::Course, "course has a drill without a name");
                return Err(complaint.mend(NAME_DRILL));
            }
            check_line(Field::Course, &part.drill)?;
            check_length(Field::Course, part.drill.chars().count(), PATH_LIMIT, "characters")?;
            // Files of one name in two folders may hold two drills. One drill for other hands is
            // another thing to practise.
            let hands = part.own.hands_in(self);
            let is_same = |other: &CourseDrill| {
                let is_named = other.template.is_none() && other.drill == part.drill;
                is_named && other.own.hands_in(self) == hands
            };
            if part.template.is_none() && self.course[..index].iter().any(is_same) {
                return Err(drill_twice(&part.drill));
            }
            if !part.own.is_empty() {
                let drill = &part.drill;
                let named = |complaint: Complaint| {
                    let problem = format!("drill `{drill}`: {}", complaint.problem);
                    Complaint { problem, ..complaint }
                };
                self.check_own(&part.own).map_err(named)?;
            }
            bytes += part.template.as_ref().map_or(0, String::len);
        }
        check_length(Field::Course, bytes, LARGEST_COURSE, "bytes")
    }

    /// Checks what a drill of the course has of its own, beside what it has of the course.
    fn check_own(&self, own: &OwnSettings) -> Result<(), Complaint> {
        let (tempo, goal, keys) = (self.tempo, self.goal, self.keys.clone());
        let all = own.over(Self { tempo, goal, keys, ..Self::default() });
        all.check_tempi()?;
        all.check_keys()
    }

    /// Checks that tempo and goal are beats that can be, and the goal no slower.
    fn check_tempi(&self) -> Result<(), Complaint> {
        check_beats(Field::Tempo, i64::from(self.tempo))?;
        let Some(goal) = self.goal else { return Ok(()) };
        check_beats(Field::Goal, i64::from(goal))?;
        let tempo = self.tempo;
        if goal < tempo {
            let problem = format!("goal {goal} is slower than tempo {tempo}");
            let mend = format!("raise the goal to {tempo} or more, or lower the tempo");
            return Err(Complaint::of(Field::Goal, problem).mend(mend));
        }
        Ok(())
    }

    /// Checks that there are keys and that no two sound the same.
    fn check_keys(&self) -> Result<(), Complaint> {
        let refused = |problem: String| Complaint::of(Field::Keys, problem);
        let mut places: [Option<AskedKey>; 12] = [None; 12];
        for &second in &self.keys {
            match places[second.place_in_round()].replace(second) {
                Some(first) if first == second => {
                    return Err(refused(format!("keys has {first} twice")).mend(KEEP_ONE));
                }
                Some(first) if first.tonic() == second.tonic() => {
                    let problem = format!("keys has {first} and {second} on one tonic");
                    return Err(refused(problem).mend(KEEP_ONE));
                }
                Some(first) => {
                    let problem = format!("keys has {first} and {second}, which sound the same");
                    return Err(refused(problem).mend(KEEP_ONE));
                }
                None => {}
            }
        }
        if self.keys.is_empty() {
            let mend = "write at least one, as in C or Bb";
            return Err(refused("keys is empty".to_owned()).mend(mend));
        }
        Ok(())
    }
}

/// The name of a drill, which spreadsheets like to begin with a capital letter, as the library has
/// it; any other as it is.
fn in_small_letters(drill: &str) -> String {
    let small = drill.to_lowercase();
    let is_ours = small == WHOLE_LIBRARY || library::find(&small).is_some();
    if is_ours { small } else { drill.to_owned() }
}

/// The complaint about a drill that a course has twice.
pub(crate) fn drill_twice(drill: &str) -> Complaint {
    Complaint::of(Field::Course, format!("course has `{drill}` twice")).mend(KEEP_ONE)
}

/// Errors if this program cannot read recipes of this version.
pub(super) fn check_version(found: i64) -> Result<(), Complaint> {
    let refused = |problem: String| Complaint::of(Field::Quintfall, problem);
    if found > i64::from(RECIPE_VERSION) {
        let versions = format!("recipe version {found}; this program knows {RECIPE_VERSION}");
        let complaint = refused(format!("made by a newer Quintfall ({versions})"));
        return Err(complaint.mend("use that newer program"));
    }
    if found < 1 {
        let complaint = refused(format!("there is no recipe version {found}"));
        return Err(complaint.mend(format!("write {RECIPE_VERSION} or leave it out")));
    }
    Ok(())
}

/// A tempo or goal as a number of beats a minute, if it lies in [`TEMPI`].
pub(super) fn check_beats(field: Field, found: i64) -> Result<u16, Complaint> {
    u16::try_from(found).ok().filter(|beats| TEMPI.contains(beats)).ok_or_else(|| {
        let mend = format!("write {} to {} beats a minute", TEMPI.start(), TEMPI.end());
        Complaint::of(field, format!("{field} {found} is out of range")).mend(mend)
    })
}

/// A whole number, if it lies in the range that a field of such numbers has.
pub(super) fn check_number(row: &FieldRow, found: i64) -> Result<u32, Complaint> {
    let (FieldKind::Number(least, most) | FieldKind::Numbers(least, most)) = row.kind else {
        return Ok(u32::try_from(found).unwrap_or(0));
    };
    let number = u32::try_from(found).ok().filter(|number| (least..=most).contains(number));
    number.ok_or_else(|| {
        let problem = format!("{} {found} is out of range", row.field);
        Complaint::of(row.field, problem)
            .mend(format!("write a whole number from {least} to {most}"))
    })
}

/// Errors with the first character of a line of text that steers and is not seen.
fn check_line(field: Field, text: &str) -> Result<(), Complaint> {
    match text.chars().find(|c| c.is_control()) {
        Some(found) => {
            let problem = format!("{field} has a control character (U+{:04X})", found as u32);
            Err(Complaint::of(field, problem).mend("write it on one line of plain text"))
        }
        None => Ok(()),
    }
}

/// Errors if a text of several lines has too many, or one that cannot stand.
fn check_lines(field: Field, text: &str, (most, limit): (usize, usize)) -> Result<(), Complaint> {
    for line in text.lines() {
        check_line(field, line)?;
    }
    check_length(field, text.lines().count(), most, "lines")?;
    // Most pages have room for less than the table allows.
    let mend = format!("shorten it to what its page has room for, {limit} characters at the most");
    check_length(field, text.chars().count(), limit, "characters")
        .map_err(|complaint| complaint.mend(mend))
}

/// A text whose letters are written as one sign each where there is one: what is typed in one way on
/// one system and in another way on another is the same text (Unicode, annex 15, form C).
fn composed(text: &str) -> String {
    text.nfc().collect()
}

/// A text of several lines with each of them trimmed, and none before the first or after the last
/// that has words.
fn trimmed(text: &str) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    lines.join("\n").trim_matches('\n').to_owned()
}

fn check_length(field: Field, length: usize, limit: usize, unit: &str) -> Result<(), Complaint> {
    if length <= limit {
        return Ok(());
    }
    let complaint = Complaint::of(field, format!("{field} is {length} {unit} long"));
    Err(complaint.mend(format!("shorten it to {limit} {unit}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn fails(change: impl FnOnce(&mut Recipe), field: &str, line: &str) {
        let mut recipe = Recipe::default();
        change(&mut recipe);
        let error = recipe.checked().unwrap_err();
        let name = error.field.map(|field| field.name());
        assert_eq!((name, error.to_string().as_str()), (Some(field), line));
    }

    #[test]
    fn the_default_recipe_can_stand_as_it_is() {
        assert_eq!(Recipe::default().checked(), Ok(Recipe::default()));
    }

    #[test]
    fn drills_are_found_in_any_letters() {
        let course = ["Pushed", "ALL", "Mine.toml"].map(CourseDrill::named).to_vec();
        let made = Recipe { drill: String::new(), course, ..Recipe::default() }.checked().unwrap();
        let names: Vec<&str> = made.course.iter().map(|part| part.drill.as_str()).collect();
        assert_eq!(names, ["pushed", "all", "Mine.toml"]);
        let made = Recipe { drill: "Solid".to_owned(), ..Recipe::default() }.checked().unwrap();
        assert_eq!(made.drill, "solid");
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
            |recipe| recipe.keys.push("C minor".parse().unwrap()),
            "keys",
            "keys has C and C minor on one tonic; keep one of them",
        );
        fails(
            |recipe| recipe.student = Some("Anna\nBen".to_owned()),
            "student",
            "student has a control character (U+000A); write it on one line of plain text",
        );
        fails(
            |recipe| recipe.note = Some("a\nb\n\nc\n".to_owned()),
            "note",
            "note is 4 lines long; shorten it to 3 lines",
        );
        fails(
            |recipe| recipe.note = Some("a\tb".to_owned()),
            "note",
            "note has a control character (U+0009); write it on one line of plain text",
        );
        fails(
            |recipe| recipe.watch = vec![5, 0],
            "watch",
            "watch 0 is out of range; write a whole number from 1 to 128",
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
             write orientation = \"portrait\" and binding = \"none\", or booklet = false",
        );
        fails(
            |recipe| (recipe.booklet, recipe.binding) = (true, Binding::Duplex),
            "booklet",
            "a booklet is folded from upright pages and has its binding in the fold; \
             write orientation = \"portrait\" and binding = \"none\", or booklet = false",
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
        let recipe = Recipe { student: Some("A\u{308}nne".to_owned()), ..Recipe::default() };
        assert_eq!(recipe.checked().unwrap().student.as_deref(), Some("\u{c4}nne"));
        let note = Some(" \n one \r\n\n two\n\n".to_owned());
        let recipe = Recipe { note, watch: vec![6, 5, 6], ..Recipe::default() };
        let checked = recipe.checked().unwrap();
        assert_eq!(checked.note.as_deref(), Some("one\n\ntwo"));
        assert_eq!(checked.watch, [5, 6]);
    }

    #[test]
    fn both_ends_of_the_tempi_can_be_asked_for() {
        for tempo in [*TEMPI.start(), *TEMPI.end()] {
            let recipe = Recipe { tempo, goal: Some(400), ..Recipe::default() };
            assert!(recipe.checked().is_ok(), "{tempo}");
        }
    }
}
