//! A study packet that is looked at: its pages, and the file that it becomes.

use std::path::Path;

use serde_json::{Map, Value};

use super::view::Shown;
use super::{chart, told};
use crate::desk::pipeline::{self, PipelineError};
use crate::desk::study::{self, AskedOfStudy, Study};
use crate::desk::tune as charts;
use crate::drill::over::OverWay;
use crate::output;
use crate::recipe::fields::row;
use crate::recipe::{Recipe, Settings};
use crate::source::plain::shortened;
use crate::source::{Complaint, Place, RecipeField as Field};

/// What a text is called in complaints: the one that is typed, and those that go with it.
const NAME: &str = "the chart";

/// A packet that can be printed.
pub(crate) struct PacketView(Study);

impl PacketView {
    /// The packet of some charts, with what was chosen beside them. Errors name everything that is
    /// wrong, each choice at its place.
    pub(crate) fn of(
        texts: Vec<String>,
        choices: &Map<String, Value>,
    ) -> Result<Self, Vec<Complaint>> {
        let asked = asked(choices)?;
        let named = |(index, text): (usize, String)| match index {
            0 => (text, NAME.to_owned()),
            more => (text, format!("chart {}", more + 1)),
        };
        let texts = texts.into_iter().enumerate().map(named).collect();
        Study::of_texts(texts, asked).map(Self)
    }

    /// What the file is called.
    pub(crate) fn name(&self) -> &Path {
        &self.0.name
    }

    /// How much a packet of so many pages is.
    pub(crate) fn about(&self, pages: usize) -> String {
        self.0.about(pages)
    }

    /// The page at an index, or the last one.
    pub(crate) fn shown(&self, index: usize) -> Result<Shown, Complaint> {
        let book = self.0.book()?;
        let pages = book.pages();
        let index = index.min(pages.saturating_sub(1));
        let page = book.page(index).map_err(PipelineError::from).map_err(Complaint::from)?;
        let commission = self.0.commission();
        let symbols = pipeline::look(&commission.recipe).symbols;
        let music = told::music(&commission.course, &book.music(index), (symbols, true));
        Shown::of(&book.about(), &page, (index, pages), music)
    }

    /// The file: the same bytes as a command makes of the same charts.
    pub(crate) fn printed(&self) -> Result<Vec<u8>, Complaint> {
        Ok(self.0.printed()?.bytes)
    }
}

/// What a packet carries, if it is one: the texts of its charts and what was chosen.
pub(crate) fn carried(pdf: &[u8]) -> Option<(Vec<String>, Map<String, Value>)> {
    let (texts, asked) = study::carried(&output::recipe_json(pdf).ok()?)?;
    let Ok(Value::Object(choices)) = serde_json::to_value(asked) else { return None };
    Some((texts, choices))
}

/// The ways in which a tune can lie under the hands, each with whether it is usual.
pub(crate) fn ways() -> [(&'static str, bool); 7] {
    OverWay::ALL.map(|way| (way.word(), OverWay::USUAL.contains(&way)))
}

/// What was chosen beside the charts. Errors with all that cannot stand, each at its choice.
fn asked(choices: &Map<String, Value>) -> Result<AskedOfStudy, Vec<Complaint>> {
    let mut asked = AskedOfStudy::default();
    let mut look = Map::new();
    let mut wrong = Vec::new();
    for (name, value) in choices {
        let taken = match &**name {
            "student" => line(Field::Student, value).map(|line| asked.student = line),
            "studio" => line(Field::Studio, value).map(|line| asked.studio = line),
            "date" => line(Field::Date, value).map(|line| asked.date = line),
            "under" => under(value).map(|ways| asked.under = ways),
            _ => {
                look.insert(name.clone(), value.clone());
                Ok(())
            }
        };
        wrong.extend(taken.err().map(|complaint| complaint.at(Place::Typed(name.clone()))));
    }
    match chart::errand(&look) {
        Ok(errand) => asked.chart = charts::AskedOfChart::by(&errand),
        Err(complaints) => wrong.extend(complaints),
    }
    if wrong.is_empty() { Ok(asked) } else { Err(wrong) }
}

/// A line as a field of a recipe has it; none where nothing is written.
fn line(field: Field, value: &Value) -> Result<Option<String>, Complaint> {
    let text = value.as_str().unwrap_or_default();
    if text.trim().is_empty() {
        return Ok(None);
    }
    let mut settings = Settings::default();
    settings.set(field, row(field).typed(text)?);
    settings.over(Recipe::default()).checked()?;
    Ok(Some(text.to_owned()))
}

/// The words of ways of playing.
fn under(value: &Value) -> Result<Vec<String>, Complaint> {
    let words = value.as_array().map_or(&[][..], Vec::as_slice);
    let way = |word: &Value| {
        let word = shortened(word.as_str().unwrap_or_default()).into_owned();
        study::way(&word).map(|way| way.word().to_owned()).map_err(Complaint::new)
    };
    words.iter().map(way).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(count: usize) -> Vec<String> {
        chart::library().into_iter().map(|[_, _, text]| text).take(count).collect()
    }

    #[test]
    fn every_choice_that_cannot_stand_is_told_at_its_place() {
        let choices = serde_json::json!({
            "key": "H", "for": "G", "paper": "b5", "symbols": "x", "numerals": "y", "other": "z",
            "student": "x".repeat(5000), "date": "x".repeat(5000), "under": ["shells", "stilts"],
        });
        let wrong = PacketView::of(texts(1), choices.as_object().unwrap()).err().unwrap();
        for name in choices.as_object().unwrap().keys() {
            let is_told = wrong.iter().any(|one| one.place == Place::Typed(name.clone()));
            assert!(is_told, "{name}: {wrong:?}");
        }
    }

    #[test]
    fn a_packet_gives_its_charts_and_its_choices_back() {
        let choices = serde_json::json!({
            "key": "F", "student": "Ada", "under": ["shells", "lines"], "paper": "letter",
        });
        let choices = choices.as_object().unwrap().clone();
        let view = PacketView::of(texts(2), &choices).unwrap();
        let shown = view.shown(usize::MAX).unwrap();
        assert_eq!(shown.page + 1, shown.pages);
        assert!(view.about(shown.pages).contains("drill"));
        assert_eq!(carried(&view.printed().unwrap()), Some((texts(2), choices)));
    }
}
