//! `quintfall playalong`: a track to practise with.

use std::collections::BTreeSet;
use std::io::{self, IsTerminal as _};
use std::path::PathBuf;

use clap::Args;
use clap::builder::{PathBufValueParser, TypedValueParser};

use super::options::Changes;
use super::{CliError, Report, slips};
use crate::desk::outlet::Outlet;
use crate::desk::playalong::{self, CHORUSES, COUNT_IN, RISE, Rungs, TrackErrand, number};
use crate::desk::product::Product;
use crate::sound::{ChoiceWord, Clicks, Groove, Part, Swing, TrackOptions};

/// Make a track to play along to: a drill in its keys, with bass, drums or a click
///
/// Without a recipe it goes through all twelve keys without stopping, with a bar to breathe
/// between them.
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall playalong --key Db --tempo 84
  quintfall playalong last-spring.pdf --with bass,ride,hi-hat,right
  quintfall playalong --drill two-five-one --choruses 4 --rise 6 --count-in 2
  quintfall playalong --key F --with click --clicks two-and-four
  quintfall playalong --key F --rungs slow,middle,goal
  quintfall playalong --tune harbour-stairs --choruses 5 --with bass,ride,hi-hat,comping
  quintfall playalong spring.toml -o spring.flac")]
pub(super) struct PlayalongOrder {
    // Before the recipe, whose place is forgotten as soon as it is taken.
    #[command(flatten)]
    changes: Changes,

    /// A recipe (TOML), or an earlier sheet (PDF) to take the recipe from
    #[arg(value_name = "RECIPE")]
    recipe: Option<PathBuf>,

    /// A tune to play over in place of a drill: a chart (TOML), its sheet (PDF), or the name of one
    /// of ours; `quintfall chart` lists those
    #[arg(long, value_name = "TUNE", conflicts_with_all = ["recipe", "drill", "course"])]
    tune: Option<PathBuf>,

    /// Who plays: the hands of the drill, soft chords, bass, drums, a click; without it bass and
    /// drums
    #[arg(long, value_name = "right|left|comping|bass|ride|hi-hat|brushes|click,...",
        value_delimiter = ',', value_parser = Part::of)]
    with: Vec<Part>,

    /// What the rhythm section plays; without it what suits metre, feel and tempo
    #[arg(long, value_name = "walking|two-feel|bossa|waltz|ballad", value_parser = Groove::of)]
    groove: Option<Groove>,

    /// How eighths swing: as players do at the tempo, but at most two to one (usual), without that
    /// limit (measured), two to one (triplet), a little (light), not at all (even), or by a ratio
    #[arg(long, value_name = "usual|measured|triplet|light|even|RATIO",
        value_parser = str::parse::<Swing>, allow_negative_numbers = true)]
    swing: Option<Swing>,

    /// How many bars are counted in: 0, 1 or 2
    #[arg(long, value_name = "BARS", value_parser = count_in, default_value = "1",
        hide_default_value = true, allow_negative_numbers = true)]
    count_in: usize,

    /// How often each key is played
    #[arg(long, value_name = "NUMBER", value_parser = choruses, default_value = "1",
        hide_default_value = true, allow_negative_numbers = true)]
    choruses: usize,

    /// By how many beats a minute each chorus is faster than the one before
    #[arg(long, value_name = "BEATS", value_parser = rise, default_value = "0",
        hide_default_value = true, allow_negative_numbers = true)]
    rise: u16,

    /// Which beats click
    #[arg(long, value_name = "all|two-and-four|every-other-bar", value_parser = Clicks::of)]
    clicks: Option<Clicks>,

    /// For which tempi of the ladder on the sheet there is a track; without it at the first
    /// tempo of a drill, and at that of a tune
    #[arg(long, value_name = "slow|middle|goal|all,...", value_delimiter = ',',
        value_parser = Rungs::of)]
    rungs: Vec<Rungs>,

    /// A SoundFont (.sf2) whose piano, bass and drums play in place of ours; the sound is WAV then,
    /// unless a name says otherwise
    #[arg(long, value_name = "FILE.sf2")]
    soundfont: Option<PathBuf>,

    /// The kind of file, where no name says it: mid for notes in time (MIDI), or sound as
    /// wav or, in fewer bytes and with its title, flac
    #[arg(long = "as", value_name = "mid|wav|flac", value_parser = Product::of)]
    kind: Option<Product>,

    /// The file to write, in place of one of that name; a folder where there are several tracks; -
    /// for standard output. Without it the name says what the track is, with the next free number
    /// where there is another of that name
    #[arg(short, long, value_name = "FILE", value_parser = files())]
    output: Option<Outlet>,

    /// Replace files that have the name already, whatever they are
    #[arg(long)]
    force: bool,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

impl PlayalongOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        if let Some(recipe) = &self.recipe
            && !recipe.exists()
            && let Some(complaint) = slips::no_recipe(recipe, "track", self.changes.1.as_ref())
        {
            return Err(complaint.into());
        }
        let with: BTreeSet<Part> = self.with.iter().copied().collect();
        let options = TrackOptions {
            with: Some(with).filter(|with| !with.is_empty()),
            groove: self.groove,
            swing: self.swing,
            clicks: self.clicks.unwrap_or_default(),
            count_in: self.count_in,
            choruses: self.choruses,
            rise: self.rise,
            ..TrackOptions::default()
        };
        let made = playalong::make(&TrackErrand {
            recipe: self.recipe.clone(),
            tune: self.tune.as_deref(),
            typed: &self.changes.0,
            options,
            rungs: &self.rungs,
            font: self.soundfont.as_deref(),
            kind: self.kind,
            output: self.output.as_ref(),
            force: self.force,
        });
        Ok(Report::of(made.map_err(CliError::Judged)?, self.quiet))
    }
}

fn count_in(text: &str) -> Result<usize, String> {
    number(text, "count-in", COUNT_IN)
}

fn choruses(text: &str) -> Result<usize, String> {
    number(text, "choruses", CHORUSES)
}

fn rise(text: &str) -> Result<u16, String> {
    Ok(number(text, "rise", RISE)? as u16)
}

/// Reads what is typed after `-o`, in whatever characters the system has for names.
fn files() -> impl TypedValueParser<Value = Outlet> {
    let outlet = |typed: PathBuf| {
        if typed != *"-" {
            return Ok(Outlet::File(typed));
        }
        if io::stdout().is_terminal() {
            return Err(
                "a terminal cannot show a track; write `> FILE.mid` after the command, or \
                        -o FILE.mid",
            );
        }
        Ok(Outlet::Stdout)
    };
    PathBufValueParser::new().try_map(outlet)
}
