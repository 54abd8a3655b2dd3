//! A chart that is looked at: its pages as drawings and in words, what its changes say of keys, and
//! the file that it becomes.

use std::path::Path;

use serde_json::{Map, Value};

use super::view::Shown;
use crate::chart::{Analysis, Area, ChordReading, Horn, demos};
use crate::desk::tune::{self, ChartErrand, ReadChart};
use crate::output;
use crate::source::plain::shortened;
use crate::source::{Complaint, Place, advice, word};
use crate::theory::{AskedKey, Key, NumeralStyle, chord_symbol, plain_text};

/// What the text is called in complaints.
const NAME: &str = "the chart";

/// A chart that can be printed.
pub(crate) struct ChartView {
    read: ReadChart,
    text: String,
}

/// What the changes of a chart say of keys, in words.
pub(crate) struct ToldChanges {
    /// Which key is home, and how sure that is.
    pub(crate) home: String,
    /// The keys in the order in which they are heard.
    pub(crate) areas: Vec<String>,
    /// What each chord does: its bar, its symbol, its numeral, its key and why.
    pub(crate) chords: Vec<[String; 5]>,
}

impl ChartView {
    /// The chart of a text, with what was chosen beside it. Errors name everything that is wrong.
    pub(crate) fn of(text: &str, choices: &Map<String, Value>) -> Result<Self, Vec<Complaint>> {
        let errand = errand(choices)?;
        let written = tune::of_text(text.to_owned(), NAME)?;
        let read = ReadChart::of(written, &errand).map_err(|complaint| vec![complaint])?;
        Ok(Self { read, text: text.to_owned() })
    }

    /// What the tune is called.
    pub(crate) fn title(&self) -> &str {
        &self.read.chart.title
    }

    /// What the file is called.
    pub(crate) fn name(&self) -> &Path {
        &self.read.file
    }

    /// How much a sheet of so many pages is.
    pub(crate) fn about(&self, pages: usize) -> String {
        self.read.about(pages)
    }

    /// The page at an index, or the last one.
    pub(crate) fn shown(&self, index: usize) -> Result<Shown, Complaint> {
        let book = self.read.book().map_err(|error| self.refused(error.into()))?;
        let pages = book.pages();
        let index = index.min(pages.saturating_sub(1));
        let page = book.page(index);
        Shown::of(&book.about(), &page, (index, pages), Vec::new())
    }

    /// The file: the same bytes as a command makes of the same chart.
    pub(crate) fn printed(&self) -> Result<Vec<u8>, Complaint> {
        let book = self.read.book().map_err(|error| self.refused(error.into()))?;
        Ok(output::pdf(&book.document())?)
    }

    /// What its changes say of keys; nothing where there are none.
    pub(crate) fn told(&self) -> Option<ToldChanges> {
        let analysis = self.read.analysis.as_ref()?;
        Some(ToldChanges {
            home: home(analysis),
            areas: analysis.areas.iter().map(area).collect(),
            chords: analysis.readings.iter().map(|reading| self.chord(reading)).collect(),
        })
    }

    fn chord(&self, reading: &ChordReading) -> [String; 5] {
        let look = &self.read.look;
        let bar = reading.at.div_euclid(self.read.chart.metre.bar()) + 1;
        let numeral = reading.numeral.parts(NumeralStyle::On, look.symbols);
        [
            if bar < 1 { "before 1".to_owned() } else { bar.to_string() },
            plain_text(&chord_symbol(reading.chord, look.symbols)),
            plain_text(&numeral),
            reading.key.words(),
            reading.reason.clone(),
        ]
    }

    /// A refusal of the page at the line of the field that it is about.
    fn refused(&self, complaint: Complaint) -> Complaint {
        tune::located(complaint, &self.text, NAME)
    }
}

/// The charts that come with the program: each name with its title and its text.
pub(crate) fn library() -> Vec<[String; 3]> {
    let texts = demos().map(|(_, text)| text.to_owned());
    tune::list()
        .into_iter()
        .zip(texts)
        .map(|([name, title, _], text)| [name, title, text])
        .collect()
}

/// What a sheet carries of a chart, if it is the sheet of one: its text and what was chosen.
pub(crate) fn carried(pdf: &[u8]) -> Option<(String, Map<String, Value>)> {
    let json = output::recipe_json(pdf).ok()?;
    let Ok(Value::Object(mut choices)) = serde_json::from_str(&json) else { return None };
    let Some(Value::String(text)) = choices.remove("chart") else { return None };
    Some((text, choices))
}

/// What was chosen beside a chart. Errors with all that cannot stand, each at its choice.
pub(super) fn errand(choices: &Map<String, Value>) -> Result<ChartErrand<'static>, Vec<Complaint>> {
    let mut errand = ChartErrand::of(Path::new(NAME));
    let mut wrong = Vec::new();
    for (name, value) in choices {
        let text = value.as_str().unwrap_or_default().trim();
        if text.is_empty() {
            continue;
        }
        let taken = match &**name {
            "key" => key(text).map(|key| errand.key = Some(key)),
            "for" => horn(text).map(|horn| errand.horn = Some(horn)),
            "paper" => choice("paper", text).map(|paper| errand.paper = Some(paper)),
            "symbols" => choice("symbols", text).map(|symbols| errand.symbols = Some(symbols)),
            "numerals" => choice("numerals", text).map(|style| errand.numerals = Some(style)),
            _ => {
                let problem = format!("nothing is called `{}` here", shortened(name));
                Err(Complaint::new(problem).mend("leave it out"))
            }
        };
        wrong.extend(taken.err().map(|complaint| complaint.at(Place::Typed(name.clone()))));
    }
    if wrong.is_empty() { Ok(errand) } else { Err(wrong) }
}

fn key(text: &str) -> Result<AskedKey, Complaint> {
    text.parse().map_err(|error: crate::theory::KeyError| Complaint::new(error.to_string()))
}

fn horn(text: &str) -> Result<Horn, Complaint> {
    let known = Horn::ALL.map(Horn::word);
    tune::horn(text).ok_or_else(|| unknown("instrument", text, &known))
}

/// One of the words of a choice.
fn choice<T: serde::de::DeserializeOwned>(what: &str, text: &str) -> Result<T, Complaint> {
    word::choice(text).ok_or_else(|| unknown(what, text, word::known::<T>()))
}

fn unknown(what: &str, text: &str, known: &[&str]) -> Complaint {
    Complaint::new(format!("unknown {what} `{}`", shortened(text))).mend(advice(text, known))
}

/// Which key is home, and how sure that is.
fn home(analysis: &Analysis) -> String {
    let blues = if analysis.is_blues { ", a blues" } else { "" };
    let mut said = format!("Home is {}{blues}.", analysis.home.words());
    if analysis.is_modal {
        said.push_str(" No cadence says so, but the longest rest does.");
    }
    let sure = analysis.sureness();
    said.push_str(&format!(" Of a hundred charts as clear as this one, {sure} are heard so."));
    if let Some(second) = analysis.second {
        said.push_str(&format!(" {} would be next.", sentence(second.key)));
    }
    said
}

fn sentence(key: Key) -> String {
    let words = key.words();
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// A stretch in one key.
fn area(area: &Area) -> String {
    let [first, last] = [area.first_bar + 1, area.last_bar + 1];
    let bars =
        if first == last { format!("Bar {first}") } else { format!("Bars {first} to {last}") };
    let way = if area.is_stayed { "in" } else { "touches" };
    let near = area.near.map(|near| format!(", or nearly {}", near.key.words()));
    format!("{bars}: {way} {}{}.", area.key.words(), near.unwrap_or_default())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_chart_that_comes_along_is_shown_with_all_its_chords() {
        for [name, title, text] in library() {
            let view = ChartView::of(&text, &Map::new()).unwrap();
            assert_eq!(view.title(), title, "{name}");
            let told = view.told().unwrap();
            let written = view.read.chart.written().filter(|stand| stand.chord.is_some()).count();
            assert_eq!(told.chords.len(), written, "{name}");
            assert!(told.chords.iter().flatten().all(|words| !words.is_empty()), "{name}");
            let shown = view.shown(0).unwrap();
            assert!(shown.drawing.starts_with("<svg") && shown.words.len() > 3, "{name}");
        }
    }

    #[test]
    fn every_choice_that_cannot_stand_is_told_at_its_place() {
        let choices = serde_json::json!({
            "key": "H", "for": "G", "paper": "b5", "symbols": "x", "numerals": "y", "other": "z",
        });
        let [_, _, text] = library().swap_remove(0);
        let wrong = ChartView::of(&text, choices.as_object().unwrap()).err().unwrap();
        let places: Vec<Place> = wrong.iter().map(|one| one.place.clone()).collect();
        for name in ["key", "for", "paper", "symbols", "numerals", "other"] {
            assert!(places.contains(&Place::Typed(name.to_owned())), "{name}: {wrong:?}");
        }
    }

    #[test]
    fn a_sheet_gives_its_chart_and_its_choices_back() {
        let [_, _, text] = library().swap_remove(0);
        let choices = serde_json::json!({ "key": "D", "for": "Bb", "paper": "letter" });
        let choices = choices.as_object().unwrap().clone();
        let sheet = ChartView::of(&text, &choices).unwrap().printed().unwrap();
        assert_eq!(carried(&sheet), Some((text, choices)));
    }
}
