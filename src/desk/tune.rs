//! A chart that is to be printed: fetched, put into the key that is asked for, laid out, and put in
//! its place.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::commission::counted;
use super::errand::Pictures;
use super::naming;
use super::outlet::Outlet;
use super::place::{Spots, Taken};
use super::product::Product;
use super::spot::Spot;
use super::{Answer, files, source};
use crate::book::{ChartBook, ChartLook, PageError, ReaderTune};
use crate::canvas::paper::Paper;
use crate::canvas::{Document, Label};
use crate::chart::{Analysis, Chart, Horn, analyse_in, demos};
use crate::output;
use crate::parallel;
use crate::recipe::LARGEST_TEMPLATE;
use crate::source::{Complaint, Field, Place, advice, nearest};
use crate::theory::{AskedKey, ChordStyle, Key, NumeralStyle, SymbolStyle};

/// Most bytes of a PDF that carries a chart.
pub(super) const LARGEST_SHEET: u64 = 16 * 1024 * 1024;

/// What is asked for of a chart.
pub(crate) struct ChartErrand<'a> {
    /// The chart, a sheet that carries one, or the name of one that comes with the program.
    pub(crate) chart: &'a Path,
    /// The key that it is to sound in.
    pub(crate) key: Option<AskedKey>,
    /// Who reads it.
    pub(crate) horn: Option<Horn>,
    pub(crate) paper: Option<Paper>,
    pub(crate) symbols: Option<SymbolStyle>,
    pub(crate) numerals: Option<NumeralStyle>,
    /// Where the sheet goes; without it, where its name says.
    pub(crate) output: Option<&'a Outlet>,
    /// Whether a file that has the name already may be replaced, whatever it is.
    pub(crate) force: bool,
    /// Pictures of the pages; no sheet then, unless it was said where it goes.
    pub(crate) pictures: Option<Pictures>,
}

/// A chart and what it was read from.
pub(crate) struct WrittenChart {
    pub(crate) chart: Chart,
    /// The text.
    pub(crate) text: String,
    /// What the text came from.
    pub(crate) name: String,
    /// What was asked for of it when it was printed.
    asked: AskedOfChart,
}

/// What a sheet carries of a chart, so that it can be made again.
#[derive(Serialize, Deserialize)]
struct CarriedChart {
    /// The text of the chart.
    chart: String,
    #[serde(flatten)]
    asked: AskedOfChart,
}

/// What is asked for of a chart, or of the charts of a study.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct AskedOfChart {
    /// The key that a tune is to sound in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) key: Option<String>,
    /// Who reads its chart.
    #[serde(default, rename = "for", skip_serializing_if = "Option::is_none")]
    pub(crate) horn: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) paper: Option<Paper>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) symbols: Option<SymbolStyle>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) numerals: Option<NumeralStyle>,
}

impl AskedOfChart {
    /// What an errand asks for.
    pub(crate) fn by(errand: &ChartErrand<'_>) -> Self {
        Self {
            key: errand.key.map(AskedKey::plain),
            horn: errand.horn.map(|horn| horn.word().to_owned()),
            paper: errand.paper,
            symbols: errand.symbols,
            numerals: errand.numerals,
        }
    }

    /// What is asked for here, and where it says nothing, what was asked for before.
    pub(super) fn over(self, before: Self) -> Self {
        Self {
            key: self.key.or(before.key),
            horn: self.horn.or(before.horn),
            paper: self.paper.or(before.paper),
            symbols: self.symbols.or(before.symbols),
            numerals: self.numerals.or(before.numerals),
        }
    }

    /// The key, read.
    pub(super) fn key(&self) -> Option<AskedKey> {
        self.key.as_deref().and_then(|key| key.parse().ok())
    }

    /// The instrument, read.
    pub(super) fn horn(&self) -> Option<Horn> {
        self.horn.as_deref().and_then(horn)
    }
}

impl<'a> ChartErrand<'a> {
    /// The chart as it stands, with nothing asked for beside it.
    pub(crate) const fn of(chart: &'a Path) -> Self {
        Self {
            chart,
            key: None,
            horn: None,
            paper: None,
            symbols: None,
            numerals: None,
            output: None,
            force: false,
            pictures: None,
        }
    }
}

/// Reads the chart of a file, of a sheet, or of the program under a name. Errors name everything
/// that is wrong with it.
pub(crate) fn read(path: &Path) -> Result<WrittenChart, Vec<Complaint>> {
    let (text, name, asked) = fetched(path).map_err(|complaint| vec![complaint])?;
    Ok(WrittenChart { asked, ..of_text(text, &name)? })
}

/// Reads a chart from a text, which has a name. Errors name everything that is wrong with it.
pub(super) fn of_text(text: String, name: &str) -> Result<WrittenChart, Vec<Complaint>> {
    let chart = Chart::judge(&text, name)?;
    Ok(WrittenChart { chart, text, name: name.to_owned(), asked: AskedOfChart::default() })
}

/// The text of a chart, what it is called, and what was asked for of it.
fn fetched(path: &Path) -> Result<(String, String, AskedOfChart), Complaint> {
    let name = path.display().to_string();
    if !path.exists()
        && let Some((name, text)) = demos().find(|(demo, _)| path == Path::new(demo))
    {
        return Ok((text.to_owned(), name.to_owned(), AskedOfChart::default()));
    }
    let unknown = |complaint: Complaint| match unknown_chart(path) {
        Some(mend) if !path.exists() => {
            Complaint::new(format!("there is no chart {name}")).mend(mend)
        }
        _ => complaint,
    };
    if !files::head(path).map_err(unknown)?.starts_with(b"%PDF") {
        let bytes = files::read(path, LARGEST_TEMPLATE as u64)?;
        return Ok((files::text(path, bytes)?, name, AskedOfChart::default()));
    }
    let json = source::carried(path, files::read(path, LARGEST_SHEET)?)?;
    match serde_json::from_str::<CarriedChart>(&json) {
        Ok(CarriedChart { chart, asked }) => Ok((chart, name, asked)),
        Err(_) => {
            let complaint = Complaint::new("the sheet is none of a chart").at(Place::of(name));
            Err(complaint.mend("name a chart, or the sheet of one"))
        }
    }
}

/// What was probably meant by a word that is neither a file nor the name of a chart.
fn unknown_chart(path: &Path) -> Option<String> {
    let word = path.to_str()?;
    let names: Vec<&str> = demos().map(|(name, _)| name).collect();
    let is_word = !word.contains(['/', '\\', '.']);
    is_word.then(|| match nearest(word, names.iter().copied()) {
        Some(_) => advice(word, &names),
        None => "name a file, or one of ours".to_owned(),
    })
}

/// What the changes of a chart say of keys.
pub(super) fn analysed(chart: &Chart) -> Option<Analysis> {
    analyse_in(&chart.unfolded(), chart.key)
}

/// A chart as somebody reads it, with what its changes say of keys.
pub(super) struct ReadChart {
    pub(super) chart: Chart,
    pub(super) analysis: Option<Analysis>,
    horn: Option<Horn>,
    sounding: Option<Key>,
    pub(super) look: ChartLook,
    /// The name of its sheet.
    pub(super) file: PathBuf,
    carried: String,
}

impl ReadChart {
    pub(super) fn of(written: WrittenChart, errand: &ChartErrand<'_>) -> Result<Self, Complaint> {
        let WrittenChart { chart, text, asked, .. } = written;
        let asked = AskedOfChart::by(errand).over(asked);
        let (key, horn) = (asked.key(), asked.horn());
        let mut words = vec!["chart".to_owned(), chart.title.clone()];
        let home = home(&chart);
        let sounding = sounding(key, home)?;
        if let Some(to) = sounding.filter(|_| key.is_some()) {
            words.push(to.tonic().plain().replace('#', "-sharp"));
        }
        let read = horn.zip(sounding).map(|(horn, key)| horn.reads(key)).or(sounding);
        if let Some(horn) = horn {
            words.push(format!("for-{}", horn.word()));
        }
        let chart = moved(chart, home, read);
        let look = ChartLook {
            paper: asked.paper.unwrap_or_default(),
            symbols: ChordStyle::from(asked.symbols.unwrap_or_default()),
            numerals: asked.numerals.unwrap_or_default(),
            ..ChartLook::default()
        };
        let carried =
            serde_json::to_string(&CarriedChart { chart: text, asked }).unwrap_or_default();
        let analysis = analysed(&chart);
        let file = naming::of_words(&words);
        Ok(Self { chart, analysis, horn, sounding, look, file, carried })
    }

    /// How much a sheet of so many pages is.
    pub(super) fn about(&self, pages: usize) -> String {
        format!("{}, {}", counted(pages, "page"), self.look.paper.word())
    }

    pub(super) fn book(&self) -> Result<ChartBook<'_>, PageError> {
        let tune = ReaderTune {
            chart: &self.chart,
            analysis: self.analysis.as_ref(),
            horn: self.horn,
            sounding: self.sounding,
        };
        ChartBook::measure(tune, self.look, self.carried.clone())
    }
}

/// The key that a tune is to sound in: the one that is asked for, in the mode of the tune.
pub(super) fn sounding(
    asked: Option<AskedKey>,
    home: Option<Key>,
) -> Result<Option<Key>, Complaint> {
    asked.map_or(Ok(home), |asked| fitting(asked, home).map(Some))
}

/// A chart moved from its home to another key, spelled as its chords are read there.
pub(super) fn moved(chart: Chart, home: Option<Key>, to: Option<Key>) -> Chart {
    match (home, to) {
        // Whoever asks for a key names it.
        (Some(from), Some(to)) if from != to => {
            let moved = Chart { key: Some(to), ..chart.transposed(from, to) };
            let analysis = analysed(&moved);
            // Nobody asked for the keys that it visits: they have the fewer signs.
            let read = |written| {
                let reading = analysis.as_ref()?.reading(written)?;
                Some((reading.key.customary(), reading.numeral))
            };
            moved.spelled_in(read)
        }
        _ => chart,
    }
}

/// The home key of a chart: the one that it names, or else what its changes say.
pub(super) fn home(chart: &Chart) -> Option<Key> {
    chart.key.or_else(|| analysed(chart).map(|analysis| analysis.home))
}

/// The instrument of a word.
pub(crate) fn horn(word: &str) -> Option<Horn> {
    let word = word.trim().replace('♭', "b");
    Horn::ALL.into_iter().find(|horn| horn.word().eq_ignore_ascii_case(&word))
}

/// The key that is asked for, in the mode of a tune.
pub(super) fn fitting(asked: AskedKey, home: Option<Key>) -> Result<Key, Complaint> {
    let Some(home) = home else {
        let complaint = Complaint::new("the chart names no key to be moved from");
        return Err(complaint.mend("write `key` in it"));
    };
    let mode = home.mode();
    let is_other = asked.tonality().is_some_and(|asked| asked != mode.tonality());
    if is_other {
        let tonic = asked.serving_both();
        let instead = Key::on(tonic, mode).plain();
        let problem = format!("the chart is in {} and stays {}", home.plain(), home.mode_word());
        return Err(Complaint::new(problem).mend(format!("write {instead}")));
    }
    Ok(asked.in_mode(mode))
}

/// Prints a chart, draws pictures of its pages, or both.
pub(crate) fn make(errand: &ChartErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let written = read(errand.chart)?;
    let (name, text) = (written.name.clone(), written.text.clone());
    let one = |complaint: Complaint| vec![complaint];
    let read = ReadChart::of(written, errand).map_err(one)?;
    let spot = match (errand.output, &errand.pictures) {
        (None, Some(_)) => None,
        (output, _) => {
            let spot = Spot::find(output, &read.file, errand.force);
            Some(spot.map_err(Complaint::from).map_err(one)?)
        }
    };
    let book = read.book().map_err(|error| vec![located(error.into(), &text, &name)])?;
    let document = book.document();
    let mut answer = Answer::default();
    if let Some(pictures) = &errand.pictures {
        let file = errand.output.and_then(Outlet::file);
        let stem = file.unwrap_or(&read.file).file_stem().unwrap_or_default();
        let taken = Taken::as_typed(file.is_some(), errand.force);
        answer.said.push(draw(&document, pictures, stem, taken).map_err(one)?);
    }
    if let Some(spot) = spot {
        let pdf = output::pdf(&document).map_err(Complaint::from).map_err(one)?;
        let about = read.about(document.pages.len());
        let (said, sheet) =
            spot.put(pdf, "the chart", &about).map_err(Complaint::from).map_err(one)?;
        answer.said.push(said);
        answer.sheet = sheet;
    }
    Ok(answer)
}

/// Makes a picture of each page and puts them in a folder.
fn draw(
    document: &Document,
    pictures: &Pictures,
    stem: &OsStr,
    taken: Taken,
) -> Result<crate::source::Advice, Complaint> {
    let &Pictures { ref folder, product } = pictures;
    let labels: Vec<&Label> = document.pages.iter().map(|page| &page.label).collect();
    let place = Spots::of_pages(folder, stem, labels.into_iter(), (product, taken))?;
    let draw = |page| product.of_page(&document.about, page);
    let drawn = parallel::map(&document.pages, draw);
    let drawn: Vec<Option<Vec<u8>>> = drawn.into_iter().collect::<Result<_, _>>()?;
    let put = place.put(&drawn.into_iter().flatten().collect::<Vec<_>>())?;
    let count = counted(document.pages.len(), "picture");
    Ok(put.said(&match product {
        Product::Png { dots } => format!("{count} at {dots} dots an inch"),
        _ => count,
    }))
}

/// A refusal of the page at the line of the field that it is about.
pub(super) fn located(complaint: Complaint, text: &str, name: &str) -> Complaint {
    let field = match complaint.field {
        Some(Field::ChartField(field)) => Some(field.name()),
        _ => None,
    };
    let is_of = |line: &str, name: &str| {
        line.trim_start().strip_prefix(name).is_some_and(|rest| rest.trim_start().starts_with('='))
    };
    let line = field.and_then(|field| text.lines().position(|line| is_of(line, field)));
    complaint.at(Place::line(name, line.map(|line| line + 1)))
}

/// What a chart is, in a line.
pub(crate) fn told(written: &WrittenChart) -> String {
    let Chart { title, metre, sections, form, .. } = &written.chart;
    let names: Vec<&str> = form.iter().map(|place| sections[*place].name.as_str()).collect();
    let most = 12;
    let played = match names.len() {
        count if count > most => format!("{} ... ({count} sections)", names[..most].join(" ")),
        _ => names.join(" "),
    };
    let (bars, heard) = (written.chart.written_bars(), written.chart.heard_bars());
    format!(
        "{}: {title} is a chart: {} written, {heard} heard, {metre}, played {played}",
        written.name,
        counted(bars, "bar")
    )
}

/// The charts that come with the program: each name with its title and what stands over its text.
pub(crate) fn list() -> Vec<[String; 3]> {
    let row = |(name, text): (&str, &str)| {
        let title = Chart::parse(text, name).map(|chart| chart.title).unwrap_or_default();
        let about = text.lines().next().unwrap_or_default().trim_start_matches(['#', ' ']);
        [name.to_owned(), title, about.to_owned()]
    };
    demos().map(row).collect()
}
