//! Judges a template: everything that is wrong with it, where, and how to mend it.

mod degrees;
mod places;
mod whole;

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::drill::language::comping::Comping;
use crate::drill::language::figure::{Figure, Sounding, place, span};
use crate::drill::language::harmony;
use crate::drill::language::value::VALUES;
use crate::drill::language::voicing::Voicing;
use crate::drill::template::{Entry, Passage, Template};
use crate::score::{Feel, Metre, Ticks};
use crate::source::fields::{Fields, Mistakes, as_text, as_whole, one_of};
use crate::source::{Complaint, DrillField as Field, nearest};
use crate::theory::Mode;
use degrees::degrees;
use places::Places;
use whole::whole;

/// Beats that a chord may last.
const MOST_BEATS: i64 = 32;
/// Bars that a phrase may have.
const MOST_PHRASE: usize = 16;
/// The widest that the largest hand stretches from thumb to little finger, in semitones.
///
/// Source: Balliauw et al. 2017 (MaxPrac of fingers 1 and 5, large hand), at second hand.
const WIDEST_HAND: i32 = 18;

const METRES: [(&str, Metre); 4] = [
    ("3/4", Metre::ThreeFour),
    ("4/4", Metre::FourFour),
    ("5/4", Metre::FiveFour),
    ("6/8", Metre::SixEight),
];
const FEELS: [(&str, Feel); 2] = [("even", Feel::Even), ("swing", Feel::Swing)];
const ENTRIES: [(&str, Entry); 3] =
    [("held", Entry::Held), ("short", Entry::Short), ("push", Entry::Push)];
const HANDS: [(&str, bool); 2] = [("as-usual", false), ("swapped", true)];

/// The modes by their words.
fn modes() -> [(&'static str, Mode); 4] {
    Mode::ALL.map(|mode| (mode.word(), mode))
}

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

/// Reads a template, or gives all its mistakes in order of lines.
fn judge(text: &str, origin: &str) -> Result<Template, Vec<Complaint>> {
    let mut mistakes = Mistakes::of(origin, text);
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
    let home = Home { metre: metre.unwrap_or(Metre::FourFour), mode };
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
        .map(|(index, value)| passage(value, index, home, mistakes))
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

/// What passages take from their template.
#[derive(Clone, Copy)]
struct Home {
    metre: Metre,
    mode: Mode,
}

/// A text that must be there and say something.
fn words(
    fields: &mut Fields<'_>,
    name: Field,
    example: &str,
    mistakes: &mut Mistakes<'_>,
) -> Option<String> {
    let value = fields.required(name, example)?;
    let text = as_text(name, value, mistakes)?;
    let words = text.get_ref().trim();
    if words.is_empty() {
        mistakes.add(
            text.span(),
            format!("field `{}` is empty", name.name()),
            "write a word or two",
        );
        return None;
    }
    Some(words.to_owned())
}

/// One of a field's words, if the field is there.
fn word<T: Copy>(
    fields: &mut Fields<'_>,
    name: Field,
    known: &[(&str, T)],
    mistakes: &mut Mistakes<'_>,
) -> Option<T> {
    let found = fields.text(name, mistakes)?;
    one_of(name.name(), &found, known, mistakes)
}

/// One of the words of a field that must be there.
fn required_word<T: Copy>(
    fields: &mut Fields<'_>,
    (name, example): (Field, &str),
    known: &[(&str, T)],
    mistakes: &mut Mistakes<'_>,
) -> Option<T> {
    let value = fields.required(name, example)?;
    let found = as_text(name, value, mistakes)?;
    one_of(name.name(), &found, known, mistakes)
}

/// A text, or several that take turns.
fn turns<'a, T>(
    fields: &mut Fields<'a>,
    (name, example): (Field, &str),
    mistakes: &mut Mistakes<'_>,
    mut read: impl FnMut(&Spanned<&'a str>, &mut Mistakes<'_>) -> Option<T>,
) -> Option<Vec<T>> {
    let value = fields.required(name, example)?;
    let Some(array) = value.get_ref().as_array() else {
        let text = as_text(name, value, mistakes)?;
        return Some(vec![read(&text, mistakes)?]);
    };
    if array.is_empty() {
        mistakes.add(
            value.span(),
            format!("field `{}` is empty", name.name()),
            format!("write {example}"),
        );
        return None;
    }
    let each: Vec<Option<T>> = array
        .iter()
        .map(|value| {
            let text = as_text(name, value, mistakes)?;
            read(&text, mistakes)
        })
        .collect();
    each.into_iter().collect()
}

fn passage(
    value: &Spanned<DeValue<'_>>,
    index: usize,
    home: Home,
    mistakes: &mut Mistakes<'_>,
) -> Option<(Passage, Places)> {
    let Some(table) = value.get_ref().as_table() else {
        mistakes.add(value.span(), "a passage is a table of its own", "write [[passage]] above it");
        return None;
    };
    let mut fields = Fields::of(table, value.span());
    let own_mode = fields.text(Field::Mode, mistakes);
    let mode = own_mode.and_then(|text| own_mode_of(&text, home.mode, mistakes));
    let mode = mode.unwrap_or(home.mode);
    let degrees = degrees(&mut fields, mode, mistakes);
    let beats = beats(&mut fields, mistakes);
    let usual = required_word(&mut fields, (Field::Note, "\"eighth\""), &VALUES, mistakes);
    let figures = turns(&mut fields, (Field::Figure, "\"1 3 5 7\""), mistakes, |text, mistakes| {
        let figure = Figure::parse(text.get_ref(), &text.span(), usual?, mistakes)?;
        Some(Written { figure, at: text.span(), words: text.get_ref() })
    });
    let voicings = turns(&mut fields, (Field::Voicing, "\"close\""), mistakes, |text, mistakes| {
        Some((Voicing::parse(text.get_ref(), &text.span(), mistakes)?, text.span()))
    });
    let comping = fields.required(Field::Comping, "\"on-beat\"");
    let comping =
        comping.and_then(|value| as_text(Field::Comping, value, mistakes)).and_then(|text| {
            let comping = Comping::parse(text.get_ref(), &text.span(), home.metre, mistakes)?;
            Some((comping, text.span()))
        });
    let leads = fields.flag(Field::VoiceLeading, mistakes);
    let entry_text = fields.text(Field::Entry, mistakes);
    let entry = entry_text.as_ref().and_then(|text| one_of("entry", text, &ENTRIES, mistakes));
    let fermata = fields.flag(Field::Fermata, mistakes).is_some_and(Spanned::into_inner);
    let is_swapped = word(&mut fields, Field::Hands, &HANDS, mistakes).unwrap_or(false);
    let whole = fields.span();
    fields.finish(mistakes);

    let (degrees, degrees_span) = degrees?;
    let chord_length = beats? * (home.metre.count_unit());
    let figures = figures?;
    for written in &figures {
        judge_length(written, figures.len(), chord_length, home.metre, mistakes);
    }
    let (voicings, voicing_spans): (Vec<Voicing>, Vec<Range<usize>>) =
        voicings?.into_iter().unzip();
    let (comping, comping_span) = comping?;
    let passage = Passage {
        mode,
        degrees,
        chord_length,
        figures: figures.iter().map(|written| written.figure.clone()).collect(),
        voicings,
        leads_voices: leads.is_some_and(Spanned::into_inner),
        comping,
        entry: entry.unwrap_or_default(),
        fermata,
        is_swapped,
    };
    if passage.length() % home.metre.bar() != 0 {
        let problem = format!(
            "{} chords of {} beats do not fill whole bars of {}",
            passage.degrees.len(),
            beats?,
            home.metre
        );
        mistakes.add(degrees_span, problem, "add or leave out chords, or change `beats`");
        return None;
    }
    let places = Places {
        whole,
        figures: figures.iter().map(|written| written.at.clone()).collect(),
        voicings: voicing_spans,
        comping: comping_span,
    };
    judge_entry(&passage, index, entry_text.map(|text| text.span()), &places, mistakes);
    judge_voicings(&passage, &places, mistakes);
    judge_hands(&passage, &figures, &places, mistakes);
    judge_strokes(&passage, home.metre, &places, mistakes);
    Some((passage, places))
}

/// A figure, where it stands, and how it is written.
struct Written<'a> {
    figure: Figure,
    at: Range<usize>,
    words: &'a str,
}

/// A passage's own mode: another one of the same signature.
fn own_mode_of(text: &Spanned<&str>, home: Mode, mistakes: &mut Mistakes<'_>) -> Option<Mode> {
    let mode = one_of("mode", text, &modes(), mistakes)?;
    if mode.is_minor() != home.is_minor() {
        let problem = format!("a passage in {} in a drill in {}", mode.words(), home.words());
        let mend = "let major and minor be two drills, each with its own key signature";
        mistakes.add(text.span(), problem, mend);
        return None;
    }
    Some(mode)
}

/// How many beats each chord lasts.
fn beats(fields: &mut Fields<'_>, mistakes: &mut Mistakes<'_>) -> Option<Ticks> {
    let value = fields.required(Field::Beats, "2")?;
    let beats = as_whole(value.get_ref()).filter(|beats| (1..=MOST_BEATS).contains(beats));
    if beats.is_none() {
        let mend = format!("write how many beats each chord lasts, 1 to {MOST_BEATS}");
        mistakes.add(value.span(), "field `beats` is no number of beats", mend);
    }
    beats.and_then(|beats| Ticks::try_from(beats).ok())
}

/// Whether a figure, one of `several`, lasts as long as its chord.
fn judge_length(
    written: &Written<'_>,
    several: usize,
    chord: Ticks,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) {
    let played = written.figure.length();
    if played == chord {
        return;
    }
    let beat = f64::from(metre.count_unit());
    let [played, chord] = [played, chord].map(|length| f64::from(length) / beat);
    let round = |beats: f64| (beats * 100.0).round() / 100.0;
    let than = if played > chord { "longer" } else { "shorter" };
    let which = if several > 1 { format!(" `{}`", written.words.trim()) } else { String::new() };
    let problem = format!(
        "the figure{which} is {than} than its chord: {} beats, not {}",
        round(played),
        round(chord)
    );
    let mend = "add steps or rests or leave some out, or change `beats` or `note`";
    mistakes.add(written.at.clone(), problem, mend);
}

fn judge_entry(
    passage: &Passage,
    index: usize,
    entry: Option<Range<usize>>,
    places: &Places,
    mistakes: &mut Mistakes<'_>,
) {
    let at = entry.clone().unwrap_or_else(|| places.comping.clone());
    let is_once_each = matches!(passage.comping, Comping::OnBeat | Comping::Push);
    if !is_once_each && entry.is_some() && passage.entry != Entry::Held {
        let problem = "an entry of its own goes with comping on the beat or pushed";
        mistakes.add(at, problem, "leave `entry` out, and write the first stroke in `comping`");
        return;
    }
    if index == 0 && passage.entry == Entry::Push {
        let problem = "the first passage has nothing before it to push out of";
        mistakes.add(at, problem, "write entry = \"short\" or entry = \"held\"");
    }
}

fn judge_voicings(passage: &Passage, places: &Places, mistakes: &mut Mistakes<'_>) {
    if passage.leads_voices
        && let Some(voicing) = passage.voicings.iter().position(|voicing| !voicing.can_be_led())
    {
        let problem = "voices cannot be led through a voicing that has no other form";
        let mend = "write close, shell-7, guide-tones, rootless-a or drop-2, or leave \
                    `voice-leading` out";
        mistakes.add(places.voicings[voicing].clone(), problem, mend);
    }
    let scale = harmony::scale(passage.mode);
    for (index, degree) in passage.degrees.iter().enumerate() {
        let Some(chord) = degree.chord(passage.mode) else { continue };
        let widest = passage.voicing(index).lay(scale, &chord).widest();
        if widest > WIDEST_HAND {
            let problem = format!("the voicing spans {widest} semitones, which no hand can hold");
            let mend = format!("keep within {WIDEST_HAND}, or leave a note to the other hand");
            let place = index % passage.voicings.len();
            mistakes.add(places.voicings[place].clone(), problem, mend);
            return;
        }
    }
}

/// Whether figure and voicing agree on what each hand plays, and a hand can play it.
fn judge_hands(
    passage: &Passage,
    figures: &[Written<'_>],
    places: &Places,
    mistakes: &mut Mistakes<'_>,
) {
    let two_handed = passage.voicings.iter().filter(|voicing| voicing.is_two_handed()).count();
    let plays_upper =
        |figure: &Figure| figure.steps.iter().any(|step| step.sounding == Sounding::Upper);
    let with_upper = figures.iter().find(|written| plays_upper(&written.figure));
    let without_upper = figures.iter().find(|written| !plays_upper(&written.figure));
    if let Some(figure) = without_upper.filter(|_| two_handed > 0) {
        let problem = "the voicing lies in two hands, but the figure does not play its upper notes";
        let mend = "write `upper` in the figure, as in figure = \"upper\" with note = \"half\"";
        mistakes.add(figure.at.clone(), problem, mend);
    } else if let Some(figure) = with_upper.filter(|_| two_handed < passage.voicings.len()) {
        let problem = "`upper` needs a voicing that lies in two hands";
        mistakes.add(figure.at.clone(), problem, "write voicing = \"drop-2\"");
    }
    if two_handed > 0 && passage.is_swapped {
        let problem = "a voicing in two hands cannot be swapped between them";
        mistakes.add(places.whole.clone(), problem, "leave `hands` out");
    }
    let scale = harmony::scale(passage.mode);
    for (index, degree) in passage.degrees.iter().enumerate() {
        let Some(chord) = degree.chord(passage.mode) else { continue };
        let Written { figure, at, .. } = &figures[index % figures.len()];
        let widest = figure.steps.iter().map(|step| match &step.sounding {
            Sounding::Tones(tones) => span(&place(tones, scale, &chord)),
            Sounding::Rest | Sounding::Upper => 0,
        });
        let widest = widest.max().unwrap_or(0);
        if widest > WIDEST_HAND {
            let problem = format!("a step spans {widest} semitones, which no hand can hold");
            mistakes.add(at.clone(), problem, format!("keep within {WIDEST_HAND}"));
            return;
        }
    }
}

/// Whether every chord is struck.
fn judge_strokes(passage: &Passage, metre: Metre, places: &Places, mistakes: &mut Mistakes<'_>) {
    let Comping::Strokes(bars) = &passage.comping else { return };
    let mut struck = vec![false; passage.degrees.len()];
    for (_, chord, _) in passage.strokes(bars, metre) {
        if let Some(struck) = struck.get_mut(chord) {
            *struck = true;
        }
    }
    if let Some(silent) = struck.iter().position(|struck| !struck) {
        let problem = format!("chord {} of the passage gets no stroke", silent + 1);
        let mend = "strike at least once in each chord, or make the chords longer";
        mistakes.add(places.comping.clone(), problem, mend);
    }
}
