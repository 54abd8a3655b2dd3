//! The one table of what a recipe may hold: for each field its kind with its range, its help, an
//! example, and its place in a [`Recipe`], where its default stands too.
//!
//! Reading and writing TOML, the options of the command line with their help, and the limits that
//! a recipe must keep to all come from here.

use toml::Value as Toml;

use super::course::DRILLS_EXAMPLE;
use super::{
    AskedKey, Binding, Counts, CourseDrill, DEFAULT_DRILL, DocumentForm, Feel, FingeringMarks,
    HandSize, Hands, KeyOrder, Level, MajorStyle, Measure, MinorStyle, NumeralStyle, Orientation,
    Paper, RECIPE_VERSION, Recipe, StaffSize, SymbolStyle, WriteIn,
};
use crate::source::usual::{Sort, Usual};
use crate::source::word::{choice, known};
use crate::source::{FileField, RecipeField as Field};

/// Most characters of a line of text; more would not fit on a cover.
pub const TEXT_LIMIT: usize = 120;

/// Most lines and most characters of a teacher's note, which stands beside the ring.
pub const NOTE_LINES: usize = 3;
const NOTE_LIMIT: usize = 240;

/// Most characters of a date, written out in full.
const DATE_LIMIT: usize = 40;

/// Most bars that can be told one by one; a drill has fewer.
const MOST_BAR: u32 = 128;

/// Most characters of a path.
pub(super) const PATH_LIMIT: usize = 1024;

/// Most bytes of a drill template; the longest of the library is a tenth of it.
pub const LARGEST_TEMPLATE: usize = 64 * 1024;

/// Most bytes of a picture in base64: 8 MiB of picture.
pub(super) const LOGO_DATA_LIMIT: usize = (8 * 1024 * 1024) / 3 * 4 + 4;

/// A list of keys as it is written.
pub(super) const KEYS_EXAMPLE: &str = "[\"C\", \"F\", \"Bb\"]";

/// A list of numbers as it is written.
pub(super) const NUMBERS_EXAMPLE: &str = "[5, 6]";

/// What a field may hold.
#[derive(Clone, Copy, Debug)]
pub enum FieldKind {
    /// The version of the recipe.
    Version,
    /// Text on one line, of so many characters at the most.
    Line(usize),
    /// Text of so many lines, of so many characters in all, at the most.
    Lines(usize, usize),
    /// Text of any lines, of so many bytes at the most.
    Block(usize),
    /// One of these words.
    Word(fn() -> &'static [&'static str]),
    /// A list of these words.
    Words(fn() -> &'static [&'static str]),
    /// Beats a minute.
    Beats,
    /// A whole number of 32 bits.
    Seed,
    /// A whole number from one to another.
    Number(u32, u32),
    /// A list of whole numbers from one to another.
    Numbers(u32, u32),
    /// The height of a staff in millimetres.
    Staff,
    /// Yes or no.
    Flag,
    /// A list of keys.
    Keys,
    /// A list of drills.
    Drills,
}

/// What a field holds, as far as its kind alone says what can stand.
#[derive(Clone, Debug, PartialEq)]
pub enum FieldValue {
    /// A whole number.
    Whole(u32),
    /// Whole numbers.
    Numbers(Vec<u32>),
    /// A text.
    Text(String),
    /// One of the field's words.
    Word(&'static str),
    /// Some of the field's words.
    Words(Vec<&'static str>),
    /// A staff size.
    Staff(StaffSize),
    /// Yes or no.
    Flag(bool),
    /// Keys.
    Keys(Vec<AskedKey>),
    /// Drills.
    Drills(Vec<CourseDrill>),
}

impl FieldValue {
    /// A list with one more of its items, or the item where there is no list yet.
    pub(crate) fn joined(before: Option<Self>, item: Self) -> Self {
        match (before, item) {
            (Some(Self::Keys(all)), Self::Keys(more)) => Self::Keys([all, more].concat()),
            (Some(Self::Words(all)), Self::Words(more)) => Self::Words([all, more].concat()),
            (Some(Self::Numbers(all)), Self::Numbers(more)) => Self::Numbers([all, more].concat()),
            (None, Self::Whole(one)) => Self::Numbers(vec![one]),
            (Some(Self::Numbers(mut all)), Self::Whole(one)) => {
                all.push(one);
                Self::Numbers(all)
            }
            (_, item) => item,
        }
    }

    fn text(self) -> Option<String> {
        if let Self::Text(text) = self { Some(text) } else { None }
    }

    fn whole(self) -> Option<u32> {
        if let Self::Whole(number) = self { Some(number) } else { None }
    }

    fn numbers(self) -> Option<Vec<u32>> {
        if let Self::Numbers(numbers) = self { Some(numbers) } else { None }
    }

    /// A number of beats a minute.
    pub(super) fn beats(self) -> Option<u16> {
        self.whole().and_then(|number| u16::try_from(number).ok())
    }

    /// The choice that a word stands for.
    pub(super) fn word<T: serde::de::DeserializeOwned>(self) -> Option<T> {
        if let Self::Word(word) = self { choice(word) } else { None }
    }

    /// The choices that words stand for.
    fn words<T: serde::de::DeserializeOwned>(self) -> Option<Vec<T>> {
        if let Self::Words(words) = self { words.into_iter().map(choice).collect() } else { None }
    }

    fn staff(self) -> Option<StaffSize> {
        if let Self::Staff(staff) = self { Some(staff) } else { None }
    }

    fn flag(self) -> Option<bool> {
        if let Self::Flag(flag) = self { Some(flag) } else { None }
    }

    /// Keys.
    pub(super) fn keys(self) -> Option<Vec<AskedKey>> {
        if let Self::Keys(keys) = self { Some(keys) } else { None }
    }

    fn drills(self) -> Option<Vec<CourseDrill>> {
        if let Self::Drills(drills) = self { Some(drills) } else { None }
    }
}

/// A field of a recipe.
pub struct FieldRow {
    /// Its name.
    pub field: Field,
    /// What it may hold.
    pub kind: FieldKind,
    /// What it is, as the help of its option says; empty where it has no option of its own.
    pub help: &'static str,
    /// How it is written in TOML, for one that is left out; empty where it is never left out.
    pub example: &'static str,
    put: fn(&mut Recipe, FieldValue),
    get: fn(&Recipe) -> Option<Toml>,
}

impl FieldRow {
    /// Puts a value of the field's kind into a recipe.
    pub(super) fn put(&self, recipe: &mut Recipe, value: FieldValue) {
        (self.put)(recipe, value);
    }

    /// What a recipe holds, unless the field is left out.
    pub(super) fn get(&self, recipe: &Recipe) -> Option<Toml> {
        (self.get)(recipe)
    }

    /// How its value is written, with one that can stand there.
    pub(super) fn usual(&self) -> Usual {
        let (sort, example) = match self.kind {
            FieldKind::Version => (Sort::Whole, RECIPE_VERSION.to_string()),
            FieldKind::Line(_) | FieldKind::Lines(..) | FieldKind::Block(_) => {
                (Sort::Text, "\"...\"".to_owned())
            }
            FieldKind::Word(words) => {
                let first = words().first().copied().unwrap_or_default();
                (Sort::Text, format!("\"{first}\""))
            }
            FieldKind::Beats => (Sort::Whole, Recipe::default().tempo.to_string()),
            FieldKind::Seed => (Sort::Whole, "1".to_owned()),
            FieldKind::Number(least, _) => (Sort::Whole, least.to_string()),
            FieldKind::Numbers(..) => (Sort::Figures, NUMBERS_EXAMPLE.to_owned()),
            FieldKind::Words(words) => {
                (Sort::List, format!("[\"{}\"]", words().first().unwrap_or(&"")))
            }
            FieldKind::Staff => (Sort::Number, StaffSize::default().to_string()),
            FieldKind::Flag => (Sort::Flag, "true".to_owned()),
            FieldKind::Keys => (Sort::List, KEYS_EXAMPLE.to_owned()),
            FieldKind::Drills => (Sort::ListOrHeadings, DRILLS_EXAMPLE.to_owned()),
        };
        let own = match (self.field, self.example) {
            (Field::Drill, _) => format!("\"{DEFAULT_DRILL}\""),
            (_, "") => example,
            (_, own) => own.to_owned(),
        };
        Usual::of(sort, own)
    }

    /// What it may hold, if that is no more than can be listed.
    pub fn choices(&self) -> Vec<String> {
        match self.kind {
            FieldKind::Staff => StaffSize::all().map(|size| size.to_string()).collect(),
            _ => self.words().iter().map(ToString::to_string).collect(),
        }
    }

    /// The words that it may hold, if it is a choice.
    pub fn words(&self) -> &'static [&'static str] {
        match self.kind {
            FieldKind::Word(words) | FieldKind::Words(words) => words(),
            _ => &[],
        }
    }
}

impl Recipe {
    /// What it holds in a field, in bare words, unless the field is left out.
    pub fn shown(&self, field: Field) -> Option<String> {
        let value = row(field).get(self)?;
        Some(value.as_str().map_or_else(|| value.to_string(), str::to_owned))
    }
}

/// How the value of a field is written, by its name.
pub(super) fn usual_of(name: &str) -> Option<Usual> {
    if FileField::named(name).is_some() {
        return Some(Usual::of(Sort::Text, "\"spring.toml\""));
    }
    Field::named(name).map(|field| row(field).usual())
}

/// The row of a field.
pub fn row(field: Field) -> &'static FieldRow {
    // The table stands in the order of the names, which a test holds.
    &FIELDS[field as usize]
}

macro_rules! row {
    ($Field:ident $place:ident: $kind:expr, $take:expr, $example:literal, $help:literal) => {
        FieldRow {
            field: Field::$Field,
            kind: $kind,
            help: $help,
            example: $example,
            put: |recipe, value| {
                if let Some(taken) = $take(value) {
                    recipe.$place = taken.into();
                }
            },
            // What is left out is nothing that TOML could write.
            get: |recipe| Toml::try_from(&recipe.$place).ok(),
        }
    };
    ($Field:ident $place:ident: $Word:ty, $example:literal, $help:literal) => {
        row!($Field $place: FieldKind::Word(known::<$Word>), FieldValue::word::<$Word>, $example, $help)
    };
}

/// Every field, in the order of [`Field`].
pub static FIELDS: [FieldRow; 44] = [
    row!(Quintfall quintfall: FieldKind::Version, FieldValue::whole, "", ""),
    row!(Form form: DocumentForm, "", ""),
    row!(Title title: FieldKind::Line(TEXT_LIMIT), FieldValue::text, "\"Seventh chords\"",
        "A title in place of the drill's own"),
    row!(Student student: FieldKind::Line(TEXT_LIMIT), FieldValue::text, "\"Name\"", "Who practises"),
    row!(Studio studio: FieldKind::Line(TEXT_LIMIT), FieldValue::text, "\"Name of the studio\"",
        "Who teaches"),
    row!(Note note: FieldKind::Lines(NOTE_LINES, NOTE_LIMIT), FieldValue::text,
        "\"Shoulders down.\"",
        "Your own words, printed beside the ring: up to three lines"),
    row!(Date date: FieldKind::Line(DATE_LIMIT), FieldValue::text, "\"2026-11-30\"",
        "The day, printed as you write it"),
    row!(Slip slip: FieldKind::Flag, FieldValue::flag, "",
        "A slip to be cut off and handed back: what was practised, how fast it was clean, what \
         went wrong; at the foot of a handout, or on pages of its own"),
    row!(Watch watch: FieldKind::Numbers(1, MOST_BAR), FieldValue::numbers, "",
        "Bars to watch, with a bracket over them: 5,6 or 5-8"),
    row!(Tracks tracks: FieldKind::Line(TEXT_LIMIT), FieldValue::text, "\"pushed-F-080.flac\"",
        "The names of the tracks to play along to, printed at the foot of the sheet; tracks made beside it name themselves"),
    row!(TracksAt tracks_at: FieldKind::Line(TEXT_LIMIT), FieldValue::text,
        "\"https://studio.example/tracks\"",
        "The address of the folder where you put the tracks: printed at the foot of the sheet, in \
         words and as a code for the camera of a phone"),
    row!(Drill drill: FieldKind::Line(PATH_LIMIT), FieldValue::text, "",
        "A drill of the library or a drill file of your own; several make a course"),
    row!(Template template: FieldKind::Block(LARGEST_TEMPLATE), FieldValue::text, "", ""),
    row!(Course course: FieldKind::Drills, FieldValue::drills, "",
        "Every drill of the library, from first lesson to last"),
    row!(Keys keys: FieldKind::Keys, FieldValue::keys, "",
        "The keys, in the order in which they are printed: C,F,Bb; or \"G minor\""),
    row!(Order order: KeyOrder, "\"shuffled\"",
        "The order of the keys in place of the one they stand in"),
    row!(Seed seed: FieldKind::Seed, FieldValue::whole, "1",
        "What shuffled keys, and the boxes of a review, are drawn from: the same number gives the \
         same order"),
    row!(Level level: Level, "\"beginner\"",
        "How far the student is: sets tempo, counts, fingering, hands and symbols, except those \
         that are typed too"),
    row!(Tempo tempo: FieldKind::Beats, FieldValue::beats, "",
        "The first tempo, in beats a minute: quarters, or dotted quarters in 6/8"),
    row!(Goal goal: FieldKind::Beats, FieldValue::beats, "120", "The tempo to arrive at"),
    row!(Feel feel: Feel, "\"swing\"", "How eighths are played; without it the drill decides"),
    row!(Paper paper: Paper, "", "The paper"),
    row!(Orientation orientation: Orientation, "", "Which way up the paper is"),
    row!(Staff staff: FieldKind::Staff, FieldValue::staff, "8.0",
        "The height of the staves in millimetres, the greatest for large print; a key takes as many \
         facing pages as it needs"),
    row!(Bars bars: FieldKind::Number(1, 16), FieldValue::whole, "4",
        "How many bars stand on a line; without it lines end where phrases do"),
    row!(KeysAPage keys_a_page: FieldKind::Number(1, 12), FieldValue::whole, "2",
        "How many keys share a page, at the most so many in a course; without it, as many as \
         stand there at their ease, and one where it would fill half a page or more"),
    row!(Binding binding: Binding, "",
        "Wider margins for binding or punching: left, or at the inner side when printed duplex"),
    row!(Booklet booklet: FieldKind::Flag, FieldValue::flag, "",
        "Two pages side by side on a sheet, in the order for folding and stapling: A5 pages on \
         sheets of A4, A4 pages on A3, half-letter pages on Letter, Letter pages on 11 by 17 inches"),
    row!(Symbols symbols: SymbolStyle, "",
        "Chord symbols in letters (Cmaj7 Bm7♭5), signs (C△7 Bø7) or mixed (Cmaj7 Bø7)"),
    row!(Minor minor: MinorStyle, "\"-\"",
        "How minor chords are written in place of what symbols says: Dm7, Dmi7 or D-7"),
    row!(Major major: MajorStyle, "\"triangle\"",
        "How major sevenths are written in place of what symbols says: Cmaj7 or C△7"),
    row!(Numerals numerals: NumeralStyle, "",
        "Numerals below the staves with the kind of each seventh (Imaj7 ii7), plain (I ii) or off"),
    row!(Counts counts: Counts, "", "Where counts stand between the staves"),
    row!(Fingering fingering: FingeringMarks, "", "Which notes show their finger"),
    row!(Hand hand: HandSize, "", "The hand that fingers are chosen for"),
    row!(Spans spans: Measure, "",
        "How the spans of that hand are measured: in semitones, in millimetres, or in keys of a \
         row where black and white alternate"),
    row!(Hands hands: Hands, "", "Which hands play; the staff of the other one rests"),
    row!(LeaveOut leave_out: FieldKind::Words(known::<WriteIn>), FieldValue::words, "",
        "What is left out, to be written in; spelling is that of a workbook's tables of chords"),
    row!(Answers answers: FieldKind::Flag, FieldValue::flag, "",
        "The same sheet whole, after each from which something is left out"),
    row!(Boxes boxes: FieldKind::Number(1, 96), FieldValue::whole, "12",
        "How many boxes a review has"),
    row!(LogEvery log_every: FieldKind::Number(1, 96), FieldValue::whole, "6",
        "A page of the practice log after every so many sheets"),
    row!(Term term: FieldKind::Number(1, 52), FieldValue::whole, "12",
        "The weeks of a term, of which a workbook then has a plan: which drills and keys come in \
         which week"),
    row!(Logo logo: FieldKind::Line(PATH_LIMIT), FieldValue::text, "\"logo.png\"",
        "A picture for the sheet, PNG or JPEG"),
    row!(LogoData logo_data: FieldKind::Block(LOGO_DATA_LIMIT), FieldValue::text, "", ""),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_has_every_field_of_a_recipe_in_the_order_of_the_names() {
        for (field, row) in Field::ALL.iter().zip(&FIELDS) {
            assert_eq!(row.field, *field);
            assert_eq!(super::row(*field).field, *field);
        }
        let full = Recipe {
            title: Some("a".to_owned()),
            student: Some("a".to_owned()),
            studio: Some("a".to_owned()),
            note: Some("a".to_owned()),
            date: Some("a".to_owned()),
            slip: true,
            watch: vec![1],
            tracks: Some("a".to_owned()),
            tracks_at: Some("https://a".to_owned()),
            leave_out: vec![WriteIn::Left],
            answers: true,
            boxes: Some(6),
            log_every: Some(6),
            term: Some(12),
            template: Some("a".to_owned()),
            course: vec![CourseDrill::named("a")],
            order: Some(KeyOrder::Shuffled),
            seed: Some(1),
            level: Some(Level::Beginner),
            goal: Some(100),
            feel: Some(Feel::Swing),
            staff: Some(StaffSize::default()),
            bars: Some(4),
            minor: Some(MinorStyle::Mi),
            major: Some(MajorStyle::Triangle),
            keys_a_page: Some(2),
            logo: Some("a".to_owned()),
            logo_data: Some("a".to_owned()),
            ..Recipe::default()
        };
        let json = serde_json::to_value(full).unwrap();
        let mut written: Vec<&str> = json.as_object().unwrap().keys().map(String::as_str).collect();
        let mut named: Vec<&str> = Field::ALL.iter().map(|field| field.name()).collect();
        written.sort_unstable();
        named.sort_unstable();
        assert_eq!(written, named);
    }

    #[test]
    fn what_is_put_is_got() {
        for row in &FIELDS {
            for word in row.words() {
                let mut recipe = Recipe::default();
                let (value, written) = match row.kind {
                    FieldKind::Words(_) => {
                        let list = Toml::Array(vec![Toml::String((*word).to_owned())]);
                        (FieldValue::Words(vec![word]), list)
                    }
                    _ => (FieldValue::Word(word), Toml::String((*word).to_owned())),
                };
                row.put(&mut recipe, value);
                assert_eq!(row.get(&recipe), Some(written));
            }
        }
    }
}
