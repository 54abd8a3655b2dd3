//! `quintfall chart`: the changes of a tune on a page.

use std::path::PathBuf;

use clap::Args;

use super::options::{dpi, files};
use super::{CliError, Report};
use crate::chart::Horn;
use crate::desk::errand::Pictures;
use crate::desk::outlet::Outlet;
use crate::desk::product::Product;
use crate::desk::tune::{self, ChartErrand};
use crate::recipe::{NumeralStyle, Paper, SymbolStyle};
use crate::source::{advice, plain, word};
use crate::theory::AskedKey;

/// Print the changes of a tune, with what they say of keys, or list the charts there are
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall chart
  quintfall chart harbour-stairs
  quintfall chart harbour-stairs --show > mine.toml
then edit mine.toml, and
  quintfall chart mine.toml --check
  quintfall chart mine.toml --key Bb --for Eb --paper letter")]
pub(super) struct ChartOrder {
    /// A chart (TOML), an earlier sheet of one (PDF), or the name of one of ours; without it they
    /// are listed
    #[arg(value_name = "TUNE")]
    chart: Option<PathBuf>,

    /// The key that it is to sound in, in place of its own
    #[arg(long, value_name = "KEY", value_parser = key, requires = "chart")]
    key: Option<AskedKey>,

    /// Write it for an instrument in Bb, Eb or F
    #[arg(long = "for", value_name = "Bb|Eb|F", value_parser = horn, requires = "chart")]
    horn: Option<Horn>,

    /// The paper
    #[arg(long, value_name = "a4|letter|a5|half-letter", value_parser = paper, requires = "chart")]
    paper: Option<Paper>,

    /// How chord symbols are written
    #[arg(long, value_name = "letters|signs|mixed", value_parser = symbols, requires = "chart")]
    symbols: Option<SymbolStyle>,

    /// What of the numerals below the chords is printed
    #[arg(long, value_name = "on|plain|off", value_parser = numerals, requires = "chart")]
    numerals: Option<NumeralStyle>,

    /// Say, line by line, what is wrong with the chart and how to mend it; print nothing
    #[arg(long, requires = "chart", conflicts_with_all = ["output", "png", "svg", "show"])]
    check: bool,

    /// Write the text of the chart to standard output, to begin one of your own
    #[arg(long, requires = "chart", conflicts_with_all = ["output", "png", "svg"])]
    show: bool,

    /// The PDF to write, in place of one of that name; - for standard output. Without it the name
    /// says which tune it is, with the next free number where there is another of that name
    #[arg(short, long, value_name = "FILE.pdf", value_parser = files(), requires = "chart")]
    output: Option<Outlet>,

    /// Replace files that have the name already, whatever they are
    #[arg(long)]
    force: bool,

    /// A folder for pictures of the pages, one PNG a page; no PDF then, unless -o names one
    #[arg(long, value_name = "FOLDER", requires = "chart")]
    png: Option<PathBuf>,

    /// The same as SVG, drawings without dots for a page of the web
    #[arg(long, value_name = "FOLDER", conflicts_with = "png", requires = "chart")]
    svg: Option<PathBuf>,

    /// The resolution of those pictures, in dots an inch
    #[arg(long, value_name = "DOTS", value_parser = dpi, requires = "png", conflicts_with = "svg")]
    dpi: Option<u32>,

    /// Say nothing when all went well
    #[arg(long)]
    quiet: bool,
}

impl ChartOrder {
    pub(super) fn make(&self) -> Result<Report, CliError> {
        /// Enough dots an inch to read every sign on a screen.
        const DPI: u32 = 150;
        let Some(chart) = &self.chart else { return Ok(list().into()) };
        if self.show || self.check {
            let written = tune::read(chart).map_err(CliError::Judged)?;
            return Ok(Report::from(match self.show {
                true => written.text,
                false => format!("{}\n", plain::line(&tune::told(&written))),
            }));
        }
        let png = Product::Png { dots: self.dpi.unwrap_or(DPI) };
        let png = self.png.clone().map(|folder| Pictures { folder, product: png });
        let svg = self.svg.clone().map(|folder| Pictures { folder, product: Product::Svg });
        let made = tune::make(&ChartErrand {
            chart,
            key: self.key,
            horn: self.horn,
            paper: self.paper,
            symbols: self.symbols,
            numerals: self.numerals,
            output: self.output.as_ref(),
            force: self.force,
            pictures: png.or(svg),
        });
        Ok(Report::of(made.map_err(CliError::Judged)?, self.quiet))
    }
}

/// Each chart with its title, and below them what it is.
fn list() -> String {
    let row = |[name, title, about]: [String; 3]| format!("{name}: {title}\n    {about}\n");
    tune::list().into_iter().map(row).collect()
}

pub(super) fn key(text: &str) -> Result<AskedKey, String> {
    text.parse::<AskedKey>().map_err(|error| error.to_string())
}

pub(super) fn horn(text: &str) -> Result<Horn, String> {
    let words = || Horn::ALL.map(Horn::word);
    tune::horn(text).ok_or_else(|| {
        format!("unknown instrument `{}`; {}", plain::shortened(text), advice(text, &words()))
    })
}

pub(super) fn paper(text: &str) -> Result<Paper, String> {
    choice("paper", text)
}

pub(super) fn symbols(text: &str) -> Result<SymbolStyle, String> {
    choice("symbols", text)
}

pub(super) fn numerals(text: &str) -> Result<NumeralStyle, String> {
    choice("numerals", text)
}

/// One of the words of a choice.
fn choice<T: serde::de::DeserializeOwned>(what: &str, text: &str) -> Result<T, String> {
    word::choice(text).ok_or_else(|| {
        let known = word::known::<T>();
        format!("unknown {what} `{}`; {}", plain::shortened(text), advice(text, known))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::demos;

    #[test]
    fn the_list_has_every_chart_with_its_title_and_what_it_is() {
        let list = list();
        assert_eq!(list.lines().count(), 2 * demos().count(), "{list}");
        assert!(list.lines().all(|line| line.len() > 12), "{list}");
    }
}
