//! The options that workbook and handout share, and what they change in a recipe.

use std::io::{self, IsTerminal as _};
use std::path::PathBuf;

use clap::Args;
use clap::builder::{PathBufValueParser, TypedValueParser};
use serde::de::DeserializeOwned;
use serde::de::value::StrDeserializer;

use super::word::Unknown;
use crate::desk::outlet::{Outlet, outlet};
use crate::fingering::{HandSize, Measure};
use crate::output::RESOLUTIONS;
use crate::recipe::{
    Binding, Counts, CourseDrill, Feel, FingeringMarks, Hands, KeyOrder, Level, Orientation, Paper,
    Recipe, StaffSize, WHOLE_LIBRARY, parse_beats,
};
use crate::theory::{Key, KeyError, SymbolStyle};

/// What was chosen on the command line; it wins over the recipe.
#[derive(Args, Default)]
pub(crate) struct Choices {
    /// A recipe (TOML), or an earlier sheet (PDF) to take the recipe from
    #[arg(value_name = "RECIPE")]
    pub(crate) recipe: Option<PathBuf>,

    /// A drill of the library (`quintfall drills` lists them) or a drill file of your own; several
    /// make a course
    #[arg(long, value_name = "NAME|FILE.toml,...", value_delimiter = ',')]
    pub(crate) drill: Vec<String>,

    /// Every drill of the library, from first lesson to last
    #[arg(long, conflicts_with = "drill")]
    course: bool,

    /// The keys, in the order in which they are printed: C,F,Bb
    #[arg(
        long,
        visible_alias = "key",
        value_name = "KEY,...",
        value_delimiter = ',',
        value_parser = key
    )]
    pub(crate) keys: Vec<Key>,

    /// The order of the keys in place of the one they stand in
    #[arg(
        long,
        value_name = "falling-fifths|rising-fifths|chromatic|shuffled",
        value_parser = word::<KeyOrder>
    )]
    order: Option<KeyOrder>,

    /// What shuffled keys are drawn from: the same number gives the same order
    #[arg(long, value_name = "NUMBER", value_parser = seed, allow_negative_numbers = true)]
    seed: Option<u32>,

    /// How far the student is: sets tempo, counts, fingering, hands and symbols, except those
    /// that are typed too
    #[arg(
        long,
        value_name = "first-lesson|beginner|intermediate|advanced",
        value_parser = word::<Level>
    )]
    level: Option<Level>,

    /// The first tempo, in beats a minute: quarters, or dotted quarters in 6/8
    #[arg(long, value_name = "BEATS", value_parser = tempo, allow_negative_numbers = true)]
    pub(crate) tempo: Option<u16>,

    /// The tempo to arrive at
    #[arg(long, value_name = "BEATS", value_parser = goal, allow_negative_numbers = true)]
    pub(crate) goal: Option<u16>,

    /// How eighths are played; without it the drill decides
    #[arg(long, value_name = "swing|even", value_parser = word::<Feel>)]
    feel: Option<Feel>,

    /// The paper
    #[arg(long, value_name = "a4|letter", value_parser = word::<Paper>)]
    paper: Option<Paper>,

    /// Which way up the paper is
    #[arg(long, value_name = "portrait|landscape", value_parser = word::<Orientation>)]
    orientation: Option<Orientation>,

    /// The height of the staves: 6.5, 7, 7.5, 8, or 9.5 for large print; a key takes two facing
    /// pages where one cannot hold it
    #[arg(long, value_name = "MM", value_parser = staff)]
    staff: Option<StaffSize>,

    /// Wider margins for binding or punching: left, or at the inner side when printed duplex
    #[arg(long, value_name = "none|left|duplex", value_parser = word::<Binding>)]
    binding: Option<Binding>,

    /// Two pages on a sheet twice as wide, in the order for folding and stapling
    #[arg(long)]
    booklet: bool,

    /// Chord symbols in letters (Cmaj7 Bm7♭5), signs (C△7 Bø7) or mixed (Cmaj7 Bø7)
    #[arg(long, value_name = "letters|signs|mixed", value_parser = word::<SymbolStyle>)]
    symbols: Option<SymbolStyle>,

    /// Where counts stand between the staves
    #[arg(long, value_name = "all|first-bar|none", value_parser = word::<Counts>)]
    counts: Option<Counts>,

    /// Which notes show their finger
    #[arg(
        long,
        value_name = "all|first-bars|changes|none",
        value_parser = word::<FingeringMarks>
    )]
    fingering: Option<FingeringMarks>,

    /// The hand that fingers are chosen for
    #[arg(long, value_name = "small|medium|large", value_parser = word::<HandSize>)]
    hand: Option<HandSize>,

    /// How the spans of that hand are measured: in semitones, in millimetres, or in keys of a
    /// row where black and white alternate
    #[arg(
        long,
        value_name = "semitones|millimetres|alternating",
        value_parser = word::<Measure>
    )]
    spans: Option<Measure>,

    /// Which hands play; the staff of the other one rests
    #[arg(long, value_name = "together|right|left", value_parser = word::<Hands>)]
    hands: Option<Hands>,

    /// Who practises
    #[arg(long, value_name = "NAME")]
    student: Option<String>,

    /// A title in place of the drill's own
    #[arg(long, value_name = "TEXT")]
    title: Option<String>,

    /// Who teaches
    #[arg(long, value_name = "NAME")]
    studio: Option<String>,

    /// A picture for the sheet, PNG or JPEG
    #[arg(long, value_name = "PICTURE")]
    pub(crate) logo: Option<String>,

    /// The PDF to write, in place of one of that name; - for standard output. Without it the name
    /// says what the sheet is, with the next free number where there is another of that name
    #[arg(short, long, value_name = "FILE.pdf", value_parser = files())]
    pub(crate) output: Option<Outlet>,

    /// Replace files that have the name already, whatever they are
    #[arg(long)]
    pub(crate) force: bool,

    /// A folder for pictures of the pages, one PNG a page; no PDF then, unless -o names one
    #[arg(long, value_name = "FOLDER")]
    pub(crate) png: Option<PathBuf>,

    /// The resolution of those pictures, in dots an inch
    #[arg(long, value_name = "DOTS", value_parser = dpi, requires = "png")]
    dpi: Option<u32>,

    /// Say nothing when all went well
    #[arg(long)]
    pub(crate) quiet: bool,
}

impl Choices {
    /// Another tempo and perhaps another goal, and nothing else.
    pub(crate) fn of_tempo(tempo: u16, goal: Option<u16>) -> Self {
        Self { tempo: Some(tempo), goal, ..Self::default() }
    }

    /// The resolution of pictures, in dots an inch.
    pub(crate) fn dpi(&self) -> u32 {
        /// Enough to read every sign on a screen.
        const DEFAULT: u32 = 150;
        self.dpi.unwrap_or(DEFAULT)
    }

    /// `recipe` with everything that was chosen in its place. An empty text takes the field out.
    pub(crate) fn laid_over(&self, recipe: Recipe) -> Recipe {
        let recipe = match self.level {
            Some(level) => recipe.at_level(level, |field| self.sets(field)),
            None => recipe,
        };
        let text = |chosen: &Option<String>, old| chosen.clone().or(old);
        let mut new = Recipe {
            feel: self.feel.or(recipe.feel),
            paper: self.paper.unwrap_or(recipe.paper),
            orientation: self.orientation.unwrap_or(recipe.orientation),
            staff: self.staff.or(recipe.staff),
            binding: self.binding.unwrap_or(recipe.binding),
            booklet: self.booklet || recipe.booklet,
            symbols: self.symbols.unwrap_or(recipe.symbols),
            counts: self.counts.unwrap_or(recipe.counts),
            fingering: self.fingering.unwrap_or(recipe.fingering),
            hand: self.hand.unwrap_or(recipe.hand),
            spans: self.spans.unwrap_or(recipe.spans),
            hands: self.hands.unwrap_or(recipe.hands),
            student: text(&self.student, recipe.student),
            title: text(&self.title, recipe.title),
            studio: text(&self.studio, recipe.studio),
            ..recipe
        };
        self.lay_keys_over(&mut new);
        self.lay_drills_over(&mut new);
        if let Some(logo) = &self.logo {
            new.logo = Some(logo.clone());
            new.logo_data = None;
        }
        new.at_tempo(self.tempo, self.goal)
    }

    /// Keys that are typed stand as they are typed, unless an order is typed too.
    fn lay_keys_over(&self, recipe: &mut Recipe) {
        if !self.keys.is_empty() {
            recipe.keys.clone_from(&self.keys);
        }
        if self.order.is_some() || !self.keys.is_empty() {
            recipe.order = self.order;
        }
        let keeps_seed = recipe.order == Some(KeyOrder::Shuffled);
        recipe.seed = self.seed.or(recipe.seed.filter(|_| keeps_seed));
    }

    /// Drills that are typed take the place of all that the recipe has.
    fn lay_drills_over(&self, recipe: &mut Recipe) {
        let (drill, course) = match self.drill.as_slice() {
            [] if self.course => (String::new(), vec![CourseDrill::named(WHOLE_LIBRARY)]),
            [] => return,
            [drill] => (drill.clone(), Vec::new()),
            drills => {
                (String::new(), drills.iter().map(|drill| CourseDrill::named(drill)).collect())
            }
        };
        recipe.drill = drill;
        recipe.course = course;
        recipe.template = None;
    }

    /// Whether one of the fields that a level fills in was typed.
    fn sets(&self, field: &str) -> bool {
        match field {
            "tempo" => self.tempo.is_some(),
            "goal" => self.goal.is_some(),
            "counts" => self.counts.is_some(),
            "fingering" => self.fingering.is_some(),
            "hands" => self.hands.is_some(),
            "symbols" => self.symbols.is_some(),
            _ => false,
        }
    }

    /// The option that gave `field`, if one did.
    pub(crate) fn option_of(&self, field: &str) -> Option<&'static str> {
        let options = [
            ("drill", !self.drill.is_empty(), "--drill"),
            ("course", !self.drill.is_empty(), "--drill"),
            ("course", self.course, "--course"),
            ("keys", !self.keys.is_empty(), "--keys"),
            ("seed", self.seed.is_some(), "--seed"),
            ("goal", self.goal.is_some(), "--goal"),
            ("tempo", self.tempo.is_some(), "--tempo"),
            ("student", self.student.is_some(), "--student"),
            ("title", self.title.is_some(), "--title"),
            ("studio", self.studio.is_some(), "--studio"),
            ("logo", self.logo.is_some(), "--logo"),
            ("orientation", self.orientation.is_some(), "--orientation"),
            ("booklet", self.booklet, "--booklet"),
        ];
        let given = options.iter().find(|(name, given, _)| *name == field && *given);
        given.map(|(_, _, option)| *option)
    }
}

/// Reads what is typed after `-o`, in whatever characters the system has for names.
pub(super) fn files() -> impl TypedValueParser<Value = Outlet> {
    let shown = |outlet| match outlet {
        Outlet::Stdout if io::stdout().is_terminal() => Err(
            "a terminal cannot show the sheet; write `> FILE.pdf` after the command, or -o FILE.pdf",
        ),
        outlet => Ok(outlet),
    };
    PathBufValueParser::new().try_map(outlet).try_map(shown)
}

/// A key as typed.
fn key(text: &str) -> Result<Key, KeyError> {
    text.parse()
}

/// A first tempo as typed.
pub(crate) fn tempo(text: &str) -> Result<u16, String> {
    parse_beats("tempo", text)
}

/// A goal as typed.
pub(crate) fn goal(text: &str) -> Result<u16, String> {
    parse_beats("goal", text)
}

/// A staff size as typed.
fn staff(text: &str) -> Result<StaffSize, String> {
    let mm = text.parse().map_err(|_| format!("staff is `{text}`; write a number, as in 8.0"))?;
    StaffSize::of_mm(mm).map_err(|error| error.to_string())
}

/// A seed as typed.
fn seed(text: &str) -> Result<u32, String> {
    text.parse()
        .map_err(|_| format!("seed is `{text}`; write a whole number from 0 to {}", u32::MAX))
}

/// A resolution as typed.
fn dpi(text: &str) -> Result<u32, String> {
    text.parse().ok().filter(|dpi| RESOLUTIONS.contains(dpi)).ok_or_else(|| {
        let [low, high] = [RESOLUTIONS.start(), RESOLUTIONS.end()];
        format!("dpi is `{text}`; write a whole number from {low} to {high}")
    })
}

/// One of the words of a field of the recipe; the recipe's own reader knows them.
fn word<T: DeserializeOwned>(text: &str) -> Result<T, String> {
    let small = text.to_lowercase();
    T::deserialize(StrDeserializer::<Unknown>::new(&small)).map_err(|error| error.advice(text))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drill_or_picture_chosen_anew_displaces_what_the_recipe_holds() {
        let recipe = Recipe {
            template: Some("old".to_owned()),
            logo: Some("old.png".to_owned()),
            logo_data: Some("AAAA".to_owned()),
            ..Recipe::default()
        };
        let kept = Choices::default().laid_over(recipe.clone());
        assert_eq!(kept, recipe);
        let choices = Choices {
            drill: vec!["on-the-beat".to_owned()],
            logo: Some("new.png".to_owned()),
            ..Choices::default()
        };
        let new = choices.laid_over(recipe);
        assert_eq!((new.drill.as_str(), new.template), ("on-the-beat", None));
        assert_eq!((new.logo.as_deref(), new.logo_data), (Some("new.png"), None));
    }

    #[test]
    fn words_are_those_of_the_recipe() {
        assert_eq!(word::<Counts>("First-Bar"), Ok(Counts::FirstBar));
        let message = word::<Paper>("b5").unwrap_err();
        assert_eq!(message, "`b5` is unknown; write `a4` or `letter`");
        let message = word::<Paper>("A44").unwrap_err();
        assert_eq!(message, "`A44` is unknown; did you mean `a4`?");
        let message = word::<FingeringMarks>("some").unwrap_err();
        assert_eq!(message, "`some` is unknown; write `all`, `first-bars`, `changes`, `none`");
    }
}
