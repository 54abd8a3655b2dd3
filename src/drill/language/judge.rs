//! Judges a template: everything that is wrong with it, where, and how to mend it.

mod degrees;
mod fit;
mod form;
mod frame;
mod key;
mod passage;
mod places;
mod whole;
mod words;

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::drill::template::{Passage, Template};
use crate::score::{Feel, Metre};
use crate::source::fields::{Fields, Mistakes, as_whole};
use crate::source::usual::{Sort, Usual};
use crate::source::{Complaint, DrillField as Field, nearest};
use frame::{TemplateFrame, modes};
use passage::passage;
use places::Places;
pub(crate) use whole::MOST_BARS;
use whole::whole;
use words::{required_word, word, words};

/// Bars that a phrase may have.
const MOST_PHRASE: usize = 16;

const METRES: [(&str, Metre); 4] = [
    ("3/4", Metre::ThreeFour),
    ("4/4", Metre::FourFour),
    ("5/4", Metre::FiveFour),
    ("6/8", Metre::SixEight),
];
const FEELS: [(&str, Feel); 2] = [("even", Feel::Even), ("swing", Feel::Swing)];

impl Template {
    /// Reads and judges a template. `origin` names it in errors; the first one is given.
    pub fn parse(text: &str, origin: &str) -> Result<Self, Complaint> {
        Self::judge(text, origin).map_err(|mut mistakes| mistakes.swap_remove(0))
    }

    /// Reads and judges a template; errors name everything that is wrong with it, line by line.
    pub fn judge(text: &str, origin: &str) -> Result<Self, Vec<Complaint>> {
        judge(text, origin)
    }
}

/// How the value of a field is written, by its name.
fn usual_of(name: &str) -> Option<Usual> {
    let (sort, example) = match Field::named(name)? {
        Field::Beats | Field::ToCoda => (Sort::Whole, "2"),
        Field::Degrees => (Sort::List, "[2, 5, 1]"),
        Field::VoiceLeading | Field::Fermata => (Sort::Flag, "true"),
        Field::Passage => (Sort::Headings, "[[passage]]"),
        Field::Metre => (Sort::Text, "\"4/4\""),
        Field::Mode => (Sort::Text, "\"major\""),
        Field::Feel => (Sort::Text, "\"swing\""),
        _ => (Sort::Text, "\"...\""),
    };
    Some(Usual::of(sort, example))
}

/// Reads a template, or gives all its mistakes in order of lines.
fn judge(text: &str, origin: &str) -> Result<Template, Vec<Complaint>> {
    let mut mistakes = Mistakes::of(origin, text).knowing(usual_of);
    let table = mistakes.table();
    if !mistakes.is_empty() {
        return Err(mistakes.into_sorted());
    }
    let template = template(table.get_ref(), table.span(), &mut mistakes);
    match template {
        Some(template) if mistakes.is_empty() => Ok(template),
        _ => Err(mistakes.into_sorted()),
    }
}

fn template(
    table: &DeTable<'_>,
    span: Range<usize>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Template> {
    // A table without a header of its own begins where the text does.
    let mut fields = Fields::of(table, span.start..span.start);
    let name = words(&mut fields, Field::Name, "\"my-drill\"", mistakes);
    let title = words(&mut fields, Field::Title, "\"My drill\"", mistakes);
    let about = fields.text(Field::About, mistakes).map(Spanned::into_inner).unwrap_or_default();
    let listen = fields.text(Field::Listen, mistakes).map(Spanned::into_inner);
    let metre = required_word(&mut fields, (Field::Metre, "\"4/4\""), &METRES, mistakes);
    let mode = word(&mut fields, Field::Mode, &modes(), mistakes).unwrap_or_default();
    let feel = word(&mut fields, Field::Feel, &FEELS, mistakes).unwrap_or(Feel::Even);
    let phrase = phrase(&mut fields, mistakes);
    let passages = fields.value(Field::Passage);
    fields.finish(mistakes);
    // With no metre to go by, passages are judged by the commonest, so that nothing else of
    // theirs is kept back.
    let frame = TemplateFrame { metre: metre.unwrap_or(Metre::FourFour), mode };
    let raw = passages.and_then(|value| value.get_ref().as_array());
    let raw: &[Spanned<DeValue<'_>>] = raw.map_or(&[], |array| array);
    if raw.is_empty() {
        let at = passages.map_or(span.start..span.start, Spanned::span);
        match passages.map(|value| value.get_ref().is_table()) {
            Some(true) => {
                let problem = "a passage stands under double brackets";
                mistakes.add(at, problem, "write [[passage]] in place of [passage]");
            }
            // A heading that was only misspelled is among the unknown fields.
            _ if table
                .keys()
                .any(|key| nearest(key.get_ref(), ["passage"].into_iter()).is_some()) => {}
            _ => mistakes.add(at, "the drill has no passage", "add at least one [[passage]]"),
        }
    }
    let passages: Vec<Option<(Passage, Places)>> = raw
        .iter()
        .enumerate()
        .map(|(index, value)| passage(value, index, frame, mistakes))
        .collect();
    let passages: Vec<(Passage, Places)> = passages.into_iter().collect::<Option<_>>()?;
    let (passages, places): (Vec<Passage>, Vec<Places>) = passages.into_iter().unzip();
    if !mistakes.is_empty() {
        return None;
    }
    let template = Template {
        name: name?,
        title: title?,
        about: about.to_owned(),
        listen: listen.map(str::to_owned),
        metre: metre?,
        mode,
        feel,
        phrase,
        passages,
    };
    whole(&template, &places, span.start, mistakes);
    Some(template)
}

/// How many bars a phrase has, if the template says so.
fn phrase(fields: &mut Fields<'_>, mistakes: &mut Mistakes<'_>) -> Option<usize> {
    let value = fields.value(Field::Phrase)?;
    let bars = as_whole(value.get_ref()).and_then(|bars| usize::try_from(bars).ok());
    let bars = bars.filter(|bars| (2..=MOST_PHRASE).contains(bars));
    if bars.is_none() {
        let mend = format!("write how many bars a phrase has, 2 to {MOST_PHRASE}");
        mistakes.add(value.span(), "field `phrase` is no number of bars", mend);
    }
    bars
}
