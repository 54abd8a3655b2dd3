//! The options of commands that make sheets: those that change the recipe come from its table of
//! fields, the others say where the sheet goes.

use std::io::{self, IsTerminal as _};
use std::path::PathBuf;

use clap::builder::{PathBufValueParser, TypedValueParser};
use clap::parser::ValueSource;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches};

use super::slips::{self, Before};
use super::{CliError, Report, words};
use crate::desk::errand::{Errand, Pictures, Typed};
use crate::desk::many::{self, ManyErrand};
use crate::desk::outlet::{Companion, Outlet, companion, outlet, track_companion};
use crate::desk::playalong::Rungs;
use crate::desk::product::Product;
use crate::desk::with_tracks;
use crate::output::RESOLUTIONS;
use crate::recipe::fields::{FIELDS, FieldKind, FieldValue, row};
use crate::recipe::{CourseDrill, DocumentForm, WHOLE_LIBRARY};
use crate::sound::ChoiceWord as _;
use crate::source::{Complaint, RecipeField as Field};

/// The argument that names the recipe.
const RECIPE: &str = "recipe";

/// What workbook and handout share.
#[derive(Args)]
pub(super) struct SheetOptions {
    // Before the recipe, whose place is forgotten as soon as it is taken.
    #[command(flatten)]
    changes: Changes,

    /// A recipe (TOML), or an earlier sheet (PDF) to take the recipe from
    #[arg(value_name = "RECIPE")]
    recipe: Option<PathBuf>,

    /// The PDF to write, in place of one of that name; - for standard output. Without it the name
    /// says what the sheet is, with the next free number where there is another of that name
    #[arg(short, long, value_name = "FILE.pdf", value_parser = files())]
    output: Option<Outlet>,

    /// A list of students, for each of whom the sheet is made: a text with a name a line, or a
    /// class list
    #[arg(long, value_name = "LIST",
        conflicts_with_all = ["output", "png", "svg", "musicxml", "midi", "sound",
            Field::Student.name()])]
    students: Option<PathBuf>,

    /// Replace files that have the name already, whatever they are
    #[arg(long)]
    force: bool,

    /// A folder for pictures of the pages, one PNG a page; no PDF then, unless -o names one
    #[arg(long, value_name = "FOLDER")]
    png: Option<PathBuf>,

    /// The same as SVG, drawings without dots for a page of the web
    #[arg(long, value_name = "FOLDER", conflicts_with = "png")]
    svg: Option<PathBuf>,

    /// The resolution of those pictures, in dots an inch
    #[arg(long, value_name = "DOTS", value_parser = dpi, requires = "png", conflicts_with = "svg")]
    dpi: Option<u32>,

    /// The notes as MusicXML, for other programs; packed if the name ends in .mxl, - for standard
    /// output. No PDF then, unless -o names one
    #[arg(long, value_name = "FILE.musicxml|FILE.mxl", value_parser = notes())]
    musicxml: Option<Companion>,

    /// A track to play along to, as notes in time (MIDI), at the first tempo and with bass and
    /// drums; a folder of a course or of several rungs; - for standard output. No PDF then, unless -o names one, which
    /// names the track at its foot
    #[arg(long, value_name = "FILE.mid", value_parser = midi())]
    midi: Option<Companion>,

    /// The same as sound; `quintfall playalong` has more to choose from
    #[arg(long, value_name = "FILE.wav|FILE.flac", value_parser = sound())]
    sound: Option<Companion>,

    /// For which tempi of the ladder there is a track; without it for the first. Several are a
    /// folder
    #[arg(long, value_name = "slow|middle|goal|all,...", value_delimiter = ',',
        value_parser = Rungs::of)]
    rungs: Vec<Rungs>,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

impl SheetOptions {
    /// Makes what was asked for.
    pub(super) fn make(&self, form: DocumentForm) -> Result<Report, CliError> {
        self.make_with(form, &[])
    }

    /// The same from more recipes or sheets.
    pub(super) fn make_with(
        &self,
        form: DocumentForm,
        also: &[PathBuf],
    ) -> Result<Report, CliError> {
        /// Enough dots an inch to read every sign on a screen.
        const DPI: u32 = 150;
        if let Some(recipe) = &self.recipe
            && !recipe.exists()
            && let Some(complaint) = slips::no_recipe(recipe, form.word(), self.changes.1.as_ref())
        {
            return Err(complaint.into());
        }
        if let Some(students) = &self.students {
            let made = many::make(&ManyErrand {
                form,
                recipe: self.recipe.as_deref(),
                also,
                typed: &self.changes.0,
                students,
                force: self.force,
            });
            return Ok(Report::of(made.map_err(CliError::Judged)?, self.quiet));
        }
        let png = Product::Png { dots: self.dpi.unwrap_or(DPI) };
        let png = self.png.clone().map(|folder| Pictures { folder, product: png });
        let svg = self.svg.clone().map(|folder| Pictures { folder, product: Product::Svg });
        let errand = Errand {
            form,
            recipe: self.recipe.clone(),
            also,
            typed: &self.changes.0,
            output: self.output.as_ref(),
            force: self.force,
            pictures: png.or(svg),
            companions: self.musicxml.as_slice(),
        };
        let tracks = [self.midi.as_slice(), self.sound.as_slice()].concat();
        if tracks.is_empty() && !self.rungs.is_empty() {
            let complaint =
                Complaint::new("--rungs says for which tempi there is a track, and none is made");
            return Err(complaint.mend("write --midi FOLDER or --sound FOLDER beside it").into());
        }
        let rungs = if self.rungs.is_empty() { &[Rungs::Slow] } else { &*self.rungs };
        let made = with_tracks::make(&errand, &tracks, rungs)?;
        Ok(Report::of(made, self.quiet))
    }
}

/// The fields that can be typed, which are those with a help, in the order in which it lists them:
/// from the drill on, and the words on the page last.
fn changes() -> impl Iterator<Item = Field> {
    let typed = FIELDS.iter().filter(|row| !row.help.is_empty()).map(|row| row.field);
    let (before, from): (Vec<Field>, Vec<Field>) = typed.partition(|field| *field < Field::Drill);
    from.into_iter().chain(before)
}

/// The two that `retempo` changes.
fn beats() -> impl Iterator<Item = Field> {
    [Field::Tempo, Field::Goal].into_iter()
}

/// What was typed in place of fields of the recipe, and the option that stands right before the
/// recipe.
pub(super) struct Changes(pub(super) Typed, pub(super) Option<Before>);

/// Another tempo, which must be typed, and perhaps another goal.
pub(super) struct Beats(pub(super) Typed);

/// What the two have in common.
macro_rules! typed {
    ($Name:ident, $fields:ident, $arg:expr, |$matches:ident, $all:ident| $made:expr) => {
        impl Args for $Name {
            fn augment_args(command: Command) -> Command {
                command.args($fields().map($arg))
            }

            fn augment_args_for_update(command: Command) -> Command {
                Self::augment_args(command)
            }
        }

        impl FromArgMatches for $Name {
            fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
                let ($matches, $all) = (matches, $fields());
                Ok($made)
            }

            fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
                *self = Self::from_arg_matches(matches)?;
                Ok(())
            }
        }
    };
}

typed!(Changes, changes, arg, |matches, fields| Self(typed(matches, fields), before(matches)));
typed!(Beats, beats, |field| arg(field).required(field == Field::Tempo), |matches, fields| Self(
    typed(matches, fields)
));

/// The option whose last value stands right before the recipe.
fn before(matches: &ArgMatches) -> Option<Before> {
    let recipe = matches.index_of(RECIPE)?;
    let is_before = |field: &Field| {
        let is_typed = matches.value_source(field.name()) == Some(ValueSource::CommandLine);
        let places = matches.indices_of(field.name()).filter(|_| is_typed);
        places.is_some_and(|mut places| places.any(|place| place + 1 == recipe))
    };
    let field = changes().find(is_before)?;
    let raw = matches.get_raw(field.name())?.map(|word| word.to_string_lossy().into_owned());
    Some(Before { field, words: raw.collect() })
}

/// The option of a field.
fn arg(field: Field) -> Arg {
    let row = row(field);
    let arg = Arg::new(field.name()).long(field.name()).help(row.help);
    let parser = move |text: &str| row.typed(text);
    match (field, row.kind) {
        (Field::Course, _) => arg.action(ArgAction::SetTrue).conflicts_with(Field::Drill.name()),
        (_, FieldKind::Flag) => arg.action(ArgAction::SetTrue),
        (Field::Drill, _) => {
            let help = format!("{}; `quintfall drills` lists those of the library", row.help);
            let names = arg.help(help).value_name("NAME|FILE.toml,...").value_parser(parser);
            names.action(ArgAction::Append).value_delimiter(',')
        }
        (Field::Keys, _) => {
            let names = arg.value_name("KEY,...").value_parser(parser).visible_alias("key");
            names.action(ArgAction::Append).value_delimiter(',')
        }
        (_, FieldKind::Words(words)) => {
            let names = arg.value_name(format!("{},...", words().join("|"))).value_parser(parser);
            names.action(ArgAction::Append).value_delimiter(',')
        }
        (_, FieldKind::Numbers(..)) => {
            let numbers = arg.value_name("NUMBER,...").value_parser(parser);
            numbers.action(ArgAction::Append).value_delimiter(',').allow_negative_numbers(true)
        }
        (_, FieldKind::Lines(..)) => {
            let help = format!("{}, with \\n where you want one to end", row.help);
            arg.help(help).value_name(value_name(field, row.kind)).value_parser(parser)
        }
        (_, kind) => {
            let is_number =
                matches!(kind, FieldKind::Beats | FieldKind::Seed | FieldKind::Number(..));
            arg.value_name(value_name(field, kind))
                .value_parser(parser)
                .allow_negative_numbers(is_number)
        }
    }
}

/// What stands for the value of an option in the help.
fn value_name(field: Field, kind: FieldKind) -> String {
    match (field, kind) {
        _ if !row(field).choices().is_empty() => return row(field).choices().join("|"),
        (_, FieldKind::Beats) => "BEATS",
        (_, FieldKind::Seed | FieldKind::Number(..)) => "NUMBER",
        (Field::Logo, _) => "PICTURE",
        (Field::Student | Field::Studio, _) => "NAME",
        (Field::TracksAt, _) => "ADDRESS",
        _ => "TEXT",
    }
    .to_owned()
}

/// What was typed of some fields.
fn typed(matches: &ArgMatches, fields: impl Iterator<Item = Field>) -> Typed {
    let mut typed = Typed::default();
    for field in fields {
        let Some((field, value, option)) = value(matches, field) else { continue };
        typed.settings.set(field, value);
        typed.options.insert(field, option);
    }
    typed
}

/// What was typed of a field: the field that it sets, the value, and the option.
fn value(matches: &ArgMatches, field: Field) -> Option<(Field, FieldValue, String)> {
    let name = field.name();
    let all = || matches.get_many::<FieldValue>(name).into_iter().flatten().cloned();
    match (field, row(field).kind) {
        (Field::Course, _) => {
            let library = FieldValue::Drills(vec![CourseDrill::named(WHOLE_LIBRARY)]);
            matches.get_flag(name).then_some((field, library, option_of(field)))
        }
        (_, FieldKind::Flag) => {
            matches.get_flag(name).then_some((field, FieldValue::Flag(true), option_of(field)))
        }
        (Field::Drill, _) => {
            let mut drills: Vec<FieldValue> = all().collect();
            match drills.len() {
                0 | 1 => Some((field, drills.pop()?, option_of(field))),
                _ => {
                    let drills = drills.into_iter().filter_map(|drill| match drill {
                        FieldValue::Text(name) => Some(CourseDrill::named(&name)),
                        _ => None,
                    });
                    let course = FieldValue::Drills(drills.collect());
                    Some((Field::Course, course, option_of(field)))
                }
            }
        }
        (_, FieldKind::Keys) => {
            let keys: Vec<_> = all()
                .flat_map(
                    |value| if let FieldValue::Keys(keys) = value { keys } else { Vec::new() },
                )
                .collect();
            (!keys.is_empty()).then_some((field, FieldValue::Keys(keys), option_of(field)))
        }
        (_, FieldKind::Words(_)) => {
            let one = |value| if let FieldValue::Words(all) = value { all } else { Vec::new() };
            let words: Vec<&str> = all().flat_map(one).collect();
            (!words.is_empty()).then_some((field, FieldValue::Words(words), option_of(field)))
        }
        (_, FieldKind::Numbers(..)) => {
            let one = |value| if let FieldValue::Numbers(all) = value { all } else { Vec::new() };
            let numbers: Vec<u32> = all().flat_map(one).collect();
            (!numbers.is_empty()).then_some((field, FieldValue::Numbers(numbers), option_of(field)))
        }
        _ => Some((field, matches.get_one::<FieldValue>(name)?.clone(), option_of(field))),
    }
}

/// The option of a field as it is typed.
fn option_of(field: Field) -> String {
    format!("--{}", field.name())
}

/// Reads what is typed after `-o`, in whatever characters the system has for names.
pub(super) fn files() -> impl TypedValueParser<Value = Outlet> {
    let file = |typed| outlet(typed).map_err(|complaint| words::of(&complaint));
    let shown = |outlet| match outlet {
        Outlet::Stdout if io::stdout().is_terminal() => Err(
            "a terminal cannot show the sheet; write `> FILE.pdf` after the command, or -o FILE.pdf",
        ),
        outlet => Ok(outlet),
    };
    PathBufValueParser::new().try_map(file).try_map(shown)
}

/// Reads where the notes go.
fn notes() -> impl TypedValueParser<Value = Companion> {
    let kinds = [Product::MusicXml, Product::Mxl];
    let file = move |typed| {
        let made = companion(typed, &kinds, "the file is MusicXML");
        made.map_err(|complaint| words::of(&complaint))
    };
    PathBufValueParser::new().try_map(file)
}

/// Reads where a track of notes in time goes.
fn midi() -> impl TypedValueParser<Value = Companion> {
    track(&[Product::Midi], "the track is a MIDI file")
}

/// Reads where a track of sound goes.
fn sound() -> impl TypedValueParser<Value = Companion> {
    track(&[Product::Wav, Product::Flac], "the track is a WAV file or a FLAC file")
}

fn track(kinds: &'static [Product], are: &'static str) -> impl TypedValueParser<Value = Companion> {
    let file =
        move |typed| track_companion(typed, kinds, are).map_err(|complaint| words::of(&complaint));
    PathBufValueParser::new().try_map(file)
}

/// A resolution as typed.
pub(super) fn dpi(text: &str) -> Result<u32, String> {
    text.parse().ok().filter(|dpi| RESOLUTIONS.contains(dpi)).ok_or_else(|| {
        let [low, high] = [RESOLUTIONS.start(), RESOLUTIONS.end()];
        format!("dpi is `{text}`; write a whole number from {low} to {high}")
    })
}
