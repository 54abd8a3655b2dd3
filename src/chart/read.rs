//! Reads and judges charts: everything that is wrong with one, where, and how to mend it.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::changes::{self, ChangesSlip};
use super::model::{Chart, Section};
use crate::score::{Feel, Metre};
use crate::source::fields::{Fields, Mistakes, as_text, as_whole, one_of};
use crate::source::plain::shortened;
use crate::source::usual::{Sort, Usual};
use crate::source::{ChartField as Field, Complaint, advice, nearest};
use crate::theory::{AskedKey, Key, Mode};

/// Most bars of a chart, written or heard: more than four pages hold of any tune.
pub(super) const MOST_BARS: usize = 512;
/// Most sections of a chart, and most characters of the name of one.
const MOST_SECTIONS: usize = 26;
const LONGEST_NAME: usize = 10;
/// Tempi that a metronome has, as recipes have them, in felt beats a minute.
const TEMPI: std::ops::RangeInclusive<i64> = 20..=400;

const FEELS: [(&str, Feel); 2] = [("even", Feel::Even), ("swing", Feel::Swing)];

impl Chart {
    /// Reads and judges a chart. `origin` names it in errors; the first one is given.
    pub fn parse(text: &str, origin: &str) -> Result<Self, Complaint> {
        Self::judge(text, origin).map_err(|mut mistakes| mistakes.swap_remove(0))
    }

    /// Reads and judges a chart; errors name everything that is wrong with it, line by line.
    pub fn judge(text: &str, origin: &str) -> Result<Self, Vec<Complaint>> {
        let mut mistakes = Mistakes::of(origin, text).knowing(usual_of);
        let table = mistakes.table();
        if !mistakes.is_empty() {
            return Err(mistakes.into_sorted());
        }
        match chart(table.get_ref(), table.span(), &mut mistakes) {
            Some(chart) if mistakes.is_empty() => Ok(chart),
            _ => Err(mistakes.into_sorted()),
        }
    }
}

/// How the value of a field is written, by its name.
fn usual_of(name: &str) -> Option<Usual> {
    let (sort, example) = match Field::named(name)? {
        Field::Tempo => (Sort::Whole, "120"),
        Field::Section => (Sort::Headings, "[[section]]"),
        Field::Metre => (Sort::Text, "\"4/4\""),
        Field::Feel => (Sort::Text, "\"swing\""),
        Field::Key => (Sort::Text, "\"F major\""),
        Field::Form => (Sort::Text, "\"A A B A\""),
        Field::PickUp => (Sort::Text, "\"G7\""),
        Field::Bars => (Sort::Text, "\"| Dm7 | G7 | Cmaj7 | % |\""),
        Field::Title | Field::Composer | Field::Style | Field::Name => (Sort::Text, "\"...\""),
    };
    Some(Usual::of(sort, example))
}

fn chart(table: &DeTable<'_>, span: Range<usize>, mistakes: &mut Mistakes<'_>) -> Option<Chart> {
    // A table without a header of its own begins where the text does.
    let start = span.start..span.start;
    let mut fields = Fields::of(table, start.clone());
    let title = words(&mut fields, Field::Title, true, mistakes);
    let composer = words(&mut fields, Field::Composer, false, mistakes);
    let style = words(&mut fields, Field::Style, false, mistakes);
    let metre = metre(&mut fields, mistakes);
    let tempo = tempo(&mut fields, mistakes);
    let feel = fields.text(Field::Feel, mistakes);
    let feel = feel.and_then(|found| one_of("feel", &found, &FEELS, mistakes));
    let key = fields.text(Field::Key, mistakes).and_then(|found| key(&found, mistakes));
    // With no metre to go by, bars are judged by the commonest, so that nothing else of theirs is
    // kept back.
    let frame = metre.unwrap_or(Metre::FourFour);
    let pick_up = fields.text(Field::PickUp, mistakes).map(|found| {
        let (stands, slips) = changes::pick_up(found.get_ref(), frame);
        add(slips, &found, "", mistakes);
        stands
    });
    let form = fields.value(Field::Form);
    let named = sections(&mut fields, table, frame, mistakes);
    fields.finish(mistakes);
    let form = form_of(form, &named, mistakes);
    if !mistakes.is_empty() {
        return None;
    }
    let places: Vec<Range<usize>> = named.iter().map(|it| it.at.clone()).collect();
    let sections = named.into_iter().filter_map(|it| it.section).collect();
    let chart = Chart {
        title: title?,
        composer,
        style,
        metre: metre?,
        tempo: tempo.unwrap_or(120),
        feel: feel.unwrap_or(Feel::Swing),
        key,
        pick_up: pick_up.unwrap_or_default(),
        sections,
        form,
    };
    whole(&chart, &places, start, mistakes);
    Some(chart)
}

/// A text that says something, if the field is there.
fn words(
    fields: &mut Fields<'_>,
    field: Field,
    is_required: bool,
    mistakes: &mut Mistakes<'_>,
) -> Option<String> {
    let value = match is_required {
        true => fields.required(field, "\"...\"")?,
        false => fields.value(field)?,
    };
    let text = as_text(field, value, mistakes)?;
    let words = text.get_ref().split_whitespace().collect::<Vec<_>>().join(" ");
    if words.is_empty() {
        let problem = format!("field `{}` is empty", field.name());
        mistakes.add(text.span(), problem, "write a word or two");
        return None;
    }
    Some(words)
}

fn metre(fields: &mut Fields<'_>, mistakes: &mut Mistakes<'_>) -> Option<Metre> {
    let value = fields.required(Field::Metre, "\"4/4\"")?;
    let found = as_text(Field::Metre, value, mistakes)?;
    let words: Vec<(String, Metre)> = Metre::ALL.map(|metre| (metre.to_string(), metre)).into();
    let words: Vec<(&str, Metre)> = words.iter().map(|(word, it)| (word.as_str(), *it)).collect();
    one_of("metre", &found, &words, mistakes)
}

fn tempo(fields: &mut Fields<'_>, mistakes: &mut Mistakes<'_>) -> Option<u16> {
    let value = fields.value(Field::Tempo)?;
    let tempo = as_whole(value.get_ref()).filter(|tempo| TEMPI.contains(tempo));
    if tempo.is_none() {
        let mend = format!("write beats a minute, {} to {}", TEMPI.start(), TEMPI.end());
        mistakes.add(value.span(), "field `tempo` is no tempo", mend);
    }
    tempo.and_then(|tempo| u16::try_from(tempo).ok())
}

/// A key: a tonic with `major`, `minor` or a church mode behind it, or alone for major.
fn key(found: &Spanned<&str>, mistakes: &mut Mistakes<'_>) -> Option<Key> {
    let text = found.get_ref().trim();
    let church = text.rsplit_once(char::is_whitespace).and_then(|(tonic, word)| {
        let word = word.to_lowercase();
        let mode =
            Mode::ALL.into_iter().find(|mode| mode.word() == word && mode.signature() == *mode);
        Some((tonic.trim().parse::<AskedKey>().ok()?, mode.filter(|mode| *mode != Mode::Major)?))
    });
    if let Some((tonic, mode)) = church {
        return Some(tonic.in_mode(mode));
    }
    match text.parse::<AskedKey>() {
        Ok(asked) => Some(match asked.tonality() {
            None => asked.key(),
            Some(crate::theory::Tonality::Major) => asked.in_mode(Mode::Major),
            Some(crate::theory::Tonality::Minor) => asked.in_mode(Mode::NaturalMinor),
        }),
        Err(error) => {
            let complaint = Complaint::new(error.to_string());
            mistakes.add_at(&found.span(), complaint.mend("write it as in F, Eb major or D minor"));
            None
        }
    }
}

/// What is known of a section that is written.
struct NamedSection {
    name: Option<String>,
    at: Range<usize>,
    /// None where something is wrong with it.
    section: Option<Section>,
}

fn sections(
    fields: &mut Fields<'_>,
    table: &DeTable<'_>,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) -> Vec<NamedSection> {
    let value = fields.value(Field::Section);
    let raw = value.and_then(|value| value.get_ref().as_array());
    let raw: &[Spanned<DeValue<'_>>] = raw.map_or(&[], |array| array);
    if raw.is_empty() {
        let start = fields.span();
        let at = value.map_or(start, Spanned::span);
        match value.map(|value| value.get_ref().is_table()) {
            Some(true) => {
                let problem = "a section stands under double brackets";
                mistakes.add(at, problem, "write [[section]] in place of [section]");
            }
            // A heading that was only misspelled is among the unknown fields.
            _ if table
                .keys()
                .any(|key| nearest(key.get_ref(), ["section"].into_iter()).is_some()) => {}
            _ => mistakes.add(at, "the chart is empty", "write at least one [[section]] with bars"),
        }
    }
    if let Some(excess) = raw.get(MOST_SECTIONS) {
        let problem = format!("{} sections are too many", raw.len());
        let mend = format!("write at most {MOST_SECTIONS}, and play them again in `form`");
        mistakes.add(excess.span(), problem, mend);
        return Vec::new();
    }
    let mut named: Vec<NamedSection> = Vec::new();
    for value in raw {
        let one = section(value, metre, mistakes);
        let same = |other: &NamedSection| other.name.is_some() && other.name == one.name;
        if let Some(name) = one.name.as_ref().filter(|_| named.iter().any(same)) {
            let problem = format!("there are two sections `{name}`");
            mistakes.add(one.at.clone(), problem, "name each once, and play it again in `form`");
        }
        named.push(one);
    }
    named
}

fn section(
    value: &Spanned<DeValue<'_>>,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) -> NamedSection {
    let at = value.span();
    let Some(table) = value.get_ref().as_table() else {
        mistakes.add(at.clone(), "a section is no table", "write [[section]] over its fields");
        return NamedSection { name: None, at, section: None };
    };
    let mut fields = Fields::of(table, at.clone());
    let name = section_name(&mut fields, mistakes);
    let bars = fields.required(Field::Bars, "\"| Dm7 | G7 | Cmaj7 | % |\"");
    let text = bars.and_then(|value| as_text(Field::Bars, value, mistakes));
    fields.finish(mistakes);
    let who = name.as_ref().map(|name| format!("{name}, ")).unwrap_or_default();
    let section = text.and_then(|text| {
        let (bars, slips) = changes::bars(text.get_ref(), metre);
        let is_right = slips.is_empty();
        add(slips, &text, &who, mistakes);
        if bars.is_empty() {
            let problem = format!("{who}the section has no bars");
            mistakes.add(text.span(), problem, "write its bars, as in | Dm7 | G7 | Cmaj7 | % |");
            return None;
        }
        let stretches = is_right.then(|| changes::stretches(&bars))?;
        let stretches = stretches.map_err(|slip| add(vec![slip], &text, &who, mistakes)).ok()?;
        let marks = bars.iter().filter(|it| it.bar.to_coda).skip(1);
        for excess in marks {
            let complaint = Complaint::new("`to-coda` stands twice").mend("leave one of them out");
            add(vec![ChangesSlip { at: excess.at.clone(), complaint }], &text, &who, mistakes);
        }
        let bars = bars.into_iter().map(|it| it.bar).collect();
        Some(Section { name: name.clone()?, bars, stretches })
    });
    NamedSection { name, at, section }
}

fn section_name(fields: &mut Fields<'_>, mistakes: &mut Mistakes<'_>) -> Option<String> {
    let value = fields.required(Field::Name, "\"A\"")?;
    let text = as_text(Field::Name, value, mistakes)?;
    let name = text.get_ref().trim();
    let is_word = name.chars().all(|c| c.is_alphanumeric() || matches!(c, '\'' | '-'));
    if name.is_empty() || !is_word || name.chars().count() > LONGEST_NAME {
        let problem = format!("`{}` cannot name a section", shortened(name));
        let mend = format!("write a letter or one word of at most {LONGEST_NAME} letters");
        mistakes.add(text.span(), problem, mend);
        return None;
    }
    Some(name.to_owned())
}

/// Adds what is wrong with a text, each at its line where that can be found.
fn add(slips: Vec<ChangesSlip>, text: &Spanned<&str>, who: &str, mistakes: &mut Mistakes<'_>) {
    let whole = text.span();
    let inner = mistakes.within(&whole, text.get_ref());
    let is_found = inner.len() == text.get_ref().len();
    for ChangesSlip { at, complaint } in slips {
        let span =
            if is_found { inner.start + at.start..inner.start + at.end } else { whole.clone() };
        let problem = format!("{who}{}", complaint.problem);
        mistakes.add_at(&span, Complaint { problem, ..complaint });
    }
}

/// The order in which sections are played; without one, that in which they are written.
fn form_of(
    value: Option<&Spanned<DeValue<'_>>>,
    named: &[NamedSection],
    mistakes: &mut Mistakes<'_>,
) -> Vec<usize> {
    let Some(value) = value else { return (0..named.len()).collect() };
    let Some(text) = as_text(Field::Form, value, mistakes) else { return Vec::new() };
    let names: Vec<&str> = named.iter().filter_map(|it| it.name.as_deref()).collect();
    let find = |word: &str| named.iter().position(|it| it.name.as_deref() == Some(word));
    let mut form = Vec::new();
    for word in text.get_ref().split([' ', '\n', '\t', ',', '|']).filter(|word| !word.is_empty()) {
        // Letters may stand together, as in AABA.
        let letters = || word.chars().map(|letter| find(letter.encode_utf8(&mut [0; 4]))).collect();
        let found: Option<Vec<usize>> = find(word).map(|one| vec![one]).or_else(letters);
        match found {
            Some(found) => form.extend(found),
            // Where the name of a section is wrong, that is told already.
            None if names.len() < named.len() || names.is_empty() => {}
            None => {
                let problem = format!("section `{}` is used and not written", shortened(word));
                let at = mistakes.within(&text.span(), word);
                let mend = format!("{}, or write a [[section]] of that name", advice(word, &names));
                mistakes.add(at, problem, mend);
            }
        }
        if form.len() > MOST_BARS {
            break;
        }
    }
    if form.is_empty() && !named.is_empty() && text.get_ref().trim().is_empty() {
        mistakes.add(text.span(), "field `form` is empty", "write it as in \"A A B A\"");
        return form;
    }
    for (index, unused) in named.iter().enumerate().filter(|(index, _)| !form.contains(index)) {
        if let (Some(name), true) = (&unused.name, mistakes.is_empty()) {
            let problem = format!("section `{name}` is written and not used");
            let mend = format!("name it in `form`, or leave section {} out", index + 1);
            mistakes.add(unused.at.clone(), problem, mend);
        }
    }
    form
}

/// What only the whole chart shows: how long it is, and whether its coda is reached.
fn whole(chart: &Chart, places: &[Range<usize>], start: Range<usize>, mistakes: &mut Mistakes<'_>) {
    let written = chart.written_bars();
    if written > MOST_BARS {
        let problem = format!("the chart has {written} bars, {MOST_BARS} are the most");
        mistakes.add(start, problem, "write a section once and play it again in `form`");
        return;
    }
    let heard = chart.heard_bars();
    if heard > MOST_BARS {
        let problem = format!("the form takes {heard} bars and may take {MOST_BARS}");
        mistakes.add(start, problem, "play fewer sections or rounds; write one chorus");
        return;
    }
    for (index, section) in chart.sections.iter().enumerate() {
        let marked = section.bars.iter().any(|bar| bar.to_coda);
        let leads = chart.form.windows(2).any(|pair| {
            pair[0] == index && chart.sections.get(pair[1]).is_some_and(Section::is_coda)
        });
        if marked && !leads {
            let problem = format!("{}: `to-coda` leads nowhere", section.name);
            let mend = "write a section `Coda`, and play it right after this one in `form`";
            let at = places.get(index).cloned().unwrap_or_else(|| start.clone());
            mistakes.add(at, problem, mend);
        }
    }
}
