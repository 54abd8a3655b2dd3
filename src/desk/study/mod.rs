//! A study packet: the charts of one tune or several, what their changes say, a practice plan, and
//! the sheets that it names.
//!
//! `tune` is a tune with its analysis and its places, `words` what is said of it, `plan` what is to
//! be practised, `days` in what order, `page` the same on paper, `next` what to learn next for a folder
//! of tunes. The sheets are a course like any other.

mod days;
mod next;
mod page;
mod plan;
mod tune;
mod words;

use std::borrow::Cow;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use self::page::{PlannedStudy, TuneDrill};
use self::plan::{Asking, DrillOf, OF_TUNE, PlanStep, steps, tempi};
use self::tune::Studied;
use super::commission::counted;
use super::outlet::Outlet;
use super::pipeline::{self, KnownDrill, PipelineError, Printed};
use super::spot::Spot;
use super::tune::{self as charts, LARGEST_SHEET, WrittenChart};
use super::{Answer, files, naming, source};
use crate::book::{Book, Packet, PacketPart, PacketTune};
use crate::chart::{Analysis, AnalysisJson, Chart, Horn, key_shares};
use crate::drill::library;
use crate::drill::over::{self, OverTune, OverWay};
use crate::recipe::{CourseDrill, DocumentForm, MOST_DRILLS, OwnSettings, Recipe};
use crate::source::{Complaint, Place, advice};
use crate::theory::{AskedKey, ChordStyle, Key};

pub(crate) use next::next;

/// Most tunes of a packet: what a student learns in a season (ours).
const MOST_TUNES: usize = 6;

/// What is asked for of a study.
pub(crate) struct StudyErrand<'a> {
    /// The charts, folders of them, or an earlier packet.
    pub(crate) tunes: &'a [PathBuf],
    /// What is asked for of them.
    pub(crate) asked: AskedOfStudy,
    /// Where the packet goes; without it, where its name says.
    pub(crate) output: Option<&'a Outlet>,
    /// Whether a file that has the name already may be replaced, whatever it is.
    pub(crate) force: bool,
}

/// What is asked for of a study, apart from its tunes.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) struct AskedOfStudy {
    /// What is asked for of its charts.
    #[serde(flatten)]
    pub(crate) chart: charts::AskedOfChart,
    /// Who practises.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) student: Option<String>,
    /// Who teaches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) studio: Option<String>,
    /// The day, as it is printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) date: Option<String>,
    /// The ways in which the tune lies under the hands; those of a packet where there are none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) under: Vec<String>,
}

impl AskedOfStudy {
    /// What is asked for here, and where it says nothing, what was asked for before.
    fn over(self, before: Self) -> Self {
        Self {
            chart: self.chart.over(before.chart),
            student: self.student.or(before.student),
            studio: self.studio.or(before.studio),
            date: self.date.or(before.date),
            under: if self.under.is_empty() { before.under } else { self.under },
        }
    }

    fn ways(&self) -> Vec<OverWay> {
        let known = |word: &String| OverWay::ALL.into_iter().find(|way| way.word() == word);
        let ways: Vec<OverWay> = self.under.iter().filter_map(known).collect();
        if ways.is_empty() { OverWay::USUAL.to_vec() } else { ways }
    }
}

/// What a packet carries, so that it can be made again.
#[derive(Serialize, Deserialize)]
struct CarriedPacket {
    /// The texts of its charts.
    study: Vec<String>,
    #[serde(flatten)]
    asked: AskedOfStudy,
}

/// The way of playing over a tune that a word names.
pub(crate) fn way(word: &str) -> Result<OverWay, String> {
    let word = word.trim();
    let words = OverWay::ALL.map(OverWay::word);
    OverWay::ALL.into_iter().find(|way| way.word() == word).ok_or_else(|| {
        format!("unknown way `{word}` to play over a tune; {}", advice(word, &words))
    })
}

/// The charts of some paths, and what was asked for of them before.
fn opened(paths: &[PathBuf]) -> Result<(Vec<WrittenChart>, AskedOfStudy), Vec<Complaint>> {
    if let [path] = paths
        && let Some((study, asked)) = packet(path).map_err(|it| vec![it])?
    {
        let name = path.display().to_string();
        let read = |text: String| charts::of_text(text, &name);
        return Ok((study.into_iter().map(read).collect::<Result<_, _>>()?, asked));
    }
    let mut written = Vec::new();
    let mut wrong = Vec::new();
    for path in listed(paths).map_err(|it| vec![it])? {
        match charts::read(&path) {
            Ok(chart) => written.push(chart),
            Err(complaints) => wrong.extend(complaints),
        }
    }
    if wrong.is_empty() { Ok((written, AskedOfStudy::default())) } else { Err(wrong) }
}

/// The packet at a path, if it is one.
fn packet(path: &Path) -> Result<Option<(Vec<String>, AskedOfStudy)>, Complaint> {
    if !path.is_file() || !files::head(path)?.starts_with(b"%PDF") {
        return Ok(None);
    }
    let json = source::carried(path, files::read(path, LARGEST_SHEET)?)?;
    Ok(carried(&json))
}

/// The files of some paths: those of a folder are its charts, by name.
fn listed(paths: &[PathBuf]) -> Result<Vec<PathBuf>, Complaint> {
    let mut all = Vec::new();
    for path in paths {
        if !path.is_dir() {
            all.push(path.clone());
            continue;
        }
        let unread = |error: std::io::Error| {
            Complaint::new(format!("the folder cannot be read: {error}"))
                .at(Place::of(path.display().to_string()))
        };
        let entries = std::fs::read_dir(path).map_err(unread)?;
        let entries = entries.collect::<Result<Vec<_>, _>>().map_err(unread)?;
        let paths = entries.into_iter().map(|entry| entry.path());
        let mut own: Vec<PathBuf> =
            paths.filter(|path| path.extension().is_some_and(|it| it == "toml")).collect();
        if own.is_empty() {
            let complaint = Complaint::new("there is no chart in the folder");
            let complaint = complaint.at(Place::of(path.display().to_string()));
            return Err(complaint.mend("put charts there whose names end in .toml"));
        }
        own.sort();
        all.extend(own);
    }
    Ok(all)
}

/// A chart that has a chord, with what its changes say.
fn analysed(chart: &Chart, name: &str) -> Result<Analysis, Complaint> {
    charts::analysed(chart).ok_or_else(|| {
        let complaint = Complaint::new("the chart has no chord to study").at(Place::of(name));
        complaint.mend("write a chord in one of its bars")
    })
}

/// The analyses of some tunes for other programs: one object, or a list of several.
pub(crate) fn json(tunes: &[PathBuf], asked: &AskedOfStudy) -> Result<String, Vec<Complaint>> {
    let (written, before) = opened(tunes)?;
    let asked = asked.clone().over(before);
    let mut all = Vec::new();
    for own in written {
        let (chart, name) = in_key(own, &asked).map_err(|it| vec![it])?;
        let analysis = analysed(&chart, &name).map_err(|it| vec![it])?;
        all.push(AnalysisJson::new(&chart.unfolded(), &analysis).text());
    }
    Ok(match all.as_slice() {
        [one] => format!("{one}\n"),
        all => format!("[\n{}\n]\n", all.join(",\n")),
    })
}

/// A chart in the key that it is to sound in, and what it was read from.
fn in_key(written: WrittenChart, asked: &AskedOfStudy) -> Result<(Chart, String), Complaint> {
    let home = charts::home(&written.chart);
    let to = charts::sounding(asked.chart.key(), home)?;
    Ok((charts::moved(written.chart, home, to), written.name))
}

/// Prints the packet of some tunes.
pub(crate) fn make(errand: &StudyErrand<'_>) -> Result<Answer, Vec<Complaint>> {
    let one = |complaint: Complaint| vec![complaint];
    let (written, before) = opened(errand.tunes)?;
    let study = Study::of(written, errand.asked.clone().over(before))?;
    let spot = Spot::find(errand.output, &study.name, errand.force);
    let spot = spot.map_err(Complaint::from).map_err(one)?;
    let printed = study.printed().map_err(one)?;
    let about = study.about(printed.pages);
    let put = spot.put(printed.bytes, "the packet", &about);
    let (said, sheet) = put.map_err(Complaint::from).map_err(one)?;
    Ok(Answer { said: vec![said], sheet, ..Answer::default() })
}

/// A packet that can be printed.
pub(crate) struct Study {
    commission: pipeline::Commission,
    /// What its file is called.
    pub(crate) name: PathBuf,
    /// The texts of its charts, each with what it was read from.
    sources: Vec<(String, String)>,
}

impl Study {
    /// The packet of some charts, each a text with what it is called. Errors name all that is wrong
    /// with any of them.
    pub(crate) fn of_texts(
        texts: Vec<(String, String)>,
        asked: AskedOfStudy,
    ) -> Result<Self, Vec<Complaint>> {
        let mut written = Vec::new();
        let mut wrong = Vec::new();
        for (text, name) in texts {
            match charts::of_text(text, &name) {
                Ok(chart) => written.push(chart),
                Err(complaints) => wrong.extend(complaints),
            }
        }
        if wrong.is_empty() { Self::of(written, asked) } else { Err(wrong) }
    }

    fn of(written: Vec<WrittenChart>, asked: AskedOfStudy) -> Result<Self, Vec<Complaint>> {
        let one = |complaint: Complaint| vec![complaint];
        if written.len() > MOST_TUNES {
            let problem = format!("a packet of {} tunes", written.len());
            let mend =
                format!("name {MOST_TUNES} at the most, or ask for those alone that come next");
            return Err(one(Complaint::new(problem).mend(mend)));
        }
        let sources: Vec<(String, String)> =
            written.iter().map(|own| (own.text.clone(), own.name.clone())).collect();
        let mut tunes = Vec::new();
        for own in written {
            let (chart, name) = in_key(own, &asked).map_err(one)?;
            let analysis = analysed(&chart, &name).map_err(one)?;
            tunes.push(Studied::of(chart, analysis));
        }
        let study = sources.iter().map(|(text, _)| text.clone()).collect();
        let carried = CarriedPacket { study, asked: asked.clone() };
        let carried = serde_json::to_string(&carried).unwrap_or_default();
        let name = name(&tunes, &asked);
        let commission = Making { tunes: &tunes, asked: &asked, carried }.commission();
        let commission = commission.map_err(|error| one(located(&sources, error)))?;
        Ok(Self { commission, name, sources })
    }

    /// What is made of the recipe.
    pub(crate) fn commission(&self) -> &pipeline::Commission {
        &self.commission
    }

    /// Measures its pages.
    pub(crate) fn book(&self) -> Result<Book<'_>, Complaint> {
        self.commission.book().map_err(|error| located(&self.sources, error))
    }

    /// Its file.
    pub(crate) fn printed(&self) -> Result<Printed, Complaint> {
        pipeline::printed(&self.book()?).map_err(|error| located(&self.sources, error))
    }

    /// How much a packet of so many pages is.
    pub(crate) fn about(&self, pages: usize) -> String {
        let drills = counted(self.commission.course.exercises.len(), "drill");
        format!("{}, {drills}, {}", counted(pages, "page"), self.commission.recipe.paper.word())
    }
}

/// A refusal at the line of the one chart that it can be about.
fn located(sources: &[(String, String)], error: PipelineError) -> Complaint {
    let complaint = Complaint::from(error);
    match sources {
        [(text, name)] => charts::located(complaint, text, name),
        _ => complaint,
    }
}

/// What a packet carries, if it is one: the texts of its charts and what was asked for of them.
pub(crate) fn carried(json: &str) -> Option<(Vec<String>, AskedOfStudy)> {
    serde_json::from_str(json).ok().map(|CarriedPacket { study, asked }| (study, asked))
}

/// What a packet is called.
fn name(tunes: &[Studied], asked: &AskedOfStudy) -> PathBuf {
    let mut words = vec!["study".to_owned()];
    match tunes {
        [one] => words.push(one.chart.title.clone()),
        tunes => words.push(format!("{}-tunes", tunes.len())),
    }
    if let Some(key) = asked.chart.key() {
        words.push(key.tonic().plain().replace('#', "-sharp"));
    }
    words.extend(asked.student.clone());
    naming::of_words(&words)
}

/// A packet that is being made.
struct Making<'a> {
    tunes: &'a [Studied],
    asked: &'a AskedOfStudy,
    carried: String,
}

impl Making<'_> {
    fn commission(self) -> Result<pipeline::Commission, PipelineError> {
        let asking: Vec<Asking<'_>> = self
            .tunes
            .iter()
            .map(|tune| Asking {
                time: (tune.chart.metre, tune.chart.feel),
                tempo: tune.chart.tempo,
                shares: key_shares(&tune.unfolded, &tune.analysis),
                needs: &tune.needs,
            })
            .collect();
        let steps = steps(&asking);
        let mut drills = Vec::new();
        for step in &steps {
            drills.push(of_library(step)?);
        }
        let titles = drills.iter().map(|drill| drill.template.title.clone()).collect();
        let metres = drills.iter().map(|drill| drill.template.metre).collect();
        let mut over = Vec::new();
        for tune in self.tunes {
            for (drill, own, why) in self.of_tune(tune)? {
                let place = drills.len();
                if place == MOST_DRILLS {
                    break;
                }
                let title = drill.template.title.clone();
                over.push(TuneDrill { title, place, key: own.0, why, tempi: own.1 });
                drills.push(drill);
            }
        }
        let planned = PlannedStudy { tunes: self.tunes, steps: &steps, titles, metres, over };
        let recipe = self.recipe(&drills);
        let packet =
            self.packet(&planned, ChordStyle::with(recipe.symbols, recipe.minor, recipe.major));
        let mut commission = pipeline::commission_of(&recipe, drills)?;
        commission.book.packet = Some(packet);
        commission.book.carried = self.carried;
        Ok(commission)
    }

    /// The drills over a tune: its cadences, and the tune itself at each level.
    #[expect(clippy::type_complexity, reason = "a drill with its key, its tempi and its reason")]
    fn of_tune(
        &self,
        tune: &Studied,
    ) -> Result<Vec<(KnownDrill, (Key, [u16; 2]), String)>, PipelineError> {
        let over = OverTune { chart: &tune.chart, analysis: &tune.analysis };
        let key = over.home();
        let mut texts: Vec<(over::Text, f64, String)> = Vec::new();
        let own = over::cadences(&over, |_| true);
        let why = "The ii-Vs of this tune by themselves, before they go by in it.";
        texts.extend(own.map(|text| (text, OF_TUNE, why.to_owned())));
        for (level, way) in self.asked.ways().into_iter().enumerate() {
            let share = if level == 0 { OF_TUNE } else { 0.4 };
            let why = match level {
                0 => "The whole tune with as little as it needs.",
                _ => "The same changes once the first level is easy.",
            };
            texts.extend(over.drills(way).into_iter().map(|text| (text, share, why.to_owned())));
        }
        let read = |(text, share, why): (over::Text, f64, String)| {
            let known = KnownDrill::read(&text.name, &text.text, &text.name)?;
            let tempi = tempi(tune.chart.tempo, share);
            Ok((known.with(&own_of(&[key], tempi)), (key, tempi), why))
        };
        texts.into_iter().map(read).collect()
    }

    fn recipe(&self, drills: &[KnownDrill]) -> Recipe {
        let asked = self.asked;
        let part = |drill: &KnownDrill| CourseDrill {
            drill: drill.name.clone(),
            template: Some(drill.text.clone()),
            own: drill.own.clone(),
        };
        let title = match self.tunes {
            [one] => one.chart.title.clone(),
            tunes => format!("A study of {} tunes", tunes.len()),
        };
        let defaults = Recipe::default();
        Recipe {
            form: DocumentForm::Workbook,
            title: Some(title),
            student: asked.student.clone(),
            studio: asked.studio.clone(),
            date: asked.date.clone(),
            paper: asked.chart.paper.unwrap_or_default(),
            symbols: asked.chart.symbols.unwrap_or_default(),
            numerals: asked.chart.numerals.unwrap_or_default(),
            drill: String::new(),
            course: drills.iter().map(part).collect(),
            ..defaults
        }
    }

    /// The charts, what they say, and the plan.
    fn packet(&self, planned: &PlannedStudy<'_>, symbols: ChordStyle) -> Packet {
        let mut parts = Vec::new();
        for tune in self.tunes {
            let sounding = tune.chart.key.unwrap_or(tune.analysis.home);
            let horn = self.asked.chart.horn();
            if let Some(horn) = horn {
                parts.push(PacketPart::Chart(Box::new(read_by(tune, horn, sounding))));
            }
            let own = PacketTune {
                chart: tune.chart.clone(),
                analysis: Some(tune.analysis.clone()),
                horn: None,
                sounding: Some(sounding),
            };
            parts.push(PacketPart::Chart(Box::new(own)));
            parts.push(PacketPart::Words(words::reasons(tune, symbols)));
        }
        parts.push(PacketPart::Words(planned.leaf()));
        Packet { parts }
    }
}

/// The chart of a tune as a horn reads it.
fn read_by(tune: &Studied, horn: Horn, sounding: Key) -> PacketTune {
    let reads = horn.reads(sounding);
    let chart = charts::moved(tune.chart.clone(), Some(sounding), Some(reads));
    let analysis = charts::analysed(&chart);
    PacketTune { chart, analysis, horn: Some(horn), sounding: Some(sounding) }
}

/// A drill of the library in the keys of a step.
fn of_library(step: &PlanStep) -> Result<KnownDrill, PipelineError> {
    let (origin, text) = match step.drill {
        DrillOf::Library(name) => {
            let Some(text) = library::find(name) else {
                let mend = library::advice(name);
                return Err(PipelineError::UnknownDrill { name: name.to_owned(), mend });
            };
            (name, Cow::Borrowed(text))
        }
        own => ("own", own.text().unwrap_or_default()),
    };
    let in_time = step.time.and_then(|(metre, feel)| over::in_time(&text, metre, feel));
    let known = KnownDrill::read(origin, in_time.as_deref().unwrap_or(&text), origin)?;
    let known = KnownDrill { name: known.template.name.clone(), ..known };
    let keys: Vec<Key> = step.keys.iter().map(|wanted| wanted.key).collect();
    Ok(known.with(&own_of(&keys, step.tempi)))
}

/// From which tempo to which a tune itself is practised that goes so fast.
pub(in crate::desk) fn tempi_of_tune(tempo: u16) -> [u16; 2] {
    tempi(tempo, OF_TUNE)
}

/// Keys and tempi that a drill has for itself.
fn own_of(keys: &[Key], [tempo, goal]: [u16; 2]) -> OwnSettings {
    let asked = |key: &Key| AskedKey::of(key.tonic(), key.mode().tonality()).ok();
    let keys = keys.iter().filter_map(asked).collect();
    OwnSettings { keys, tempo: Some(tempo), goal: Some(goal), ..OwnSettings::default() }
}

#[cfg(test)]
mod tests;
