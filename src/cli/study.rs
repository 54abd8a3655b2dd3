//! `quintfall study`: from the changes of tunes to what to practise.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::chart::{horn, key, numerals, paper, symbols};
use super::options::files;
use super::{CliError, Report};
use crate::chart::Horn;
use crate::desk::outlet::Outlet;
use crate::desk::study::{self, AskedOfStudy, StudyErrand};
use crate::desk::tune::AskedOfChart;
use crate::drill::over::OverWay;
use crate::recipe::{NumeralStyle, Paper, SymbolStyle};
use crate::theory::AskedKey;

/// Print what to practise for a tune: its chart, what the changes say, a plan, and the sheets
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall study harbour-stairs
  quintfall study mine.toml --key F --student Ada
  quintfall study mine.toml --under shells,rootless,lines
  quintfall study first.toml second.toml third.toml
  quintfall study mine.toml --format json
  quintfall study FOLDER --for-next 5")]
pub(super) struct StudyOrder {
    /// Charts (TOML), names of ours, a folder of charts, or an earlier packet (PDF)
    #[arg(value_name = "TUNE", required = true)]
    tunes: Vec<PathBuf>,

    /// The key that the tunes are to sound in, in place of their own
    #[arg(long, value_name = "KEY", value_parser = key)]
    key: Option<AskedKey>,

    /// Print the chart for an instrument in Bb, Eb or F too
    #[arg(long = "for", value_name = "Bb|Eb|F", value_parser = horn)]
    horn: Option<Horn>,

    /// Who practises
    #[arg(long, value_name = "NAME")]
    student: Option<String>,

    /// Who teaches
    #[arg(long, value_name = "NAME")]
    studio: Option<String>,

    /// The day, as it is to be printed
    #[arg(long, value_name = "DATE")]
    date: Option<String>,

    /// The ways in which the tune is to lie under the hands, the easiest first: shells,
    /// guide-tones, arpeggios, rootless, walking, drop-2, lines
    #[arg(long, value_name = "WAY,WAY", value_delimiter = ',', value_parser = study::way)]
    under: Vec<OverWay>,

    /// The paper
    #[arg(long, value_name = "a4|letter|a5|half-letter", value_parser = paper)]
    paper: Option<Paper>,

    /// How chord symbols are written
    #[arg(long, value_name = "letters|signs|mixed", value_parser = symbols)]
    symbols: Option<SymbolStyle>,

    /// What of the numerals is printed
    #[arg(long, value_name = "on|plain|off", value_parser = numerals)]
    numerals: Option<NumeralStyle>,

    /// What to make: the packet, or the analysis for other programs, on standard output
    #[arg(long, value_name = "pdf|json", default_value = "pdf", hide_possible_values = true)]
    format: Format,

    /// Say which keys and cadences occur how often in the tunes, and so many things to learn next
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=100),
        conflicts_with_all = ["format", "output", "key", "horn"])]
    for_next: Option<u16>,

    /// The PDF to write, in place of one of that name; - for standard output
    #[arg(short, long, value_name = "FILE.pdf", value_parser = files())]
    output: Option<Outlet>,

    /// Replace files that have the name already, whatever they are
    #[arg(long)]
    force: bool,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

/// What is made.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// The packet.
    Pdf,
    /// The analysis.
    Json,
}

impl StudyOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        if let Some(count) = self.for_next {
            let told = study::next(&self.tunes, usize::from(count)).map_err(CliError::Judged)?;
            return Ok(told.into());
        }
        let asked = AskedOfStudy {
            chart: AskedOfChart {
                key: self.key.map(AskedKey::plain),
                horn: self.horn.map(|horn| horn.word().to_owned()),
                paper: self.paper,
                symbols: self.symbols,
                numerals: self.numerals,
            },
            student: self.student.clone(),
            studio: self.studio.clone(),
            date: self.date.clone(),
            under: self.under.iter().map(|way| way.word().to_owned()).collect(),
        };
        if self.format == Format::Json {
            return Ok(study::json(&self.tunes, &asked).map_err(CliError::Judged)?.into());
        }
        let made = study::make(&StudyErrand {
            tunes: &self.tunes,
            asked,
            output: self.output.as_ref(),
            force: self.force,
        });
        Ok(Report::of(made.map_err(CliError::Judged)?, self.quiet))
    }
}
